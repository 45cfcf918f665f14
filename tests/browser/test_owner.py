"""What a browser does for the owner: Back, focus, the phone's menu, the first screen, contrast."""

import re

import pytest

from rollsim.drawing import roundabout
from rollsim.page import carried, handout
from rollsim.reader_units import METRIC
from tests.browser.conftest import QUIET
from tests.browser.looks import PHONE, count, counted, failures, faint, is_wider, texts
from tests.browser.printed import pages
from tests.owner_page import BEYOND, scenario_file, shown

pytestmark = pytest.mark.browser
READY = "Left until the first wheel lifts"
OPEN = "document.querySelector('[data-testid=stSidebarCollapseButton] button') !== null"
RING = "e => parseFloat(getComputedStyle(e).outlineWidth)"


def settled(page: object) -> None:
    page.wait_for_timeout(300)
    page.wait_for_selector("[data-test-script-state=notRunning]", timeout=60_000)
    page.evaluate(QUIET)


def faint_words(page: object) -> list:
    """Without those on a bar of a picture, whose colour behind them is not looked at."""
    return [pair for pair in faint(texts(page)) if not pair[1].startswith("OVER by")]


def in_sight(page: object, words: str) -> bool:
    """The whole of a text is on the first screen."""
    box = page.get_by_text(re.compile(words)).first.bounding_box()
    return box is not None and box["y"] >= 0.0 and box["y"] + box["height"] <= PHONE[1]


def test_on_a_phone_an_owner_starts_adds_goes_back_and_changes_pages(visit):
    page = visit("beyond-a-bar", PHONE, path="carry", ready=READY)  # over its papers: most to say
    assert in_sight(page, "^Your own vehicle")
    count(page)
    page.get_by_text(re.compile("^Your own vehicle")).click()
    start = page.get_by_role("button", name="Start from this")
    start.wait_for()
    assert faint_words(page) == []
    page.emulate_media(color_scheme="dark")
    page.wait_for_timeout(700)
    assert faint_words(page) == []
    start.hover()
    page.wait_for_timeout(500)
    assert faint_words(page) == []
    start.click()
    page.get_by_text(re.compile("^Nothing is on it yet")).first.wait_for(timeout=30_000)
    settled(page)
    page.evaluate("document.querySelector('[data-testid=stMain]').scrollTo(0, 0)")
    assert in_sight(page, "^Nothing is on it yet")
    add, out = (page.get_by_role("button", name=name) for name in ("Add it", "Take out"))
    add.focus()
    page.wait_for_timeout(1600)  # a change at once after another is no step of its own
    page.keyboard.press("Enter")
    out.first.wait_for(timeout=30_000)
    settled(page)
    # The first three minutes: open the form, start (every box has a usual value), add a thing.
    assert counted(page) == (0, 2)  # the third one by the keyboard
    page.set_viewport_size({"width": 1280, "height": 800})
    assert not is_wider(page, 1280)
    assert page.get_by_text(READY).first.is_visible()
    page.set_viewport_size(dict(zip(("width", "height"), PHONE, strict=True)))
    assert add.evaluate("e => e === document.activeElement")
    assert add.evaluate(RING) >= 2.0
    page.wait_for_timeout(1600)
    page.go_back()
    page.get_by_text(re.compile("^Nothing is on it yet")).first.wait_for(timeout=30_000)
    settled(page)
    assert out.count() == 0
    for choose in (lambda: page.reload(), lambda: page.get_by_role("link", name="Method").click()):
        page.get_by_test_id("stExpandSidebarButton").click()
        page.wait_for_function(OPEN)
        choose()
        page.wait_for_function(f"!({OPEN})", timeout=30_000)
        settled(page)
        assert not page.evaluate(OPEN)
    assert not is_wider(page, PHONE[0])
    assert failures(page) == []


def test_at_a_desk_an_owner_starts_and_adds_with_as_few_clicks(visit):
    page = visit("beyond-a-bar", path="carry", ready=READY)
    count(page)
    page.get_by_text(re.compile("^Your own vehicle")).click()
    page.get_by_role("button", name="Start from this").click()
    page.get_by_text(re.compile("^Nothing is on it yet")).first.wait_for(timeout=30_000)
    settled(page)
    page.get_by_role("button", name="Add it").click()
    page.get_by_role("button", name="Take out").first.wait_for(timeout=30_000)
    assert counted(page) == (0, 3)
    assert not is_wider(page, 1280)
    assert failures(page) == []


def test_with_the_keyboard_alone_the_focus_is_seen_everywhere(visit):
    page = visit("low-car", path="carry", ready=READY)
    page.locator("h1").first.click()
    unseen = []
    for _ in range(40):
        page.keyboard.press("Tab")
        unseen += page.evaluate(
            """() => {
              const seen = e => e && parseFloat(getComputedStyle(e).outlineWidth) >= 2
                && getComputedStyle(e).outlineStyle !== 'none';
              let e = document.activeElement;
              for (let up = 0; e && up < 6; up++, e = e.parentElement) if (seen(e)) return [];
              const at = document.activeElement;
              return at === document.body ? [] : [at.outerHTML.slice(0, 120)];
            }"""
        )
    assert unseen == []


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_page_for_the_fitter_has_people_on_its_first_page(chromium, paper):
    """The longest of the examples, with as many own words as the box takes and a long spread."""
    found = shown(scenario_file(BEYOND))
    pair = carried.silhouettes(found, 1.8)
    html = handout.page(
        found,
        "a steady bend of 25 m radius at 35 km/h",
        METRIC,
        text=scenario_file(BEYOND).read_text(encoding="utf-8"),
        picture=roundabout("25 m", "35 km/h", pair[0], after=pair[1]),
        words="rolling " * 75,
        spread="between " * 30,
    )
    tab = chromium.new_page()
    tab.set_content(html)
    first, second = pages(tab.pdf(format=paper))
    tab.close()
    assert "Beforeyourelyonthesefigures" in first
    assert second.startswith("Fortheworkshop")
    assert "[vehicle]" in second
