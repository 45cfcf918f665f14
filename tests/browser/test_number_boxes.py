"""A decimal comma typed as a person does, key by key, into a box of each kind."""

import re

import pytest

pytestmark = pytest.mark.browser
BOXES = [  # page, more of its address, a text to wait for, the box, is it in a fold or a tab
    ("carry", "", "The same bend, before and now", r"^roof rack, tent.* kg$", ""),
    ("carry", "", "The same bend, before and now", r"^Lift in front, mm$", ""),
    ("carry", "", "The same bend, before and now", r"^Whole vehicle, at most, kg$", "Your own"),
    ("", "&mine=true", "All cautions", r"^Front left, kg$", ""),
    ("", "&mine=true", "All cautions", r"^Lift that it has, mm$", ""),
    ("springs_weights", "", "Tests in the bay", r"^Front left, kg$", ""),
    ("see_why", "", "Every result stays hidden", r"^Your answer first", ""),
    ("see_why", "", "Every result stays hidden", r"^Known mass, kg$", ""),
]


def _type(page: object, box: object, typed: str) -> None:
    box.click()
    box.press("Control+a")
    box.press_sequentially(typed)
    box.press("Enter")
    page.wait_for_timeout(1000)
    page.wait_for_selector("[data-test-script-state=notRunning]", timeout=60_000)


@pytest.mark.parametrize(("path", "query", "ready", "label", "fold"), BOXES)
def test_a_comma_stays_a_comma(visit, path, query, ready, label, fold):
    page = visit("wagon-roof-load", path=path, query=query, ready=ready)
    if fold:
        page.locator("summary").filter(has_text=fold).first.click()
    box = page.get_by_label(re.compile(label)).first
    told = page.get_by_text(re.compile("which may mean 1200 or 1.2"))
    _type(page, box, "1,200")
    assert box.input_value() == "1,200"
    told.first.wait_for(timeout=20_000)
    _type(page, box, "75,0")
    assert told.count() == 0
    assert box.input_value() in ("75,0", "75")  # the scenario's own way to write it
    assert page.locator("[data-testid=stException]").count() == 0
