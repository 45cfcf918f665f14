"""The page listens on this computer alone, until somebody asks for more."""

import re
import shlex
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from websockets.sync.client import connect

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
LINES = re.findall(r"\.venv/bin/(streamlit run app\.py[ \w.-]*)", README)
LISTENS = "0A"  # state of a socket in /proc/net/tcp
TABLES = [path for path in (Path("/proc/net/tcp"), Path("/proc/net/tcp6")) if path.exists()]
HERE, EVERYWHERE = "0100007F", "00000000"


def listened_on(port: int) -> set[str]:
    """Addresses that a port listens on, as the kernel writes them."""
    rows = [line.split() for table in TABLES for line in table.read_text().splitlines()[1:]]
    pairs = [row[1].split(":") for row in rows if row[3] == LISTENS]
    return {address for address, number in pairs if int(number, 16) == port}


def wait_for(port: int, server: subprocess.Popen) -> None:
    end = time.monotonic() + 60.0
    while time.monotonic() < end:
        assert server.poll() is None, "the server stopped"
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health", timeout=2):
                return
        except (urllib.error.URLError, TimeoutError):
            time.sleep(0.1)
    pytest.fail("the server did not answer")


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return free.getsockname()[1]


@contextmanager
def running(line: list, port: int, **more) -> Iterator[None]:
    """A server that is started, waited for, and ended."""
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    server = subprocess.Popen(line, **quiet, **more)
    try:
        wait_for(port, server)
        yield
    finally:
        server.terminate()
        server.wait(timeout=30)


@contextmanager
def started(line: str, *options: str) -> Iterator[int]:
    """The page by a line of the README, on a free port."""
    port = free_port()
    more = ["--server.headless", "true", "--server.port", str(port), *options]
    with running([sys.executable, "-m", *shlex.split(line), *more], port, cwd=ROOT):
        yield port


@pytest.mark.skipif(not TABLES, reason="needs the socket tables of Linux")
@pytest.mark.parametrize(("number", "expected"), [(0, {HERE}), (1, {EVERYWHERE})])
def test_the_page_listens_as_the_readme_says(number, expected):
    assert len(LINES) == 2
    with started(LINES[number]) as port:
        assert listened_on(port) == expected


def test_the_page_opens_under_the_number_that_the_readme_lets_be_given():
    # A browser names the address it was given as the origin; another one finds an empty page.
    assert "add\n`--browser.serverAddress`" in README
    with started(LINES[1], "--browser.serverAddress", "192.0.2.77") as port:
        origin = f"http://192.0.2.77:{port}"
        with connect(
            f"ws://127.0.0.1:{port}/_stcore/stream", subprotocols=["streamlit"], origin=origin
        ) as page:
            assert page.subprotocol == "streamlit"
