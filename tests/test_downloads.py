"""Files to take away: cells that no spreadsheet runs, pictures and charts that stand alone."""

import csv
import io
import struct
import xml.etree.ElementTree as ET

import pandas as pd
import pytest
from altair.utils.schemapi import SchemaValidationError
from hypothesis import given
from hypothesis import strategies as st

from rollsim.bar_range import Fits, Summary
from rollsim.charts import WheelCurve, WheelMark, fits_chart, lean_chart, wheel_chart
from rollsim.page import downloads
from rollsim.page.shown_chart import Chart
from rollsim.plots.lean_curves import REAR_LIFTS, LeanCurve, Lift


def rows(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))


@pytest.mark.parametrize(
    ("cell", "wanted"),
    [
        ("=1+1", "'=1+1"),
        ("+cmd", "'+cmd"),
        ("-cmd", "'-cmd"),
        ("@sum", "'@sum"),
        ("  =1+1", "'  =1+1"),
        ("\t=1", "'\t=1"),
        ("-0.25", "-0.25"),
        ("+12", "+12"),
        ("-3%", "-3%"),
        ("-1+1", "'-1+1"),
        ("touring", "touring"),
        ("5.86 → 4.73", "5.86 → 4.73"),
    ],
)
def test_a_cell_is_text_or_number_never_a_formula(cell, wanted):
    assert downloads.safe(cell) == wanted


@given(st.text())
def test_what_is_made_safe_begins_as_no_formula(cell):
    found = downloads.safe(cell)
    if found.lstrip()[:1] in ("=", "+", "-", "@"):
        float(found.rstrip("%"))  # a plain number


def test_csv_has_headings_index_and_no_formula():
    table = pd.DataFrame({"=state": ["@tent", "-0.5"], "mass": [1.5, None]}, index=["=a", "b"])
    found = rows(downloads.csv(table.rename_axis("what")))
    assert found == [["what", "'=state", "mass"], ["'=a", "'@tent", "1.5"], ["b", "-0.5", "–"]]


def test_csv_leaves_a_plain_numbering_out():
    assert rows(downloads.csv(pd.DataFrame({"rank": [1, 2]}))) == [["rank"], ["1"], ["2"]]


def chart():
    lift = Lift(REAR_LIFTS, 0.35, 2.0)
    return Chart(lean_chart, [LeanCurve("=<unladen>", (0.0, 0.4), (0.0, 2.3), 1.04, (lift,))])


CURVE, MARK = WheelCurve("camber", (-10.0, 10.0), (-0.5, 0.1)), WheelMark("touring", 5.0, 0.0)
COUNTED = Summary({"fits": 2}, (Fits("A1", 1, 2),), {})


@pytest.mark.parametrize(
    "one",
    [chart(), Chart(wheel_chart, [CURVE], [MARK], "mm"), Chart(fits_chart, COUNTED)],
    ids=["lean", "wheels", "fits"],
)
def test_a_chart_keeps_to_the_schema_that_no_page_checks(one):
    """Those of bars, springs and the road test are checked where their marks are."""
    one(dark=True).to_dict(validate=True)
    with pytest.raises(SchemaValidationError):
        one().configure_axis(labelFontSize="tall").to_dict(validate=True)


def test_a_chart_becomes_an_svg_with_its_words():
    drawn = downloads.chart_svg(chart())
    assert ET.fromstring(drawn).tag.endswith("svg")
    assert "tips at 1.04 g" in drawn
    assert "<unladen>" not in drawn


def test_a_chart_becomes_a_png_of_its_size():
    data = downloads.chart_png(chart())
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", data[16:24])
    assert width > 2 * 700
    assert height > 2 * 300
