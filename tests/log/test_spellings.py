"""Names that differ only in capitals or spaces are one name, and that is said."""

import pytest

from outcomes.log.codebook_file import read_codebook, read_default_codebook
from outcomes.log.firing_log import How
from outcomes.log.reading import read_log
from outcomes.log.spellings import choose_spellings

LOG = """firing,piece,glaze,puller,luster,notes
F1,P1,Tarn Lantern,W,3,moss
F1,P2,TARN LANTERN,w,2,Moss
f1,P3,tarn  lantern,W,1,
F2,P4,Moth Ledger,K,0,
F2,p4,",",W,1,
"""


@pytest.fixture
def written(tmp_path):
    path = tmp_path / "yard.csv"
    path.write_text(LOG.replace('","', '""""'), encoding="utf-8")
    return path


def test_spellings_of_one_name_are_read_as_one(written):
    log = read_log([written], read_default_codebook())
    glaze = ["TARN LANTERN"] * 3 + ["Moth Ledger"] * 2  # three once each: first in the alphabet
    assert log.values["glaze"].tolist() == glaze
    assert log.values["maker"].tolist() == ["W", "W", "W", "K", "W"]
    assert log.values["firing_id"].tolist() == ["F1", "F1", "F1", "F2", "F2"]


def test_the_codebooks_own_spelling_wins(written, tmp_path):
    codebook = tmp_path / "own.toml"
    codebook.write_text(
        'extends = "default"\n[outcomes.luster]\napplies_to = ["tarn lantern"]\n', encoding="utf-8"
    )
    log = read_log([written], read_codebook(codebook))
    assert log.values["glaze"].tolist()[:3] == ["tarn lantern"] * 3


def test_what_was_typed_is_kept_and_how_it_was_read_is_said(written):
    log = read_log([written], read_default_codebook())
    assert log.written["maker"].tolist() == ["W", "w", "W", "K", "W"]
    assert log.how["maker"].tolist() == [How.EXACT, How.WORD, *[How.EXACT] * 3]


def test_a_ditto_of_another_spelling_stays_a_ditto(written):
    log = read_log([written], read_default_codebook())
    assert log.how.loc[4, "glaze"] == How.DITTO
    assert log.values.loc[4, "glaze"] == "Moth Ledger"


def test_the_finding_names_the_column_the_spellings_and_the_rows(written):
    log = read_log([written], read_default_codebook())
    (finding,) = [f for f in log.findings if f.code == "spellings_united" and f.column == "puller"]
    assert finding.rows == (3,)
    assert "puller" in finding.message
    assert "'w' as 'W'" in finding.message
    assert "row 3" in finding.message


def test_piece_names_and_notes_are_left_alone(written):
    log = read_log([written], read_default_codebook())
    assert log.values["piece_id"].tolist()[3:] == ["P4", "p4"]
    assert log.values["notes"].tolist()[:2] == ["moss", "Moss"]


def test_names_that_differ_in_a_letter_or_figure_are_two():
    assert choose_spellings(["Moss 1", "Moss 2", "Mess 1"]) == {}


def test_the_commonest_spelling_wins_and_then_the_first_in_the_alphabet():
    assert choose_spellings(["b x", "B-X", "B-X"]) == {"b x": "B-X"}
    assert choose_spellings(["ash", "Ash"]) == {"ash": "Ash"}
