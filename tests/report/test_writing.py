import errno
import os
import signal
import subprocess
import sys
import textwrap
import time

import pytest

from outcomes.errors import ReportError
from outcomes.report import swapping, writing
from outcomes.report.writing import LISTING, read_listing, write_results

OLD = {"report.html": b"old page", "tables/effects.csv": b"old table"}
NEW = {"report.html": b"new page", "study.json": b"{}"}


@pytest.fixture
def target(tmp_path, monkeypatch):
    work = tmp_path / "work"
    work.mkdir()
    monkeypatch.chdir(work)
    return tmp_path / "results"


def contents(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != LISTING
    }


def beside(target):
    return sorted(path.name for path in target.parent.iterdir() if path.name not in ("work",))


def test_results_are_written_with_a_list_of_what_they_are(target):
    write_results(OLD, target)
    assert contents(target) == OLD
    assert set(read_listing(target)["report"]) == set(OLD)
    assert beside(target) == ["results"]


def test_new_results_replace_old_ones_whole(target):
    write_results(OLD, target)
    write_results(NEW, target)
    assert contents(target) == NEW
    assert beside(target) == ["results"]


def test_what_the_maker_put_there_stays(target):
    write_results(OLD, target)
    (target / "my notes.txt").write_bytes(b"mine")
    (target / "tables" / "effects.csv").write_bytes(b"my own sums")
    (target / "pictures").mkdir()
    (target / "pictures" / "pot.jpg").write_bytes(b"jpg")
    write_results(NEW, target)
    assert contents(target) == {
        **NEW,
        "my notes.txt": b"mine",
        "tables/effects.csv": b"my own sums",  # changed by the maker: no longer ours
        "pictures/pot.jpg": b"jpg",
    }


def test_a_link_the_maker_made_is_kept_and_never_followed(target, tmp_path):
    outside = tmp_path / "work" / "outside.txt"
    outside.write_bytes(b"outside")
    write_results(OLD, target)
    (target / "link.txt").symlink_to(outside)
    write_results({**NEW, "tables/link.txt": b"x"}, target)
    assert (target / "link.txt").is_symlink()
    assert outside.read_bytes() == b"outside"


def test_a_folder_that_holds_other_things_is_left_alone(target):
    target.mkdir()
    (target / "thesis.odt").write_bytes(b"years of work")
    with pytest.raises(
        ReportError, match=r"holds files that are not earlier results.*--out results-report"
    ):
        write_results(NEW, target)
    assert contents(target) == {"thesis.odt": b"years of work"}


def test_force_writes_beside_other_things_and_keeps_them(target):
    target.mkdir()
    (target / "thesis.odt").write_bytes(b"years of work")
    write_results(NEW, target, force=True)
    assert contents(target) == {**NEW, "thesis.odt": b"years of work"}


def test_an_empty_folder_is_used(target):
    target.mkdir()
    write_results(NEW, target)
    assert contents(target) == NEW


def test_a_file_in_the_way_is_named_with_what_to_do(target):
    target.write_bytes(b"a log")
    with pytest.raises(ReportError, match=r"is a file, a folder was expected. Name another folder"):
        write_results(NEW, target)
    assert target.read_bytes() == b"a log"


@pytest.mark.parametrize("where", [".", ".."])
def test_the_folder_one_works_in_is_refused(target, where):
    with pytest.raises(ReportError, match="the folder you are working in, or one around it"):
        write_results(NEW, target.parent / "work" / where, force=True)


@pytest.mark.parametrize(
    "name",
    ["../outside.txt", "/etc/outside", "a//b", "", ".hidden", "a\\b", "tables/../x", LISTING],
)
def test_a_name_that_could_leave_the_folder_is_refused(target, name):
    with pytest.raises(ReportError, match="is no name for a result file"):
        write_results({name: b"x"}, target)
    assert not target.exists()


def test_a_link_to_a_folder_is_written_through(target, tmp_path):
    real = tmp_path / "elsewhere"
    real.mkdir()
    target.symlink_to(real)
    write_results(NEW, target)
    assert target.is_symlink()
    assert contents(real) == NEW


@pytest.mark.parametrize(
    ("code", "said"),
    [(errno.ENOSPC, "the disk is full. Make room"), (errno.EACCES, "you may not write there"),
     (errno.EIO, "Try another folder")],
)  # fmt: skip
def test_a_disk_that_refuses_leaves_the_old_results_whole(target, monkeypatch, code, said):
    write_results(OLD, target)

    def refuse(handle):
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(writing.os, "fsync", refuse)
    with pytest.raises(ReportError, match=f"{said}.*What stood there before is unchanged"):
        write_results(NEW, target)
    assert contents(target) == OLD
    assert beside(target) == ["results"]


def test_where_names_cannot_be_exchanged_the_old_folder_steps_aside(target, monkeypatch):
    monkeypatch.setattr(swapping, "_exchange", lambda one, other: False)
    write_results(OLD, target)
    (target / "mine.txt").write_bytes(b"mine")
    write_results(NEW, target)
    assert contents(target) == {**NEW, "mine.txt": b"mine"}
    assert beside(target) == ["results"]


def test_an_interrupted_step_aside_is_undone_by_the_next_run(target):
    write_results(OLD, target)
    (target / "mine.txt").write_bytes(b"mine")
    target.rename(target.with_name(".results.before-abc"))
    write_results(NEW, target)
    assert contents(target) == {**NEW, "mine.txt": b"mine"}
    assert beside(target) == ["results"]


def test_leftovers_of_a_dead_run_are_removed_and_those_of_a_living_one_kept(target):
    dead = target.with_name(".results.writing-dead")
    (dead / "tables").mkdir(parents=True)
    dead.with_name(dead.name + ".lock").write_bytes(b"")
    with swapping.open_staging(target) as living:
        write_results(NEW, target)
        assert living.exists()
        assert not dead.exists()
    assert beside(target) == ["results"]


def test_an_interruption_leaves_nothing_behind(target, monkeypatch):
    write_results(OLD, target)

    def interrupt(*_, **_more):
        raise KeyboardInterrupt

    monkeypatch.setattr(writing, "_keep_strangers", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_results(NEW, target)
    assert contents(target) == OLD
    assert beside(target) == ["results"]


WRITER = """
    import sys
    from pathlib import Path
    from outcomes.report.writing import write_results
    name = sys.argv[2]
    files = {f"f{n}.txt": (name * 2000).encode() for n in range(30)}
    while True:
        write_results(files, Path(sys.argv[1]))
        print(flush=True)
"""


def start_writer(target, name):
    command = [sys.executable, "-c", textwrap.dedent(WRITER), str(target), name]
    return subprocess.Popen(command, stdout=subprocess.PIPE, cwd=target.parent / "work")


def test_a_run_killed_at_any_moment_leaves_one_whole_set(target):
    # reliability.md F1, with fewer kills than the nightly figure of 50
    for round_no, delay in enumerate((0.0, 0.003, 0.007, 0.011, 0.017)):
        writer = start_writer(target, str(round_no))
        writer.stdout.readline()
        time.sleep(delay)
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        writer.stdout.close()
        found = contents(target)
        assert len(found) == 30
        assert len(set(found.values())) == 1
    write_results({"f0.txt": b"last"}, target)
    assert contents(target) == {"f0.txt": b"last"}
    assert beside(target) == ["results"]


def test_runs_at_once_never_mix_their_results(target):
    writers = [start_writer(target, name) for name in "ab"]
    for writer in writers:
        writer.stdout.readline()
        writer.stdout.readline()
    for writer in writers:
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        writer.stdout.close()
    found = contents(target)
    assert len(found) == 30
    assert len(set(found.values())) == 1


def test_what_another_command_wrote_there_stays_and_stays_ours(target):
    write_results({"regrade_key.csv": b"key"}, target, made_by="regrade")
    write_results(OLD, target, made_by="agree")
    write_results(NEW, target, made_by="agree")
    assert contents(target) == {**NEW, "regrade_key.csv": b"key"}
    assert set(read_listing(target)) == {"agree", "regrade"}


def test_a_list_of_the_older_format_still_marks_a_folder_as_ours(target):
    write_results(OLD, target)
    files = {name: writing.hashlib.sha256(content).hexdigest() for name, content in OLD.items()}
    document = {"format": "outcomes-files/1", "files": files}
    (target / LISTING).write_text(writing.json.dumps(document))
    write_results(NEW, target)
    assert contents(target) == NEW
