"""Arguments in, exit status out; no analysis.

Exit status: 0 done (findings allowed), 1 the input is refused with the reasons, 2 wrong
usage, 3 the machine or the program failed, 130 interrupted (143 and 129 when the system asked).
Nothing heavy is imported before a command
runs, so that ``outcomes --help`` answers at once.
"""

import gc
import os
import signal
import sys
import traceback
from contextlib import suppress
from pathlib import Path

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
from outcomes.memory import OUT_OF_MEMORY, check_memory, is_out_of_memory
from outcomes.stopping import SENTENCE, Stopped, find_stop, listen

TRACEBACK = "OUTCOMES_TRACEBACK"  # set: tracebacks are shown

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
@click.pass_context
def program(context: click.Context) -> None:
    """Learn from a firing log what the maker controls, and how surely.

    Start with `outcomes demo`, then `outcomes check my_log.csv`, then
    `outcomes report my_log.csv`. To write a log: `outcomes sheet`.

    Exit status: 0 done, 1 refused with the reason, 2 wrong usage, 3 the machine
    or the program failed, 130 interrupted (143 or 129 when the system asked).
    """
    check_memory(str(context.invoked_subcommand))


for _command in COMMANDS:
    program.add_command(_command)


def main() -> None:
    """Run the program and turn every ending into its exit status."""
    listen()
    # A report makes a great many objects and keeps them: unreachable ones are rare.
    gc.set_threshold(100_000, 20, 20)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    sys.exit(_run())


def _run() -> int:
    """Return the exit status of the command on the command line."""
    try:
        status = program.main(standalone_mode=False)
        sys.stdout.flush()
    except Stopped as ending:
        return _complain(SENTENCE, ending.status)
    except (click.exceptions.Abort, KeyboardInterrupt):
        return _complain(SENTENCE, 128 + signal.SIGINT)
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except Exception as error:  # noqa: BLE001 - the last net: a sentence instead of a traceback
        return _end(error)
    return status if isinstance(status, int) else 0


def _end(error: Exception) -> int:
    """Return the exit status of an error that ended a command, and say why."""
    ending = find_stop(error)
    if ending is not None:
        return _complain(SENTENCE, ending.status)
    if isinstance(error, OutcomesError):
        return _complain(str(error), 3 if isinstance(error, MemoryError) else 1)
    if isinstance(error, BrokenPipeError):
        # The reader left (`outcomes check log.csv | head`): not our failure to report.
        _discard_output()
        return 0
    return _explain(error)


def _explain(error: Exception) -> int:
    """Say what nobody foresaw; the traceback is for those who ask for it."""
    if os.environ.get(TRACEBACK):
        traceback.print_exception(error)
    if is_out_of_memory(error):
        return _complain(OUT_OF_MEMORY, 3)
    if isinstance(error, OSError):
        _discard_output()
        what = f"The system refused: {error.strerror or error}"
        return _complain(f"{what}; nothing is half written.", 3)
    place = traceback.extract_tb(error.__traceback__)[-1]
    return _complain(
        f"This is a fault of outcomes, not of your log: {type(error).__name__} in "
        f"{Path(place.filename).name} line {place.lineno}. Nothing is half written. Set "
        f"{TRACEBACK}=1 and run it again to see all of it, and send it to whoever looks after "
        "the program.",
        3,
    )


def _discard_output() -> None:
    """Send what is still to be printed nowhere, or Python complains of it at its end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _complain(sentence: str, status: int) -> int:
    with suppress(OSError):
        click.echo(sentence, err=True)
    return status
