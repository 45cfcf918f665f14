"""The job sheet printed by chromium: two pages, all of it on the paper."""

import functools
from datetime import date
from pathlib import Path

import pytest
import tomlkit

from rollsim import scenario
from rollsim.reader_units import READER_UNITS, UnitSystem
from rollsim.scenario.editing import added
from rollsim.sheet import Paper, job_sheet, work_out
from rollsim.sheet.work import Work
from tests.browser.printed import pages
from tests.pairs import both_of

ROOT = Path(__file__).resolve().parents[2]
FILES = {path.stem: path for path in sorted((ROOT / "scenarios").glob("*.toml"))}
FEW = 8  # samples: the bands only have to take their room
MANY = 80  # items: more than two pages hold
INSIDE = {Paper.A4: 188.0, Paper.LETTER: 193.9}  # mm between the margins of job.css
PER_MM = 96.0 / 25.4
OWN_FONTS = '"Liberation Sans", Arial, Helvetica, sans-serif'
NARROW, WIDE = "Liberation Sans Narrow", "Liberation Mono"  # any other family lies in between
WIDTH = """family => {
  const pen = document.createElement('canvas').getContext('2d');
  pen.font = `100px "${family}"`;
  return pen.measureText('Lean at rest, with this bar').width;
}"""
CUT_OFF = """() => {
  const wide = document.body.getBoundingClientRect();
  const found = [];
  for (const one of document.body.querySelectorAll('*')) {
    const box = one.getBoundingClientRect();
    const words = `${one.tagName} ${one.className.baseVal ?? one.className} ${one.textContent}`;
    if (box.right > wide.right + 1 || box.left < wide.left - 1) found.push(`out: ${words}`);
    if (one.closest('svg')) continue;
    if (one.scrollWidth > one.clientWidth + 1 && one.clientWidth) found.push(`wide: ${words}`);
    if (getComputedStyle(one).overflow !== 'visible') found.push(`clipped: ${words}`);
  }
  return found;
}"""
TEXT_OUT = """() => [...document.querySelectorAll('svg')].flatMap(svg => {
  const box = svg.getBoundingClientRect();
  return [...svg.querySelectorAll('text')].filter(text => {
    const own = text.getBoundingClientRect();
    return own.left < box.left - 1 || own.right > box.right + 1
      || own.top < box.top - 1 || own.bottom > box.bottom + 1;
  }).map(text => text.textContent);
})"""


@pytest.fixture(scope="module")
def press(chromium):
    """A tab to print from."""
    tab = chromium.new_page()
    tab.requests = []
    tab.on("request", lambda request: tab.requests.append(request.url))
    yield tab
    tab.close()


@functools.cache
def worked(stem: str) -> Work:
    return work_out(scenario.load(FILES[stem]), samples=FEW)


def html_of(stem: str, paper: Paper) -> str:
    system = UnitSystem.IMPERIAL if "imperial" in stem else UnitSystem.METRIC
    return job_sheet(
        worked(stem),
        scenario.source(FILES[stem]),
        day=date(2026, 1, 31),
        version="1.2.3",
        units=READER_UNITS[system],
        paper=paper,
    )


def printed(press, html: str) -> list[str]:
    press.set_content(html)
    return pages(press.pdf(prefer_css_page_size=True, print_background=False))


def assert_all_on_paper(press, paper: Paper) -> None:
    """Nothing sticks out, is clipped or was asked for from outside."""
    press.emulate_media(media="print")
    press.set_viewport_size({"width": int(INSIDE[paper] * PER_MM), "height": 900})
    assert press.evaluate(CUT_OFF) == []
    assert press.evaluate(TEXT_OUT) == []
    assert press.requests == []
    press.emulate_media(media="null")


@pytest.mark.browser
@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("stem", FILES)
def test_two_pages_with_nothing_cut_off(stem, paper, press):
    html = html_of(stem, paper)
    first, second, *more = printed(press, html)
    # Wheels and dampers have a page of their own, where the file has any.
    assert len(more) == int("damper = " in FILES[stem].read_text(encoding="utf-8"))
    assert all("Wheelsanddampers" in one and "after,asread" in one for one in more)
    assert first.count("Jobsheet") == 1
    assert "OVERARATING" in first or stem != "beyond-a-bar"
    assert "engineerorinspector:name,signature,date" in second
    assert "Everyinputastyped" in second  # signatures never stand alone
    assert "Thescenarioisinsidethisfile" in second
    assert f"page1of{2 + len(more)}" in first
    assert f"page2of{2 + len(more)}" in second
    assert_all_on_paper(press, paper)


@functools.cache
def full(stem: str, *, paired: bool) -> tuple[Work, scenario.Source]:
    """Six loads in three cases, and front and rear bar to choose."""
    text = tomlkit.dumps(both_of(stem)) if paired else FILES[stem].read_text(encoding="utf-8")
    for n in range(6 - len(tomlkit.parse(text)["load"])):
        item = {"name": f"crate of tools {n}", "mass": "30 kg ± 2 kg", "height": "900 mm"}
        item |= {"behind_front_axle": "2000 mm", "place": "cabin"}
        text = added(text, "load", item | {"cases": ["site visit" if n % 2 else "long tour"]})
    source = scenario.Source("six.toml", text)
    return work_out(scenario.loads(text, source.name), paired=paired, samples=FEW), source


@pytest.mark.browser
@pytest.mark.parametrize("paired", [False, True])
@pytest.mark.parametrize("stem", ["crew-cab-touring", "high-roof-van"])
def test_six_loads_in_three_cases_take_two_pages_whatever_the_fonts(stem, paired, press):
    work, source = full(stem, paired=paired)
    assert (work.pair is not None) is paired
    narrow, wide = (press.evaluate(WIDTH, family) for family in (NARROW, WIDE))
    assert wide > 1.3 * narrow  # both are there
    for paper in Paper:
        html = job_sheet(work, source, day=date(2026, 1, 31), version="1", paper=paper)
        assert OWN_FONTS in html
        for family in (NARROW, WIDE):
            first, second, *_ = printed(press, html.replace(OWN_FONTS, f'"{family}"'))
            assert "toorder" in first
            assert "Cautions" in second
            assert "engineerorinspector:name,signature,date" in second


@pytest.mark.browser
@pytest.mark.parametrize("paper", Paper)
def test_nine_items_in_three_cases_still_take_two_pages(paper, press):
    text = FILES["arrives-loaded-and-lifted"].read_text(encoding="utf-8")
    for n, case in enumerate(("market", "market", "site", "site", "tour", "tour")):
        item = {"name": f"crate {n}", "mass": "30 kg", "behind_front_axle": "2800 mm"}
        item |= {"height": "900 mm", "place": "tray", "cases": [case]}
        text = added(text, "load", item)
    work = work_out(scenario.loads(text, "nine.toml"), samples=FEW)
    source = scenario.Source("nine.toml", text)
    html = job_sheet(work, source, day=date(2026, 1, 31), version="1", paper=paper)
    found = printed(press, html)
    assert ["Wheelsanddampers" in page for page in found] == [False, False, True]
    assert all(f"crate{n}" in "".join(found) for n in range(6))


@pytest.mark.browser
def test_more_than_two_pages_lose_nothing(press):
    text = FILES["crew-cab-touring"].read_text(encoding="utf-8")
    for n in range(MANY):
        item = {"name": f"crate {n}", "mass": "1 kg", "behind_front_axle": "2800 mm"}
        text = added(text, "load", {**item, "height": "900 mm", "place": "tray"})
    work = work_out(scenario.loads(text, "many.toml"), samples=FEW)
    source = scenario.Source("many.toml", text)
    found = printed(press, job_sheet(work, source, day=date(2026, 1, 31), version="1"))
    assert len(found) == 3
    whole = "".join(found)
    assert all(f"crate{n}" in whole for n in range(MANY))
    assert "engineerorinspector:name,signature,date" in found[-1]
    assert "page3of3" in found[-1]
    assert "Everyinputastyped" in found[-1]


@pytest.mark.browser
@pytest.mark.parametrize("paper", Paper)
def test_the_longest_names_stay_on_the_paper(paper, press):
    text = FILES["crew-cab-touring"].read_text(encoding="utf-8")
    for n, name in enumerate(("Demo crew-cab", "canopy", "touring", "work week")):
        text = text.replace(f'"{name}"', f'"{n}{"W" * 199}"')
    work = work_out(scenario.loads(text, "long.toml"), samples=FEW)
    source = scenario.Source(f"{'W' * 100}.toml", text)
    html = job_sheet(work, source, day=date(2026, 1, 31), version="1", paper=paper)
    whole = "".join(printed(press, html))
    assert whole.count("W" * 199) > 3
    assert_all_on_paper(press, paper)
