"""Every page in a real browser: wide and narrow, light and dark, links, files in and out."""

import re
from pathlib import Path

import pytest

from rollsim.page.bay_readings import TESTS
from rollsim.scenario import load
from tests.browser.looks import DESKTOP, PHONE, count, counted, failures, faint, is_wider, texts

ROOT = Path(__file__).resolve().parents[2]
TOURING, VAN = "crew-cab-touring", "high-roof-van"
PAGES = {  # address: a text that stands on that page alone
    "": "All cautions",
    "carry": "The same bend, before and now",
    "springs_weights": "Tests in the bay",
    "see_why": "Every result stays hidden",
    "vehicle": "Open or save a scenario file",
    "road_test": "Before the drive",
    "shop": "One list of bars for all of them",
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
    page.wait_for_url(re.compile("speed="), timeout=10_000)


def test_the_bay_sheet_prints_a_page_a_test(visit, tmp_path):
    page = visit(TOURING, path="springs_weights", ready=PAGES["springs_weights"])
    with page.expect_download(timeout=30_000) as waiting:
        page.get_by_text("Bay sheet to print").click()
    sheet = tmp_path / waiting.value.suggested_filename
    waiting.value.save_as(sheet)
    page.goto(f"file://{sheet}")
    for paper in ("A4", "Letter"):
        assert len(re.findall(rb"/Type\s*/Page[^s]", page.pdf(format=paper))) == len(TESTS)


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
def test_the_trainers_working_shows_once_an_answer_is_typed(visit, size):
    page = visit(TOURING, size, path="see_why", ready=PAGES["see_why"])
    count(page)
    assert page.get_by_text("The working", exact=True).count() == 0
    hint = page.get_by_text(re.compile("^What leans it"))
    assert not hint.is_visible()
    page.locator("summary").filter(has_text="A hint").click()
    hint.wait_for(timeout=10_000)
    field = page.get_by_label(re.compile("^Your answer first"))
    field.fill("30")
    field.press("Enter")
    again = page.get_by_label(re.compile("^Second try"))
    again.wait_for(timeout=30_000)
    assert page.get_by_text("The working", exact=True).count() == 0
    again.fill("7.5")
    again.press("Enter")
    page.get_by_text("The working", exact=True).first.wait_for(timeout=30_000)
    page.get_by_text(re.compile("^Line by line")).click()
    line = page.locator(".step details").first
    line.wait_for(timeout=30_000)
    result = line.locator(".result")
    assert not result.is_visible()
    line.locator("summary").click()
    result.wait_for(timeout=5_000)
    view, slider = page.locator(".rear-view svg"), page.get_by_role("slider")
    view.wait_for(timeout=30_000)
    picture, before = view.bounding_box(), view.get_attribute("aria-label")
    bar = slider.first.bounding_box()
    beside = picture["y"] < bar["y"] < picture["y"] + picture["height"]
    assert (beside and picture["x"] > bar["x"]) is (size == DESKTOP)
    slider.first.focus()
    slider.first.press("ArrowRight")
    moved = "old => document.querySelector('.rear-view svg').getAttribute('aria-label') !== old"
    page.wait_for_function(moved, arg=before, timeout=20_000)
    # The first three minutes: two answers, a hint, line by line, one line, one effect.
    assert counted(page) == (2, 3)
    assert faint(texts(page)) == []
    assert not is_wider(page, size[0])
    assert result.is_visible()
    assert failures(page) == []


@pytest.mark.parametrize("size", [(1920, 1080), PHONE])
def test_a_link_to_one_effect_fits_a_projector_and_a_phone(visit, size):
    query = "&loading=work+week&effect=rear+spring+rate&change=10"
    page = visit(TOURING, size, query=query, path="see_why", ready=PAGES["see_why"])
    field = page.get_by_label(re.compile("^Your answer first"))
    field.fill("7")
    field.press("Enter")
    page.get_by_text(re.compile("^rear spring rate 36.0 N/mm → 39.6 N/mm")).wait_for(timeout=30_000)
    assert "change=10" in page.url
    assert not is_wider(page, size[0])
    assert faint(texts(page)) == []
    smallest = page.evaluate(
        "Math.min(...[...document.querySelectorAll('[data-testid=stTable] td')]"
        ".filter(e => e.checkVisibility()).map(e => parseFloat(getComputedStyle(e).fontSize)))"
    )
    assert smallest >= (20.0 if size[0] > PHONE[0] else 12.0)


def test_a_fold_stays_open_while_its_fields_are_typed_in(visit):
    page = visit(TOURING, PHONE, query="&group=Rear+axle", path="vehicle", ready="Bump stop")
    tyre = page.locator("details").filter(has=page.locator("summary", has_text="Tyre"))
    assert page.locator("details[open]").count() == 0
    height = page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
    assert height < 3.4 * PHONE[1]  # folds for alignment, damper and leaves are among them
    tyre.locator("summary").click()
    for typed, told in (("910 kg", "rated load 910 kg"), ("910 m", "1 to mend"), ("920", "920 kg")):
        field = page.locator("input[aria-label^='Tyre, rated load']")
        field.fill(typed)
        field.press("Enter")
        page.locator("summary").filter(has_text=told).wait_for(timeout=30_000)
        page.wait_for_selector("[data-test-script-state=notRunning]", timeout=60_000)
        assert tyre.get_attribute("open") is not None


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
    title = load(ROOT / "scenarios" / f"{TOURING}.toml").title
    shown = page.locator("input").evaluate_all("fields => fields.map(field => field.value)")
    assert title in shown
    assert "scenario=" not in page.url


def test_another_page_keeps_the_vehicle_of_the_link(visit):
    page = visit(VAN, query="&units=imperial")
    page.get_by_role("link", name="Carry a load").click()
    page.get_by_text(PAGES["carry"]).first.wait_for(timeout=30_000)
    page.wait_for_selector("[data-test-script-state=notRunning]", timeout=60_000)
    assert f"example={VAN}" in page.url
    assert "units=imperial" in page.url
    assert page.get_by_text("lb", exact=False).count() > 0
