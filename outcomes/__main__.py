"""Run the command line with ``python -m outcomes``."""

from outcomes.cli import main

if __name__ == "__main__":
    main()
