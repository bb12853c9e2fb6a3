"""How to do it again: versions, seed, sums of the files, the exact commands, what is written."""

import shlex

from outcomes.log.codebook_file import read_default_codebook
from outcomes.log.firing_log import SourceFile
from outcomes.report.document import Block, ItemList, Lines, Paragraph, Section, Table
from outcomes.report.maker_method import build_run, list_run
from outcomes.report.teller import Teller
from outcomes.study.record import Study

_CODEBOOK = "codebook.toml"


def build_reproduction(teller: Teller) -> Section:
    """Return the section: what determines every byte, and the commands."""
    say = teller.wording.say
    blocks: list[Block] = [Paragraph(text=say("research.again_lead")), _build_run(teller)]
    if teller.study.options.false_discovery == "BH" and not _is_table(teller.study):
        blocks += [
            Paragraph(text=say("research.again_command")),
            Lines(
                key="commands",
                label=say("research.commands"),
                lines=build_command(teller.study),
            ),
        ]
    blocks += [
        Paragraph(text=say("research.again_python")),
        Lines(key="python", label=say("research.python"), lines=build_python(teller.study)),
    ]
    if _has_own_codebook(teller.study):
        values = {"file": _CODEBOOK, "title": teller.study.log.codebook.title}
        blocks.append(Paragraph(text=say("research.again_codebook", values)))
    blocks += [
        Paragraph(text=say("research.files_lead")),
        ItemList(items=teller.wording.say_all("research.files")),
    ]
    return Section(key="reproduce", title=say("research.again"), blocks=tuple(blocks))


def build_command(study: Study) -> tuple[str, ...]:
    """Return the command that makes this page again, its options on lines of their own."""
    options = study.options
    given = ["--codebook", _CODEBOOK] if _has_own_codebook(study) else []
    lines = (
        ["outcomes", "report", *(_name(file) for file in study.log.files), *given],
        ["--for", "research", "--resamples", str(options.resamples), "--seed", str(options.seed)],
        ["--confidence", f"{options.confidence:g}", "--penalty", str(options.penalty)],
    )
    first, *rest = (shlex.join(words) for words in lines)
    return (f"{first} \\", *(f"    {line} \\" for line in rest[:-1]), f"    {rest[-1]}")


def build_python(study: Study) -> tuple[str, ...]:
    """Return the same from Python, line by line."""
    options = study.options
    names = "frame" if _is_table(study) else f"[{', '.join(map(_quote, study.log.files))}]"
    codebook = f", codebook={_CODEBOOK!r}" if _has_own_codebook(study) else ""
    return (
        "import outcomes",
        "from outcomes.model.fit import Penalty",
        "from outcomes.study.record import StudyOptions",
        "",
        f"log = outcomes.read_log({names}{codebook})",
        f"options = StudyOptions(resamples={options.resamples}, seed={options.seed}, "
        f"confidence={options.confidence:g},",
        f"                       false_discovery={options.false_discovery!r}, "
        f"penalty=Penalty({str(options.penalty)!r}))",
        "study = outcomes.analyse(log, options=options)",
        "outcomes.write_study(study, 'outcomes-report', reader='research')",
    )


def _name(file: SourceFile) -> str:
    return f"{file.name}#{file.sheet}" if file.sheet else file.name


def _quote(file: SourceFile) -> str:
    return repr(_name(file))


def _is_table(study: Study) -> bool:
    """Return whether the log came as a DataFrame: no command line can read that."""
    return any(file.kind == "table" for file in study.log.files)


def _has_own_codebook(study: Study) -> bool:
    return study.log.codebook != read_default_codebook()


def _build_run(teller: Teller) -> Table:
    """Return the run as the maker's page tells it, with software and options besides."""
    say, study = teller.wording.say, teller.study
    version, *rest = list_run(teller)
    options = (
        (say("research.penalty"), str(study.options.penalty)),
        (say("research.discovery"), study.options.false_discovery),
        (say("facts.codebook"), study.log.codebook.title),
    )
    return build_run(teller, (version, *study.software, *options, *rest))
