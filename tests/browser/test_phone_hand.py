"""The kiln-side page in the hand: gloves, sun, night, small screens, keyboard, no noise."""

import re

import pytest

from outcomes.report.html import read_part

pytestmark = pytest.mark.browser

ONE = "F260531/1"
VIEWS = ["#/", "#/firing/1", "#/piece/2", "#/grades/1", "#/grade/2", "#/out", "#/in"]
OPEN_ALL = "document.querySelectorAll('details').forEach(d => d.open = true)"
SMALL_TARGETS = """[...document.querySelectorAll(
    'button, a, summary, input:not([type=file]), textarea, label.choice, label.button')]
    .filter(e => !e.closest('label.choice') || e.matches('label.choice'))
    .map(e => [e, e.getBoundingClientRect()]).filter(([, box]) => box.width)
    .filter(([, box]) => box.height < 63.9 || box.width < 63.9)
    .map(([e, box]) => `${e.outerHTML.slice(0, 80)} ${box.width}x${box.height}`)"""
NAMELESS = """[...document.querySelectorAll('input, textarea')]
    .filter(e => !e.labels.length || !e.labels[0].textContent.trim()).map(e => e.outerHTML)"""


@pytest.fixture
def open_used(open_phone):
    """A page with a firing of two pieces, one of them under way."""

    def open_at(**options: object):
        user = open_phone(**options)
        user.start_firing()
        user.add_piece("Tarn Lantern, the long name of a glaze mixed twice")
        user.add_piece("Brackwaterninethousandninehundredandninetynine")
        user.tap(ONE, "Out of the kiln")
        user.wait(8)
        user.tap(ONE, "In the can")
        return user

    return open_at


def show(user, view):
    user.visit(view)
    user.page.locator("main h1").wait_for()
    user.page.evaluate(OPEN_ALL)


@pytest.mark.parametrize(("width", "height"), [(320, 568), (390, 844), (844, 390)])
def test_no_view_scrolls_sideways_however_the_phone_is_held(open_used, width, height):
    user = open_used(viewport={"width": width, "height": height})
    for view in VIEWS:
        show(user, view)
        assert user.overflow() <= 0, view


def test_a_timer_stands_on_one_line_beside_a_long_name(open_used):
    user = open_used(viewport={"width": 320, "height": 568})
    timer = user.page.get_by_role("timer")
    assert timer.evaluate("e => e.getClientRects().length") == 1
    assert timer.bounding_box()["height"] < 40


def test_everything_to_tap_is_large_enough_for_a_glove(open_used):
    user = open_used()
    for view in VIEWS:
        show(user, view)
        assert user.page.evaluate(SMALL_TARGETS) == [], view


def test_every_field_has_a_label_and_every_view_one_heading(open_used):
    user = open_used()
    for view in VIEWS:
        show(user, view)
        assert user.page.evaluate(NAMELESS) == [], view
        assert user.page.locator("h1").count() == 1, view
        ids = user.page.evaluate("[...document.querySelectorAll('[id]')].map(e => e.id)")
        assert len(set(ids)) == len(ids), view


def test_a_firing_can_be_tapped_with_the_keyboard_alone(open_used):
    user = open_used()
    user.page.get_by_role("button", name=f"Lid on: {ONE}").focus()
    user.wait(3)
    user.page.keyboard.press("Enter")
    user.wait(60)
    user.page.keyboard.press("Space")
    row = user.rows()[0]
    assert (row["lid_delay_s"], row["time_in_can_min"]) == ("3", "1.05")


def test_a_new_view_puts_the_reader_at_its_heading(open_used):
    user = open_used()
    user.open_piece(ONE)
    assert user.page.evaluate("document.activeElement.tagName") == "H1"


def test_what_was_tapped_is_read_out_with_its_time(open_used):
    user = open_used()
    assert user.said() == f"{ONE}: In the can, 19:00:08"
    assert user.page.locator("#said").get_attribute("role") == "status"


def _luminance(color: str) -> float:
    """Relative luminance of #rrggbb (WCAG 2.2, definition of relative luminance)."""
    parts = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(one: str, other: str) -> float:
    low, high = sorted((_luminance(one), _luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", [0, 1, 2])
@pytest.mark.parametrize(
    ("text", "ground"),
    [("text", "ground"), ("soft", "ground"), ("text", "card"), ("soft", "card"),
     ("on-main", "main"), ("text", "warn"), ("lose", "ground")],
)  # fmt: skip
def test_text_stands_out_in_bright_sun_and_at_night(theme, text, ground):
    block = re.findall(r"--ground[^}]*", read_part("phone.css"))[theme]
    tones = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", block))
    # WCAG 2.2, success criterion 1.4.6 (enhanced contrast).
    assert _contrast(tones[text], tones[ground]) >= 7


def test_dark_and_light_follow_the_device_and_can_be_chosen(open_used):
    ground = "getComputedStyle(document.body).backgroundColor"
    user = open_used(color_scheme="dark")
    assert user.page.evaluate(ground) == "rgb(13, 13, 13)"
    user.visit("#/")
    user.touch(user.page.get_by_label("Light, for bright sun"))
    assert user.page.evaluate(ground) == "rgb(255, 255, 255)"
    user.reload()
    user.page.locator("main button.main").wait_for()
    assert user.page.evaluate(ground) == "rgb(255, 255, 255)"


def test_nothing_on_the_page_moves():
    style = read_part("phone.css")
    assert not re.search(r"animation: (?!none)|transition: (?!none)|@keyframes", style)


SPIES = """
window.heard = [];
window.AudioContext = class {
  currentTime = 0; destination = {};
  resume() { return Promise.resolve() }
  createOscillator() { return { frequency: {}, connect: x => x, start() { heard.push('beep') },
    stop() {} } }
  createGain() { return { gain: { setValueAtTime() {}, exponentialRampToValueAtTime() {} },
    connect: x => x } }
};
speechSynthesis.speak = words => heard.push(words.text);
Object.defineProperty(navigator, 'wakeLock', { value: { request: async kind => {
  heard.push(kind); return { released: false, release: async () => heard.push('dark') } } } });
"""


def test_cues_are_off_until_they_are_asked_for(open_used):
    user = open_used(script=SPIES)
    assert "beep" not in user.page.evaluate("heard")
    user.visit("#/")
    user.touch(user.page.get_by_label("Beep at every tap"))
    user.touch(user.page.get_by_label("Say every tap aloud"))
    user.visit("#/firing/1")
    user.page.evaluate("heard.length = 0")
    user.wait(3)
    user.tap(ONE, "Lid on")
    assert user.page.evaluate("heard") == ["beep", f"{ONE}: Lid on"]


def test_the_screen_is_kept_on_while_a_piece_is_under_way_and_no_longer(open_used):
    user = open_used(script=SPIES)
    assert user.page.evaluate("heard") == ["screen"]
    user.wait(3)
    user.tap(ONE, "Lid on")
    user.wait(3)
    user.tap(ONE, "Out of the can")
    assert user.page.evaluate("heard") == ["screen", "dark"]


def test_a_browser_without_sound_voice_or_lamp_loses_nothing(open_used):
    user = open_used(
        script="delete window.AudioContext; delete window.speechSynthesis;"
        "delete Navigator.prototype.wakeLock; delete Navigator.prototype.storage;"
    )
    user.visit("#/")
    user.touch(user.page.get_by_label("Beep at every tap"))
    user.touch(user.page.get_by_label("Say every tap aloud"))
    user.visit("#/firing/1")
    user.wait(3)
    user.tap(ONE, "Lid on")
    assert "In the can, lid on" in user.card(ONE)
    assert user.complaints == []
