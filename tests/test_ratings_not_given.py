"""A rating that is not given is named as not checked, wherever ratings are told."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from rollsim.cli import main
from rollsim.mass import not_checked
from rollsim.page import carried, handout
from rollsim.reader_units import METRIC
from rollsim.scenario import load, loads
from rollsim.scenario.editing import changed
from rollsim.scenario.packing import packed
from rollsim.tell.ratings import not_checked_words
from rollsim.vehicle import Place

ROOT = Path(__file__).resolve().parents[1]
TOURING = (ROOT / "scenarios/crew-cab-touring.toml").read_text(encoding="utf-8")
GIVEN = ("front_axle", "rear_axle", "gross_vehicle_mass", "roof_load")
WITHOUT = changed(TOURING, {"ratings.rear_axle": None, "ratings.roof_load": None})
WORDS = "not checked: rear axle, roof load on road, roof load off road (no rating given)"


def text_with(*names: str) -> str:
    return changed(TOURING, {f"ratings.{name}": None for name in GIVEN if name not in names})


def test_what_is_not_given_is_named():
    assert not_checked_words(loads(WITHOUT, "x.toml").job) == WORDS
    assert set(not_checked(loads(text_with(), "x.toml").job)) >= set(GIVEN)


@pytest.mark.parametrize("name", GIVEN)
def test_each_rating_counts(name):
    missing = not_checked(loads(changed(TOURING, {f"ratings.{name}": None}), "x.toml").job)
    assert name in missing
    assert name not in not_checked(loads(TOURING, "x.toml").job)


def test_ratings_of_a_roof_with_nothing_on_it_are_not_asked_for():
    job = load(ROOT / "scenarios/low-car.toml").job
    assert [load.name for load in job.loads if load.place is Place.ROOF] == ["roof box"]
    with_roof, without = not_checked(job), not_checked(replace(job, loads=()))
    assert set(with_roof) - set(without) == {"roof_load_off_road"}
    assert "roof_load_parked" not in with_roof


def test_where_every_rating_is_given_nothing_is_said():
    text = changed(
        TOURING, {"ratings.roof_load_off_road": "60 kg", "ratings.roof_load_parked": "250 kg"}
    )
    assert not_checked_words(loads(text, "x.toml").job) == ""


@pytest.fixture
def path(tmp_path) -> Path:
    found = tmp_path / "without.toml"
    found.write_text(WITHOUT, encoding="utf-8")
    return found


@pytest.mark.parametrize("command", ["roll", "size", "springs"])
def test_every_command_names_them_in_table_and_json(command, path, capsys):
    assert main([command, str(path)]) == 0
    assert " ".join(capsys.readouterr().out.split()).count(WORDS) == 1
    assert main([command, str(path), "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert record["ratings_not_checked"] == ["rear_axle", "roof_load", "roof_load_off_road"]


def test_a_file_without_any_rating_says_so_too(tmp_path, capsys):
    bare = tmp_path / "bare.toml"
    bare.write_text(text_with(), encoding="utf-8")
    for command in ("roll", "springs"):
        assert main([command, str(bare)]) == 0
        out = " ".join(capsys.readouterr().out.split())
        assert "not checked: front axle, rear axle, gross vehicle mass, roof load on road" in out


def test_the_sheet_names_them(path, tmp_path, capsys):
    sheet = tmp_path / "sheet.html"
    assert main(["sheet", str(path), "-o", str(sheet)]) == 0
    capsys.readouterr()
    assert WORDS.capitalize() in sheet.read_text(encoding="utf-8")


@pytest.mark.parametrize("page", ["fit", "springs_weights", "carry"])
def test_every_page_with_ratings_names_them(page):
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    app.query_params["scenario"] = packed(WITHOUT)
    app.query_params["part"] = "States and ratings"
    app = app.switch_page(f"rollsim/page/{page}.py").run()
    assert not app.exception
    said = "\n".join(e.value for e in (*app.markdown, *app.caption)).replace("\\", "")
    names = "rear axle, roof on the road" if page == "carry" else "rear axle, roof load on road"
    assert f"ot checked: {names}" in said


def test_the_printout_for_the_fitter_names_them():
    found = loads(WITHOUT, "x.toml")
    c = carried.carried(found, "touring", 3.0)
    assert carried.not_checked(c) in handout.page(c, "a bend", METRIC, text="")
    assert carried.not_checked(c).startswith("Not checked: rear axle, roof on the road")
