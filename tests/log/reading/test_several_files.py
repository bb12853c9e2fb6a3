"""Several files are one log; what stands in two of them counts once."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from outcomes.errors import LogError
from outcomes.finding import Finding
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog
from outcomes.log.reading import name_files, read_log

Rows = list[dict[str, str]]
Typed = Callable[..., str]


def said(log: FiringLog, code: str) -> Finding:
    (finding,) = [finding for finding in log.findings if finding.code == code]
    return finding


def test_several_files_are_one_log_with_the_columns_of_all(
    tmp_path: Path, codebook: Codebook
) -> None:
    (tmp_path / "a.csv").write_text("firing_id,glaze,luster\nV1,Moth,3\n")
    (tmp_path / "b.csv").write_text("luster;firing_id;pull_temp_f;x\n2;V2;1850;y\n")
    log = read_log([tmp_path / "a.csv", tmp_path / "b.csv"], codebook)
    assert ["a.csv", "b.csv"] == log.origin["file"].tolist()
    assert [2, 2] == log.origin["row"].tolist()
    assert log.values["glaze"].tolist() == ["Moth", None]
    assert np.isnan(log.values["pull_temp_c"][0])
    assert 1010.0 == log.values["pull_temp_c"][1]
    assert ("blank", "") == (log.how["pull_temp_c"][0], log.written["pull_temp_c"][0])
    assert ["", "y"] == log.aside["x"].tolist()


def test_a_file_given_twice_counts_once(
    tmp_path: Path, codebook: Codebook, type_text: Typed, plain: Rows
) -> None:
    (tmp_path / "a.csv").write_text(type_text(plain))
    log = read_log([tmp_path / "a.csv"] * 2, codebook)
    assert (40, 20) == (log.account.rows_read, log.account.rows_used)
    assert "holds the same as" in said(log, "file_given_twice").message
    assert len({source.name for source in log.files}) == 2


def test_rows_of_overlapping_exports_count_once(
    tmp_path: Path, codebook: Codebook, type_text: Typed, plain: Rows
) -> None:
    (tmp_path / "a.csv").write_text(type_text(plain[:12]))
    changed = type_text(plain[8:], {(3, "luster"): "0", (4, "luster"): plain[10]["luster"]})
    (tmp_path / "b.csv").write_text(changed)
    log = read_log([tmp_path / "a.csv", tmp_path / "b.csv"], codebook)
    differs = plain[9]["luster"] != "0"
    assert differs
    assert [2, 4, 5] == [row.row for row in log.account.set_aside]
    assert "the same piece stands in a.csv, row 10" == log.account.set_aside[0].reason
    assert (24, 21) == (log.account.rows_read, log.account.rows_used)
    assert (2, 4, 5) == said(log, "overlapping_rows").rows


def test_files_of_one_name_are_told_apart_by_their_folder() -> None:
    names = name_files([Path("2024/log.csv"), Path("2025/log.csv"), Path("2025/log.csv")])
    assert ("2024/log.csv", "2025/log.csv", "2025/log.csv (2)") == names


def test_no_file_at_all_is_refused(codebook: Codebook) -> None:
    with pytest.raises(LogError, match="No log file was given"):
        read_log([], codebook)
