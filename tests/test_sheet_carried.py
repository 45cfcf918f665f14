"""The job sheet: what it holds, who opens it, and that nothing typed can harm it."""

import functools
import json
import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from rollsim import mass, scenario
from rollsim.cli import main
from rollsim.page import answers, bars, fields, outcome
from rollsim.reader_units import METRIC, READER_UNITS, UnitSystem, figure
from rollsim.record.kept import job_in
from rollsim.scenario import ScenarioError, Source
from rollsim.scenario.embedded import embed, extract
from rollsim.sheet import Paper, picture_to_send, words, work_out
from rollsim.sheet.work import LEAN_AT
from rollsim.units import Quantity
from rollsim.wording import bar_words
from tests.fit_page import BEYOND, EXAMPLES, FILES, LOW_CAR, TOURING
from tests.sheets import (
    FEW,
    NASTY,
    ROOT,
    Page,
    of_text,
    sheet,
    shown,
    spec,
    worked,
    written,
)


@pytest.mark.parametrize("stem", EXAMPLES)
def test_cautions_and_signatures_stand_on_every_sheet(stem):
    page = shown(stem)
    assert "Local codes and a licensed engineer decide" in page
    assert "a kerb, a soft edge, a swerve, a gust" in page
    assert "are a prediction; I do not sign for them" in page
    assert "2026-01-31" in page
    assert "rollsim 1.2.3" in page
    assert not re.search(r"\bOK\b|\bapproved for\b", page)
    assert re.findall(r"[^.;]*safe (?:speed|slope)", page) in (
        [],
        [one for one in re.findall(r"[^.;]*safe (?:speed|slope)", page) if "no figure here" in one],
    )


@pytest.mark.parametrize("stem", EXAMPLES)
def test_it_asks_for_nothing_from_outside_and_runs_nothing(stem):
    html = sheet(stem).replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert not re.search(r"https?:|//[a-z]|url\(|@import|src=|href=|<script|<link", html)
    assert not any(name.startswith("on") for _, tag in Page(html).tags for name in tag)


@pytest.mark.parametrize("stem", EXAMPLES)
def test_the_scenario_comes_back_to_the_letter(stem, tmp_path):
    path = tmp_path / "job.html"
    path.write_text(sheet(stem), encoding="utf-8")
    assert scenario.source(path) == scenario.source(FILES[stem])
    assert scenario.source(path).text == FILES[stem].read_text(encoding="utf-8")
    again, first = scenario.load(path), scenario.load(FILES[stem])
    assert replace(again, path=first.path) == first
    assert again.path == "job.html"


def test_the_sheet_keeps_its_job_for_the_record():
    work = worked(TOURING)
    tested = replace(work.scenario, registration="AB 12", lean_after=Quantity(0.0325, 0.0017))
    shop = "In this shop's 7 measured jobs"
    html = written(replace(work, scenario=tested), scenario.source(FILES[TOURING]), shop=shop)
    job = job_in(html, "job.html")
    assert (job.registration, job.date, job.version) == ("AB 12", "2026-01-31", "1.2.3")
    loaded = work.leans[0]
    unladen = next(p for p in work.before[0].curve if p.lateral_acceleration == LEAN_AT)
    kept = (job.before, job.predicted, job.measured, job.unladen)
    assert kept == pytest.approx(
        (loaded.before.value, loaded.after.value, 0.0325, unladen.roll_angle), rel=1e-9
    )
    assert (job.band_low, job.band_high) == pytest.approx(
        (loaded.after.within.low, loaded.after.within.high), rel=1e-9
    )
    assert job.bar == bar_words(work.bar, METRIC)
    assert job.open_items == ()
    assert "lean after the work not measured" in job_in(sheet(TOURING), "job.html").open_items
    text = Page(html).text
    assert shop in text
    assert "1.9°" in text  # what the test read, where a blank is without it


def test_the_picture_to_send_has_both_angles_and_its_caution():
    work = worked(TOURING)
    vehicle = replace(work.scenario.job.vehicle, name=NASTY)
    named = replace(work.scenario, job=replace(work.scenario.job, vehicle=vehicle))
    root = ElementTree.fromstring(picture_to_send(replace(work, scenario=named), METRIC))
    said = [" ".join(one.itertext()) for one in root.iter("{http://www.w3.org/2000/svg}text")]
    loaded, _ = work.leans
    assert f"before: leans {words.degrees(loaded.before.value)}" in said
    assert f"with this bar: leans {words.degrees(loaded.after.value)}" in said
    assert said[0] == NASTY or NASTY in said
    whole = " ".join(said)
    assert words.customer_line(work) in whole
    assert words.PLAIN_COST in whole
    assert words.NO_MORE in whole
    width, height = (float(root.get(side)) for side in ("width", "height"))
    assert root.get("viewBox") == f"0 0 {width:g} {height:g}"
    lowest = max(float(one.get("y")) for one in root if one.tag.endswith("text"))
    assert lowest < height


@pytest.mark.parametrize("command", ["roll", "size", "springs"])
def test_commands_open_the_sheet(command, tmp_path, capsys):
    path = tmp_path / "job.html"
    path.write_text(sheet(TOURING), encoding="utf-8")
    found = []
    for file in (path, FILES[TOURING]):
        assert main([command, str(file), "--json"]) == 0
        found.append(json.loads(capsys.readouterr().out))
    assert found[0] == found[1]


def test_texts_survive_that_html_would_change():
    text = 'title = "a"\r\n# \u2028 <b> & "x" ± \U0001f6fb \t\r\n'
    source = Source("näme & co.toml", text, (("spring.csv", "travel_mm,force_N\n0,0\n"),))
    assert extract(f"<html>{embed(source)}</html>") == source


def with_a_table(folder: Path) -> Path:
    (folder / "springs").mkdir()
    csv = ROOT / "tests" / "data" / "spring.csv"
    (folder / "springs" / "rear.csv").write_bytes(csv.read_bytes())
    text = (ROOT / "tests" / "data" / "crew_cab.toml").read_text(encoding="utf-8")
    text = re.sub(
        r"(\[rear\].*?)^spring = .*?$",
        r'\1spring = { table = "springs/rear.csv" }',
        text,
        count=1,
        flags=re.DOTALL | re.MULTILINE,
    )
    path = folder / "measured.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_measured_spring_travels_with_the_sheet(tmp_path):
    path = with_a_table(tmp_path)
    source, read = scenario.source(path), scenario.load(path)
    assert [name for name, _ in source.tables] == ["springs/rear.csv"]
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    job = elsewhere / "job.html"
    job.write_text(written(work_out(read, samples=FEW), source), encoding="utf-8")
    assert scenario.load(job).job == read.job
    without = replace(source, tables=())
    job.write_text(f"<html>{embed(without)}</html>", encoding="utf-8")
    with pytest.raises(ScenarioError) as wrong:
        scenario.load(job)
    assert wrong.value.errors == (
        'job.html: rear.spring.table: found "springs/rear.csv", but the sheet holds no such CSV; '
        "add the file",
    )


@pytest.mark.parametrize(
    "html",
    [
        "<html></html>",
        '<meta name="rollsim-scenario" content="%%%%">',
        '<meta name="rollsim-scenario" content="AAAA">',
        '<meta name="rollsim-scenario" content="W10=">',  # []
        '<meta name="rollsim-scenario" content="eyJuYW1lIjoxLCJ0ZXh0IjoyLCJ0YWJsZXMiOnt9fQ==">',
    ],
)
def test_a_sheet_without_a_scenario_is_refused(html, tmp_path, capsys):
    path = tmp_path / "job.html"
    path.write_text(html, encoding="utf-8")
    assert main(["check", str(path)]) == 2
    assert capsys.readouterr().err == (
        "job.html: holds no scenario, or a damaged one; allowed a job sheet of this program as it "
        "was written, or a scenario file (TOML); make the sheet again from the file\n"
    )


def test_what_is_typed_is_text_everywhere():
    text = FILES[TOURING].read_text(encoding="utf-8")
    quoted = json.dumps(NASTY)
    text = text.replace('"Demo crew-cab"', quoted).replace('"canopy"', quoted)
    text = text.replace('"Crew-cab, work week and touring load"', quoted)
    text = text.replace('"touring"', quoted)
    html = of_text(text)
    page, plain = Page(html), Page(sheet(TOURING))
    assert [tag for tag, _ in page.tags] == [tag for tag, _ in plain.tags]
    assert [set(found) for _, found in page.tags] == [set(found) for _, found in plain.tags]
    assert page.text.count(NASTY) > 5
    style = re.search(r"<style>(.*?)</style>", html, re.DOTALL)[1]
    assert "@bottom-right" in style
    assert "alert(1)" not in style
    assert extract(html).text == text


def test_a_name_cannot_pass_for_the_scenario(tmp_path):
    other = embed(Source("other.toml", 'title = "other"'))
    text = FILES[LOW_CAR].read_text(encoding="utf-8")
    text = text.replace('"Demo low car"', json.dumps(other))
    assert extract(of_text(text)).text == text


def test_imperial_figures_and_letter_paper():
    source = scenario.source(FILES[TOURING])
    units = READER_UNITS[UnitSystem.IMPERIAL]
    html = written(worked(TOURING), source, units=units, paper=Paper.LETTER)
    assert "size: letter" in html
    assert "size: a4" in sheet(TOURING)
    rows = spec(html)
    assert rows["link end to link end"].endswith(" in")
    assert rows["steel allows"] == f"{1200 / 6.894757:.1f} ksi"
    assert "1130 kg ± 10 kg" in Page(html).text  # what was typed stays


def test_the_command_writes_the_sheet(tmp_path, capsys):
    path = tmp_path / "job.html"
    arguments = ["sheet", str(FILES[LOW_CAR]), "-o", str(path), "--date", "2026-01-31"]
    assert main([*arguments, "--paper", "letter"]) == 0
    assert "job sheet written" in capsys.readouterr().out
    first = path.read_bytes()
    assert main([*arguments, "--paper", "letter"]) == 0
    assert path.read_bytes() == first
    assert b"2026-01-31" in first
    assert b"size: letter" in first
    again = tmp_path / "again.html"
    assert main(["sheet", str(path), "-o", str(again), *arguments[4:], "--paper", "letter"]) == 0
    assert again.read_bytes() == first


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["-o", "job.toml"], "found 'job.toml'; allowed a name that ends in .html"),
        (["-o", "job.html", "--date", "31.1."], "found '31.1.'; allowed a date such as 2026-01-31"),
        (["-o", "job.html", "--rank", "1"], "--rank: found 1, but the scenario has no [rear_bar]"),
        (["-o", "job.html", "--pair"], "--pair: found, but the scenario has no [rear_bar] to be"),
        (["-o", "no/such/job.html"], "cannot be written (No such file or directory)"),
    ],
)
def test_wrong_options_are_told(options, message, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["sheet", str(FILES[LOW_CAR]), *options]) == 2
    assert message in (told := capsys.readouterr().err)
    assert not told.startswith("--rank: --")
    assert list(tmp_path.iterdir()) == []


@functools.cache
def read_by_the_page(stem: str) -> answers.Sized:
    return answers.read(FILES[stem].read_text(encoding="utf-8"), "x.toml", ROOT / "scenarios")


def test_the_page_hands_out_the_bar_that_is_shown():
    read = read_by_the_page(TOURING)
    bar = read.sizing.candidates[1]
    assert bar is not read.sizing.choice
    found = answers.Answer(read.scenario, read.sizing, answers.Bend.LEFT, (), bar)
    rows = spec(outcome.job_sheet_of(found, scenario.source(FILES[TOURING])))
    assert rows["section"] == bar.section.label
    assert rows["hole, both sides"].startswith(f"{figure(bar.lever, 'mm')} mm")


def test_the_page_hands_out_no_bar_where_none_is_chosen():
    read = read_by_the_page(BEYOND)
    bar = read.sizing.candidates[bars.default_rank(read.sizing)]
    untoleranced = replace(read.scenario, tolerances=())
    found = answers.Answer(untoleranced, read.sizing, answers.Bend.LEFT, (), bar)
    assert "No bar to order" in outcome.job_sheet_of(found, scenario.source(FILES[BEYOND]))


def test_the_page_opens_a_sheet():
    data, name = fields.scenario_of(sheet(TOURING).encode("utf-8"), "job.html")
    assert name == "crew-cab-touring.toml"
    assert data.decode("utf-8") == FILES[TOURING].read_text(encoding="utf-8")
    plain = FILES[TOURING].read_bytes()
    assert fields.scenario_of(plain, "any.toml") == (plain, "any.toml")
    nothing = fields.scenario_of(b"<html>", "job.html")
    assert "holds no scenario" in fields.refuse_upload(*nothing)[0]


def test_states_that_repeat_have_no_row_of_their_own():
    assert mass.states(worked(TOURING).scenario.job)[1].name == "as_weighed"
    heads = re.findall(r'<th class="n u">([^<]+)</th>', sheet(TOURING))
    assert "as weighed" not in heads
    assert {"unladen", "work week", "touring"} <= set(heads)
    assert METRIC.mass == "kg"
