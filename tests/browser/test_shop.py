"""A fitter whose customer comes back after a year: shelf, sheets, the last sheet, the new band."""

import re

import pytest

from rollsim.page.outcome import HOW_SURE
from tests.browser.looks import failures
from tests.builders import ROOT
from tests.test_shop_page import sheet

CHOSEN = """() => [...document.querySelectorAll('input')].some(one =>
  one.value.includes('Crew-cab, vehicle 0')) || document.body.innerText.includes('vehicle 0')"""
pytestmark = pytest.mark.browser


def test_a_customer_comes_back_after_a_year(visit, tmp_path):
    files = [tmp_path / f"s{number}.html" for number in range(12)]
    for number, path in enumerate(files):
        path.write_bytes(sheet(number // 2, tested=number % 2 == 0))
    page = visit("crew-cab-touring", query="&job=true")
    page.locator("input[type=file]").first.set_input_files(ROOT / "scenarios" / "shelf-demo.csv")
    page.get_by_text(re.compile(r"Part SB-\d+: ")).first.wait_for(timeout=30_000)
    page.get_by_text("The shop", exact=True).first.click()
    page.get_by_text("One list of bars for all of them").wait_for(timeout=30_000)
    page.locator("input[type=file]").first.set_input_files(files)
    page.get_by_text("On this shop's 6 measured vehicles").wait_for(timeout=30_000)
    page.get_by_role("button", name="Hold them against the shelf").click()
    page.get_by_text("12 vehicles and load cases: a bar fits 12").wait_for(timeout=60_000)
    page.get_by_role("button", name="Start from its last sheet").click()
    page.wait_for_function(CHOSEN, timeout=30_000)
    page.get_by_text("Fit a bar", exact=True).first.click()
    page.get_by_text(HOW_SURE).first.click()
    page.get_by_text("On this shop's 6 measured vehicles").wait_for(timeout=60_000)
    # The new order is saved, and is a job of its own beside last year's.
    with page.expect_download(timeout=60_000) as saved:
        page.get_by_role("button", name="Job sheet with this bar").click()
    new = tmp_path / "second-year.html"
    saved.value.save_as(new)
    page.get_by_text("The shop", exact=True).first.click()
    page.get_by_text("6 jobs on 12 sheets").wait_for(timeout=30_000)
    page.locator("input[type=file]").first.set_input_files([new])
    page.get_by_text("7 jobs on 13 sheets").wait_for(timeout=30_000)
    newest = page.locator("tbody tr").first.inner_text()
    assert "AB 0" in newest
    assert "–" in newest  # last year's reading did not travel along
    assert failures(page) == []
