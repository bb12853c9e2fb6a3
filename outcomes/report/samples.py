"""The sample report: made by one command, compared in CI.

::

    python -m outcomes.report.samples             regenerate reports/hollowmere_yard
    python -m outcomes.report.samples --compare   exit 1 if what is committed differs
"""

import sys
from pathlib import Path

import outcomes
from outcomes.errors import RequestError
from outcomes.log.codebook_file import read_codebook
from outcomes.log.reading import read_log
from outcomes.report.results import build_results
from outcomes.report.writing import write_results
from outcomes.study.analysis import analyse
from outcomes.study.record import Study, StudyOptions

REPORTS = Path(outcomes.__file__).parents[1] / "reports"


def demo_folder() -> Path:
    """Return the folder of the demo log, in the package or in the project.

    Raises
    ------
    RequestError
        If the installation holds no demo log.
    """
    package = Path(outcomes.__file__).parent
    for folder in (package / "data_demo", package.parent / "data_demo"):
        if (folder / "hollowmere_yard.csv").exists():
            return folder
    raise RequestError("This installation holds no demo log; install the package again.")


def analyse_demo(options: StudyOptions) -> Study:
    """Return the study of the demo log."""
    folder = demo_folder()
    codebook = read_codebook(folder / "hollowmere_codebook.toml")
    log = read_log([folder / "hollowmere_yard.csv"], codebook)
    return analyse(log, options=options, workers=2, progress=lambda _: None)


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
    """Regenerate the sample report, or compare it; return the exit status."""
    folder = REPORTS / "hollowmere_yard"
    files = build_results(analyse_demo(StudyOptions()))
    if words != ["--compare"]:
        write_results(files, folder)
        sys.stdout.write(f"Written: {folder}\n")
        return 0
    differing = find_differences(files, folder)
    for name in differing:
        sys.stdout.write(f"reports/hollowmere_yard/{name} is not what this code makes.\n")
    return 1 if differing else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
