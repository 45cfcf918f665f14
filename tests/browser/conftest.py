"""The page in a real browser: set ROLLSIM_BROWSER=1, or =required where it must not be skipped.

Pictures of what each test saw stay in its temporary folder.
"""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.browser.looks import DESKTOP

ROOT = Path(__file__).resolve().parents[2]
WANTED = os.environ.get("ROLLSIM_BROWSER", "")
ARGUMENTS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"]
READY = "All cautions"  # the last thing on the page Fit a bar
QUIET = """() => new Promise(done => {  // all is there and nothing has changed for a second
  const main = document.querySelector('[data-testid=stMain]');
  let last = performance.now();
  const watch = new MutationObserver(() => { last = performance.now(); });
  watch.observe(main, {subtree: true, childList: true, attributes: true});
  const end = setInterval(() => {
    if (performance.now() - last < 1000 || main.querySelector('[data-testid=stSkeleton]')) return;
    clearInterval(end); watch.disconnect(); done();
  }, 50);
})"""


def _missing(what: str) -> None:
    """A failure where the browser is required, else a skip."""
    if WANTED == "required":
        pytest.fail(f"{what} is missing")
    pytest.skip(f"{what} is missing")


@pytest.fixture(scope="session")
def address() -> Iterator[str]:
    """Of a server of the page, started as the README does."""
    if not WANTED:
        pytest.skip("needs chromium: .ci/run sets ROLLSIM_BROWSER")
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


@pytest.fixture(scope="session")
def chromium() -> Iterator[object]:
    """Chromium without a window."""
    if not WANTED:
        pytest.skip("needs chromium: .ci/run sets ROLLSIM_BROWSER")
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


@pytest.fixture(scope="session")
def browser(address, chromium) -> object:
    """Chromium, and the server is there."""
    return chromium


@pytest.fixture(scope="session")
def light_and_dark(browser) -> dict[str, object]:
    """A reader of each, whose browser has the page's scripts from one test to the next."""
    return {
        scheme: browser.new_context(color_scheme=scheme, reduced_motion="reduce")
        for scheme in ("light", "dark")
    }


def _opened(contexts: dict[str, object], address: str, example: str, size, scheme: str) -> object:
    """A page of an example, asked for, with what its console says kept."""
    page = contexts[scheme].new_page()
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.errors = []
    page.on("console", lambda m: page.errors.append(m.text) if m.type == "error" else None)
    page.on("pageerror", lambda error: page.errors.append(str(error)))
    page.goto(f"{address}?example={example}")
    return page


def _there(page: object, ready: str) -> object:
    """The page once all of it is there."""
    page.get_by_text(ready).first.wait_for(timeout=60_000)
    page.wait_for_selector("[data-test-script-state=notRunning]", timeout=60_000)
    page.evaluate(QUIET)
    return page


@pytest.fixture
def visit(light_and_dark, address, tmp_path) -> Iterator[object]:
    """Open an example on a page and wait for all of it; a picture of it is kept at the end."""
    opened = []

    def go(
        example: str,
        size=DESKTOP,
        scheme: str = "light",
        *,
        query: str = "",
        path: str = "",
        ready: str = READY,
    ) -> object:
        page = _opened(light_and_dark, f"{address}{path}", f"{example}{query}", size, scheme)
        opened.append(page)
        return _there(page, ready)

    yield go
    for number, page in enumerate(opened):
        page.screenshot(path=tmp_path / f"page-{number}.png", full_page=True)
        page.close()


@pytest.fixture(scope="session")
def look(light_and_dark, address) -> Iterator[object]:
    """An example on Fit a bar that other tests look at too: click on nothing, change nothing."""
    opened = {}

    def at(example: str, size=DESKTOP) -> object:
        if (example, size) not in opened:
            page = _opened(light_and_dark, address, example, size, "light")
            opened[example, size] = _there(page, READY)
        return opened[example, size]

    yield at
    for page in opened.values():
        page.close()
