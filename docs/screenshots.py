"""Make the pictures of the README again: `.venv/bin/python docs/screenshots.py`.

Needs the extra `browser` (`pip install -e '.[browser]'`) and Debian's `chromium`. Writes PNG files
into docs/images.
"""

import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

try:
    from playwright.sync_api import Page, sync_playwright
except ImportError:
    raise SystemExit(
        "the pictures need the extra browser: .venv/bin/python -m pip install -e '.[browser]'"
    ) from None

ROOT = Path(__file__).resolve().parents[1]
IMAGES = ROOT / "docs" / "images"
SIZE = {"width": 1200, "height": 780}
ARGUMENTS = ["--headless", "--no-sandbox", "--disable-gpu"]
UNFINISHED = "[data-testid=stStatusWidget], [data-testid*=Skeleton]"
PAGES = {
    "fit-a-bar": "?example=crew-cab-touring",
    "carry-a-load": "carry?example=wagon-roof-load",
    "springs-and-weights": "springs_weights?example=crew-cab-touring&standing=touring",
    "see-why": "see_why?example=low-car",
    "vehicle": "vehicle?example=crew-cab-touring&group=Front+axle",
}


def main() -> None:
    """Start the page, take a picture of each part of it, stop it."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    chromium = shutil.which("chromium")
    if chromium is None:
        raise SystemExit("the pictures need Debian's chromium: apt-get install chromium")
    command = [sys.executable, "-m", "streamlit", "run", "app.py", "--server.headless", "true"]
    server = subprocess.Popen(
        [*command, "--server.port", str(port)], cwd=ROOT, stdout=subprocess.DEVNULL
    )
    try:
        _wait_for(f"http://127.0.0.1:{port}/_stcore/health")
        with sync_playwright() as driver:
            browser = driver.chromium.launch(executable_path=chromium, args=ARGUMENTS)
            for name, path in PAGES.items():
                page = browser.new_page(viewport=SIZE, color_scheme="light")
                page.goto(f"http://127.0.0.1:{port}/{path}")
                _settle(page)
                page.screenshot(path=IMAGES / f"{name}.png")
                page.close()
            browser.close()
    finally:
        server.terminate()


def _wait_for(address: str) -> None:
    for _ in range(100):
        try:
            with urllib.request.urlopen(address, timeout=2):
                return
        except (urllib.error.URLError, TimeoutError):
            time.sleep(0.3)
    raise SystemExit("the page did not start")


def _settle(page: Page) -> None:
    """Until the script has ended and no grey placeholder is left, twice with a pause between."""
    page.wait_for_selector("h1", timeout=60_000)
    for _ in range(2):
        page.wait_for_selector("[data-test-script-state=notRunning]", timeout=120_000)
        page.wait_for_function(f"!document.querySelector('{UNFINISHED}')", timeout=120_000)
        page.wait_for_timeout(1500)


if __name__ == "__main__":
    IMAGES.mkdir(exist_ok=True)
    main()
