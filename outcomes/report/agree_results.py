"""Everything a comparison of gradings leaves in its folder, as names and bytes."""

from outcomes.graders.agreement import Agreement
from outcomes.report.agree_json import render_agreement_json
from outcomes.report.agree_page import build_agree_document
from outcomes.report.agree_tables import build_agreement_tables
from outcomes.report.html import render_page
from outcomes.report.tables import render_csv

PAGE = "agreement.html"


def build_agree_results(agreement: Agreement) -> dict[str, bytes]:
    """Return the page, agreement.json and the tables, by file name."""
    files = {
        PAGE: render_page(build_agree_document(agreement)),
        "agreement.json": render_agreement_json(agreement),
        **{
            f"tables/{name}.csv": render_csv(table)
            for name, table in build_agreement_tables(agreement).items()
        },
    }
    return {name: text.encode("utf-8") for name, text in files.items()}
