"""README and docs held against the program: commands, files, links, names, sources."""

import ast
import doctest
import importlib
import json
import re
import shlex
import subprocess
from pathlib import Path

import pytest

from rollsim import scenario
from rollsim.cli import main
from rollsim.scenario.schema import Document
from rollsim.scenario.validation import fields, nested

ROOT = Path(__file__).parents[1]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]
NAMES = [str(page.relative_to(ROOT)) for page in PAGES]
LEFT_OUT = "…"

FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"\[[^\]]+\]\(([^)\s]+)\)")
SPAN = re.compile(r"`([^`\n]+)`")
PATH = re.compile(r"(?:rollsim|tests|docs|scenarios)/[\w./-]*")
KEY = re.compile(r"\[([a-z][a-z0-9]*(?:-[a-z0-9]+)*)\]")
NO_KEYS = {"g", "kg", "m", "mm", "rad", "deg", "s", "unit", *(name for name, _ in fields(Document))}
"""Words in brackets that are units, or tables of a scenario file."""


def text_of(page: Path) -> str:
    return page.read_text(encoding="utf-8")


def blocks(language: str) -> list[tuple[str, str]]:
    """Code blocks of a language: name of the page and text."""
    return [
        (name, text)
        for name, page in zip(NAMES, PAGES, strict=True)
        for found, text in FENCE.findall(text_of(page))
        if found == language
    ]


def prose(page: Path) -> str:
    """Text of a page without code."""
    return SPAN.sub("", FENCE.sub("", text_of(page)))


def runs(console: str) -> list[tuple[str, list[str]]]:
    """Commands of a console block, each with the lines shown after it."""
    found = []
    for line in console.splitlines():
        if line.startswith("$ "):
            found.append((line[2:], []))
        else:
            found[-1][1].append(line)
    return found


def first_difference(shown: list[str], real: list[str]) -> str | None:
    """What of `shown` is not in `real`: lines stand together and in order, but for "…"."""
    groups = [[]]
    for line in shown:
        if line == LEFT_OUT:
            groups.append([])
        else:
            groups[-1].append(line)
    place = 0
    for number, group in enumerate(groups):
        last_start = len(real) - len(group)
        if number == len(groups) - 1 and last_start >= place:
            starts = [last_start]  # without "…" after it, nothing may follow
        elif number == 0:
            starts = [0]
        else:
            starts = range(place, last_start + 1)
        if number == 0 and len(groups) == 1 and len(group) != len(real):
            return "lines are missing without …"
        start = next((n for n in starts if real[n : n + len(group)] == group), None)
        if start is None:
            return f"not printed so, from: {group[0] if group else LEFT_OUT}"
        place = start + len(group)
    return None


@pytest.mark.parametrize(
    ("command", "shown"), [run for _, text in blocks("console") for run in runs(text)]
)
def test_shown_output_is_real(command, shown, capsys, monkeypatch, tmp_path):
    (tmp_path / "scenarios").symlink_to(ROOT / "scenarios")
    monkeypatch.chdir(tmp_path)  # some commands write a file
    program, *arguments = shlex.split(command)
    assert program == "rollsim"
    assert main(arguments) == 0
    real = capsys.readouterr().out.rstrip("\n").split("\n")
    difference = first_difference(shown, real)
    assert difference is None, f"{command}: {difference}"


def test_there_is_a_first_run():
    commands = [command for name, text in blocks("console") for command, _ in runs(text)]
    assert {shlex.split(command)[1] for command in commands} >= {"roll", "size", "check"}


@pytest.mark.parametrize(
    ("shown", "same"),
    [
        (["a", "b", "c", "d"], True),
        (["a", "…", "d"], True),
        (["a", "…"], True),
        (["…", "c", "d"], True),
        (["…", "b", "…"], True),
        (["a", "b", "c"], False),
        (["a", "c", "d"], False),
        (["b", "…"], False),
        (["a", "…", "c"], False),
        (["a", "…", "c", "b", "…"], False),
        (["a", "…", "x", "…"], False),
    ],
)
def test_comparison_of_output(shown, same):
    assert (first_difference(shown, ["a", "b", "c", "d"]) is None) == same


def test_whole_files_load():
    whole = [text for _, text in blocks("toml") if text.startswith("title")]
    assert whole
    for text in whole:
        assert scenario.loads(text, "shown.toml").rear_bar is not None


@pytest.mark.parametrize("name", sorted({name for name, _ in blocks("python")}))
def test_python_examples_run(name, monkeypatch):
    monkeypatch.chdir(ROOT)
    text = "\n".join(text for found, text in blocks("python") if found == name)
    example = doctest.DocTestParser().get_doctest(text, {}, name, name, 0)
    assert example.examples
    assert doctest.DocTestRunner().run(example).failed == 0


def slug(heading: str) -> str:
    words = re.sub(r"[^\w\s-]", "", heading.replace("`", "").lower())
    return words.strip().replace(" ", "-")


@pytest.mark.parametrize("name", NAMES)
def test_links_resolve(name):
    page = ROOT / name
    for target in LINK.findall(FENCE.sub("", text_of(page))):
        if target.startswith(("http://", "https://")):
            continue
        path, _, anchor = target.partition("#")
        there = (page.parent / path).resolve() if path else page
        assert there.exists(), f"{name}: no {target}"
        if anchor:
            headings = re.findall(r"^#+ (.+)$", FENCE.sub("", text_of(there)), re.MULTILINE)
            assert anchor in map(slug, headings), f"{name}: no heading for {target}"


@pytest.mark.parametrize("name", NAMES)
def test_named_files_exist(name):
    for span in SPAN.findall(FENCE.sub("", text_of(ROOT / name))):
        if PATH.fullmatch(span):
            assert (ROOT / span).exists(), f"{name}: no {span}"


def test_table_of_modules_is_complete_and_true():
    table = re.findall(r"^\| `(rollsim/[^`]+)` \| ([^|]+) \| (.*?) \|$", text_of(PAGES[1]), re.M)
    listed = {path.rstrip("/").removesuffix(".py") for path, _, _ in table}
    parts = {
        f"rollsim/{path.stem}"
        for path in (ROOT / "rollsim").iterdir()
        if not path.name.startswith("__") and (path.suffix == ".py" or any(path.glob("*.py")))
    }
    assert listed == parts
    for path, _, functions in table:
        if path == "rollsim/page/":  # files that streamlit runs, not a package to import
            continue
        module = importlib.import_module(path.rstrip("/").removesuffix(".py").replace("/", "."))
        for function in SPAN.findall(functions):
            assert hasattr(module, function), f"{path} has no {function}"


def test_layers_come_first():
    first = next(line for line in text_of(PAGES[1]).splitlines()[1:] if line)
    assert "three layers that import one way" in first


def keys_of(value: object) -> set[str]:
    """Every key of nested JSON."""
    if isinstance(value, list):
        return set().union(*map(keys_of, value))
    if isinstance(value, dict):
        return set(value) | set().union(*map(keys_of, value.values()))
    return set()


def scenario_keys(model: type, found: set[str]) -> set[str]:
    for name, field in fields(model):
        found.add(name)
        inner = nested(field)
        if inner is not None:
            scenario_keys(inner, found)
    return found


def test_keys_of_the_nomenclature_exist(capsys):
    example = str(ROOT / "scenarios" / "arrives-loaded-and-lifted.toml")
    known = scenario_keys(Document, set())
    log = str(ROOT / "scenarios" / "road-test-demo.csv")
    for command in (["roll"], ["size"], ["springs"], ["road-test", log]):
        assert main([command[0], example, *command[1:], "--json"]) == 0
        known |= keys_of(json.loads(capsys.readouterr().out))
    words = text_of(ROOT / "docs" / "nomenclature.md").partition("## Words")[2]
    rows = [line for line in words.partition("## Arrays")[0].splitlines() if line.startswith("|")]
    named = {key for row in rows for key in SPAN.findall(row.rstrip("|").rpartition("|")[2])}
    assert len(named) > 40
    assert named <= known, f"no such key: {named - known}"


def docstring_keys() -> dict[str, str]:
    """Source keys in docstrings, each with the file that it was found in."""
    found = {}
    for path in sorted((ROOT / "rollsim").rglob("*.py")):
        for node in ast.walk(ast.parse(text_of(path))):
            if not isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef):
                continue
            lines = (ast.get_docstring(node) or "").splitlines()
            words = "\n".join(line for line in lines if not line.lstrip().startswith(">>>"))
            found |= {key: path.name for key in KEY.findall(words) if key not in NO_KEYS}
    return found


def test_every_source_key_resolves():
    references = text_of(ROOT / "docs" / "references.md")
    listed = re.findall(r"^\| `\[([a-z0-9-]+)\]` \|", references, re.M)
    assert len(listed) == len(set(listed))
    used = docstring_keys()
    assert used
    for name, page in zip(NAMES, PAGES, strict=True):
        used |= {key: name for key in KEY.findall(LINK.sub("", prose(page)))}
    missing = {key: where for key, where in used.items() if key not in {*listed, *NO_KEYS}}
    assert not missing, f"not in docs/references.md: {missing}"


def test_every_reference_has_a_mark():
    rows = re.findall(r"^\| `\[.*$", text_of(ROOT / "docs" / "references.md"), re.M)
    for row in rows:
        mark = row.split(" | ")[3]
        assert re.match(r"SEEN|from memory|common practice", mark), row


@pytest.mark.parametrize(
    "path", [path.name for path in sorted((ROOT / "tests" / "published").glob("test_*.py"))]
)
def test_published_sources_are_listed(path):
    assert f"`tests/published/{path}`" in text_of(ROOT / "docs" / "references.md")


def test_changelog_is_open():
    headings = re.findall(r"^## (.+)$", text_of(ROOT / "docs" / "CHANGELOG.md"), re.M)
    assert headings[0] == "Unreleased"


def one_liners(language: str) -> list[str]:
    return [text.rstrip("\n") for name, text in blocks(language) if name == "README.md"]


def test_setting_up_is_one_line_each():
    page, tests = one_liners("sh")
    for line in (page, tests):
        assert "\n" not in line
        assert line.startswith("python3 -m venv .venv && .venv/bin/pip install -e ")
    assert page.endswith("&& .venv/bin/streamlit run app.py")
    assert tests.endswith("&& .venv/bin/python -m pytest")
    assert len(one_liners("powershell")) == 2


def test_ci_runs_the_test_command_of_the_readme():
    script = ROOT / ".ci" / "run"
    pattern = re.search(r"^pattern='(.+)'$", text_of(script), re.M)[1]
    found = re.findall(pattern, text_of(PAGES[0]), re.M)
    assert found == [one_liners("sh")[1]]
    assert script.stat().st_mode & 0o111, ".ci/run is not executable"
    subprocess.run(["bash", "-n", str(script)], check=True)
