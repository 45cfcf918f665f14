"""Every page in a real browser: wide and narrow, light and dark, links, files in and out."""

import re
from pathlib import Path

import pytest

from tests.browser.looks import DESKTOP, PHONE, failures, faint, is_wider, texts

ROOT = Path(__file__).resolve().parents[2]
TOURING, VAN = "crew-cab-touring", "high-roof-van"
PAGES = {  # address: a text that stands on that page alone
    "": "All cautions",
    "carry": "The same bend, before and now",
    "see_why": "Every result stays hidden",
    "vehicle": "Open or save a scenario file",
    "method": "What is computed",
}
DARK = "getComputedStyle(document.querySelector('[data-testid=stApp]')).colorScheme === 'dark'"

pytestmark = pytest.mark.browser


def _in_dark(page: object) -> None:
    """As a reader does who changes the whole computer to dark."""
    page.emulate_media(color_scheme="dark")
    page.wait_for_function(DARK, timeout=10_000)
    page.wait_for_timeout(500)


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
@pytest.mark.parametrize("path", PAGES)
def test_every_page_fits_and_can_be_read(visit, path, size):
    page = visit(TOURING, size, path=path, ready=PAGES[path])
    assert not is_wider(page, size[0])
    light = texts(page)
    assert len(light) > 20
    assert faint(light) == []
    _in_dark(page)
    assert faint(texts(page)) == []
    assert not is_wider(page, size[0])
    assert failures(page) == []
    assert page.locator("[data-testid=stException]").count() == 0


def test_the_same_bend_taken_faster_leans_more(visit):
    page = visit(TOURING, path="carry", ready=PAGES["carry"])
    labels = "[...document.querySelectorAll('svg[role=img]')].map(e => e.ariaLabel).join()"
    headline = page.get_by_text(re.compile("before.*now")).first
    before = page.evaluate(labels), headline.inner_text()
    speed = page.get_by_role("slider").nth(1)
    speed.focus()
    speed.press("ArrowRight")
    page.wait_for_function(f"old => {labels} !== old", arg=before[0], timeout=20_000)
    page.wait_for_url(re.compile("speed_kmh="), timeout=10_000)


def test_the_trainers_working_shows_once_an_answer_is_typed(visit):
    page = visit(TOURING, path="see_why", ready=PAGES["see_why"])
    assert page.get_by_text("The working", exact=True).count() == 0
    field = page.get_by_label(re.compile("^Your answer first"))
    field.fill("7")
    field.press("Enter")
    page.get_by_text("The working", exact=True).first.wait_for(timeout=30_000)
    assert faint(texts(page)) == []
    assert not is_wider(page, DESKTOP[0])
    assert failures(page) == []


def test_a_scenario_goes_out_and_comes_back_to_the_byte(visit, tmp_path):
    page = visit(TOURING, path="vehicle", ready=PAGES["vehicle"])
    page.get_by_text(PAGES["vehicle"]).click()
    with page.expect_download(timeout=30_000) as waiting:
        page.get_by_text("Save this scenario").click()
    saved = tmp_path / waiting.value.suggested_filename
    waiting.value.save_as(saved)
    source = ROOT / "scenarios" / f"{TOURING}.toml"
    assert saved.read_bytes() == source.read_bytes()
    own = tmp_path / "own.toml"
    own.write_bytes(re.sub(rb'title = ".*"', b'title = "Back from the disk"', saved.read_bytes()))
    page.locator("[data-testid=stFileUploader] input").set_input_files(own)
    page.wait_for_function(
        "[...document.querySelectorAll('input')].some(e => e.value.includes('Back from the disk'))",
        timeout=30_000,
    )
    page.wait_for_url(re.compile("scenario="), timeout=10_000)


def test_a_wrong_file_is_refused_in_words_and_nothing_is_lost(visit, tmp_path):
    page = visit(TOURING, path="vehicle", ready=PAGES["vehicle"])
    page.get_by_text(PAGES["vehicle"]).click()
    wrong = tmp_path / "wrong.toml"
    wrong.write_bytes(b"\x00\x01 no scenario")
    page.locator("[data-testid=stFileUploader] input").set_input_files(wrong)
    page.get_by_text("wrong.toml").first.wait_for(timeout=30_000)
    page.locator("[data-testid=stAlert]").first.wait_for(timeout=30_000)
    assert page.get_by_role("combobox").first.input_value() or TOURING
    assert "scenario=" not in page.url


def test_another_page_keeps_the_vehicle_of_the_link(visit):
    page = visit(VAN, query="&units=imperial")
    page.get_by_role("link", name="Carry a load").click()
    page.get_by_text(PAGES["carry"]).first.wait_for(timeout=30_000)
    page.wait_for_selector("[data-test-script-state=notRunning]", timeout=60_000)
    assert f"example={VAN}" in page.url
    assert "units=imperial" in page.url
    assert page.get_by_text("lb", exact=False).count() > 0
