import re

import pytest

pytestmark = pytest.mark.browser

PHONE, LAPTOP = 320, 1280
OPEN_ALL = "document.querySelectorAll('details').forEach(d => d.open = true)"


@pytest.mark.parametrize("width", [PHONE, 768, LAPTOP])
def test_the_page_asks_for_nothing_but_itself_and_complains_of_nothing(open_page, width):
    page = open_page(width)
    page.evaluate(OPEN_ALL)
    page.emulate_media(media="print")
    page.emulate_media(media="screen", color_scheme="dark")
    assert page.requested == [page.url]
    assert page.complaints == []


@pytest.mark.parametrize("opened", [False, True])
@pytest.mark.parametrize("width", [PHONE, 375, 768, LAPTOP])
def test_the_page_never_scrolls_sideways(open_page, width, opened):
    page = open_page(width)
    page.evaluate(
        f"document.querySelectorAll('details').forEach(d => d.open = {str(opened).lower()})"
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_one_picture_of_each_pair_is_shown_the_one_that_fits(open_page):
    shown = """[...document.querySelectorAll('figure')].map(
        f => [...f.querySelectorAll('svg')].filter(s => s.getClientRects().length)
             .map(s => s.classList[1]).join())"""
    assert set(open_page(PHONE).evaluate(shown)) == {"narrow"}
    assert set(open_page(LAPTOP).evaluate(shown)) == {"wide"}


@pytest.mark.parametrize("width", [PHONE, LAPTOP])
def test_the_words_in_pictures_are_large_enough_to_read(open_page, width):
    page = open_page(width)
    page.evaluate(OPEN_ALL)
    smallest = page.evaluate(
        """Math.min(...[...document.querySelectorAll('svg text')]
            .map(t => t.getBoundingClientRect()).filter(r => r.width)
            .map(r => r.height))"""
    )
    assert smallest >= 8.5  # the box of a 9 px letter; the drawn sizes are 11 to 14 px


@pytest.mark.parametrize("width", [PHONE, LAPTOP])
def test_no_word_of_a_picture_leaves_its_frame(open_page, width):
    page = open_page(width)
    page.evaluate(OPEN_ALL)
    outside = page.evaluate(
        """[...document.querySelectorAll('svg')].flatMap(s => {
            const frame = s.getBoundingClientRect();
            return [...s.querySelectorAll('text')].filter(t => {
                const box = t.getBoundingClientRect();
                return box.width && (box.left < frame.left - 1 || box.right > frame.right + 1
                    || box.bottom > frame.bottom + 1 || box.top < frame.top - 1);
            }).map(t => t.textContent);
        })"""
    )
    assert outside == []


def test_the_first_tab_leads_past_the_navigation(open_page):
    page = open_page(LAPTOP)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.getAttribute('href')") == "#take-away"
    box = page.locator(".skip").bounding_box()
    assert box["x"] >= 0
    page.keyboard.press("Enter")
    page.wait_for_url("**#take-away")
    assert page.url.endswith("#take-away")


def test_everything_that_opens_can_be_reached_and_opened_by_keyboard(open_page):
    page = open_page(LAPTOP)
    reached = set()
    for _ in range(120):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement === document.body"):
            break
        if page.evaluate("document.activeElement.tagName") == "SUMMARY":
            reached.add(page.evaluate("document.activeElement.textContent"))
    summaries = page.evaluate("[...document.querySelectorAll('summary')].map(s => s.textContent)")
    hidden = page.evaluate(
        "[...document.querySelectorAll('details details summary')].map(s => s.textContent)"
    )
    assert reached == set(summaries) - set(hidden)
    page.locator("summary").first.press("Enter")
    assert page.evaluate("document.querySelector('details').open")


def test_a_screen_reader_hears_landmarks_headings_and_named_pictures(open_page):
    page = open_page(LAPTOP)
    page.locator("#more-pots > summary").press("Enter")
    heard = page.locator("body").aria_snapshot()
    for role in ("- banner:", "- navigation", "- main:", "- contentinfo:"):
        assert role in heard
    assert '- heading "What this log says" [level=1]' in heard
    assert '- heading "What to take away" [level=2]' in heard
    assert 'img "Luster: settings on a scale of 100 pieces"' in heard
    assert not re.search(r'- img(?! ")', heard)  # no picture without a name
    assert heard.count('img "Luster: of 100 pieces"') == 1  # the hidden twin is not heard


@pytest.mark.parametrize(("paper", "height_mm"), [("A4", 297), ("Letter", 279.4)])
def test_it_prints_on_both_papers_with_what_was_opened(open_page, paper, height_mm):
    page = open_page(LAPTOP)
    page.emulate_media(media="print")
    shown = "s => [...document.querySelectorAll(s)].filter(e => e.getClientRects().length).length"
    assert page.evaluate(shown, "nav") == 0
    assert page.evaluate(shown, ".paper-hint") == 1
    assert page.evaluate(shown, "#legend dd") > 3
    for fold, inside in (("#strip-luster details", "#strip-luster table"),
                         ("#more-method", "#more-method p")):  # fmt: skip
        assert page.evaluate(shown, inside) == 0
        page.evaluate(f"document.querySelector('{fold}').open = true")
        assert page.evaluate(shown, inside) >= 1
    pdf = page.pdf(format=paper, print_background=True)
    assert pdf.startswith(b"%PDF")
    pages = len(re.findall(rb"/Type\s*/Page\b", pdf))
    assert 4 <= pages <= 12
    box = [float(part) for part in re.search(rb"/MediaBox\s*\[([^\]]+)\]", pdf)[1].split()]
    assert box[3] == pytest.approx(height_mm / 25.4 * 72, abs=1.5)


def test_pictures_fit_on_a_printed_page(open_page):
    page = open_page(700, 1000)  # about the printable width of A4 in pixels
    page.emulate_media(media="print")
    tallest = page.evaluate(
        "Math.max(...[...document.querySelectorAll('svg')].map("
        "s => s.getBoundingClientRect().height))"
    )
    assert tallest < 900  # 262 mm between the margins are 990 px


def test_a_script_a_maker_typed_does_not_run_even_if_escaping_failed(
    open_page, page_file, tmp_path
):
    attack = "<script>document.title = 'owned'</script><p style='color:red' onclick='1'>x</p>"
    broken = page_file.read_text(encoding="utf-8").replace("<main>", f"<main>{attack}")
    file = tmp_path / "broken.html"
    file.write_text(broken, encoding="utf-8")
    page = open_page(LAPTOP, file=file)
    assert page.title().startswith("What this log says")
    assert any("Content Security Policy" in complaint for complaint in page.complaints)


def test_what_to_take_away_fits_two_screens_of_a_laptop(open_page):
    page = open_page(LAPTOP)
    foot = "[...document.querySelectorAll('#take-away > .statements')].at(-1)"
    assert page.evaluate(f"{foot}.getBoundingClientRect().bottom") <= 2 * 800


def test_bars_of_shares_are_read_without_their_colours(open_page):
    page = open_page(LAPTOP)
    looks = page.evaluate(
        """[...document.querySelectorAll('#shares-bars svg.wide path')].filter(
            p => p.getAttribute('fill') === 'none').length"""
    )
    assert looks >= 8  # lines and dots over the grounds of two bars and their key
    words = page.evaluate("document.querySelector('#shares-bars svg.wide').textContent")
    assert "luck of the firing" in words


@pytest.mark.parametrize("width", [PHONE, LAPTOP])
def test_the_picture_shown_is_heard_with_its_description(open_page, width):
    page = open_page(width)
    session = page.context.new_cdp_session(page)
    nodes = session.send("Accessibility.getFullAXTree")["nodes"]
    pictures = [
        node for node in nodes if not node["ignored"] and node["role"]["value"] in ("image", "img")
    ]
    heard = {n["name"]["value"]: n.get("description", {}).get("value", "") for n in pictures}
    assert heard["Luster: settings on a scale of 100 pieces"].startswith("A line for each of 7")
    assert all(len(description) > 60 for description in heard.values())
