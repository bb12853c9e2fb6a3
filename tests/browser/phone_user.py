"""Somebody with the kiln-side page in one hand: taps, types, reads, takes the log out."""

import csv
import io
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

PHONE = {"width": 390, "height": 844}
# Counts the taps the page has dealt with and notes the view it has drawn, so that nothing is read
# before: a tap, and a view called by its address, reach a page on a busy machine when they can.
WATCH = """
window.seen = { taps: 0, place: window.location.hash };
window.addEventListener("click", () => { seen.taps += 1 });
window.addEventListener("hashchange", () => { seen.place = window.location.hash });
"""
ARRIVED = "([taps, place]) => seen.taps > taps && seen.place === (place ?? window.location.hash)"
STEPS = ("Out of the kiln", "In the can", "Lid on", "Out of the can")


class PhoneUser:
    """Drives one page; ``complaints`` and ``requested`` gather what should stay empty."""

    def __init__(self, context, file: Path, *, at: str = "2026-05-31T18:00:00Z") -> None:
        self.context = context
        self.url = file.as_uri()
        self.complaints: list[str] = []
        self.requested: list[str] = []
        self.page = context.new_page()
        self.page.add_init_script(WATCH)
        self.page.on("request", lambda request: self.requested.append(request.url))
        self.page.on("console", lambda message: self.complaints.append(message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        if at:
            # Faked time runs until it is stopped, so it starts a minute early.
            self.page.clock.install(time=datetime.fromisoformat(at) - timedelta(minutes=1))
        self.page.goto(self.url)
        if at:
            self.page.clock.pause_at(datetime.fromisoformat(at))
        self.page.locator("main button.main").wait_for()

    def visit(self, view: str) -> None:
        """Go to a view by its address and see it drawn."""
        self.page.goto(self.url + view)
        self.page.wait_for_function(ARRIVED, arg=[-1, view])

    def reload(self) -> None:
        self.page.reload()
        self.page.locator("main h1").wait_for()

    def touch(self, target) -> None:
        """Tap, and see what the tap does done, also when it leads to another view."""
        place = target.get_attribute("href")
        self._see_through(target.tap, place)

    def touch_spot(self, box: dict[str, float]) -> None:
        """Tap the middle of a box on the screen, whatever stands there by now."""
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        self._see_through(lambda: self.page.touchscreen.tap(x, y), None)

    def _see_through(self, tap: Callable[[], None], place: str | None) -> None:
        taps = self.page.evaluate("seen.taps")
        tap()
        self.page.wait_for_function(ARRIVED, arg=[taps, place])

    def wait(self, seconds: float) -> None:
        """Let faked time pass, timers and all."""
        self.page.clock.run_for(round(seconds * 1000))

    def press(self, name: str, *, exact: bool = True) -> None:
        self.touch(self.page.get_by_role("button", name=name, exact=exact))

    def follow(self, name: str) -> None:
        self.touch(self.page.get_by_role("link", name=name).first)

    def start_firing(self) -> None:
        self.press("New firing")
        self.page.get_by_role("heading", name="Add a piece").wait_for()

    def add_piece(self, glaze: str = "", code: str = "") -> None:
        if code:
            self.page.get_by_label("Piece code", exact=True).first.fill(code)
        self.page.get_by_label("Glaze", exact=True).fill(glaze)
        self.press("Add")

    def tap(self, code: str, step: str) -> None:
        self.touch(self.page.get_by_role("button", name=f"{step}: {code}", exact=True))

    def card(self, code: str) -> str:
        return self.page.get_by_role("article", name=code, exact=True).inner_text()

    def open_piece(self, code: str) -> None:
        self.touch(self.page.get_by_role("link", name=f"Details of {code}", exact=True))
        self.page.get_by_role("heading", name=code, exact=True).wait_for()

    def say_yes_twice(self, second: str) -> None:
        """Answer both questions; the faked clock moves on so that no tap counts as a bounce."""
        self.wait(1)
        self.answer("Go on")
        self.wait(1)
        self.answer(second)

    def answer(self, name: str) -> None:
        """Answer the question that is asked."""
        self.touch(self.page.locator("dialog").get_by_role("button", name=name))

    def said(self) -> str:
        return self.page.locator("#said").inner_text()

    def take_out(self) -> bytes:
        """Return the bytes of the file the page saves."""
        self.visit("#/out")
        with self.page.expect_download() as waiting:
            self.press("Save the file")
        return Path(waiting.value.path()).read_bytes()

    def rows(self) -> list[dict[str, str]]:
        text = self.take_out().decode("utf-8-sig")
        return list(csv.DictReader(io.StringIO(text, newline="")))

    def bring_in(self, content: bytes) -> str:
        """Hand the page a file and return what it answers."""
        # By way of the first view: what was answered before is not read again.
        self.visit("#/")
        self.visit("#/in")
        self.page.locator("input#file").set_input_files(
            {"name": "log.csv", "mimeType": "text/csv", "buffer": content}
        )
        answer = self.page.locator("#answer")
        answer.locator("p").first.wait_for()
        return answer.inner_text()

    def overflow(self) -> int:
        """Return by how many pixels the view is wider than the screen."""
        return self.page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
