"""A file, a link, a log and a field full of marks: they make no element, and ask no other host."""

from collections.abc import Callable
from urllib.parse import quote

import pytest

from rollsim.scenario.packing import packed
from tests.browser.conftest import QUIET
from tests.browser.looks import DESKTOP
from tests.browser.test_pages import PAGES
from tests.marked_up import ALL, marked, scenario, tame, wrong

pytestmark = pytest.mark.browser
MADE = (  # elements that Markdown or HTML in a text could make
    "a, img, strong, b, em, i, u, del, code, pre, blockquote, hr, h1, h2, h3, h4, ul, ol, li, sup, "
    "sub, table, td, th, iframe, script, object, video, input, svg, text, mark, [role=img], .katex"
)
COUNT = """made => {
  const found = {};
  for (const one of document.querySelectorAll(made)) {
    if (one.closest('canvas')) continue;  // how much of a wide table is in sight, read aloud
    const colour = one.closest('[class*=stMarkdownColored]') ? ' coloured' : '';
    found[one.tagName + colour] = (found[one.tagName + colour] ?? 0) + 1;
  }
  return found;
}"""
UNFOLD = "document.querySelectorAll('details:not([open]) > summary').forEach(e => e.click())"
TOLD = {"state": "state", "bend": "bend", "part": "part", "load": "load", "group": "group"}
SAYS = {"", "carry", "springs_weights", "see_why", "vehicle"}  # pages with a name outside a list


class Opened:
    """A page, what it asked of other hosts, and the elements after each step."""

    def __init__(self, page: object, address: str) -> None:
        self.page, self.asked, self.counts = page, [], []
        self.page.on("request", lambda one: self._note(one.url, address))

    def _note(self, url: str, address: str) -> None:
        if not url.startswith((address, address.replace("http", "ws"), "data:", "blob:")):
            self.asked.append(url)

    def count(self) -> None:
        self.page.wait_for_selector("[data-test-script-state=notRunning]", timeout=60_000)
        self.page.evaluate(QUIET)
        assert self.page.locator("[data-testid=stException]").count() == 0
        self.counts.append(self.page.evaluate(COUNT, MADE))

    def unfold(self) -> None:
        """Open every fold, then every tab, counting after each."""
        self.page.evaluate(UNFOLD)
        self.page.wait_for_timeout(500)  # ms; a fold that was opened may run the page
        self.count()
        tabs = self.page.get_by_role("tab")
        for number in range(tabs.count()):
            tabs.nth(number).click()
            self.page.wait_for_timeout(500)  # ms; so may a tab
            self.count()


@pytest.fixture
def opened(light_and_dark, address):
    """Open a page with a scenario, and with names in the link that are not there."""
    pages = []

    def go(path: str, text: str, *, called: Callable[[str, int], str], more: str = "") -> Opened:
        page = light_and_dark["light"].new_page()
        page.set_viewport_size({"width": DESKTOP[0], "height": 2500})
        pages.append(page)
        found = Opened(page, address)
        asked = "".join(f"&{key}={quote(called(word, 2))}" for key, word in TOLD.items())
        page.goto(f"{address}{path}?scenario={packed(text)}{asked}{more}")
        return found

    yield go
    for page in pages:
        page.close()


def compare(found: Opened, without: Opened) -> None:
    assert sum(without.counts[0].values()) > 20
    assert found.counts == without.counts
    assert found.asked == []


@pytest.mark.parametrize("path", PAGES)
def test_names_full_of_marks_make_no_element(opened, path):
    both = []
    for called in (marked, tame):
        more = "" if path else "&job=true&mine=true&wheels=true&sure=true"
        one = opened(path, scenario(called), called=called, more=more)
        ready = PAGES[path] if path else "Measure these better"
        one.page.get_by_text(ready).first.wait_for(timeout=60_000)
        one.count()
        if path == "see_why":
            field = one.page.get_by_label("Your answer first").first
            field.fill("30")
            field.press("Enter")
            one.page.get_by_text("Show the working").first.click(timeout=60_000)
            one.page.get_by_text("The working", exact=True).first.wait_for(timeout=60_000)
        if path != "vehicle":
            one.unfold()
        both.append(one)
    compare(*both)
    if path in SAYS:
        assert ALL in both[0].page.evaluate("document.body.textContent")


@pytest.mark.parametrize("group", ["Load items", "Bar to be sized", "Other springs"])
def test_folds_named_by_the_file_make_no_element(opened, group):
    both = []
    for called in (marked, tame):
        one = opened("vehicle", scenario(called), called=lambda word, number: group)
        one.page.get_by_text("Open or save a scenario file").first.wait_for(timeout=60_000)
        one.unfold()
        both.append(one)
    compare(*both)


@pytest.mark.parametrize("path", ["", "carry", "vehicle"])
def test_errors_that_tell_what_was_found_make_no_element(opened, path):
    both = []
    for called in (marked, tame):
        asked = (lambda word, number: "Rear axle") if path == "vehicle" else called
        one = opened(path, wrong(called), called=asked)
        one.page.get_by_text("no such file").first.wait_for(timeout=60_000)
        one.count()
        both.append(one)
    compare(*both)


def test_what_is_typed_and_a_log_make_no_element(opened):
    both = []
    for called in (marked, tame):
        text = scenario(tame)
        one = opened("road_test", text, called=tame)
        log = f"{called('time', 1)},{called('lean', 2)}\n0,{called('none', 3)}\n"
        given = {"name": f"{called('log', 4).replace('/', '')}.csv", "mimeType": "text/csv"}
        one.page.get_by_text("The log").first.wait_for(timeout=60_000)
        one.page.locator("input[type=file]").set_input_files(given | {"buffer": log.encode()})
        one.page.get_by_text("cannot be read").first.wait_for(timeout=60_000)
        one.count()
        typing = opened("see_why", text, called=tame)
        for label, wanted in (("Your answer first", "found"), ("Class code", "no class code")):
            field = typing.page.get_by_label(label).first
            field.wait_for(timeout=60_000)
            field.fill(called("typed", 5))
            field.press("Enter")
            typing.page.get_by_text(wanted).first.wait_for(timeout=60_000)
        typing.count()
        both.append((one, typing))
    for found, without in zip(*both, strict=True):
        compare(found, without)
