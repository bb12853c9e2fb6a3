"""From the words of a command to a study, with a bar while firings are redrawn."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import click

from outcomes.commands.options import with_progress

if TYPE_CHECKING:
    from outcomes.log.firing_log import FiringLog
    from outcomes.study.record import Study


def learn_study(log: "FiringLog", settings: Mapping[str, Any]) -> "Study":
    """Return the study of a log by the options of `options.study_options`.

    The account of its rows is said first, unless quiet was asked for.
    """
    from outcomes import api
    from outcomes.model.fit import Penalty
    from outcomes.report.check_text import describe_account
    from outcomes.study.analysis import count_redraws
    from outcomes.study.record import Study, StudyOptions

    options = StudyOptions(
        resamples=settings["resamples"],
        seed=settings["seed"],
        confidence=settings["confidence"],
        penalty=Penalty(settings["penalty"]),
        coached=settings.get("coached", ""),
        names=settings.get("names", False),
    )
    if not settings["quiet"]:
        click.echo(describe_account(log))
    study: Study = with_progress(
        lambda progress: api.analyse(
            log, options=options, workers=settings["workers"], progress=progress
        ),
        quiet=settings["quiet"],
        total=count_redraws(log, options),
        label="Redrawing firings",
    )
    return study
