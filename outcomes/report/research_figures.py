"""The pictures of a study as files: ranking strips, curves and shares."""

from outcomes.report.curve_panels import order_levels
from outcomes.report.document import Picture, iterate_blocks
from outcomes.report.maker_curves import build_curve_picture, sorted_curves
from outcomes.report.maker_outcomes import ranked_effects
from outcomes.report.maker_shares import build_shares
from outcomes.report.maker_strip import build_strip
from outcomes.report.teller import build_teller
from outcomes.study.record import Study


def build_figures(study: Study) -> tuple[Picture, ...]:
    """Return every picture that is also written as a file, each with its words."""
    teller = build_teller(study)
    pictures: list[Picture] = []
    for part in study.outcomes:
        pairs = ranked_effects(part)
        if pairs:
            pictures.append(build_strip(part, pairs, teller))
        pictures += [
            build_curve_picture(part, order_levels(curve, teller), teller)
            for curve in sorted_curves(part)
        ]
    sections = tuple(build_shares(teller))
    return (*pictures, *(b for b in iterate_blocks(sections) if isinstance(b, Picture)))
