"""Three jobs from weights and tape alone to the printed sheet; fields and clicks are counted.

The vehicles are invented. Pictures of each step stay in the test's temporary folder.
"""

import re
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from rollsim import scenario, sizing
from tests.browser.conftest import QUIET
from tests.browser.printed import pages

pytestmark = pytest.mark.browser
MOST_FIELDS, MOST_CLICKS = 12, 12  # from a blank form to the sheet: what a busy fitter bears


@dataclass
class Walk:
    """What a person does on the page, counted."""

    page: object
    folder: Path
    fields: int = 0
    clicks: int = 0
    shots: list[Path] = field(default_factory=list)

    def settle(self) -> None:
        self.page.wait_for_timeout(300)
        self.page.wait_for_selector("[data-test-script-state=notRunning]", timeout=90_000)
        self.page.evaluate(QUIET)

    def type(self, label: str, value: str) -> None:
        box = self.page.get_by_label(re.compile(label)).first
        box.fill(value)
        box.press("Enter")
        self.fields += 1
        self.page.wait_for_selector("[data-test-script-state=notRunning]", timeout=90_000)

    def choose(self, label: str, *words: str) -> None:
        """Pick from a list that opens: a click to open it, one for each word."""
        box = self.page.get_by_role("combobox", name=label).first
        box.click()
        self.clicks += 1
        for one in words:
            box.fill(one)
            self.page.get_by_role("option", name=one, exact=True).first.click()
            self.clicks += 1
            self.page.wait_for_selector("[data-test-script-state=notRunning]", timeout=90_000)
        self.page.keyboard.press("Escape")

    def click(self, name: str, *, until: str) -> None:
        """The last button of that name; the answer is there once the words wanted are."""
        self.page.get_by_role("button", name=name).last.click()
        self.clicks += 1
        words = self.page.get_by_text(re.compile(until)).first
        words.wait_for(timeout=120_000)
        self.settle()

    def shot(self, name: str) -> None:
        path = self.folder / f"{name}.png"
        self.page.screenshot(path=path, full_page=True)
        self.shots.append(path)

    def text(self) -> str:
        return self.page.locator("[data-testid=stMain]").inner_text()

    def sheet(self, chromium: object) -> list[str]:
        """The job sheet, opened and printed: the words of each page, blanks taken out."""
        with self.page.expect_download() as coming:
            self.page.get_by_role("button", name=re.compile("Job sheet")).first.click()
        self.clicks += 1
        path = self.folder / "sheet.html"
        coming.value.save_as(path)
        tab = chromium.new_page()
        tab.goto(path.as_uri())
        tab.screenshot(path=self.folder / "sheet.png", full_page=True)
        found = pages(tab.pdf(format="A4", prefer_css_page_size=True))
        tab.close()
        return found


@pytest.fixture
def walk(visit, tmp_path) -> Walk:
    page = visit("low-car", size=(1280, 1400), query="&mine=true")
    return Walk(page, tmp_path)


def start(
    walk: Walk, kind: str, *, on: tuple[str, ...], weights: tuple[int, ...], **more: str
) -> None:
    """The form Start with my vehicle, filled in and sent off."""
    if kind != "crew-cab truck":
        walk.choose("Class", kind)
    if on:
        walk.choose("What is on it now?", *on)
    for label, kilograms in zip(
        ("Front left", "Front right", "Rear left", "Rear right"), weights, strict=True
    ):
        walk.type(f"^{label}, kg", str(kilograms))
    for label, value in more.items():
        walk.type({"lift": "^Lift that it has", "roof": "^Bare roof"}[label], value)
    walk.shot("1-form")
    walk.click("Size a bar for it", until="^Provisional: ")
    walk.shot("2-answer")


def counted(walk: Walk, record_property: object, answer: str) -> None:
    """Within what a fitter bears, and told in the report of the run."""
    for name, value in (("fields", walk.fields), ("clicks", walk.clicks), ("answer", answer)):
        record_property(name, value)
    print(f"{walk.fields} fields, {walk.clicks} clicks: {answer}; pictures in {walk.folder}")
    assert walk.fields <= MOST_FIELDS
    assert walk.clicks <= MOST_CLICKS
    assert walk.page.locator("[data-testid=stException]").count() == 0


def sized(walk: Walk) -> sizing.Sizing:
    """The command's answer to what the sheet holds."""
    found = scenario.load(walk.folder / "sheet.html")
    return sizing.size(found.job, found.rear_bar)


def first_line(text: str) -> str:
    return next(line for line in text.splitlines() if line.startswith("Provisional"))


def test_a_leaf_sprung_pick_up_weighed_loaded_and_lifted(walk, chromium, record_property):
    loads = ("roof rack", "canopy", "tools in drawers")
    start(
        walk,
        "crew-cab truck",
        on=loads,
        weights=(588, 593, 582, 577),
        lift="50",
        roof="1825",
    )
    answer = first_line(walk.text())
    printed = walk.sheet(chromium)
    counted(walk, record_property, answer)
    found = sized(walk)
    assert len(printed) == 2
    assert found.choice is not None
    assert found.choice.section.label in answer
    assert found.choice.roll_gradient <= 0.97 * found.present
    assert "Thebartoorder" in printed[0]


def test_a_lifted_wagon_on_coils(walk, chromium, record_property):
    start(
        walk,
        "wagon",
        on=("roof rack", "roof tent", "luggage"),
        weights=(590, 575, 640, 630),
        lift="45",
        roof="1900",
    )
    answer = first_line(walk.text())
    printed = walk.sheet(chromium)
    counted(walk, record_property, answer)
    found = sized(walk)
    assert len(printed) == 2
    if found.choice is None:
        assert found.in_the_way
        assert "in the way: " in walk.text()
        assert "What else would help" in walk.text()
    else:
        assert found.choice.section.label in answer


def test_a_wallowing_high_van(walk, chromium, record_property):
    """Nothing is named on it: nothing to bring back, so how much less is asked for."""
    start(walk, "van", on=(), weights=(755, 745, 860, 840), roof="2600")
    assert "Nothing to bring back" in first_line(walk.text())
    walk.type("^How much less is wanted", "12")
    walk.click("Size a bar for it", until="^Provisional: (Fit|No )")
    walk.shot("3-less")
    answer = first_line(walk.text())
    printed = walk.sheet(chromium)
    counted(walk, record_property, answer)
    found = sized(walk)
    assert found.less_than_now == pytest.approx(0.12)
    assert len(printed) == 2
    assert found.choice is None or found.choice.roll_gradient <= 0.97 * found.present
