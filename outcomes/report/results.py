"""Everything a study leaves in its folder, as names and bytes."""

from outcomes.report.html import render_page
from outcomes.report.maker import build_maker_document
from outcomes.report.study_json import render_study_json
from outcomes.report.tables import build_tables, render_csv
from outcomes.study.record import Study


def build_results(study: Study) -> dict[str, bytes]:
    """Return the maker's page, study.json and the tables, by file name."""
    files = {
        "report.html": render_page(build_maker_document(study)),
        "study.json": render_study_json(study),
    }
    files |= {
        f"tables/{name}.csv": render_csv(table) for name, table in build_tables(study).items()
    }
    return {name: text.encode("utf-8") for name, text in files.items()}
