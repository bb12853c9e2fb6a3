"""Set the project up on a machine that has only Python, then run the demo or the tests.

::

    python3 -m outcomes.start demo
    python3 -m outcomes.start test

Standard library only, and written so that an old Python can read it far enough to say
that it is too old.
"""

import os
import subprocess
import sys
import venv

HERE = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
FOLDER = os.path.join(HERE, ".venv")
OLDEST = (3, 11)


def main(words: "list[str]") -> int:
    """Make the environment if need be, then do what the word says; return the exit status."""
    if len(words) != 1 or words[0] not in ("demo", "test"):
        return _say("Write `python3 -m outcomes.start demo` or `... test`.")
    if sys.version_info < OLDEST:
        found = "%d.%d" % sys.version_info[:2]  # noqa: UP031 - read by old Pythons too
        return _say("This needs Python 3.11 or newer; this one is " + found + ".")
    if not os.path.exists(os.path.join(HERE, "pyproject.toml")):
        return _say("Run this from the project's own folder, where pyproject.toml is.")
    if not _is_installed() and not _install():
        return 1
    if words[0] == "demo":
        return _run(["-m", "outcomes", "demo"])
    return _run(["-m", "pytest", "-q"])


def _say(sentence: str) -> int:
    sys.stderr.write(sentence + "\n")
    return 2


def _python() -> str:
    inside = ("Scripts", "python.exe") if os.name == "nt" else ("bin", "python")
    return os.path.join(FOLDER, *inside)


def _stamp() -> str:
    return os.path.join(FOLDER, "installed-for-outcomes")


def _is_installed() -> bool:
    # Re-installs when pyproject.toml is newer than the last complete installation.
    recipe = os.path.join(HERE, "pyproject.toml")
    stamp = _stamp()
    return os.path.exists(stamp) and os.path.getmtime(stamp) >= os.path.getmtime(recipe)


def _install() -> bool:
    sys.stderr.write(
        "Setting up in " + FOLDER + " (about a minute, 0.7 GB; delete the folder to undo).\n"
    )
    try:
        venv.create(FOLDER, with_pip=True)
    except (subprocess.CalledProcessError, ImportError, OSError) as error:
        sys.stderr.write(
            "The virtual environment could not be made (" + str(error) + "). On Debian and "
            "Ubuntu, install the package python3-venv and try again.\n"
        )
        return False
    command = ["-m", "pip", "install", "--quiet", "--editable", HERE + "[test]"]
    # The lock names the versions the sample reports were made with; a Python for which one of
    # them does not exist takes the newest that fits.
    status = _run([*command, "--constraint", os.path.join(HERE, "requirements.lock")])
    if status != 0:
        sys.stderr.write("Trying again with the newest versions instead of the tested ones.\n")
        status = _run(command)
    if status != 0:
        sys.stderr.write(
            "pip could not install what is needed; its message stands above. A network "
            "connection to a package index is needed once.\n"
        )
        return False
    with open(_stamp(), "w") as file:
        file.write("complete\n")
    return True


def _run(arguments: "list[str]") -> int:
    return subprocess.call([_python(), *arguments], cwd=HERE)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
