"""docs/validation.md is what `python -m tests.validation` writes."""

import re

import pytest

from tests import validation

TEXT = validation.PAGE.read_text(encoding="utf-8")


@pytest.mark.parametrize("part", ["printed", "vehicles", "vehicle_on_the_road"])
def test_the_page_holds_what_the_script_writes(part):
    assert getattr(validation, part)() in TEXT


def test_the_rows_of_the_engine_are_its_own():
    """Two of the fifteen: the others cost seconds and are held where they are compared."""
    for one in (("scenarios/low-car", False), ("tests/data/crew_cab", True)):
        assert f"| {' | '.join(validation.engine_row(*one))} |" in TEXT


def test_it_is_dated_and_says_what_is_not_validated():
    assert re.search(rf"{re.escape(validation.MARK)}\d+ [A-Z][a-z]+ 20\d\d\.", TEXT)
    assert TEXT.endswith(validation.LEFT)
    for name in re.findall(r"\((images/[\w.-]+)\)", TEXT):
        assert (validation.PAGE.parent / name).is_file()
