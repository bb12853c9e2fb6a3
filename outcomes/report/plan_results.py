"""Everything a plan leaves in its folder, as names and bytes."""

from outcomes.planning.next_plan import NextFirings
from outcomes.report.html import render_page
from outcomes.report.plan_json import render_plan_json
from outcomes.report.plan_page import build_plan_document
from outcomes.report.plan_sheet import SHEET_CSV, SHEET_XLSX, pack_run_sheet, render_run_sheet
from outcomes.study.record import Study

PLAN_PAGE, PLAN_JSON = "plan.html", "next_firings.json"


def build_plan_results(study: Study, plan: NextFirings) -> dict[str, bytes]:
    """Return the page, the run sheet (CSV, XLSX) and the JSON, by file name."""
    return {
        PLAN_PAGE: render_page(build_plan_document(study, plan)).encode(),
        SHEET_CSV: render_run_sheet(plan, study.log),
        SHEET_XLSX: pack_run_sheet(plan, study.log),
        PLAN_JSON: render_plan_json(study, plan).encode(),
    }
