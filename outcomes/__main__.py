"""Run the command line: ``outcomes``, or ``python -m outcomes``.

Importing the program takes longer than some commands, so signals are listened to before.
"""

import os
import sys

from outcomes.stopping import SENTENCE, Stopped, listen, stop_listening


def main() -> None:
    """Listen to signals, then import and run the program."""
    listen()
    try:
        from outcomes import cli

        cli.main()
    except Stopped as ending:
        os.write(2, f"{SENTENCE}\n".encode())
        sys.exit(ending.status)
    finally:
        stop_listening()


if __name__ == "__main__":
    main()
