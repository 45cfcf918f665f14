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

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
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


@pytest.mark.skipif(not TABLES, reason="needs the socket tables of Linux")
@pytest.mark.parametrize(("number", "expected"), [(0, {HERE}), (1, {EVERYWHERE})])
def test_the_page_listens_as_the_readme_says(number, expected):
    lines = re.findall(r"\.venv/bin/(streamlit run app\.py[ \w.-]*)", README)
    assert len(lines) == 2
    port = free_port()
    more = ["--server.headless", "true", "--server.port", str(port)]
    with running([sys.executable, "-m", *shlex.split(lines[number]), *more], port, cwd=ROOT):
        assert listened_on(port) == expected
