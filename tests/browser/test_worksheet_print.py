"""The worksheets printed by chromium: a page each, whatever fonts the computer has."""

import pytest

from rollsim import scenario
from rollsim.reader_units import READER_UNITS, UnitSystem
from rollsim.teaching import class_code, worksheet
from tests.browser.printed import pages
from tests.browser.test_sheet_print import ROOT

CASE = scenario.load(ROOT / "tests" / "cases" / "helper-and-offset.toml").job
CODE = class_code.issue("autumn", "leaf springs squeak")
WIDE = "<style>body, body * { font-family: 'DejaVu Sans' !important }</style></head>"


@pytest.mark.browser
@pytest.mark.parametrize("system", list(UnitSystem))
def test_a_worksheet_takes_one_page(system, chromium):
    """The longest working that there is: helper, offset and lift; and a class of three."""
    units = READER_UNITS[system]
    one = worksheet.one_page(CASE, "work week", units=units)
    three = worksheet.worksheets(CASE, CODE, [1, 2, 3], units=units)
    tab = chromium.new_page()
    for html in (one, one.replace("</head>", WIDE)):
        tab.set_content(html)
        assert len(pages(tab.pdf(prefer_css_page_size=True))) == 1
    for html in (three, three.replace("</head>", WIDE)):
        tab.set_content(html)
        found = pages(tab.pdf(prefer_css_page_size=True))
        assert [f"Sheet{n}" in page for n, page in enumerate(found, start=1)] == [True] * 3
    tab.close()
