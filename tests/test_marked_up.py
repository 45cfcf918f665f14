"""Free texts of a file make no element of their own on any page that is printed or shown."""

import ast
import re
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from google.protobuf.message import Message
from streamlit.testing.v1 import AppTest

from rollsim.page import bay_sheet, carried, handout
from rollsim.page.bay_readings import TESTS
from rollsim.page.frame import plain
from rollsim.reader_units import METRIC
from rollsim.scenario import Scenario, loads
from rollsim.scenario.embedded import Source
from rollsim.scenario.packing import packed
from rollsim.sheet import job_sheet, work_out
from rollsim.teaching import class_code, worksheet
from tests.marked_up import ALL, MARKS, Census, marked, scenario, tame, wrong

ROOT = Path(__file__).resolve().parents[1]
PAGES = ("fit", "carry", "springs_weights", "see_why", "vehicle", "road_test", "shop")
QUERY = {"job": "true", "mine": "true", "wheels": "true", "sure": "true", "group": "Load items"}
SHOWN_BY_LETTER = {  # fields of Streamlit's messages that the browser never takes for Markdown
    ("TextInput", "default"),
    ("TextInput", "value"),
    ("TextArea", "default"),
    ("TextArea", "value"),
    ("Selectbox", "options"),
    ("Selectbox", "raw_value"),
    ("Code", "code_text"),
    ("Radio", "raw_value"),
    ("VegaLiteChart", "spec"),
}
NEEDED = [mark for mark in MARKS if plain(mark) != mark]
RAW = re.compile("|".join(rf"(?<!\\){re.escape(mark)}" for mark in NEEDED))


def test_a_text_without_marks_is_left_alone():
    for words in ("roof rack, tent (2 m) + 10 %", "front_axle_mass", "lash: 5.2 deg/g", "-1.5 kg"):
        assert plain(words) == words


def paper(found: Scenario, text: str) -> dict[str, str]:
    """Every page that is printed."""
    job, source = found.job, Source("a.toml", text, ())
    code = class_code.issue("autumn", "a long passphrase")
    case = job.target.case
    carry = carried.carried(found, case, 4.0)
    return {
        "job sheet": job_sheet(work_out(found), source, day=date(2026, 1, 2), version="1"),
        "handout": handout.page(carry, "a bend", METRIC, text=text),
        "bay sheet": bay_sheet.sheet(job, METRIC, title=found.title, tests=TESTS),
        "worksheets": worksheet.worksheets(job, code, (1, 2)),
        "key": worksheet.key(job, code, (1, 2), passphrase="a long passphrase"),
    }


def printed(called: Callable[[str, int], str]) -> dict[str, Census]:
    text = scenario(called)
    return {name: Census(html) for name, html in paper(loads(text, "a.toml", ROOT), text).items()}


def test_what_is_printed_has_the_elements_of_a_tame_one():
    found, without = printed(marked), printed(tame)
    assert ALL in found["job sheet"].text
    assert ALL in found["handout"].text
    assert {n for n in found if found[n].elements != without[n].elements} == set()


def read_as_markdown(message: Message) -> Iterator[tuple[str, str]]:
    """Every text of a message with the name of its field, but those shown letter by letter."""
    kind = message.DESCRIPTOR.name
    if kind == "Markdown" and message.allow_html:
        assert message.body.startswith("<div")
        assert "\n" not in message.body
        return
    for one, held in message.ListFields():
        if (kind, one.name) in SHOWN_BY_LETTER or one.name in ("id", "form_id", "key"):
            continue
        for value in held if one.is_repeated else [held]:
            if isinstance(value, Message):
                yield from read_as_markdown(value)
            elif isinstance(value, str):
                yield f"{kind}.{one.name}", value


def messages(node: object) -> Iterator[Message]:
    if isinstance(getattr(node, "proto", None), Message):
        yield node.proto
    for child in getattr(node, "children", {}).values():
        yield from messages(child)


def seen(text: str, name: str) -> AppTest:
    app = AppTest.from_file(ROOT / "app.py", default_timeout=120)
    app.query_params["scenario"] = packed(text)
    for key, asked in {**QUERY, "state": ALL, "bend": ALL, "part": ALL}.items():
        app.query_params[key] = asked
    app.switch_page(str(ROOT / "rollsim" / "page" / f"{name}.py"))
    return app.run()


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("text", [scenario(marked), wrong(marked)], ids=["answered", "wrong"])
def test_no_mark_reaches_the_page_as_it_came(name, text):
    app = seen(text, name)
    assert not app.exception
    found = [pair for one in messages(app._tree) for pair in read_as_markdown(one)]
    assert len(found) > 5
    assert [(field, told) for field, told in found if RAW.search(told)] == []
    for table in app.table:
        cells = (*table.value.columns, *table.value.index, *table.value.to_numpy().ravel())
        assert [cell for cell in cells if RAW.search(str(cell))] == []


def test_tables_and_pictures_go_to_the_page_through_the_frame_alone():
    found = []
    for path in sorted((ROOT / "rollsim" / "page").glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if path.name == "frame.py" or not isinstance(node, ast.Call):
                continue
            called = node.func.attr if isinstance(node.func, ast.Attribute) else ""
            if called in ("table", "write") or any(
                k.arg == "unsafe_allow_html" for k in node.keywords
            ):
                found.append((path.name, node.lineno))
    assert found == []
