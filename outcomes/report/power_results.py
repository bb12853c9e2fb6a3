"""Everything a power simulation leaves in its folder, as names and bytes."""

from outcomes.planning.power_study import PowerStudy
from outcomes.report.html import render_page
from outcomes.report.power_json import render_power_json
from outcomes.report.power_page import build_power_document
from outcomes.report.power_tables import build_power_table
from outcomes.report.tables import neutralise_table, render_csv

PAGE = "power.html"


def build_power_results(study: PowerStudy) -> dict[str, bytes]:
    """Return the page, the JSON and the table, by file name."""
    files = {
        PAGE: render_page(build_power_document(study)),
        "power.csv": render_csv(neutralise_table(build_power_table(study))),
        "power.json": render_power_json(study),
    }
    return {name: text.encode("utf-8") for name, text in files.items()}
