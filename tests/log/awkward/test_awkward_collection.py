"""Hostile and unlucky files: a right answer or a clear refusal, for each of them."""

from awkward_judge import answer, complain


def test_it_is_answered_rightly(awkward, codebook, tmp_path):
    given = answer(awkward.write(tmp_path), codebook)
    assert [] == complain(awkward, given), given.text
