import pytest

from outcomes.errors import LogError
from outcomes.graders.key_file import read_key, render_key
from outcomes.graders.reading import read_gradings
from outcomes.graders.regrade import choose_regrades


@pytest.fixture
def log_file(tmp_path):
    """Forty firings of five pieces; grade 4 is rare."""
    rows = [f"F{n // 5:02d},p{n:03d},{4 if n % 20 == 0 else n % 4},no\n" for n in range(200)]
    path = tmp_path / "log.csv"
    path.write_text("firing,piece,luster,cracked\n" + "".join(rows), encoding="utf-8")
    return path


@pytest.fixture
def gradings(log_file, codebook):
    return read_gradings([log_file], codebook, may_be_single=True)


def test_the_list_is_spread_over_grades_and_firings(gradings):
    chosen = choose_regrades(gradings, 40, seed=1)
    assert chosen.by == "luster"
    assert chosen.grades == (8, 8, 8, 8, 8)
    assert len({piece.firing for piece in chosen.pieces}) >= 25


def test_codes_name_no_piece_and_stand_for_one_piece_each(gradings):
    chosen = choose_regrades(gradings, 60, seed=1)
    codes = {piece.code for piece in chosen.pieces}
    assert len(codes) == 60 == len({piece.piece for piece in chosen.pieces})
    assert not codes & set(gradings.entries["piece"])


def test_the_same_seed_gives_the_same_list_and_another_another(gradings):
    first = choose_regrades(gradings, 36, seed=5)
    assert choose_regrades(gradings, 36, seed=5) == first
    assert choose_regrades(gradings, 36, seed=6) != first


def test_the_order_of_the_list_says_nothing_of_the_grades(gradings):
    grade = gradings.entries.set_index("piece")["luster"]
    told = [grade[piece.piece] for piece in choose_regrades(gradings, 200, seed=2).pieces]
    runs = sum(a == b for a, b in zip(told[:-1], told[1:], strict=True))
    assert runs < 75  # 47 expected of 199 at random; sorted grades would have 195


def test_more_than_there_are_gives_all(gradings):
    chosen = choose_regrades(gradings, 500, seed=1)
    assert (len(chosen.pieces), chosen.asked) == (200, 500)


def test_one_grade_only_is_refused(tmp_path, codebook):
    path = tmp_path / "log.csv"
    path.write_text("piece,luster\np1,3\np2,3\n", encoding="utf-8")
    read = read_gradings([path], codebook, may_be_single=True)
    with pytest.raises(LogError, match=r"every piece has the same grade.*Grade more pieces"):
        choose_regrades(read, 36, seed=1)


def test_a_filled_list_is_read_back_with_its_key(log_file, gradings, codebook, tmp_path):
    chosen = choose_regrades(gradings, 36, seed=1)
    key = tmp_path / "key.csv"
    key.write_text(render_key(chosen), encoding="utf-8")
    sheet = tmp_path / "Ann.csv"
    sheet.write_text(
        "piece_id,luster\n" + "".join(f"{p.code.lower()},2\n" for p in chosen.pieces),
        encoding="utf-8",
    )
    both = read_gradings([log_file, sheet], codebook, key=read_key(key))
    regraded = both.entries[both.entries["grader"] == "Ann"]
    assert set(regraded["piece"]) == {piece.piece for piece in chosen.pieces}
    assert regraded["firing"].notna().all()


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("piece,luster\np1,3\n", r"key.csv is no key of a blind list.*as --regrade writes it"),
        ("code,piece_id\nK1,p1\nk1,p2\n", r"row 3: the code 'k1' stands for a second piece, 'p2'"),
    ],
)
def test_what_is_no_key_is_refused(text, message, tmp_path):
    (tmp_path / "key.csv").write_text(text, encoding="utf-8")
    with pytest.raises(LogError, match=message):
        read_key(tmp_path / "key.csv")
