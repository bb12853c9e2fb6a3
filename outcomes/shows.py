"""The public functions that show a result: in words, as tables, as pictures.

Each takes any result of the package; `api` opens them with all the others. Everything is
imported when it is asked for: reading a log loads no model and draws no picture.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from outcomes.errors import RequestError
from outcomes.log.checked import CheckedLog
from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import find_codebook

if TYPE_CHECKING:
    import pandas as pd

    from outcomes.graders.agreement import Agreement
    from outcomes.planning.plan import Plan
    from outcomes.planning.power_study import PowerStudy
    from outcomes.planning.trial import Trial
    from outcomes.report.document import Section
    from outcomes.report.shown import Shown
    from outcomes.study.record import Study

Result: TypeAlias = "CheckedLog | Study | Plan | Trial | PowerStudy | Agreement"


def describe(
    result: Result, *, reader: str = "maker", codebook: str | Path | Codebook | None = None
) -> str:
    """Return what a result says, in the sentences of its page.

    Parameters
    ----------
    result
        From `check`, `analyse`, `declare`, `read_plan`, `run_trial`, `power` or
        `compare_graders`.
    reader
        Of a study: "maker", or "leader" for what only the one who teaches a class should read.
    codebook
        Whose words tell of a plan, None for post-firing reduction; every other result carries
        its own.

    Returns
    -------
    str
        Lines of at most 100 columns, ready to be printed. Changes are in pieces per 100, amounts
        in the units of the log.

    Raises
    ------
    RequestError
        If it is none of these results, or nothing is told to that reader.
    """
    from outcomes.planning.plan import Plan
    from outcomes.study.record import Study

    if isinstance(result, Study):
        from outcomes.report.study_text import describe_study

        return describe_study(result, reader=reader)
    if isinstance(result, CheckedLog):
        from outcomes.report.check_text import describe_check

        return describe_check(result.log, result.findings, result.refused)
    if isinstance(result, Plan):
        from outcomes.report.declare_text import describe_plan

        return describe_plan(result, find_codebook(codebook))
    return _describe_tested(result)


def _describe_tested(result: Trial | PowerStudy | Agreement) -> str:
    from outcomes.graders.agreement import Agreement
    from outcomes.planning.power_study import PowerStudy
    from outcomes.planning.trial import Trial

    if isinstance(result, Trial):
        from outcomes.report.trial_text import describe_trial

        return describe_trial(result)
    if isinstance(result, PowerStudy):
        from outcomes.report.power_text import describe_power

        return describe_power(result)
    if isinstance(result, Agreement):
        from outcomes.report.agree_text import describe_agreement

        return describe_agreement(result)
    raise _no_result(result)


def tables(result: Result) -> dict[str, pd.DataFrame]:
    """Return the tables of a result by name: those that are written as CSV beside its page.

    Parameters
    ----------
    result
        As in `describe`.

    Returns
    -------
    dict of str to DataFrame
        Of a study ``effects``, ``ranking``, ``curves``, ``shares``, ``findings`` and more; of a
        checked log ``findings``; of a plan ``assignment``, the list drawn by lot; of a trial
        ``answers``, ``deviations``, ``grades``; of a power simulation ``power``; of graders
        ``agreement``, ``pairs``, ``steps``, ``graders``, ``changes`` and more. Chances and
        changes are in pieces per 100, settings in the codebook's base units; text that a
        spreadsheet would run as a formula is made harmless.

    Raises
    ------
    RequestError
        If it is none of these results.
    """
    from outcomes.planning.plan import Plan
    from outcomes.report.tables import build_findings_table, build_tables, neutralise_table
    from outcomes.study.record import Study

    if isinstance(result, Study):
        return build_tables(result)
    if isinstance(result, CheckedLog):
        made = {"findings": build_findings_table(("", found) for found in result.findings)}
    elif isinstance(result, Plan):
        from outcomes.planning.assignment import draw_assignment

        made = {"assignment": draw_assignment(result)}
    else:
        made = _tested_tables(result)
    return {name: neutralise_table(table) for name, table in made.items()}


def _tested_tables(result: Trial | PowerStudy | Agreement) -> dict[str, pd.DataFrame]:
    from outcomes.graders.agreement import Agreement
    from outcomes.planning.power_study import PowerStudy
    from outcomes.planning.trial import Trial

    if isinstance(result, Trial):
        from outcomes.report.trial_results import build_trial_tables

        return build_trial_tables(result)
    if isinstance(result, PowerStudy):
        from outcomes.report.power_tables import build_power_table

        return {"power": build_power_table(result)}
    if isinstance(result, Agreement):
        from outcomes.report.agree_tables import build_agreement_tables

        return build_agreement_tables(result)
    raise _no_result(result)


def pictures(result: Study | Trial | PowerStudy | Agreement) -> dict[str, Shown]:
    """Return the pictures of a result's page by name, each with its words and cautions.

    Parameters
    ----------
    result
        From `analyse`, `run_trial`, `power` or `compare_graders`.

    Returns
    -------
    dict of str to Shown
        In reading order: of a study ``strip-OUTCOME``, ``curve-OUTCOME-SETTING`` and others. A
        notebook shows one that stands last in a cell; ``svg`` is its text, to be written to a
        file.

    Raises
    ------
    RequestError
        If the result has no page with pictures.
    """
    from outcomes.report.shown import collect_pictures

    return collect_pictures(_find_sections(result))


def _find_sections(result: Study | Trial | PowerStudy | Agreement) -> tuple[Section, ...]:
    """Return the page of a result."""
    from outcomes.graders.agreement import Agreement
    from outcomes.planning.power_study import PowerStudy
    from outcomes.planning.trial import Trial
    from outcomes.report.agree_page import build_agree_document
    from outcomes.report.maker import build_maker_document
    from outcomes.report.power_page import build_power_document
    from outcomes.report.trial_document import build_trial_document
    from outcomes.study.record import Study

    if isinstance(result, Study):
        return build_maker_document(result).sections
    if isinstance(result, Trial):
        return build_trial_document(result, plan_file="").sections
    if isinstance(result, PowerStudy):
        return build_power_document(result).sections
    if isinstance(result, Agreement):
        return build_agree_document(result).sections
    raise _no_result(result)


def _no_result(found: object) -> RequestError:
    return RequestError(
        f"Found {type(found).__name__}; expected a result that can be shown like this. Give what "
        "analyse, run_trial, power or compare_graders returned; check, declare and read_plan too "
        "for describe and tables."
    )
