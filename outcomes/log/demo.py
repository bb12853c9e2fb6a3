"""Where the invented logs lie that come with the package."""

from pathlib import Path

import outcomes
from outcomes.errors import RequestError


def demo_folder() -> Path:
    """Return the folder of the demo logs, in the package or in the project.

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
