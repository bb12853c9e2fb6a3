"""Entries on the kiln-side page: undone, deleted, graded, typed, and never lost unasked."""

import pytest

import outcomes
from outcomes.log.codebook_file import parse_codebook
from outcomes.report.sheet_phone import render_phone

pytestmark = pytest.mark.browser

ONE = "F260531/1"
TWO = "F260531/2"


@pytest.fixture
def user(open_phone):
    """Two pieces loaded, none out yet."""
    user = open_phone()
    user.start_firing()
    user.add_piece("Tarn Lantern")
    user.add_piece("Moth Ledger")
    return user


def tap_through(user, code, *waits):
    for step, wait in zip(user.steps, (*waits, 0), strict=False):
        user.tap(code, step)
        user.wait(wait)


@pytest.fixture
def done(user, phone_user):
    user.steps = phone_user.STEPS
    tap_through(user, ONE, 8, 3, 900)
    return user


def test_undo_takes_the_last_tap_back_and_the_next_one_counts(user):
    user.tap(ONE, "Out of the kiln")
    user.wait(5)
    user.tap(ONE, "In the can")
    user.press(f"Undo: {ONE}, In the can, 19:00:05")
    user.wait(4.5)
    user.tap(ONE, "In the can")
    assert user.rows()[0]["seconds_to_can"] == "9.5"


def test_what_was_undone_can_be_put_back_to_the_second(user):
    user.tap(ONE, "Out of the kiln")
    user.wait(5)
    user.tap(ONE, "In the can")
    user.press("Undo: ", exact=False)
    user.wait(60)
    user.press(f"Put back: {ONE}, In the can, 19:00:05")
    assert user.rows()[0]["seconds_to_can"] == "5"


def test_undo_goes_back_tap_by_tap_across_pieces_also_after_loading_anew(user):
    user.tap(ONE, "Out of the kiln")
    user.wait(2)
    user.tap(TWO, "Out of the kiln")
    user.reload()
    user.press(f"Undo: {TWO}, Out of the kiln, 19:00:02")
    user.press(f"Undo: {ONE}, Out of the kiln, 19:00:00")
    assert [row["phone_stamps"] for row in user.rows()] == ["", ""]


def test_undoing_too_far_loses_nothing_even_while_another_piece_is_tapped(user):
    user.tap(ONE, "Out of the kiln")
    user.wait(5)
    user.tap(ONE, "In the can")
    user.press("Undo: ", exact=False)
    user.press("Undo: ", exact=False)
    user.tap(TWO, "Out of the kiln")
    user.press(f"Put back: {ONE}, Out of the kiln, 19:00:00")
    user.press(f"Put back: {ONE}, In the can, 19:00:05")
    assert user.page.get_by_role("button", name="Put back").count() == 0
    assert user.rows()[0]["seconds_to_can"] == "5"


def test_a_glove_that_bounces_gives_one_stamp(user):
    user.tap(ONE, "Out of the kiln")
    user.wait(0.2)
    user.tap(ONE, "In the can")
    assert user.rows()[0]["phone_stamps"] == "kiln=2026-05-31T18:00:00.000Z"


def test_timers_count_each_piece_by_itself(user):
    user.tap(ONE, "Out of the kiln")
    user.wait(65)
    user.tap(TWO, "Out of the kiln")
    user.wait(3)
    assert "1:08" in user.card(ONE)
    assert "0:03" in user.card(TWO)


def test_a_missed_tap_leaves_a_blank_and_may_be_written_by_hand(done):
    done.open_piece(TWO)
    done.press("In the can")
    done.wait(4)
    done.press("Lid on")
    assert "Out of the kiln: not tapped." in done.page.inner_text("main")
    row = done.rows()[1]
    assert (row["seconds_to_can"], row["lid_delay_s"]) == ("", "4")
    done.visit("#/firing/1")
    done.open_piece(TWO)
    done.page.get_by_label("Seconds to the can (s)").fill("~10")
    assert done.rows()[1]["seconds_to_can"] == "~10"


def test_a_number_written_by_hand_outranks_the_taps_until_it_is_emptied(done):
    done.open_piece(ONE)
    field = done.page.get_by_label("Seconds to the can (s)")
    assert field.get_attribute("placeholder") == "8"
    field.fill("7")
    assert done.rows()[0]["seconds_to_can"] == "7"
    done.visit("#/firing/1")
    done.open_piece(ONE)
    done.page.get_by_label("Seconds to the can (s)").fill("")
    assert done.rows()[0]["seconds_to_can"] == "8"


def test_a_piece_is_deleted_only_after_two_questions(done):
    done.open_piece(ONE)
    done.press("Delete this piece")
    assert f"Delete {ONE} with 5 entries?" in done.page.locator("dialog").inner_text()
    done.say_yes_twice("Delete this piece")
    assert done.said() == f"{ONE} was deleted."
    assert [row["piece_id"] for row in done.rows()] == [TWO]


@pytest.mark.parametrize("refused_at", [1, 2])
def test_either_question_answered_with_keep_loses_nothing(done, refused_at):
    before = done.take_out()
    done.visit("#/firing/1")
    done.press("Delete this firing")
    done.wait(1)
    if refused_at == 2:
        done.answer("Go on")
        done.wait(1)
    done.answer("Keep it")
    assert done.page.locator("dialog").count() == 0
    assert done.take_out() == before


def test_tapping_twice_on_the_same_spot_keeps_everything(done):
    done.visit("#/firing/1")
    done.press("Delete this firing")
    done.wait(1)
    spot = done.page.locator("dialog").get_by_role("button", name="Go on").bounding_box()
    for _ in range(2):
        done.touch_spot(spot)
        done.wait(1)
    assert len(done.rows()) == 2


def test_a_firing_and_the_whole_log_are_deleted_after_two_questions(done):
    done.visit("#/")
    done.press("Empty the whole log")
    assert "2 pieces in 1 firing?" in done.page.locator("dialog").inner_text()
    assert "not been taken out" in done.page.locator("dialog").inner_text()
    done.say_yes_twice("Empty the whole log")
    assert done.rows() == []


def test_removing_a_single_time_asks_twice(done):
    done.open_piece(ONE)
    done.press("Remove the time of Out of the can, 19:15:11")
    done.say_yes_twice("Remove this time")
    row = done.rows()[0]
    assert (row["seconds_to_can"], row["time_in_can_min"]) == ("8", "")


def test_a_time_removed_from_the_middle_can_be_put_back(done):
    before = done.take_out()
    done.visit("#/firing/1")
    done.open_piece(ONE)
    done.press("Remove the time of In the can, 19:00:08")
    done.say_yes_twice("Remove this time")
    assert "In the can: not tapped." in done.page.inner_text("main")
    done.press(f"Put back: {ONE}, In the can, 19:00:08")
    assert done.take_out() == before


def test_grades_are_chosen_by_their_anchored_words_and_read_back(done, tmp_path):
    done.visit("#/firing/1")
    done.follow("Grade the pieces")
    done.follow(ONE)
    done.touch(done.page.get_by_label("3 broad clear metal or rainbow on over half", exact=False))
    cracked = done.page.get_by_role("group", name="Cracked or broken")
    done.touch(cracked.get_by_label("no", exact=False).first)
    done.follow(f"Next: {TWO}")
    done.touch(done.page.get_by_label("1 trace a metal sheen at one angle only", exact=False))
    done.touch(done.page.get_by_label("2 open 5 to 12 crossings per 100 mm"))
    file = tmp_path / "log.csv"
    file.write_bytes(done.take_out())
    checked = outcomes.check([file])
    assert checked.refused is None
    values = checked.log.values
    assert values["luster"].tolist() == [3, 1]
    assert values["crackle_density"].dropna().tolist() == [2]
    assert values["cracked"].dropna().tolist() == [0]


def test_the_grader_does_not_see_the_settings_or_times(done):
    done.visit("#/grades/1")
    done.follow(ONE)
    text = done.page.inner_text("main")
    assert "Tarn Lantern" not in text
    assert "Seconds to the can" not in text


def test_what_is_written_for_the_firing_stands_on_every_row_unless_a_piece_differs(done):
    done.visit("#/firing/1")
    done.touch(done.page.get_by_text("The whole firing:"))
    done.page.get_by_label("Pull temperature (°C)").fill("985")
    done.touch(done.page.get_by_label("light"))
    done.open_piece(TWO)
    done.touch(done.page.get_by_text("Other than the rest of the firing"))
    done.page.get_by_label("Pull temperature (°C)").fill("970")
    rows = done.rows()
    assert [row["pull_temp_c"] for row in rows] == ["985", "970"]
    assert [row["wind"] for row in rows] == ["light", "light"]


def test_a_temperature_in_the_other_scale_is_asked_about_where_it_is_typed(user):
    user.touch(user.page.get_by_text("The whole firing:"))
    field = user.page.get_by_label("Pull temperature (°C)")
    field.fill("1850")
    hint = user.page.locator("#f-pull_temp_c-hint")
    assert "Possible is 400 to 1250 °C" in hint.inner_text()
    assert "write 1850 °F" in hint.inner_text()
    field.fill("1850 °F")
    assert hint.inner_text() == ""


def test_settings_can_be_taken_from_the_piece_before_and_results_cannot(done):
    done.open_piece(ONE)
    done.page.get_by_label("Combustible (g)").fill("60")
    done.touch(done.page.get_by_label("newspaper"))
    done.page.get_by_label("Notes").fill("kissed the rim")
    done.visit("#/firing/1")
    done.open_piece(TWO)
    done.press(f"Settings as for {ONE}")
    row = done.rows()[1]
    assert (row["combustible_g"], row["combustible_kind"], row["notes"]) == ("60", "newspaper", "")
    assert (row["glaze"], row["seconds_to_can"]) == ("Moth Ledger", "")


@pytest.mark.parametrize(("code", "said"), [
    (ONE, "is taken"), ("same", "would not be read"), ("?", "would not be read"),
    ("Total", "would not be read"), ("", "would not be read"), ("n/a", "would not be read"),
])  # fmt: skip
def test_a_code_that_would_lose_its_row_is_not_taken(user, code, said):
    user.page.get_by_label("Piece code", exact=True).first.fill(code)
    user.press("Add")
    assert said in user.page.locator(".add .hint").inner_text()
    assert len(user.rows()) == 2


def test_a_tap_on_a_button_counts_while_a_field_is_being_typed_in(user):
    user.page.get_by_label("Glaze", exact=True).fill("Brackwater Nine")
    user.tap(ONE, "Out of the kiln")
    assert "Out of the kiln" in user.card(ONE)


def test_glazes_used_before_are_one_tap_away(user):
    user.press("Tarn Lantern")
    user.press("Add")
    assert [row["glaze"] for row in user.rows()] == ["Tarn Lantern", "Moth Ledger", "Tarn Lantern"]


def test_a_codebook_without_hot_ware_or_steps_gives_a_plain_form(open_phone, tmp_path):
    wine = parse_codebook(
        'title = "Wine"\nhandles_hot_ware = false\ncluster_word = "judge"\npiece_word = "tasting"\n'
        '[columns]\nfiring = "judge"\npiece = ""\ndate = ""\nglaze = ""\nloaded = ""\nnotes = ""\n'
        '[factors.temp]\nrole = "setting"\nkind = "levels"\nlevels = ["cold", "warm"]\n'
        '[outcomes.rating]\nlevels = ["1", "2"]\naim = "2"',
        file="wine.toml",
    )
    page = tmp_path / "phone.html"
    page.write_text(render_phone(wine), encoding="utf-8")
    user = open_phone(file=page, at="")
    user.press("New judge")
    user.press("Add")
    text = user.page.inner_text("main")
    assert "Ware first" not in text
    assert "Out of the kiln" not in text
    row = user.rows()[0]
    assert list(row) == ["phone_piece", "judge", "temp", "rating", "phone_stamps"]
    assert user.complaints == []


def test_who_graded_is_asked_beside_the_grades_and_offered_for_the_next_piece(done):
    done.open_piece(ONE)
    assert done.page.get_by_label("Grader", exact=True).count() == 0
    done.follow("Grade this piece")
    done.page.get_by_label("Grader", exact=True).fill("Wen")
    done.follow("Next: ")
    field = done.page.get_by_label("Grader", exact=True)
    assert field.input_value() == ""
    offered = "[...document.querySelectorAll('#graders option')].map(each => each.value)"
    assert done.page.evaluate(offered) == ["Wen"]
    field.fill("Wen")
    assert [row["grader"] for row in done.rows()] == ["Wen", "Wen"]
