"""Says where a large log's redraws were averaged over some of its pieces only."""

from outcomes.effects.measured import count_averaged
from outcomes.report.teller import Teller


def say_thinned(teller: Teller, key: str) -> tuple[str, ...]:
    """Return the wording's text of that key with the numbers of this study; () for most logs."""
    counts = [
        (count_averaged(max(len(part.redraws.values), part.firings), part.pieces), part.pieces)
        for part in teller.study.outcomes
        if part.redraws is not None
    ]
    averaged = [some for some, pieces in counts if some < pieces]
    if not averaged:
        return ()
    return (teller.wording.say(key, {"n": f"{min(averaged):,}".replace(",", "\u202f")}),)
