"""Arguments in, exit status out; no analysis.

Exit status: 0 done (findings allowed), 1 the input is refused with the reasons, 2 wrong
usage, 3 something unforeseen, 130 interrupted. Nothing heavy is imported before a command
runs, so that ``outcomes --help`` answers at once.
"""

import os
import sys

import click

from outcomes import __version__
from outcomes.commands.agree import agree
from outcomes.commands.check import check
from outcomes.commands.declare import declare
from outcomes.commands.export import export
from outcomes.commands.plan import plan
from outcomes.commands.power import power
from outcomes.commands.report import demo, report
from outcomes.commands.sheet import sheet
from outcomes.commands.test import test
from outcomes.errors import OutcomesError

COMMANDS = (
    demo,
    check,
    report,
    plan,
    export,
    power,
    sheet,
    declare,
    test,
    agree,
)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="outcomes")
def program() -> None:
    """Learn from a firing log what the maker controls, and how surely.

    Start with `outcomes demo`, then `outcomes check my_log.csv`, then
    `outcomes report my_log.csv`. To write a log: `outcomes sheet`.
    """


for _command in COMMANDS:
    program.add_command(_command)


def main() -> None:
    """Run the program and turn every ending into its exit status."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        status = program.main(standalone_mode=False)
        sys.stdout.flush()
    except click.exceptions.Abort:
        status = _complain("Interrupted; nothing was written.", 130)
    except click.ClickException as error:
        error.show()
        status = error.exit_code
    except OutcomesError as error:
        status = _complain(str(error), 1)
    except BrokenPipeError:
        # The reader left (`outcomes check log.csv | head`): not our failure to report.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        status = 0
    except MemoryError:
        status = _complain("This machine ran out of memory; nothing was written.", 3)
    sys.exit(status if isinstance(status, int) else 0)


def _complain(sentence: str, status: int) -> int:
    click.echo(sentence, err=True)
    return status
