"""Nothing that was tapped is lost: loading anew, a dead battery, no storage, a clock set back."""

import signal
import subprocess
import time
from pathlib import Path

import pytest

import outcomes

pytestmark = pytest.mark.browser

ONE = "F260531/1"
BROKEN_STORAGE = """
Object.defineProperty(window, 'localStorage', {
  get() { throw new DOMException('no', 'SecurityError') } });
"""
BROKEN_DATABASE = "indexedDB.open = () => { throw new DOMException('no', 'SecurityError') };"
FULL_STORAGE = """
Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError') };
void 0;
"""
# Read behind whatever is being written: answered once that has reached the disk.
KEPT = """async () => {
  const ask = request => new Promise((done, fail) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error);
  });
  const [{ name }] = await indexedDB.databases();
  const database = await ask(indexedDB.open(name));
  return ask(database.transaction("log").objectStore("log").get("state"));
}"""


def load_and_tap(user):
    user.start_firing()
    user.add_piece("Tarn Lantern")
    user.tap(ONE, "Out of the kiln")
    user.wait(8)
    user.tap(ONE, "In the can")


def notice(user) -> str:
    return user.page.locator("#kept").inner_text()


@pytest.mark.parametrize(
    "script", [BROKEN_STORAGE, BROKEN_DATABASE, FULL_STORAGE], ids=["simple", "database", "full"]
)
def test_one_of_the_two_places_is_enough(open_phone, script):
    user = open_phone(script=script)
    load_and_tap(user)
    assert "Every tap is kept in this browser" in notice(user)
    user.reload()
    user.page.get_by_role("article").wait_for()
    assert user.rows()[0]["seconds_to_can"] == "8"


def test_a_browser_that_keeps_nothing_is_said_plainly_and_the_log_still_comes_out(
    open_phone, tmp_path
):
    user = open_phone(script=BROKEN_STORAGE + BROKEN_DATABASE)
    assert "This browser keeps nothing" in notice(user)
    load_and_tap(user)
    file = tmp_path / "log.csv"
    file.write_bytes(user.take_out())
    assert outcomes.read_log([file]).values["seconds_to_can"].tolist() == [8.0]
    assert user.complaints == []


def test_leaving_a_page_that_keeps_nothing_is_asked_about(open_phone):
    user = open_phone(script=BROKEN_STORAGE + BROKEN_DATABASE)
    load_and_tap(user)
    with user.page.expect_event("dialog") as waiting:
        user.page.close(run_before_unload=True)
    assert waiting.value.type == "beforeunload"
    waiting.value.accept()


def test_leaving_a_page_that_keeps_everything_is_not_asked_about(open_phone):
    user = open_phone()
    load_and_tap(user)
    with user.page.expect_event("close"):
        user.page.close(run_before_unload=True)


def test_storage_that_fills_up_half_way_is_said_at_the_next_tap(open_phone):
    user = open_phone(script=BROKEN_DATABASE)
    load_and_tap(user)
    assert "Every tap is kept" in notice(user)
    user.page.evaluate(FULL_STORAGE)
    user.wait(3)
    user.tap(ONE, "Lid on")
    assert "This browser keeps nothing" in notice(user)
    assert "Lid delay: 3 s" in user.card(ONE)


def test_a_letter_typed_is_kept_before_the_field_is_left(open_phone):
    user = open_phone()
    load_and_tap(user)
    user.open_piece(ONE)
    user.page.get_by_label("Notes").press_sequentially("rim kis")
    user.reload()
    assert user.page.get_by_label("Notes").input_value() == "rim kis"


def test_two_windows_with_the_page_do_not_write_over_each_other(open_phone, phone_user, phone_file):
    user = open_phone()
    load_and_tap(user)
    other = phone_user.PhoneUser(user.context, phone_file, at="")
    other.visit("#/firing/1")
    other.page.get_by_role("article").wait_for()
    other.add_piece("Moth Ledger")
    # One window hears of the other when the browser passes it on: soon, not at once.
    user.page.get_by_text("Moth Ledger").first.wait_for()
    user.wait(3)
    user.tap(ONE, "Lid on")
    assert [row["glaze"] for row in user.rows()] == ["Tarn Lantern", "Moth Ledger"]
    assert user.rows()[0]["lid_delay_s"] == "3"


def start_browser(profile: Path) -> tuple[subprocess.Popen[bytes], str]:
    """Start a browser of its own that can be pulled out like a battery."""
    port_file = profile / "DevToolsActivePort"
    port_file.unlink(missing_ok=True)
    process = subprocess.Popen(
        ["/usr/bin/chromium", "--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run",
         "--disable-dev-shm-usage", "--remote-debugging-port=0", f"--user-data-dir={profile}",
         "about:blank"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    for _ in range(300):
        if port_file.exists() and port_file.read_text():
            break
        time.sleep(0.1)
    return process, f"http://127.0.0.1:{port_file.read_text().splitlines()[0]}"


def test_a_dead_battery_loses_no_tap(browser, phone_user, phone_file, tmp_path):
    process, place = start_browser(tmp_path)
    try:
        context = browser.browser_type.connect_over_cdp(place).contexts[0]
        user = phone_user.PhoneUser(context, phone_file, at="")
        user.page.get_by_role("button", name="New firing").click()
        user.page.get_by_role("button", name="Add", exact=True).click()
        user.page.locator(".step").click()
        user.page.get_by_text("Undo:").wait_for()
        assert '"kiln"' in user.page.evaluate(KEPT)
        shown = user.page.get_by_text("Undo:").inner_text()
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
    process, place = start_browser(tmp_path)
    try:
        context = browser.browser_type.connect_over_cdp(place).contexts[0]
        user = phone_user.PhoneUser(context, phone_file, at="")
        user.page.locator("a.row").click()
        assert user.page.get_by_text("Undo:").inner_text() == shown
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()


def test_a_closed_browser_keeps_everything_for_the_next_time(
    browser, phone_user, phone_file, tmp_path
):
    options = {"executable_path": "/usr/bin/chromium", "args": ["--no-sandbox", "--disable-gpu"],
               "has_touch": True, "viewport": phone_user.PHONE}  # fmt: skip
    context = browser.browser_type.launch_persistent_context(tmp_path, **options)
    user = phone_user.PhoneUser(context, phone_file)
    load_and_tap(user)
    taken = user.take_out()
    context.close()
    context = browser.browser_type.launch_persistent_context(tmp_path, **options)
    again = phone_user.PhoneUser(context, phone_file, at="2026-05-31T20:00:00+00:00")
    assert again.take_out() == taken
    context.close()


def test_a_clock_set_back_between_two_taps_gives_no_seconds_and_is_said(open_phone):
    user = open_phone()
    load_and_tap(user)
    user.wait(5)
    user.page.clock.set_system_time("2026-05-31T17:30:00Z")
    user.wait(2)
    user.tap(ONE, "Lid on")
    assert "The clock of this device was set back." in user.page.locator("#clock").inner_text()
    assert "Lid delay: not worked out" in user.card(ONE)
    row = user.rows()[0]
    assert (row["seconds_to_can"], row["lid_delay_s"]) == ("8", "")
    assert "#1" in row["phone_stamps"]


def test_a_clock_set_back_while_the_page_was_closed_is_noticed(open_phone):
    user = open_phone()
    load_and_tap(user)
    user.page.clock.set_system_time("2026-05-31T17:00:00Z")
    user.reload()
    user.page.get_by_role("article").wait_for()
    user.wait(1)
    assert "set back" in user.page.locator("#clock").inner_text()
    user.tap(ONE, "Lid on")
    assert user.rows()[0]["lid_delay_s"] == ""


def test_spans_across_a_clock_set_back_survive_the_file(open_phone):
    user = open_phone()
    load_and_tap(user)
    user.page.clock.set_system_time("2026-05-31T17:30:00Z")
    user.wait(2)
    user.tap(ONE, "Lid on")
    taken = user.take_out()
    other = open_phone()
    other.bring_in(taken)
    assert other.take_out() == taken


def test_summer_time_ending_between_two_taps_changes_nothing(open_phone):
    # In Ireland clocks went back from 02:00 to 01:00 on 25 October 2026 at 01:00 UTC.
    user = open_phone(at="2026-10-25T00:50:00+00:00")
    user.start_firing()
    user.add_piece("Moth Ledger")
    for step, wait in (("Out of the kiln", 10), ("In the can", 1200), ("Out of the can", 0)):
        if step == "Out of the can":
            user.visit("#/firing/1")
            user.open_piece("F261025/1")
            user.press(step)
        else:
            user.tap("F261025/1", step)
        user.wait(wait)
    row = user.rows()[0]
    assert (row["seconds_to_can"], row["time_in_can_min"]) == ("10", "20")
    assert user.page.locator("#clock").inner_text() == ""
