"""Fit a bar in a real browser: what is in sight, what can be read, what answers."""

import re

import pytest

from tests.browser.conftest import QUIET
from tests.browser.looks import DESKTOP, PHONE, failures, faint, is_wider, texts

TOURING, BEYOND, LOW_CAR = "crew-cab-touring", "beyond-a-bar", "low-car"
GATE = "balance-gate-binds"
pytestmark = pytest.mark.browser


def _lean(page: object, number: int) -> float:
    """Lean that picture `number` shows, in degrees."""
    words = page.locator("svg[role=img][aria-label*='wheel loads']").nth(number)
    return float(re.search(r"lean ([\d.]+) degrees", words.get_attribute("aria-label"))[1])


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
@pytest.mark.parametrize(
    ("example", "answer"),
    [(TOURING, "Fit "), (BEYOND, "No rear bar can"), (GATE, "No bar on the list is accepted")],
)
def test_answer_stands_without_scrolling(look, size, example, answer):
    page = look(example, size)
    box = page.get_by_text(re.compile(f"^{answer}")).first.bounding_box()
    assert box["y"] >= 0
    assert box["y"] + box["height"] <= size[1]


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
def test_the_form_gives_way_to_the_answer(visit, size, tmp_path):
    """Sent off from its foot, far down the page: closed, and the answer seen and in focus."""
    page = visit(LOW_CAR, size, query="&mine=true")
    send = page.get_by_role("button", name="Size a bar for it").last
    send.scroll_into_view_if_needed()
    send.click()
    answer = page.get_by_text(re.compile("^Provisional: (Fit|No |Nothing)")).first
    answer.wait_for(timeout=120_000)
    page.wait_for_timeout(300)
    page.wait_for_selector("[data-test-script-state=notRunning]", timeout=120_000)
    page.evaluate(QUIET)
    box = answer.bounding_box()
    assert 0 <= box["y"] <= size[1] / 2
    assert page.get_by_label(re.compile("^Front left, kg")).count() == 0
    assert page.evaluate("document.activeElement.classList.contains('st-key-answer')")
    assert "mine=" not in page.url
    page.screenshot(path=tmp_path / "in-sight.png")


def test_over_a_rating_stands_above_the_answer(look):
    page = look(BEYOND, PHONE)
    over = page.get_by_text("OVER A RATING").first.bounding_box()
    answer = page.get_by_text(re.compile("^No rear bar can")).first.bounding_box()
    assert 0 <= over["y"] < answer["y"]


@pytest.mark.parametrize("example", [TOURING, BEYOND])
def test_phone_does_not_scroll_sideways(look, example):
    page = look(example, PHONE)
    assert not is_wider(page, PHONE[0])


def test_picture_and_empty_beside_loaded_stand_without_scrolling(look):
    page = look(TOURING)
    feet = [page.locator(".rear-view svg").last, page.get_by_text("understeer changes").first]
    for foot in feet:
        box = foot.bounding_box()
        assert box["y"] >= 0
        assert box["y"] + box["height"] <= DESKTOP[1]


def test_the_phone_has_the_slider_early_and_the_page_an_end(look):
    page = look(TOURING, PHONE)
    slider = page.get_by_role("slider").bounding_box()
    assert slider["y"] + slider["height"] <= PHONE[1]
    height = page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
    assert height < 4.7 * PHONE[1]  # with the four bars that are accepted


@pytest.mark.parametrize(("size", "figures_each"), [(DESKTOP, 8), (PHONE, 0)])
def test_pictures_keep_their_text_legible(look, size, figures_each):
    page = look(TOURING, size)
    heights = page.evaluate(
        "[...document.querySelectorAll('.rear-view text')].filter(e => e.checkVisibility())"
        ".map(e => parseFloat(getComputedStyle(e).fontSize) * e.getScreenCTM().a)"
    )
    assert len(heights) == 2 * figures_each
    assert min(heights, default=12.0) >= 12.0
    captions = page.evaluate(
        "[...document.querySelectorAll('.rear-view figcaption, .rear-view figcaption *')]"
        ".filter(e => e.checkVisibility()).map(e => parseFloat(getComputedStyle(e).fontSize))"
    )
    assert len(captions) >= 4
    assert min(captions) >= 12.0


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
@pytest.mark.parametrize("example", [TOURING, BEYOND, LOW_CAR])
def test_two_pictures_stand_in_one_row(look, size, example):
    page = look(example, size)
    boxes = [box.bounding_box() for box in page.locator(".rear-view svg").all()]
    assert len(boxes) == 2
    feet = [box["y"] + box["height"] for box in boxes]
    assert max(feet) - min(feet) < 1.0
    assert boxes[0]["x"] >= 0
    assert boxes[-1]["x"] + boxes[-1]["width"] <= size[0]


@pytest.mark.parametrize("example", [TOURING, BEYOND])
def test_tipping_points_stand_on_the_axis(visit, example):
    page = visit(example)
    page.get_by_role("tab", name="Curves").click()
    chart = page.locator("[data-testid=stVegaLiteChart]:visible svg.marks")
    chart.wait_for(timeout=30_000)
    tips = chart.locator("path[aria-label*='mark: tipping point']").all()
    axis = chart.locator(".role-axis-domain line").first.bounding_box()
    assert len(tips) >= 3
    for mark in tips:
        box = mark.bounding_box()
        assert box["y"] + box["height"] == pytest.approx(axis["y"], abs=3.0)


def _table(page: object) -> object:
    """The ranked table; it is drawn on a canvas."""
    table = page.locator("[data-testid=stDataFrame] .dvn-scroller").first
    table.scroll_into_view_if_needed()
    return table


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
def test_a_click_on_a_row_shows_that_bar(visit, size):
    page = visit(TOURING, size)
    before = page.locator(".rear-view svg").nth(1).get_attribute("aria-label")
    table = _table(page)
    table.click(position={"x": 40, "y": 35 * 2.5})
    page.get_by_text("Accepted, but not the choice").first.wait_for(timeout=20_000)
    assert page.locator(".rear-view svg").nth(1).get_attribute("aria-label") != before
    page.wait_for_url(re.compile("bar=2"), timeout=10_000)


@pytest.mark.parametrize(("size", "scheme"), [(DESKTOP, "light"), (PHONE, "dark")])
def test_a_click_on_a_mark_shows_that_bar(visit, size, scheme):
    page = visit(TOURING, size, scheme)
    picture = page.locator("[data-testid=stVegaLiteChart] svg.marks")
    page.get_by_text("The choice: ").wait_for(timeout=20_000)

    def click(rank: int) -> None:
        mark = picture.locator(f"path[aria-label^='{rank}: ']").first
        mark.scroll_into_view_if_needed()
        box = mark.bounding_box()
        page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)

    click(2)
    page.get_by_text("Accepted, but not the choice. 24 mm solid").wait_for(timeout=20_000)
    page.wait_for_url(re.compile("bar=2"), timeout=10_000)
    page.get_by_text("In the ring, and shown above: 24 mm solid, 260 mm hole").wait_for()
    page.get_by_role("radiogroup", name="Lean against").get_by_text("front share").click()
    page.wait_for_url(re.compile("against=front"), timeout=10_000)
    picture.get_by_text("front share of weight transfer, empty").wait_for(timeout=20_000)
    page.evaluate(QUIET)
    click(15)
    page.get_by_text(re.compile("^NOT ACCEPTED: ")).wait_for(timeout=20_000)
    page.wait_for_url(re.compile("bar=15"), timeout=10_000)
    page.evaluate(QUIET)
    click(2)  # once more: what was clicked before is forgotten
    page.get_by_text("Accepted, but not the choice. 24 mm solid").wait_for(timeout=20_000)
    assert failures(page) == []


def test_the_table_stands_beside_the_picture_or_under_it(look):
    for size, beside in ((DESKTOP, True), (PHONE, False)):
        page = look(TOURING, size)
        chart, table = (
            page.locator(f"[data-testid={name}]").first.bounding_box()
            for name in ("stVegaLiteChart", "stDataFrame")
        )
        right, foot = chart["x"] + chart["width"], chart["y"] + chart["height"]
        assert (table["x"] >= right) is beside
        assert (table["y"] >= foot) is not beside
        assert chart["x"] >= 0
        assert right <= size[0]


def test_a_sorted_table_shows_the_bar_of_the_row_clicked(visit):
    page = visit(TOURING)
    table = _table(page)
    table.click(position={"x": 40, "y": 17})  # the heading of a narrow column opens its menu
    page.get_by_text("Sort descending").click()
    page.get_by_text("Sort descending").wait_for(state="hidden")
    for x in (20, 100):  # the first click after the menu only gives the table the focus back
        table.click(position={"x": x, "y": 35 * 1.5})  # now the second in rank
        page.wait_for_timeout(500)
    page.get_by_text("Accepted, but not the choice").first.wait_for(timeout=20_000)


def test_downloads_bring_files(visit, tmp_path):
    page = visit(TOURING)
    page.get_by_text("Wheel loads, wheel arches").first.click()
    for button, name, start in (
        ("Ranked bars, CSV", "ranked-bars.csv", b"\xef\xbb\xbfrank,section"),
        ("Picture 2, SVG", "picture-2.svg", b"<svg xmlns="),
        ("Picture 2, PNG", "picture-2.png", b"\x89PNG"),
    ):
        with page.expect_download(timeout=30_000) as waiting:
            page.get_by_text(button).first.click()
        assert waiting.value.suggested_filename == name
        waiting.value.save_as(tmp_path / name)
        assert (tmp_path / name).read_bytes().startswith(start)


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
def test_my_vehicle_gives_a_provisional_bar(visit, size):
    page = visit(TOURING, size)
    page.get_by_text("Start with my vehicle").click()
    page.get_by_text("Size a bar for it").click()
    page.get_by_text("Provisional:").first.wait_for(timeout=30_000)
    page.wait_for_url(re.compile("scenario="), timeout=10_000)
    assert not is_wider(page, size[0])


def test_slider_bar_and_tabs_are_reached_by_keyboard(visit):
    page = visit(TOURING)
    seen = set()
    for _ in range(40):
        page.keyboard.press("Tab")
        seen.add(
            page.evaluate("(e => e.type === 'range' ? 'slider' : e.role)(document.activeElement)")
        )
    assert {"slider", "combobox", "tab"} <= seen


def test_no_errors_in_the_console(look):
    assert failures(look(TOURING)) == []


def test_slider_by_keyboard_changes_the_figures(visit):
    page = visit(TOURING)
    laden, with_bar = (_lean(page, n) for n in range(2))
    assert with_bar < laden
    page.get_by_role("slider").focus()
    page.keyboard.press("ArrowRight")
    page.get_by_text("0.45 g").first.wait_for(timeout=10_000)
    page.wait_for_function(
        "old => !document.querySelector('svg[aria-label*=\"wheel loads\"]')"
        ".getAttribute('aria-label').includes(old)",
        arg=f"lean {laden:.2f} degrees",
        timeout=10_000,
    )
    assert _lean(page, 0) == pytest.approx(laden * 0.45 / 0.40, rel=0.02)  # a stop takes its part
    page.wait_for_url(re.compile("lateral=0.45"), timeout=10_000)


def test_a_link_brings_the_whole_set_up_back(visit):
    page = visit(TOURING, query="&lateral=0.6&state=work%20week&units=imperial")
    titles = page.locator("svg[role=img][aria-label*='wheel loads']")
    assert titles.nth(0).get_attribute("aria-label").startswith("work week")
    assert page.get_by_role("slider").input_value() == "0.6"
    assert "lbf" in titles.nth(0).get_attribute("aria-label")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("example", [TOURING, BEYOND])
def test_text_has_contrast(visit, scheme, example):
    page = visit(example, scheme=scheme, query="&wheels=true")
    found = []
    for tab in page.get_by_role("tab").all():
        tab.click()
        page.wait_for_timeout(500)
        found += texts(page)
    assert len(found) > 500
    assert faint(found) == []
