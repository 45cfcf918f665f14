"""Every input error: one line that names file, key, what came, what is allowed, what to do."""

import copy
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rollsim import scenario
from rollsim.scenario import ScenarioError
from rollsim.scenario import rear_bar as bar_loader
from rollsim.scenario.errors import Problems
from tests.bad_input import (
    BAD_TABLES,
    DATA,
    INDEPENDENT,
    MASS,
    MOUNT,
    ONE_ERROR,
    TABLE,
    TEXT,
    errors_of,
)


@pytest.mark.parametrize("kind", ["leaf", "solid", "Solid axle", "live axle", "other", None])
def test_an_axle_of_refused_kind_with_a_spring_base_is_checked_as_solid(kind):
    old = 'suspension = "solid axle"\n'
    assert old in TEXT
    text = TEXT.replace(old, "" if kind is None else f'suspension = "{kind}"\n')
    text = text.replace('rate = "36 N/mm"', 'wheel_rate = "36 N/mm"')
    text = text.replace('base = "1000 mm"', "motion_ratio = 0.9")
    assert [line.split(": ")[1] for line in errors_of(text)] == [
        "rear.suspension",
        "rear.spring.wheel_rate",
        "rear.bump_stop.motion_ratio",
    ]


def test_an_axle_of_misspelled_kind_is_checked_as_the_nearest():
    text = TEXT.replace('suspension = "independent"', 'suspension = "independant"')
    text = text.replace('wheel_rate = "38 N/mm"', 'rate = "38 N/mm"')
    assert [line.split(": ")[1] for line in errors_of(text)] == [
        "front.suspension",
        "front.spring.motion_ratio",
    ]


def test_loads_that_outweigh_the_vehicle_name_the_heaviest():
    more = '[[load]]\nname = "tools"\nmass = "45 kg"\nbehind_front_axle = "2 m"\nheight = "1 m"\n'
    text = TEXT.replace(MASS, 'mass = "1950 kg"').replace("[change]", more + "\n[change]")
    (line,) = errors_of(text)
    assert line == (
        'crew_cab.toml: load[1].mass: found 1950 kg, with which the loads of "touring" weigh '
        "1995 kg; allowed together up to the vehicle's own mass as weighed, 1990 kg; check the "
        "number and its unit"
    )


def test_a_load_that_outweighs_the_vehicle_is_told_once_for_all_cases():
    text = TEXT.replace(MASS, 'mass = "4500 kg"')
    text = text.replace('cases = ["touring"]', 'cases = ["touring", "work week"]')
    (line,) = errors_of(text)
    assert "load[1].mass: found 4500 kg" in line


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        (MOUNT, 'arm_angle = "90 deg"', "arm_angle"),
        (MOUNT, 'link_inclination = "-90 deg"', "link_inclination"),
        (MOUNT, 'link_length = "0 mm"', "link_length"),
        (MOUNT, 'lash = "-1 mm"', "lash"),
        (MOUNT, 'bend_radius = "-1 mm"', "bend_radius"),
        ('bush_rate = "9 kN/mm"', 'bush_rate = "0 kN/mm"', "bush_rate"),
        ('link_rate = "12 kN/mm"', 'link_rate = "-1 N/mm"', "link_rate"),
    ],
)
def test_bar_that_cannot_be_hung(old, new, key):
    assert old in TEXT
    (line,) = errors_of(TEXT.replace(old, f"{MOUNT}\n{new}" if old == MOUNT else new))
    assert line.startswith(f"crew_cab.toml: rear_bar.{key}: found ")
    assert "allowed" in line


def test_installation_ratio_of_zero():
    lines = errors_of(INDEPENDENT.replace("installation_ratio = 0.7", "installation_ratio = 0.0"))
    assert any("rear_bar.installation_ratio: found the number 0 (read as 0)" in x for x in lines)


@pytest.mark.parametrize("word", ["lash", "bend_radius"])
def test_rounding_below_zero_is_zero(word):
    # Within the slack of the range, which a length below zero must not leave it through.
    read = scenario.loads(TEXT.replace(MOUNT, f'{MOUNT}\n{word} = "-1e-11 mm"'), "a.toml")
    assert read.rear_bar.installation.lash == 0.0
    assert all(shape.bend_radius == 0.0 for shape in read.rear_bar.shapes)


@pytest.mark.parametrize("record", ["Installation", "RearBar"])
def test_what_the_bar_itself_refuses_is_an_error_line(record, monkeypatch):
    kind = getattr(bar_loader, record)

    def refuse(**stated):
        if stated:
            raise ValueError("it cannot be so")
        return kind()

    monkeypatch.setattr(bar_loader, record, refuse)
    assert errors_of(TEXT) == ("crew_cab.toml: rear_bar: it cannot be so",)


@pytest.mark.parametrize(("old", "new", "expected"), ONE_ERROR)
def test_one_error(old, new, expected):
    assert old in TEXT
    (line,) = errors_of(TEXT.replace(old, new, 1))
    assert expected in line


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (
            'class = "van"',
            "",
            'front.spring: found "class default" without vehicle.class; allowed classes',
        ),
        (
            'front_left_mass = "520 kg"',
            "",
            "vehicle.front_left_mass: missing; the masses",
        ),
        (
            "installation_ratio = 0.7\n",
            "",
            "rear_bar.installation_ratio: missing; independent",
        ),
        (
            'track = "1500 mm"',
            'track = "1500 mm"\nspring_base = "1000 mm"',
            "rear.spring_base: independent",
        ),
        (
            'table = "spring.csv"',
            'table = "spring.csv", second_stage = { after = "1 mm", rate = "9 N/mm" }',
            "rear.spring.second_stage: a measured table",
        ),
        (
            '["0 mm", "0 mm", "0 mm"]',
            '["0 mm", "5 mm", "0 mm"]',
            "rear_bar.centreline: centreline: the first point",
        ),
        (
            '["0 mm", "0 mm", "0 mm"], ',
            '["0 mm", "0 mm"], ',
            "rear_bar.centreline: found a list of 2 as a point",
        ),
        (
            'mass = "40 kg"',
            'mass = "2100 kg"',
            'load: the loads taken off for "unladen" weigh more',
        ),
        (
            'mass = "40 kg"',
            'mass = "1600 kg"',
            'load: the rear axle of "unladen" would carry 100 kg',
        ),
        (
            'name = "tools"',
            'name = "Ladder  rack"',
            'load[2].name: found "Ladder  rack", the name of load[1]',
        ),
        (
            'sections = "round bars 18-20 mm"',
            'sections = "EN 10305-1 tubes 20-36 mm"',
            "rear_bar.stock[1].sections: ",
        ),
        (
            'bush_rate = "rubber"',
            'bush_rate = "rubbery"',
            'where no number stands; write a number and its unit, like "36 N/mm" or "205 '
            'lbf/in" (or "rubber" or "polyurethane")',
        ),
    ],
)
def test_one_kind_of_error_in_the_other_file(old, new, expected):
    assert old in INDEPENDENT
    lines = errors_of(INDEPENDENT.replace(old, new, 1))
    assert any(expected in line for line in lines), lines


@pytest.mark.parametrize(("name", "content", "expected"), BAD_TABLES)
def test_spring_table(tmp_path, name, content, expected):
    folder = tmp_path / "inside"
    folder.mkdir()
    if content is not None:
        (folder / name).write_text(content, encoding="utf-8")
    text = TEXT.replace('spring = { wheel_rate = "38 N/mm" }', TABLE.replace("NAME", name))
    (line,) = errors_of(text, folder)
    assert line.startswith("crew_cab.toml: front.spring.table: ")
    assert expected in line


def test_spring_table_behind_a_link_out_of_the_folder(tmp_path):
    folder = tmp_path / "inside"
    folder.mkdir()
    (tmp_path / "outside.csv").write_text("travel_mm,force_N\n0,1000\n90,9000\n")
    (folder / "link.csv").symlink_to(tmp_path / "outside.csv")
    text = TEXT.replace('spring = { wheel_rate = "38 N/mm" }', TABLE.replace("NAME", "link.csv"))
    (line,) = errors_of(text, folder)
    assert "outside the scenario's folder" in line


def test_spring_table_without_a_folder():
    text = TEXT.replace('spring = { wheel_rate = "38 N/mm" }', TABLE.replace("NAME", "a.csv"))
    (line,) = errors_of(text, None)
    assert "a scenario without a folder reads no CSV" in line


def test_sprung_cg_below_the_ground():
    text = TEXT.replace('"700 mm ± 25 mm"', '"200 mm"').replace('"375 mm"', '"800 mm"')
    (line,) = errors_of(text.replace('unsprung_mass = "190 kg"', 'unsprung_mass = "800 kg"'))
    assert "vehicle.cg_height: found 200 mm, which puts the sprung CG at" in line


def test_all_errors_of_a_file_at_once():
    text = TEXT
    for old, new in (
        ('track = "1560 mm"', 'trak = "1560 mm"'),
        ('wheelbase = "3085 mm"', 'wheelbase = "3085"'),
        ('spring_base = "1090 mm"', 'spring_base = "1700 mm"'),
        ('unsprung_mass = "190 kg"', 'unsprung_mass = "900 kg"'),
        ('mass = "85 kg"', 'mass = "-85 kg"'),
        ('case = "touring"', 'case = "trip"'),
        ('bush_spacing = "820 mm"', 'bush_spacing = "960 mm"'),
        ('"27 mm x 4 mm"]', '"27 mm x 14 mm"]'),
    ):
        assert old in text
        text = text.replace(old, new, 1)
    keys = [line.split(": ")[1] for line in errors_of(text)]
    assert sorted(keys) == [
        "front.track",
        "front.trak",
        "load[1].mass",
        "rear.spring_base",
        "rear.unsprung_mass",
        "rear_bar.bush_spacing",
        "rear_bar.sections[3]",
        "target.case",
        "vehicle.wheelbase",
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            'title = "a"\nvehicle = [1,\n',
            "crew_cab.toml: line 3: not readable as TOML",
        ),
        (
            'title = "a"\ntitle = "b"\n',
            "crew_cab.toml: line 2: not readable as TOML (Cannot overwrite",
        ),
        (
            "title 5\n",
            "crew_cab.toml: line 1: not readable as TOML (Expected '='",
        ),
        (
            "a = " + "[" * 9,
            "crew_cab.toml: has tables or lists 9 deep; allowed up to 8",
        ),
        (
            "a = " + "9" * 10000,
            "crew_cab.toml: not readable as TOML",
        ),
        (
            "#" * 100001,
            "crew_cab.toml: is larger than 100 kB",
        ),
        (
            "",
            "crew_cab.toml: title: missing",
        ),
    ],
)
def test_unreadable_text(text, expected):
    assert errors_of(text)[0].startswith(expected)


def test_unreadable_files(tmp_path):
    (tmp_path / "latin.toml").write_bytes('title = "caf\xe9"'.encode("latin-1"))
    (tmp_path / "large.toml").write_text("#" * 100_001)
    for name, expected in (
        ("absent.toml", "absent.toml: no such file"),
        (".", "is a folder"),
        ("latin.toml", "latin.toml: is not UTF-8 text"),
        ("large.toml", "large.toml: is larger than 100 kB"),
    ):
        with pytest.raises(ScenarioError) as caught:
            scenario.load(tmp_path / name)
        (line,) = caught.value.errors
        assert expected in line


def test_a_problem_is_told_once():
    problems = Problems("a.toml")
    problems.add("front.track", "missing")
    problems.add("front.track", "missing")
    assert problems.found == ("a.toml: front.track: missing",)


REFUSED = ("", 5, -1, True, [], {}, [{}], [1], float("nan"), float("inf"), 10**400, "x\ny")
WORDS = ("class default", "unladen", ["unladen"], ["a", "A"], "22 mm solid", "independent")
AMOUNTS = ("0 kg", "500 kg", "5 mm", "-5 mm", "900 mm", "40 N/mm", "9 kN/mm", "1e308 N/mm")
TABLES = ({"rate": "9 N/mm"}, {"table": "spring.csv"}, ["0 mm", "0 mm", "0 mm"])
VALUES = st.sampled_from((*REFUSED, *WORDS, *AMOUNTS, *TABLES, 0.5, "0.5"))
EDITS = st.lists(
    st.tuples(st.integers(0, 200), st.integers(0, 200), st.booleans(), VALUES),
    min_size=1,
    max_size=5,
)


@settings(max_examples=120, deadline=None)
@given(EDITS, st.booleans())
def test_random_edits_raise_nothing_but_scenario_errors(edits, other):
    data = tomllib.loads(INDEPENDENT if other else TEXT)
    for place, key, drop, value in edits:
        tables = list(_tables(data))
        table = tables[place % len(tables)]
        keys = list(table) or ["track"]
        if drop:
            table.pop(keys[key % len(keys)], None)
        else:
            table[keys[key % len(keys)]] = copy.deepcopy(value)
    try:
        read = scenario.from_data(data, "crew_cab.toml", DATA)
    except ScenarioError as refused:
        read = refused.errors
    assert read
    if isinstance(read, tuple):
        assert all("\n" not in line and len(line) < 1000 for line in read)
    else:
        assert "nan" not in repr(read)


def _tables(item):
    """Every table of the data, itself first."""
    if isinstance(item, dict):
        yield item
    if isinstance(item, dict | list):
        for part in item.values() if isinstance(item, dict) else item:
            yield from _tables(part)
