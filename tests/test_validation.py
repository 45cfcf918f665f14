"""docs/validation.md is what `python -m tests.validation` writes."""

import re

import pytest

from rollsim.vehicle import VehicleClass
from tests import validation

TEXT = validation.PAGE.read_text(encoding="utf-8")


@pytest.mark.parametrize("part", ["printed", "vehicles", "vehicle_on_the_road"])
def test_the_page_holds_what_the_script_writes(part):
    assert getattr(validation, part)() in TEXT


def test_rows_that_cost_seconds_are_the_scripts():
    """One of each: the others are held where they are worked out."""
    rows = (
        validation.engine_row("twisting frame, load behind the axle"),
        validation.law_row(VehicleClass.VAN),
    )
    for row in rows:
        assert f"| {' | '.join(row)} |" in TEXT


def test_it_is_dated_and_says_what_is_not_validated():
    assert re.search(rf"{re.escape(validation.MARK)}\d+ [A-Z][a-z]+ 20\d\d\.", TEXT)
    assert TEXT.endswith(validation.LEFT)
    for name in re.findall(r"\((images/[\w.-]+)\)", TEXT):
        assert (validation.PAGE.parent / name).is_file()
