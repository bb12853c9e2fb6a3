"""What the documents name exists, and what exists is documented."""

import re
import tomllib
from pathlib import Path

import click

from outcomes.cli import program
from outcomes.log.codebook_file import read_default_codebook

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
# The list a studio may rely on: others build on these names.
FIRST_COLUMNS = """
glaze clay_body form maker kiln load_no pull_order pull_temp_c seconds_to_can combustible_g
combustible_kind can_volume_l lid_delay_s time_in_can_min glaze_thickness_mm wall_thickness_mm
quench seal burps air_temp_c humidity_pct wind
"""
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_command_stands_in_the_readme() -> None:
    missing = [name for name in program.commands if f"`outcomes {name}" not in README]
    assert missing == []


def test_every_command_named_in_the_readme_exists() -> None:
    named = set(re.findall(r"outcomes ([a-z]+)(?= |`|\n)", README))
    words_of_prose = {"log", "demo", "check", "report", "export", "sheet"}
    assert named - set(program.commands) <= {"already", "reads"}, named
    assert words_of_prose - {"log"} <= named


def test_every_common_option_named_in_the_readme_exists() -> None:
    named = set(re.findall(r"--[a-z][a-z-]*", README))
    known = {
        word
        for command in program.commands.values()
        for option in command.params
        if isinstance(option, click.Option)
        for word in option.opts
    }
    assert named <= known | {"--help"}, named - known


def test_the_readme_starts_with_the_job_and_then_two_set_up_commands() -> None:
    paragraphs = [part for part in README.split("\n\n") if not part.startswith("# ")]
    assert "learns which of the things" in paragraphs[0]
    commands = re.findall(r"```sh\n(.*?)\n```", README, flags=re.DOTALL)
    assert commands[:2] == ["python3 -m outcomes.start demo", "python3 -m outcomes.start test"]


def test_files_the_documents_link_to_exist() -> None:
    for text in (README, DEVELOPERS):
        links = re.findall(r"\]\((?!http)([^)#]+)", text)
        assert links == [link for link in links if (ROOT / link).exists()]


def test_every_room_stands_in_the_developers_page() -> None:
    rooms = {
        path.name
        for path in (ROOT / "outcomes").iterdir()
        if path.is_dir() and path.name[0] not in "._"
    }
    assert [room for room in sorted(rooms) if f"`{room}/`" not in DEVELOPERS] == []


def test_every_library_the_package_needs_is_accounted_for() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    names = [re.match(r"[A-Za-z0-9_-]+", line).group() for line in project["dependencies"]]
    assert [name for name in names if name not in DEVELOPERS.lower()] == []


def test_default_columns_of_the_trade_exist_in_the_codebook() -> None:
    columns = set(FIRST_COLUMNS.split())
    codebook = read_default_codebook()
    factors = {factor.name for factor in codebook.factors}
    assert columns <= factors
    assert [outcome.name for outcome in codebook.outcomes] == [
        "luster",
        "crackle_density",
        "color_shift",
        "cracked",
    ]


def test_nothing_committed_names_a_machine_or_a_registry() -> None:
    pattern = re.compile(r"file:///|/(?:work|root)/[a-z]|index-url|pypi\.org/simple")
    names = ["pyproject.toml", "README.md", "DEVELOPERS.md", "CHANGELOG.md", ".ci/run"]
    found = {name for name in names if pattern.search((ROOT / name).read_text(encoding="utf-8"))}
    assert found == set()
