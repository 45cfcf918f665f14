"""The page in a real browser: set ROLLSIM_BROWSER=1, or =required where it must not be skipped."""

import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pytest

ROOT = Path(__file__).resolve().parents[2]
TOURING = "Crew-cab, work week and touring load"
LOW_CAR = "Low car, for teaching"
BEYOND = "Crew-cab beyond what a rear bar can do"
WANTED = os.environ.get("ROLLSIM_BROWSER", "")
DESKTOP, PHONE = (1280, 800), (390, 844)
ARGUMENTS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"]
LEAST_CONTRAST = 4.5

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not WANTED, reason="needs chromium: .ci/run sets ROLLSIM_BROWSER"),
]

# Contrast of every text on the page, WCAG 2: text colour over what lies behind it.
CONTRAST = """() => {
  const canvas = document.createElement('canvas').getContext('2d', {willReadFrequently: true});
  const rgba = colour => {
    canvas.clearRect(0, 0, 1, 1); canvas.fillStyle = colour; canvas.fillRect(0, 0, 1, 1);
    const d = canvas.getImageData(0, 0, 1, 1).data; return [d[0], d[1], d[2], d[3] / 255];
  };
  const over = (a, b) => [0, 1, 2].map(i => a[i] * a[3] + b[i] * (1 - a[3])).concat(1);
  const light = c => [0.2126, 0.7152, 0.0722].reduce((sum, w, i) => {
    const v = c[i] / 255;
    return sum + w * (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  }, 0);
  const back = text => {
    const layers = [], box = text.getBoundingClientRect();
    const x = box.x + box.width / 2, y = box.y + box.height / 2;
    let scrolled = false;  // what scrolls its content lies behind all of it
    for (let e = text; e; e = e.parentElement) {
      const b = e.getBoundingClientRect(), style = getComputedStyle(e);
      scrolled ||= style.overflowY === 'auto' || style.overflowY === 'scroll';
      if (scrolled || (b.left <= x && x <= b.right && b.top <= y && y <= b.bottom))
        layers.unshift(rgba(style.backgroundColor));
    }
    return layers.reduce((below, layer) => over(layer, below), [255, 255, 255, 1]);
  };
  const found = [];
  for (const e of document.querySelectorAll('[data-testid=stMain] *')) {
    const text = [...e.childNodes].filter(n => n.nodeType === 3).map(n => n.data.trim()).join('');
    if (!text || !e.checkVisibility() || e.closest('canvas, style, [data-testid=stIconMaterial]'))
      continue;
    const style = getComputedStyle(e), behind = back(e);
    const ink = over(rgba(e.namespaceURI.endsWith('svg') ? style.fill : style.color), behind);
    const [a, b] = [light(ink), light(behind)].sort((x, y) => y - x);
    found.push([(a + 0.05) / (b + 0.05), text]);
  }
  return found;
}"""


def _missing(what: str) -> None:
    """A failure where the browser is required, else a skip."""
    if WANTED == "required":
        pytest.fail(f"{what} is missing")
    pytest.skip(f"{what} is missing")


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "streamlit", "run", "app.py", "--server.headless", "true"]
    command += ["--server.port", str(port), "--server.address", "127.0.0.1"]
    server = subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        _wait_for(f"http://127.0.0.1:{port}/_stcore/health", server)
        yield f"http://127.0.0.1:{port}/"
    finally:
        server.terminate()
        server.wait(timeout=10)


def _wait_for(health: str, server: subprocess.Popen) -> None:
    end = time.monotonic() + 30.0
    while time.monotonic() < end:
        assert server.poll() is None, "the server stopped"
        try:
            with urllib.request.urlopen(health, timeout=2):
                return
        except (urllib.error.URLError, TimeoutError):
            time.sleep(0.1)
    pytest.fail("the server did not answer within 30 s")


@pytest.fixture(scope="module")
def browser() -> Iterator[object]:
    executable = shutil.which("chromium")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _missing("playwright")
    if executable is None:
        _missing("chromium")
    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=executable, args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture
def visit(browser, address, tmp_path) -> Iterator[object]:
    """Open a scenario and wait for the whole page; a picture of it is kept at the end."""
    opened = []

    def go(title: str, size=DESKTOP, scheme: str = "light", query: str = "") -> object:
        viewport = {"width": size[0], "height": size[1]}
        page = browser.new_page(viewport=viewport, color_scheme=scheme)
        page.errors = []
        page.on("console", lambda m: page.errors.append(m.text) if m.type == "error" else None)
        page.on("pageerror", lambda error: page.errors.append(str(error)))
        opened.append(page)
        page.goto(f"{address}?scenario={quote(title)}{query}")
        page.get_by_text("All cautions").wait_for(timeout=60_000)
        page.locator("[data-testid=stVegaLiteChart] svg.marks").wait_for(timeout=30_000)
        return page

    yield go
    for number, page in enumerate(opened):
        page.screenshot(path=tmp_path / f"page-{number}.png")
        page.close()


def _lean(page: object, number: int) -> float:
    """Lean that picture `number` shows, in degrees."""
    words = page.locator("svg[role=img][aria-label*='wheel loads']").nth(number)
    return float(re.search(r"lean ([\d.]+) degrees", words.get_attribute("aria-label"))[1])


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
@pytest.mark.parametrize(("title", "answer"), [(TOURING, "Fit "), (BEYOND, "No rear bar can")])
def test_answer_stands_without_scrolling(visit, size, title, answer):
    page = visit(title, size)
    box = page.get_by_text(re.compile(f"^{answer}")).first.bounding_box()
    assert box["y"] >= 0
    assert box["y"] + box["height"] <= size[1]


def test_over_a_rating_stands_above_the_answer(visit):
    page = visit(BEYOND, PHONE)
    over = page.get_by_text("OVER A RATING").first.bounding_box()
    answer = page.get_by_text(re.compile("^No rear bar can")).first.bounding_box()
    assert 0 <= over["y"] < answer["y"]


@pytest.mark.parametrize("title", [TOURING, BEYOND])
def test_phone_does_not_scroll_sideways(visit, title):
    page = visit(title, PHONE)
    for place in ("document.documentElement", "document.querySelector('[data-testid=stMain]')"):
        assert page.evaluate(f"{place}.scrollWidth") <= PHONE[0]


@pytest.mark.parametrize(("size", "figures_each"), [(DESKTOP, 8), (PHONE, 0)])
def test_pictures_keep_their_text_legible(visit, size, figures_each):
    page = visit(TOURING, size)
    heights = page.evaluate(
        "[...document.querySelectorAll('.rear-view text')].filter(e => e.checkVisibility())"
        ".map(e => parseFloat(getComputedStyle(e).fontSize) * e.getScreenCTM().a)"
    )
    assert len(heights) == 3 * figures_each
    assert min(heights, default=12.0) >= 12.0
    captions = page.evaluate(
        "[...document.querySelectorAll('.rear-view figcaption')]"
        ".map(e => parseFloat(getComputedStyle(e).fontSize))"
    )
    assert len(captions) == 3
    assert min(captions) >= 12.0


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
@pytest.mark.parametrize(("title", "count"), [(TOURING, 3), (BEYOND, 3), (LOW_CAR, 2)])
def test_pictures_stand_in_one_row(visit, size, title, count):
    page = visit(title, size)
    boxes = [box.bounding_box() for box in page.locator(".rear-view svg").all()]
    assert len(boxes) == count
    feet = [box["y"] + box["height"] for box in boxes]
    assert max(feet) - min(feet) < 1.0
    assert boxes[0]["x"] >= 0
    assert boxes[-1]["x"] + boxes[-1]["width"] <= size[0]
    margins = boxes[0]["x"], size[0] - boxes[-1]["x"] - boxes[-1]["width"]
    assert margins[0] == pytest.approx(margins[1], abs=20.0)  # no empty third


@pytest.mark.parametrize("title", [TOURING, BEYOND])
def test_triangles_stand_on_the_axis(visit, title):
    page = visit(title)
    chart = page.locator("[data-testid=stVegaLiteChart] svg.marks")
    marks = chart.locator(".mark-symbol.role-mark path").all()
    axis = chart.locator(".role-axis-domain line").first.bounding_box()
    assert len(marks) >= 3
    for mark in marks:
        box = mark.bounding_box()
        assert box["y"] + box["height"] == pytest.approx(axis["y"], abs=3.0)


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
@pytest.mark.parametrize("title", [TOURING, BEYOND])
def test_tables_of_bars_show_every_column_and_row(visit, size, title):
    page = visit(title, size)
    tables = page.locator("[data-testid=stTable]").filter(has_text="solid, ")
    assert tables.count() >= 1
    for table in tables.all():
        edges = [head.bounding_box() for head in table.locator("th").all()]
        assert max(box["x"] + box["width"] for box in edges) <= size[0]
        assert not table.evaluate(
            "e => [e, ...e.querySelectorAll('*')].some(x => x.scrollHeight > x.clientHeight + 1 "
            "&& ['auto', 'scroll', 'hidden'].includes(getComputedStyle(x).overflowY))"
        )


def test_no_errors_in_the_console(visit):
    page = visit(TOURING)
    # A deep link makes streamlit ask for two files beside the page that are not there: harmless.
    harmless = "Failed to load resource: the server responded with a status of 404"
    assert [text for text in page.errors if not text.startswith(harmless)] == []


def test_slider_by_keyboard_changes_the_figures(visit):
    page = visit(TOURING)
    unladen, laden, with_bar = (_lean(page, n) for n in range(3))
    assert unladen < with_bar < laden
    page.get_by_role("slider").focus()
    page.keyboard.press("ArrowRight")
    page.get_by_text("0.45 g").first.wait_for(timeout=10_000)
    page.wait_for_function(
        "old => !document.querySelector('svg[aria-label*=\"wheel loads\"]')"
        ".getAttribute('aria-label').includes(old)",
        arg=f"lean {unladen:.2f} degrees",
        timeout=10_000,
    )
    assert _lean(page, 0) == pytest.approx(unladen * 0.45 / 0.40, rel=0.01)
    page.wait_for_url(re.compile("lateral=0.45"), timeout=10_000)


def test_a_link_brings_the_whole_set_up_back(visit):
    page = visit(TOURING, query="&lateral=0.6&state=work%20week")
    titles = page.locator("svg[role=img][aria-label*='wheel loads']")
    assert titles.nth(1).get_attribute("aria-label").startswith("work week")
    assert page.get_by_role("slider").input_value() == "0.6"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("title", [TOURING, BEYOND])
def test_text_has_contrast(visit, scheme, title):
    found = visit(title, scheme=scheme).evaluate(CONTRAST)
    assert len(found) > 100
    assert [pair for pair in found if pair[0] < LEAST_CONTRAST] == []
