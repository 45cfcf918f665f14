"""Where a vehicle does not stand at stock height plus lift, every surface says so at once."""

import json
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from rollsim.cli import main
from rollsim.scenario import load, loads
from rollsim.scenario.packing import packed
from rollsim.spring_check import spring_checks
from rollsim.vehicle import STANDARD_GRAVITY

ROOT = Path(__file__).resolve().parents[1]
WAGON = ROOT / "tests/cases/coil-wagon-no-lift.toml"
TEXT = WAGON.read_text(encoding="utf-8")
STATED = 'rear_spring = { rate = "34 N/mm", load = "560 kg", at = "45 mm" }'
LIFT = 'suspension_lift_rear = "0 mm"'
TYRES = 'tyre_radius = "15 mm"'
RATE, ADDED = 26e3, 2.0  # N/m of the rear springs; two of them


def with_lift(lift: str, spring: str = STATED) -> str:
    for old in (STATED, LIFT):
        assert TEXT.count(old) == 1
    return TEXT.replace(LIFT, f'suspension_lift_rear = "{lift}"').replace(STATED, spring)


def easy() -> str:
    """Nothing to bring back: what else helps a vehicle without a bar that fits takes seconds."""
    return f'{with_lift("45 mm")}\n[target]\nroll_gradient = "20 deg/g"\n'


def twice(text: str) -> list[str]:
    notes = loads(text, "x.toml", ROOT / "tests/data").notes
    return [note for note in notes if "counted twice" in note]


def about_heights(text: str) -> list[str]:
    return [note for note in loads(text, "x.toml").notes if "from stock, where" in note]


def heights(text: str) -> dict[str, float]:
    """Rear, from stock [mm]."""
    found = {c.name: c.rear.ride_height_change for c in spring_checks(loads(text, "x.toml").job)}
    return {name: 1e3 * (rise - found["unladen"]) for name, rise in found.items()}


def test_a_lift_that_the_spring_states_too_is_counted_twice():
    text = with_lift("45 mm")
    (note,) = twice(text)
    assert note.startswith("change.rear_spring: at (+45 mm) says the lift that ")
    stands = heights(text)
    assert stands["weekday"] == pytest.approx(94.0, abs=1.0)
    assert f'"weekend" it stands at +{stands["weekend"]:.0f} mm' in note
    assert heights(TEXT)["weekday"] == pytest.approx(48.0, abs=1.0)
    assert twice(TEXT) == []


def test_a_file_that_leaves_the_lift_to_the_spring_is_told_what_lifts_it():
    (note,) = about_heights(TEXT)
    assert note.startswith("rear ride height: the new spring lifts it by its own load and at")
    assert note.endswith('where the lift alone makes 0 mm: "weekday" +48 mm')


@pytest.mark.parametrize(
    ("lift", "spring"),
    [
        ("45 mm", STATED.replace("45 mm", "1.8 in")),
        ("45 mm", STATED.replace("45 mm", "32 mm")),
        ("45 mm", STATED.replace("45 mm", "58 mm")),
        ("20 mm", STATED.replace("45 mm", "20 mm")),
        ("-30 mm", STATED.replace("45 mm", "-30 mm").replace("560 kg", "440 kg")),
        ("45 mm", 'rear_spring = { rate = "34 N/mm", load = "700 kg", at = "45 mm" }'),
    ],
)
def test_the_lift_in_other_words_is_counted_twice_as_well(lift, spring):
    assert len(twice(with_lift(lift, spring))) == 1


@pytest.mark.parametrize(
    ("lift", "spring"),
    [
        ("45 mm", 'rear_spring = { rate = "34 N/mm" }'),
        ("45 mm", 'rear_spring = { rate = "34 N/mm", load = "560 kg" }'),
        ("45 mm", STATED.replace("45 mm", "20 mm")),
        ("45 mm", STATED.replace("45 mm", "-45 mm")),
        ("45 mm", STATED.replace("560 kg", "380 kg")),  # so soft that it needs both to stand
        ("0 mm", STATED),
    ],
)
def test_a_lift_that_counts_once_is_no_note(lift, spring):
    assert twice(with_lift(lift, spring)) == []


def test_at_is_the_springs_own_height_on_independent_suspension():
    text = (ROOT / "tests/data/independent_rear.toml").read_text(encoding="utf-8")
    old = 'load = "700 kg", at = "20 mm" }'
    assert text.count(old) == 1
    wheel = 'suspension_lift_front = "50 mm"\n'
    spring = text.replace("[change]\n", f"[change]\n{wheel}").replace(old, old.replace("20", "30"))
    (note,) = twice(spring)
    assert "change.front_spring: at (+30 mm)" in note
    assert "(+50 mm)" in note


def test_an_option_that_says_the_lift_again_is_told():
    option = '\n[[spring_option]]\nname = "taller"\nrear = { rate = "34 N/mm", load = "560 kg", '
    once = with_lift("45 mm", 'rear_spring = { rate = "34 N/mm" }')
    (note,) = twice(f'{once}{option}at = "45 mm" }}\n')
    assert note.startswith('spring_option "taller", rear: at (+45 mm)')
    assert twice(f'{once}{option}at = "0 mm" }}\n') == []


def over_the_rear_axle(mass: float, lift: str = "0 mm") -> str:
    """One load over the rear axle, on springs that go on without stops: it sags by m g/2k.

    And by some 2 % of that again, since the pitch moves the body's own weight aft.
    """
    text = with_lift(lift, "").replace('front_spring = { rate = "36 N/mm" }', "")
    head, _, rest = text.partition("[[load]]")
    kept = "\n".join(
        line for line in head.splitlines() if not line.startswith(("bump_stop", "rebound_limit"))
    )
    tail = rest[rest.index("[change]") :].replace('"45 mm"', '"0 mm"', 1)
    item = f'name = "x"\nmass = "{mass} kg"\nbehind_front_axle = "2850 mm"\nheight = "450 mm"'
    return f'{kept}\n[[load]]\n{item}\nplace = "cabin"\n\n{tail}'.replace(
        TYRES, 'tyre_radius = "0 mm"'
    )


@pytest.mark.parametrize("side", [0.96, 1.01])
def test_a_load_that_settles_it_by_over_25_mm_is_told_as_what_it_is(side):
    mass = side * 0.025 * ADDED * RATE / STANDARD_GRAVITY
    text = over_the_rear_axle(mass)
    assert 1.0 < heights(text)["as_used"] / (-25.0 * side) < 1.03
    notes = about_heights(text)
    assert len(notes) == int(side > 1.0)
    for note in notes:
        assert note.startswith(
            "rear ride height: it settles more than 25 mm under its load; hub to arch"
        )
        assert note.endswith('"as used" -26 mm')


def test_a_lift_that_new_springs_do_not_hold_is_told_even_of_the_empty_vehicle():
    soft = 'rear_spring = { rate = "34 N/mm", load = "350 kg", at = "0 mm" }'
    notes = about_heights(with_lift("45 mm", soft))
    assert len(notes) == 1
    assert "the new spring stands over 25 mm lower than the lift, even empty" in notes[0]
    stands = heights(with_lift("45 mm", soft))
    assert (
        f'"weekend" {stands["weekend"]:+.0f} mm, "weekday" {stands["weekday"]:+.0f} mm' in notes[0]
    )


def test_a_vehicle_weighed_with_its_lift_counts_from_stock():
    """The unladen vehicle without the lift is stock, however it stood on the scales."""
    scales = with_lift("45 mm", "").replace('front_spring = { rate = "36 N/mm" }', "")
    scales = scales.replace("[change]", "[change]\non_when_weighed = true")
    names = [note.split()[0] for note in about_heights(scales)]
    stands = heights(scales)
    assert stands["as_weighed"] == pytest.approx(45.0, abs=0.5)
    assert names == (["rear"] if min(stands["weekday"], stands["weekend"]) < 20.0 else [])


def test_no_example_counts_its_lift_twice():
    paths = sorted((ROOT / "scenarios").glob("*.toml"))
    notes = [note for path in paths for note in load(path).notes]
    assert len(paths) > 5
    assert not [note for note in notes if "counted twice" in note]
    assert [note for note in notes if "settles more than 25 mm under its load" in note]


@pytest.mark.parametrize("command", ["roll", "size", "springs", "check"])
def test_every_command_says_it(command, tmp_path, capsys):
    path = tmp_path / "twice.toml"
    path.write_text(easy(), encoding="utf-8")
    assert main([command, str(path)]) == 0
    assert "counted twice" in " ".join(capsys.readouterr().out.split())
    if command != "check":
        assert main([command, str(path), "--json"]) == 0
        notes = json.loads(capsys.readouterr().out)["notes"]
        assert any("counted twice" in note for note in notes)


def test_the_sheet_says_it(tmp_path, capsys):
    path, sheet = tmp_path / "twice.toml", tmp_path / "sheet.html"
    path.write_text(easy(), encoding="utf-8")
    assert main(["sheet", str(path), "-o", str(sheet)]) == 0
    capsys.readouterr()
    assert "counted twice" in sheet.read_text(encoding="utf-8")


@pytest.mark.parametrize("page", ["fit", "springs_weights", "vehicle"])
def test_every_page_of_the_fitter_says_it(page):
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    app.query_params["scenario"] = packed(easy())
    app.switch_page(f"rollsim/page/{page}.py").run()
    assert not app.exception
    said = "\n".join(e.value for e in (*app.markdown, *app.warning, *app.info))
    assert "counted twice" in said
