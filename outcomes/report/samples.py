"""The sample reports: made by one command, compared in CI.

::

    python -m outcomes.report.samples             regenerate the samples in reports/
    python -m outcomes.report.samples --compare   exit 1 if what is committed differs
"""

import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import outcomes
from outcomes.log.codebook_file import read_codebook
from outcomes.log.demo import demo_folder
from outcomes.log.reading import read_log
from outcomes.report.results import build_results
from outcomes.report.software import parse_lock
from outcomes.report.writing import write_results
from outcomes.study.analysis import analyse
from outcomes.study.record import Study, StudyOptions

REPORTS = Path(outcomes.__file__).parents[1] / "reports"


def analyse_demo(options: StudyOptions) -> Study:
    """Return the study of the demo log."""
    folder = demo_folder()
    codebook = read_codebook(folder / "hollowmere_codebook.toml")
    log = read_log([folder / "hollowmere_yard.csv"], codebook)
    return analyse(log, options=options, workers=2, progress=lambda _: None)


def build_hollowmere() -> dict[str, bytes]:
    """Return the maker's and the researcher's page of the demo year."""
    # The versions a sample names are those it is pinned to, not those of the machine.
    lock = REPORTS.with_name("requirements.lock").read_text(encoding="utf-8")
    study = replace(analyse_demo(StudyOptions()), software=parse_lock(lock.splitlines()))
    return _build_pages(study, readers=("maker", "research"))


def build_kestrel() -> dict[str, bytes]:
    """Return the tested plan of the demo trial."""
    from outcomes.planning.plan_file import read_plan
    from outcomes.planning.testing import run_trial
    from outcomes.planning.trial import TrialOptions
    from outcomes.report.trial_results import build_trial_results

    folder = demo_folder()
    codebook = read_codebook(folder / "kestrel_codebook.toml")
    log = read_log([folder / "kestrel_bench.csv"], codebook)
    plan = read_plan(folder / "kestrel_plan.toml")
    trial = run_trial(plan, log, options=TrialOptions(), progress=lambda _: None)
    return build_trial_results(trial, plan_file="kestrel_plan.toml")


def build_ninefold() -> dict[str, bytes]:
    """Return the pages of the evening class: the maker's, the handout and the leader's."""
    folder = demo_folder()
    codebook = read_codebook(folder / "ninefold_codebook.toml")
    log = read_log([folder / "ninefold_front.csv", folder / "ninefold_back.csv"], codebook)
    study = analyse(log, options=StudyOptions(), workers=2, progress=lambda _: None)
    return _build_pages(study, readers=("maker", "class", "leader"))


def _build_pages(study: Study, *, readers: tuple[str, ...]) -> dict[str, bytes]:
    """Return the pages of some readers with the record and the tables they share."""
    files: dict[str, bytes] = {}
    for reader in readers:
        files |= build_results(study, reader=reader)
    return files


# The folder in reports/ of every sample, and what makes it.
SAMPLES: Mapping[str, Callable[[], dict[str, bytes]]] = {
    "hollowmere_yard": build_hollowmere,
    "kestrel_bench": build_kestrel,
    "ninefold_lane": build_ninefold,
}


def find_differences(files: dict[str, bytes], folder: Path) -> tuple[str, ...]:
    """Return the names whose committed bytes differ from those just made."""
    committed = {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.name != "files.json"
    }
    names = sorted(files.keys() | committed.keys())
    return tuple(name for name in names if files.get(name) != committed.get(name))


def main(words: list[str]) -> int:
    """Regenerate the sample reports, or compare them; return the exit status."""
    differing = 0
    for name, build in SAMPLES.items():
        folder, files = REPORTS / name, build()
        if words != ["--compare"]:
            write_results(files, folder)
            sys.stdout.write(f"Written: {folder}\n")
            continue
        for file in find_differences(files, folder):
            sys.stdout.write(f"reports/{name}/{file} is not what this code makes.\n")
            differing = 1
    return differing


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
