"""What every sentence about a power simulation needs: one part of it, and the words."""

from dataclasses import dataclass

from outcomes.planning.plan import Claim
from outcomes.planning.power_cell import Barred, Cell
from outcomes.planning.power_layout import Layout
from outcomes.planning.power_question import Kind, Luck
from outcomes.planning.power_study import PowerPart
from outcomes.report.amounts import describe_rate, whole_per_100
from outcomes.report.wording import Value, Wording
from outcomes.resampling.interval import Interval

GOAL = 80  # chances in 100 that are commonly aimed at


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PowerTeller:
    """One part with the words to tell it in."""

    part: PowerPart
    wording: Wording

    @property
    def is_equivalence(self) -> bool:
        """Return whether the claim is that there is no difference worth having."""
        return self.part.question.claim is Claim.EQUIVALENCE

    @property
    def main_kind(self) -> Kind:
        """Return the supposition under which the claim holds."""
        return Kind.NOTHING if self.is_equivalence else Kind.MATTERS

    @property
    def other_kind(self) -> Kind:
        """Return the supposition under which it does not."""
        return Kind.MATTERS if self.is_equivalence else Kind.NOTHING

    def lucks(self) -> tuple[Luck, ...]:
        """Return where the lucks come from, the likeliest first."""
        return tuple(luck for _, luck in self.part.background.lucks)

    def cells(self, kind: Kind, luck: Luck) -> tuple[Cell, ...]:
        """Return the cells of one scenario."""
        return self.part.cells_of(kind, luck)

    @property
    def is_tested(self) -> bool:
        """Return whether a plan's permutation test decides."""
        return self.part.question.tested

    def hits(self, cell: Cell) -> int:
        """Return how many trials bear the claim out."""
        if self.is_equivalence:
            return cell.tally.small
        return cell.tally.supported if self.is_tested else cell.tally.clear

    def chance(self, cell: Cell) -> float:
        """Return the chance that the claim is borne out, 0 to 1."""
        return self.hits(cell) / max(1, cell.tally.runs)

    def chance_limits(self, cell: Cell) -> Interval:
        """Return how far the simulation leaves that chance open."""
        if self.is_equivalence:
            return cell.small()
        return cell.supported() if self.is_tested else cell.clear()

    def can_answer(self, cell: Cell) -> bool:
        """Return whether trials of this layout can bear the claim out at all."""
        if self.is_equivalence:
            return cell.barred is not Barred.FEW
        return cell.barred is Barred.NO

    def rate(self, share: float) -> str:
        """Return a chance in whole hundreds, never 0 and never 100."""
        return describe_rate(share, self.wording)

    def smallest(self) -> str:
        """Return the smallest difference that matters as a number of pieces."""
        return f"{100 * self.part.question.smallest:.3g}"

    def difference(self) -> str:
        """Return the difference supposed: "15 more of 100 pieces"."""
        matters = self.part.scenario(Kind.MATTERS, self.lucks()[0]).truth.change
        key = "power.difference_more" if matters >= 0 else "power.difference_fewer"
        return self.wording.say(key, {"n": self.smallest()})

    def trial(self, cell: Cell) -> str:
        """Return "24 firings of 6 pieces"."""
        values: dict[str, Value] = {"firings": cell.layout.firings, "size": self.size(cell.layout)}
        return self.wording.say("power.trial", values)

    def size(self, layout: Layout) -> str:
        """Return the pieces of a firing: "6", "about 4.3"."""
        if len(set(layout.sizes)) == 1:
            return str(layout.sizes[0])
        return self.wording.say("power.observed", {"mean": f"{layout.mean_size():.1f}"})

    def span(self, shares: list[float]) -> dict[str, Value]:
        """Return the least and the most of several chances as whole hundreds."""
        return {"low": whole_per_100(min(shares)), "high": whole_per_100(max(shares))}
