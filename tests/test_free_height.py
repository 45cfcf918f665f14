"""Springs by their free height: by hand, deflection is load over rate, stage by stage."""

import json

import pytest

from rollsim import scenario
from rollsim.cli import main
from rollsim.option_wording import right_in_words
from rollsim.page.options_answer import picture
from rollsim.reader_units import METRIC
from rollsim.spring_check import spring_checks
from rollsim.spring_options import HeightBy, spring_options, with_option
from rollsim.tolerance.shifts import shifting
from tests.bad_input import errors_of
from tests.builders import ROOT
from tests.test_lift_check import LEAF

PLAIN = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text("utf-8")
PLAIN = PLAIN.replace('suspension_lift_rear = "40 mm"', 'suspension_lift_rear = "15 mm"')
PLAIN = PLAIN.partition("\n[rear_bar]")[0]  # no bar is sized here
STANDS = PLAIN.replace("spring_base =", 'spring_height = "92 mm"\nspring_base =')
LIFT = 0.015  # m: blocks between pack and axle
ONE = """
[[spring_option]]
name = "one stage"
rear = { rate = "40 N/mm", free_height = "170 mm" }
"""
TWO = """
[[spring_option]]
name = "two stages"
rear = { rate = "30 N/mm", free_height = "190 mm", second_stage = { after = "4 mm", \
rate = "60 N/mm" } }
"""
BARE = """
[[spring_option]]
name = "bare"
rear = { rate = "40 N/mm" }
"""


def signed_mm(result, end: str) -> str:
    return f"{1e3 * getattr(result.checks[0], end).ride_height_change:+.0f}"


def deflection(force: float, rate: float, first: float = 1.0, second: float = 0.0) -> float:
    """Of a spring whose second stage joins after the first has gone so far [N, N/m, m]."""
    knee = rate * first
    return force / rate if force <= knee else first + (force - knee) / (rate + second)


def test_it_stands_at_its_free_height_less_load_over_rate():
    """92 mm as weighed; the blocks come on top; 4 mm under as weighed the second stage joins."""
    job = scenario.loads(STANDS + ONE + TWO, "a.toml").job
    stages = ((40e3, 1.0, 0.0, 0.170), (30e3, 0.190 - 0.092 + 0.004, 60e3, 0.190))
    loads = []
    for option, (rate, first, second, free) in zip(job.spring_options, stages, strict=True):
        for check in spring_checks(with_option(job, option))[2:]:
            own = free - deflection(check.rear.spring_load, rate, first, second)
            assert check.rear.ride_height_change == pytest.approx(own - 0.092 + LIFT, abs=1e-6)
            loads.append(check.rear.spring_load / (rate * first))
    assert max(loads[2:]) > 1.0  # in one state at least the second stage works


def test_a_coil_at_an_independent_axle_stands_by_its_own_length():
    """Motion ratio 0.6: 300 mm as weighed, 390 mm free, 100 N/mm; wheel load over 0.6."""
    own = PLAIN.replace("suspension_lift_front", "# suspension_lift_front")
    text = own.replace("[front]\n", '[front]\nspring_height = "300 mm"\n')
    coil = 'front = { rate = "100 N/mm", motion_ratio = 0.6, free_height = "390 mm" }\n'
    by_rate = scenario.loads(f'{text}\n[[spring_option]]\nname = "coil"\n{coil}', "a.toml").job
    check = spring_checks(with_option(by_rate, by_rate.spring_options[0]))[2].front
    shorter = 0.390 - check.spring_load / 0.6 / 100e3
    assert check.ride_height_change == pytest.approx((shorter - 0.300) / 0.6, abs=1e-6)
    # By dimensions, 79.3 GPa · 14⁴ / (8 · 110³ · 6) mm⁴/mm³ = 47.7 N/mm, its length is free_length.
    helical = (
        'front = { motion_ratio = 0.6, helical = { wire_diameter = "14 mm", active_coils = 6, '
        'mean_coil_diameter = "110 mm", free_length = "430 mm", block_length = "110 mm" } }\n'
    )
    job = scenario.loads(f'{text}\n[[spring_option]]\nname = "coil"\n{helical}', "a.toml").job
    check = spring_checks(with_option(job, job.spring_options[0]))[2].front
    rate = 79.3e9 * 0.014**4 / (8.0 * 0.110**3 * 6.0)
    shorter = 0.430 - check.spring_load / 0.6 / rate
    assert check.ride_height_change == pytest.approx((shorter - 0.300) / 0.6, abs=1e-6)


def test_standing_right_hangs_on_it_and_every_surface_says_how_it_is_known(tmp_path, capsys):
    """A pack 50 mm taller takes the droop: not right where the same rate as weighed is."""
    tall = ONE.replace("one stage", "tall").replace("170 mm", "230 mm")
    job = scenario.loads(STANDS + BARE + ONE + tall, "a.toml").job
    found = spring_options(job)
    planned, bare, one, high = found
    assert [result.height_by[1] for result in found] == [
        None,
        HeightBy.AS_WEIGHED,
        HeightBy.FREE_HEIGHT,
        HeightBy.FREE_HEIGHT,
    ]
    assert bare.stands_right(bare.checks[0])
    assert not high.stands_right(high.checks[0])
    higher = [
        1e3 * (a.rear.ride_height_change - b.rear.ride_height_change)
        for a, b in zip(one.checks, planned.checks, strict=True)
    ]
    lines = right_in_words(found, METRIC)
    told = next(line for line in lines if line.startswith('"one stage" stands, rear, by free'))
    assert f'{higher[0]:+.0f} mm in "empty' in told
    drawn = picture(found, METRIC)
    assert "tall: empty does not stand right, rear under, " in drawn
    assert (
        f"one stage: empty stands right, {signed_mm(one, 'front')} / {signed_mm(one, 'rear')} mm"
        in (drawn)
    )
    (unknown,) = (line for line in lines if line.startswith("no load, nor free_height"))
    assert unknown.endswith(': "bare"')
    path = tmp_path / "a.toml"
    path.write_text(STANDS + BARE + ONE, "utf-8")
    assert main(["springs", str(path), "--json"]) == 0
    options = json.loads(capsys.readouterr().out)["options"]["options"]
    assert options["one stage"]["height_by"] == {"front": None, "rear": "free height"}
    assert options["bare"]["height_by"]["rear"] == "taken as weighed"
    height = options["one stage"]["states"]["touring"]["rear"]["ride_height_change_mm"]
    assert height == pytest.approx(1e3 * one.checks[2].rear.ride_height_change)


def test_a_pack_counts_from_where_its_leaf_is_taped_and_the_shelf_from_the_vehicle():
    """Eyes at 560 and 545 mm, the seat half way between at 478 mm: 552.5 − 478 = 74.5 mm."""
    places = LEAF.replace('shackle_eye_height = "560 mm"', 'shackle_eye_height = "545 mm"')
    assert places != LEAF
    taped = PLAIN.replace("spring_base =", f"{places}spring_base =")
    job = scenario.loads(taped + ONE, "a.toml").job
    extension = job.spring_options[0].rear.stated_load.extension
    assert extension == pytest.approx(0.170 - 0.0745, abs=1e-5)
    shelf = "part,kind,axle,rate_N_per_mm,free_height_mm\nP,pack,rear,40,170\nC,coil,rear,40,380\n"
    options = {}
    for name, text in (("taped", taped), ("plain", PLAIN)):
        whole = f'spring_shelf = """\n{shelf}"""\n{text}'
        options[name] = scenario.loads(whole, "a.toml").job.spring_options
    assert options["taped"][0].rear.stated_load.extension == extension
    # No coil stands on a leaf's seat; without its height the vehicle carries it as weighed.
    rest = (options["taped"][1], *options["plain"])
    assert all(one.rear.stated_load is None for one in rest)


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (
            'free_height = "170 mm"',
            'free_height = "170 N"',
            "spring_option[1].rear.free_height: fou",
        ),
        (
            'free_height = "170 mm"',
            'free_height = "1.7 m"',
            "spring_option[1].rear.free_height: fou",
        ),
        (
            'free_height = "170 mm"',
            'free_height = "540 mm"',
            "spring_option[1].rear.free_height: found 540 mm, with which it carries the load as "
            "weighed at 458 mm; allowed within 200 mm of rear.spring_height, 92 mm; check both",
        ),
        (
            'free_height = "170 mm"',
            'free_height = "170 mm", load = "300 kg"',
            "spring_option[1].rear.free_height: found beside load, which says at which height",
        ),
        (
            'spring_height = "92 mm"\n',
            "",
            "spring_option[1].rear.free_height: found without rear.spring_height, from which it",
        ),
        ('spring_height = "92 mm"', 'spring_height = "92 kg"', "rear.spring_height: found"),
        (
            'spring_height = "92 mm"',
            f'spring_height = "92 mm"\n{LEAF}',
            "rear.spring_height: found b",
        ),
        (
            'spring = { rate = "36',
            'spring = { free_height = "170 mm", rate = "36',
            "rear.spring.free_height: only a replaced spring states its own load, in [change]",
        ),
        (
            'rear = { rate = "40 N/mm", free_height = "170 mm" }',
            'front = { wheel_rate = "40 N/mm", free_height = "170 mm" }',
            "spring_option[1].front.free_height: found without motion_ratio: it is the",
        ),
        (
            "[change]\n",
            '[change]\non_when_weighed = true\nrear_spring = { rate = "40 N/mm", '
            'free_height = "170 mm" }\n',
            "change.rear_spring.free_height: found with on_when_weighed = true; the",
        ),
    ],
)
def test_bad_free_height(old, new, expected):
    assert old in STANDS + ONE
    (line,) = errors_of((STANDS + ONE).replace(old, new, 1))
    assert expected in line


def test_the_same_height_in_the_lift_counts_twice_and_is_noted():
    """Blocks of 15 mm, and a pack that carries the load as weighed 15 mm up, by 40 N/mm."""
    free = 92.0 + 15.0 + (860 - 190) / 2.0 * 9.80665 / 40.0
    spring = f'rear_spring = {{ rate = "40 N/mm", free_height = "{free:.2f} mm ± 4 mm" }}\n'
    text = STANDS.replace('"92 mm"', '"92 mm ± 3 mm"')
    found = scenario.loads(text.replace("[change]\n", f"[change]\n{spring}"), "a.toml")
    said = "its free height (+15 mm under the load as weighed) says the lift"
    assert any(said in note for note in found.notes)
    # Its tolerances: a taller spring lifts, on a taller seat it lifts less, each by its own.
    moved = {
        one.key: shift(found.job, 0.002).change.rear_spring.stated_load.extension
        for one, shift in shifting(found.tolerances)
        if one.key in ("change.rear_spring.free_height", "rear.spring_height")
    }
    own = found.job.change.rear_spring.stated_load.extension
    assert moved == pytest.approx(
        {"change.rear_spring.free_height": own + 0.002, "rear.spring_height": own - 0.002}
    )
