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
def program() -> None:
    """Learn from a firing log what the maker controls, and how surely.

    Start with `outcomes demo`, then `outcomes check my_log.csv`, then
    `outcomes report my_log.csv`. To write a log: `outcomes sheet`.
    """


for _command in COMMANDS:
    program.add_command(_command)


class _Stopped(KeyboardInterrupt):
    """The system asks us to end: a shutdown, a closed terminal."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number


def main() -> None:
    """Run the program and turn every ending into its exit status."""
    _listen()
    # Python looks for unreachable objects after a few hundred new ones: a tenth of the time.
    gc.set_threshold(100_000, 20, 20)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    sys.exit(_run())


def _run() -> int:  # noqa: PLR0911 - an ending each
    """Return the exit status of the command on the command line."""
    try:
        status = program.main(standalone_mode=False)
        sys.stdout.flush()
    except (click.exceptions.Abort, KeyboardInterrupt) as ending:
        return _complain("Interrupted; nothing is half written.", _status_of(ending))
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except OutcomesError as error:
        return _complain(str(error), 1)
    except BrokenPipeError:
        # The reader left (`outcomes check log.csv | head`): not our failure to report.
        _discard_output()
        return 0
    except MemoryError:
        return _complain("This machine ran out of memory; nothing is half written.", 3)
    except Exception as error:  # noqa: BLE001 - the last net: a sentence instead of a traceback
        return _explain(error)
    return status if isinstance(status, int) else 0


def _listen() -> None:
    """Let the signals that ask a program to end stop us as Ctrl-C does, so that we tidy up."""

    def stop(number: int, _frame: object) -> None:
        raise _Stopped(number)

    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        # Ignored by whoever started us (nohup): stays ignored.
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, stop)


def _status_of(ending: BaseException) -> int:
    """Return 128 and the signal's number, as shells count."""
    stopped = ending if isinstance(ending, _Stopped) else ending.__cause__
    return 128 + (stopped.number if isinstance(stopped, _Stopped) else signal.SIGINT)


def _explain(error: Exception) -> int:
    """Say what nobody foresaw; the traceback is for those who ask for it."""
    if os.environ.get(TRACEBACK):
        traceback.print_exception(error)
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
