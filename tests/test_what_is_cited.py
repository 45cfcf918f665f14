"""Code, tests and docs cite only what stands in this repository."""

import re

from tests.builders import ROOT

PAGE = re.compile(r"[\w./-]*\w\.md\b")
SECTION = re.compile(r"docs/method\.md §(\d+)(?:, §(\d+))?")
DOCUMENT = re.compile(r"([\w./-]+) §")


def texts() -> dict[str, str]:
    files = [*ROOT.glob("*.md"), *ROOT.glob("docs/*.md"), *ROOT.glob("docs/*.py")]
    for folder in ("rollsim", "tests"):
        files += [*(ROOT / folder).rglob("*.py")]
    own = "tests/test_what_is_cited.py"
    found = {str(file.relative_to(ROOT)): file.read_text(encoding="utf-8") for file in files}
    return {name: text for name, text in found.items() if name != own}


def is_here(name: str, cited: str) -> bool:
    folder = (ROOT / name).parent
    return any((start / cited).is_file() for start in (ROOT, folder, ROOT / "docs"))


def test_every_page_that_is_cited_is_here():
    missing = [
        f"{name}: {cited}"
        for name, text in texts().items()
        for cited in PAGE.findall(text)
        if not is_here(name, cited)
    ]
    assert missing == []


def test_nothing_is_cited_that_a_clone_does_not_hold():
    missing = [
        f"{name}: {cited} §"
        for name, text in texts().items()
        for cited in DOCUMENT.findall(text)
        if not is_here(name, cited)
    ]
    assert missing == []


def test_sections_of_the_method_that_are_cited_exist():
    headings = re.findall(r"^## (\d+)\. ", texts()["docs/method.md"], re.MULTILINE)
    cited = {
        number
        for text in texts().values()
        for pair in SECTION.findall(text)
        for number in pair
        if number
    }
    assert cited
    assert cited <= set(headings)
