import errno
import os
import subprocess
import sys
import textwrap

import pytest

from outcomes.errors import ReportError, RequestError
from outcomes.report import single_file
from outcomes.report.filled import refuse_filled
from outcomes.report.single_file import write_file, write_files


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_file_is_written_with_nothing_beside_it(tmp_path):
    write_file(b"new", tmp_path / "plan.toml")
    assert (tmp_path / "plan.toml").read_bytes() == b"new"
    assert names(tmp_path) == ["plan.toml"]


def test_a_file_that_may_not_be_replaced_is_refused_and_stays(tmp_path):
    write_file(b"old", tmp_path / "plan.toml")
    with pytest.raises(RequestError, match=r"plan.toml: found a file of that name.*never written"):
        write_file(b"new", tmp_path / "plan.toml", may_replace=False)
    assert (tmp_path / "plan.toml").read_bytes() == b"old"
    assert names(tmp_path) == ["plan.toml"]


def test_where_the_disk_has_no_links_a_new_file_is_still_written(tmp_path, monkeypatch):
    def refuse(*_):
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(single_file.os, "link", refuse)
    write_file(b"new", tmp_path / "plan.toml", may_replace=False)
    assert (tmp_path / "plan.toml").read_bytes() == b"new"
    assert names(tmp_path) == ["plan.toml"]


def test_a_disk_that_fills_up_at_the_second_file_leaves_both_old_ones(tmp_path, monkeypatch):
    write_files({"a": b"old", "b": b"old"}, tmp_path)
    flush, flushed = os.fsync, []

    def fill_up(handle):
        flushed.append(handle)
        if len(flushed) == 2:
            raise OSError(errno.ENOSPC, "No space left on device")
        flush(handle)

    monkeypatch.setattr(single_file.os, "fsync", fill_up)
    with pytest.raises(RequestError, match=r"No space left.*nothing there has changed"):
        write_files({"a": b"new", "b": b"new"}, tmp_path)
    assert [b"old", b"old"] == [(tmp_path / name).read_bytes() for name in "ab"]
    assert names(tmp_path) == ["a", "b"]


def test_leftovers_of_a_dead_run_are_removed_and_those_of_a_living_one_kept(tmp_path):
    (tmp_path / ".log.csv.part-dead").write_bytes(b"half")
    code = """
        import sys
        from contextlib import ExitStack
        from pathlib import Path
        from outcomes.report.single_file import _write_aside
        with ExitStack() as stack:
            print(_write_aside(b"living", Path(sys.argv[1]), stack), flush=True)
            sys.stdin.read()
    """
    command = [sys.executable, "-c", textwrap.dedent(code), str(tmp_path / "log.csv")]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as other:
        living = other.stdout.readline().decode().strip()
        write_file(b"mine", tmp_path / "log.csv")
        assert names(tmp_path) == sorted([os.path.basename(living), "log.csv"])
    assert names(tmp_path) == ["log.csv"]


def test_what_somebody_filled_in_is_named_with_what_to_do(tmp_path):
    refuse_filled({"list.csv": b"blank"}, tmp_path, what="this blank list", option="--out")
    (tmp_path / "list.csv").write_bytes(b"blank")
    refuse_filled({"list.csv": b"blank"}, tmp_path, what="this blank list", option="--out")
    (tmp_path / "list.csv").write_bytes(b"filled")
    with pytest.raises(ReportError, match=r"list.csv: found .* not this blank list.*--out"):
        refuse_filled({"list.csv": b"blank"}, tmp_path, what="this blank list", option="--out")
