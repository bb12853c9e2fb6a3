"""Run the command line: ``outcomes``, or ``python -m outcomes``.

Importing the program takes longer than some commands, so signals are listened to before.
"""

import os
import sys

from outcomes.stopping import SENTENCE, Stopped, find_stop, listen, stop_listening

# Read by the linear algebra when NumPy loads it. Held to one thread later, it would still have
# started the others, and starts them again after every copy of the process: each then turns
# for 25 ms before it sleeps.
ONE_THREAD = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


def main() -> None:
    """Listen to signals, ask for one thread of linear algebra, then import and run the program."""
    listen()
    for name in ONE_THREAD:
        os.environ.setdefault(name, "1")
    try:
        from outcomes import cli

        cli.main()
    except (Stopped, ImportError) as error:
        ending = find_stop(error)
        if ending is None:
            raise
        os.write(2, f"{SENTENCE}\n".encode())
        sys.exit(ending.status)
    finally:
        stop_listening()


if __name__ == "__main__":
    main()
