"""Trucks and vans that came in: weighed empty, weighed loaded and lifted, with a roof by tape."""

import math

import pytest

from rollsim import scenario
from rollsim.roll import SECANT_AT, results
from rollsim.tolerance import lean_bands
from tests.builders import ROOT

G = 9.80665
CLASS = '\ncg_height = "class default"\n'


def read(name, roof=None):
    text = (ROOT / "tests" / "data" / "cases" / f"{name}.toml").read_text(encoding="utf-8")
    if roof is not None:
        assert CLASS in text
        text = text.replace(CLASS, f'{CLASS}roof_height = "{1e3 * roof:.2f} mm"\n')
    return scenario.loads(text, f"{name}.toml")


def states(found):
    return {one.name: one for one in results(found.job, (SECANT_AT,))}


def roof_as_weighed():
    """1800 mm and 50 mm of lift less the settling, half way between the axles, by hand.

    Corner masses 588, 593, 582, 577 kg; 60 kg at 1705 mm and 230 kg at 2945 mm of 3100 mm; unsprung
    105 and 190 kg; 1.25 and 1.5 Hz; tyres 245 N/mm. Neither end reaches a stop.
    """
    back = (60.0 * 1.705 + 230.0 * 2.945) / 3.1
    rises = []
    for weighed, load, unsprung, frequency in (
        (588.0 + 593.0, 290.0 - back, 105.0, 1.25),
        (582.0 + 577.0, back, 190.0, 1.5),
    ):
        rate = (2.0 * math.pi * frequency) ** 2 * 0.5 * (weighed - load - unsprung)
        push = 0.5 * load * G
        rises.append(0.05 - push / rate - push / 245e3)
    return 1.8 + sum(rises) / 2.0


def test_the_roof_as_weighed():
    assert roof_as_weighed() == pytest.approx(1.825, abs=0.001)


@pytest.mark.parametrize("taped", [True, False], ids=["roof by tape", "no roof height"])
def test_the_truck_weighed_either_way_is_one_truck(taped):
    """It was 5.53 and 8.20 deg/g, and 1.01 and 0.90 g. Heights of its loads are not told anew."""
    empty = states(read("truck-weighed-empty", 1.8 if taped else None))
    loaded = states(read("truck-weighed-loaded", roof_as_weighed() if taped else None))
    for name in ("unladen", "as_used"):
        one, other = empty[name], loaded[name]
        for word in ("roll_gradient", "secant_roll_gradient"):
            assert getattr(other, word) == pytest.approx(getattr(one, word), rel=0.005)
        for word in ("tip_over_threshold", "inner_front_lift", "inner_rear_lift"):
            same = pytest.approx(getattr(one, word), abs=0.006 * G, nan_ok=True)
            assert getattr(other, word) == same


def test_the_spread_of_what_is_assumed_goes_along():
    """Nine of ten leans lie between the same ends, within two per cent."""
    bands = [
        {one.state: one.secant for one in lean_bands(found.job, found.tolerances)}
        for found in (
            read("truck-weighed-empty", 1.8),
            read("truck-weighed-loaded", roof_as_weighed()),
        )
    ]
    for name in ("unladen", "as_used"):
        one, other = (band[name] for band in bands)
        assert (other.low, other.high) == pytest.approx((one.low, one.high), rel=0.02)


def test_a_van_of_class_defaults_stands_as_high_as_such_vans_do():
    """943 mm measured; it was 765 ± 44 mm and tipped at 1.02 instead of 0.80 g."""
    found = read("van-default", 2.55)
    (line,) = (line for line in found.assumed if line.startswith("vehicle.cg_height = "))
    assert line.startswith("vehicle.cg_height = 903.8 mm ± 56 mm (class default: van, roof height")
    height = found.job.vehicle.cg_height
    (spread,) = (t.tolerance for t in found.tolerances if t.key == "vehicle.cg_height")
    assert height - spread < 0.943 < height + spread
    measured = states(read("van-measured"))["unladen"]
    assert states(found)["unladen"].tip_over_threshold == pytest.approx(
        measured.tip_over_threshold, abs=0.05 * G
    )


def test_a_van_without_a_roof_height_is_refused():
    with pytest.raises(scenario.ScenarioError) as refused:
        read("van-default")
    (line,) = refused.value.errors
    assert line.startswith("van-default.toml: vehicle.roof_height: missing; the CG height of a van")
    assert "tape: bare roof above ground, as it stood on the scales, no rack" in line


def test_loads_below_the_bare_roof_are_noted():
    assert not any("below the bare roof" in note for note in read("van-roof-heights", 2.9).notes)
    notes = read("van-roof-heights", 3.0).notes
    (note,) = (note for note in notes if "below the bare roof" in note)
    assert note.startswith("load[2].height: 2980 mm lies below the bare roof, 3000 mm;")


def test_a_roof_higher_than_any_that_was_measured_is_noted():
    assert any("outside the measured vehicles" in n for n in read("van-roof-heights", 2.9).notes)
    assert not any("outside the measured" in n for n in read("van-default", 2.55).notes)


def test_without_a_roof_height_a_tape_is_asked_for():
    found = read("truck-weighed-empty")
    (note,) = (note for note in found.notes if note.startswith("vehicle.cg_height: "))
    assert "a tape on the roof (vehicle.roof_height) would about halve its spread" in note
    bands = []
    for one in (found, read("truck-weighed-empty", 1.8)):
        bands += [t.tolerance / t.value for t in one.tolerances if t.key == "vehicle.cg_height"]
    assert bands[1] < 0.65 * bands[0]
