"""Job sheets of the examples, and what can be read from them."""

import functools
import re
from datetime import date
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

from rollsim import scenario
from rollsim.scenario import Source
from rollsim.sheet import job_sheet, work_out
from rollsim.sheet.work import Work
from tests.fit_page import BEYOND, FILES, GATE, WITH_A_BAR

ROOT = Path(__file__).resolve().parents[1]
DAY = date(2026, 1, 31)
FEW = 16  # samples of a band where the band itself is not what is tested
FITTED = tuple(stem for stem in WITH_A_BAR if stem not in (GATE, BEYOND))
NASTY = '</title></style><script>alert(1)</script><img src=x onerror="alert(2)"> & \'"}'


@functools.cache
def worked(stem: str) -> Work:
    return work_out(scenario.load(FILES[stem]), samples=FEW)


@functools.cache
def sheet(stem: str) -> str:
    return written(worked(stem), scenario.source(FILES[stem]))


def written(work: Work, source: Source, **options) -> str:
    return job_sheet(work, source, day=DAY, version="1.2.3", **options)


def of_text(text: str, **options) -> str:
    work = work_out(scenario.loads(text, "typed.toml"), samples=FEW)
    return written(work, Source("typed.toml", text), **options)


class Page(HTMLParser):
    """Tags with their attributes, and the text outside `<style>`."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.style: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        inside = self.tags and self.tags[-1][0] == "style" and self.get_starttag_text() == "<style>"
        (self.style if inside and "@page" in data else self.words).append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


@functools.cache
def shown(stem: str) -> str:
    return Page(sheet(stem)).text


def spec(html: str) -> dict[str, str]:
    """The table of the bar to order."""
    return {name: values[0] for name, values in columns(html).items()}


def columns(html: str) -> dict[str, list[str]]:
    """The same with a value for each bar."""
    table = re.search(r'<table class="spec[ a-z]*">(.*?)</table>', html, re.DOTALL)
    if table is None:
        return {}
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", table[1])
    cells = [[unescape(cell) for cell in re.findall("<td>(.*?)</td>", row)] for row in rows]
    return {name: values for name, *values in cells}


def leaves(here: object) -> list[object]:
    if isinstance(here, dict):
        return [leaf for value in here.values() for leaf in leaves(value)]
    if isinstance(here, list):
        return [leaf for value in here for leaf in leaves(value)]
    return [here]
