"""A scenario file becomes records in SI: what each key turns into."""

import math
from pathlib import Path

import numpy as np
import pytest

from rollsim import scenario
from rollsim.bar import Mount
from rollsim.scenario.cg_law import LAWS
from rollsim.scenario.defaults import CLASS_DEFAULTS, FROM_MEMORY
from rollsim.scenario.keys import Measured
from rollsim.scenario.schema import Document
from rollsim.scenario.starting import Bars, Start, scenario_text
from rollsim.scenario.validation import about, fields, nested
from rollsim.springs import LinearSpring, StatedLoad
from rollsim.typical import BODIES
from rollsim.units import from_unit
from rollsim.vehicle import (
    STANDARD_GRAVITY,
    Change,
    Limits,
    Place,
    Ratings,
    Suspension,
    Target,
    VehicleClass,
)

DATA = Path(__file__).parent / "data"
DOCS = Path(__file__).parents[1] / "docs" / "scenario-format.md"
DEG = math.pi / 180.0

IMPERIAL = [
    ('"3085 mm"', f'"{3085 / 25.4!r} in"'),
    ('"1130 kg ± 10 kg"', f'"{1130 / 0.45359237!r} lb ± {10 / 0.45359237!r} lb"'),
    ('"38 N/mm"', f'"{38e3 * 0.0254 / (0.45359237 * 9.80665)!r} lb/in"'),
    ('"60 N*m/deg"', f'"{60 / (0.45359237 * 9.80665 * 0.0254)!r} lb*in/deg"'),
    ('"1550 mm"', f'"{1550 / 304.8!r} ft"'),
    ('"40 mm"', f'"{40 / 25.4!r} in"'),
]


@pytest.fixture(scope="module")
def crew_cab():
    return scenario.load(DATA / "crew_cab.toml")


@pytest.fixture(scope="module")
def van():
    return scenario.load(DATA / "independent_rear.toml")


@pytest.fixture(scope="module")
def empty_van():
    """The same with nothing on it on the scales."""
    text = _text("independent_rear").replace("on_when_weighed = true\n", "", 1)
    return scenario.loads(text, "empty.toml", DATA)


def test_vehicle(crew_cab):
    vehicle = crew_cab.job.vehicle
    assert vehicle.vehicle_class is VehicleClass.CREW_CAB_TRUCK
    assert (vehicle.wheelbase, vehicle.front_axle_mass, vehicle.rear_axle_mass) == (
        3.085,
        1130,
        860,
    )
    assert (vehicle.cg_height, vehicle.cg_left) == (0.7, None)
    assert vehicle.front.suspension is Suspension.INDEPENDENT
    assert vehicle.front.spring_base == vehicle.front.track == 1.56
    assert vehicle.rear.spring_base == 1.09
    assert vehicle.rear.auxiliary_roll_stiffness == pytest.approx(60.0 / DEG, rel=1e-14)
    assert vehicle.front.tyre.rated_load == pytest.approx(1120.0 * STANDARD_GRAVITY, rel=1e-14)


def test_bar_on_independent_axle_is_k_r2_t2_over_2(crew_cab):
    front = crew_cab.job.vehicle.front
    assert front.bar_roll_stiffness == pytest.approx(28e3 * 0.6**2 * 1.56**2 / 2.0, rel=1e-14)
    assert "28 N/mm" in front.bar_description


def test_bar_on_solid_axle_is_k_b2_over_2():
    bar = 'bar = { link_end_rate = "20 N/mm", link_spacing = "1000 mm" }\n'
    text = _text("crew_cab").replace(
        'spring = { rate = "36 N/mm"', bar + 'spring = { rate = "36 N/mm"'
    )
    rear = scenario.loads(text, "x.toml").job.vehicle.rear
    assert rear.bar_roll_stiffness == pytest.approx(20e3 * 1.0**2 / 2.0, rel=1e-14)


def test_stops(crew_cab):
    front, rear = crew_cab.job.vehicle.front, crew_cab.job.vehicle.rear
    assert (front.bump_stop.gap, front.bump_stop.base) == (0.06, 1.56)
    assert (rear.bump_stop.base, rear.rebound_limit.base) == (1.0, 0.85)
    without = _text("crew_cab").replace(', base = "1000 mm"', "")
    assert scenario.loads(without, "x.toml").job.vehicle.rear.bump_stop.base == 1.09


def test_springs_and_change(crew_cab):
    assert crew_cab.job.vehicle.rear.spring == LinearSpring(36e3, 0.055, 60e3)
    change = crew_cab.job.change
    assert (change.suspension_lift_front, change.suspension_lift_rear) == (0.04, 0.05)
    assert change.rear_spring == LinearSpring(44e3)


def test_load_target_and_ratings(crew_cab):
    (load,) = crew_cab.job.loads
    assert (load.mass, load.behind_front_axle, load.height) == (85.0, 1.75, 1.98)
    assert (load.place, load.cases) == (Place.ROOF, ("touring",))
    assert crew_cab.job.target == Target(at=0.4 * STANDARD_GRAVITY, case="touring")
    assert crew_cab.job.ratings == Ratings(1480.0, 1850.0, 3150.0, 100.0)


def test_rear_bar(crew_cab):
    bar = crew_cab.rear_bar
    assert (bar.mount, bar.bush_spacing) == (Mount.AXLE, 0.82)
    assert [shape.lever for shape in bar.shapes] == [0.23, 0.26, 0.29]
    assert (bar.bush_rate, bar.link_rate) == (9e6, 12e6)
    assert [s.label for s in bar.stocks[0].sections] == [
        "22 mm solid",
        "24 mm solid",
        "27 mm x 4 mm",
    ]


def test_tolerances_are_kept_and_nothing_is_assumed(crew_cab):
    kept = {item.key: (item.value, item.tolerance) for item in crew_cab.tolerances}
    assert kept == {
        "vehicle.front_axle_mass": (1130.0, 10.0),
        "vehicle.rear_axle_mass": (860.0, 10.0),
        "vehicle.cg_height": (0.7, 0.025),
    }
    assert crew_cab.assumed == ()


def test_shortest_file_takes_every_default():
    text = _text("crew_cab")
    for head in ("[ratings]", "[[load]]", "[change]", "[target]", "[limits]", "[rear_bar]"):
        text = _without(text, head)
    short = scenario.loads(text, "x.toml")
    assert (short.job.loads, short.rear_bar) == ((), None)
    assert (short.job.change, short.job.ratings) == (Change(), Ratings())
    assert (short.job.target, short.job.limits) == (Target(), Limits())
    assert scenario.case_names(short.job.loads) == ("as_used",)


def test_imperial_units_give_the_same_records(crew_cab):
    text = _text("crew_cab")
    for metric, imperial in IMPERIAL:
        assert metric in text
        text = text.replace(metric, imperial)
    imperial = scenario.loads(text, "crew_cab.toml")
    assert _numbers(imperial) == pytest.approx(_numbers(crew_cab), rel=1e-13)


def test_corner_masses_place_the_cg_sideways(van):
    vehicle = van.job.vehicle
    assert (vehicle.front_axle_mass, vehicle.rear_axle_mass) == (1020.0, 900.0)
    assert vehicle.cg_left == pytest.approx((20.0 * 0.8 + 40.0 * 0.75) / 1920.0, rel=1e-14)


def test_cg_height_class_default_follows_the_roof(van):
    """By hand: the rack comes off, springs and tyres come up, the law, and the rack goes on."""
    front, rear = 1020.0 - 20.0, 900.0 - 20.0  # 40 kg half way along
    spring = 0.5 * (front - 110.0) * (2.0 * math.pi * 1.25) ** 2
    rear_rate = float(van.job.vehicle.rear.spring.curve(0.5 * 780.0 * 9.80665).tangent_rate(0.0))
    push = 0.5 * 20.0 * 9.80665
    tyre = push / 275e3
    up = [-push / spring - tyre, -push / rear_rate - tyre]
    roof = 2.15 - sum(up) / 2.0
    law = LAWS[VehicleClass.VAN]
    stock = law.height(roof, 1.55)
    moment = 1880.0 * stock + (front - 110.0) * up[0] + (rear - 120.0) * up[1]
    moment -= (110.0 + 120.0) * tyre
    height = (moment + 40.0 * 2.3) / 1920.0
    assert van.job.vehicle.cg_height == pytest.approx(height, rel=2e-5)
    kept = {item.key: item.tolerance for item in van.tolerances}
    spread = math.hypot(law.tolerance(roof, 1.55), law.per_roof * 0.010)
    assert kept["vehicle.cg_height"] == pytest.approx(spread * 1880.0 / 1920.0, rel=1e-4)
    (line,) = (line for line in van.assumed if line.startswith("vehicle.cg_height = "))
    assert line.startswith(
        f"vehicle.cg_height = {1e3 * stock:.1f} mm ± 47 mm (class default: van, "
    )
    assert line.endswith(f"; so empty and stock, {1e3 * height:.1f} mm as weighed)")


def test_class_defaults_are_taken_and_told(empty_van):
    front = empty_van.job.vehicle.front
    assert (front.unsprung_mass, front.roll_centre_height) == (110.0, 0.06)
    assert (front.roll_centre_travel_ratio, front.unsprung_cg_height) == (1.3, 0.37)
    assert front.auxiliary_roll_stiffness == pytest.approx(20.0 / DEG, rel=1e-14)
    assert (front.bump_stop.gap, front.bump_stop.base) == (0.055, 1.6)
    # The gap at the stop is the wheel's default, 80 mm, times the motion ratio.
    assert (front.rebound_limit.gap, front.rebound_limit.motion_ratio) == (0.04, 0.5)
    expected = "front.roll_centre_height = 60 mm ± 60 mm (class default: van)"
    assert expected in empty_van.assumed
    assert "front.auxiliary_roll_stiffness = 20 N·m/deg ± 20 N·m/deg" in "\n".join(
        empty_van.assumed
    )
    assert "rear_bar.bush_rate = 5 kN/mm ± 3 kN/mm (rubber, common practice)" in empty_van.assumed
    kept = {item.key: item.tolerance for item in empty_van.tolerances}
    for line in empty_van.assumed:
        assert kept[line.split(" = ")[0]] > 0.0


def test_spring_class_default_gives_the_usual_ride_frequency(empty_van):
    sprung = (1020.0 - 110.0) / 2.0
    rate = empty_van.job.vehicle.front.spring.rate
    assert math.sqrt(rate / sprung) / (2.0 * math.pi) == pytest.approx(1.25, rel=1e-12)


def test_class_default_for_the_other_suspension_leaves_a_note():
    text = _text("independent_rear").replace('"90 mm"', '"class default"')
    notes = scenario.loads(text, "x.toml", DATA).notes
    (note,) = (n for n in notes if n.startswith("rear.roll_centre_height: "))
    assert "solid axle" in note


def test_spread_of_an_assumed_value_has_two_digits(empty_van):
    spread = (2.0 * math.pi * 1.25) ** 2 * 455.0 * 2.0 * 0.2 / 1.25  # 8981 N/m
    (line,) = (line for line in empty_van.assumed if line.startswith("front.spring.wheel_rate = "))
    assert line.startswith("front.spring.wheel_rate = 28.07 N/mm ± 9 N/mm (")
    kept = {item.key: item.tolerance for item in empty_van.tolerances}
    assert kept["front.spring.wheel_rate"] == pytest.approx(spread, rel=1e-12)
    (line,) = (line for line in empty_van.assumed if line.startswith("front.bump_stop.rate = "))
    assert line.startswith("front.bump_stop.rate = 150 N/mm ± 75 N/mm (")


def test_nothing_left_out_leaves_no_note(crew_cab):
    assert crew_cab.notes == ()


@pytest.mark.parametrize(
    ("left_out", "expected"),
    [
        (
            'bar = { link_end_rate = "28 N/mm", installation_ratio = 0.6 }',
            "front: no anti-roll bar",
        ),
        ('bump_stop = { gap = "60 mm", rate = "150 N/mm" }', "front: no bump_stop given"),
        ('rebound_limit = { gap = "75 mm", rate = "400 N/mm" }', "front: no rebound_limit given"),
        (
            'bump_stop = { gap = "80 mm", rate = "200 N/mm", base = "1000 mm" }',
            "rear: no bump_stop given; the axle's twist is taken to where its lower wheel "
            "lifts, the most there can be",
        ),
        (
            'rebound_limit = { gap = "90 mm", rate = "400 N/mm", base = "850 mm" }',
            "rear: no rebound_limit given; the axle's twist is taken to where its lower wheel "
            "lifts, the most there can be",
        ),
    ],
)
def test_what_most_vehicles_have_is_missed(left_out, expected):
    text = _text("crew_cab")
    assert left_out in text
    (note,) = scenario.loads(text.replace(left_out, ""), "x.toml").notes
    assert note.startswith(expected)


def test_both_stops_left_out_are_one_note(van):
    (note,) = (note for note in van.notes if note.startswith("rear: "))
    assert note.startswith("rear: no bump_stop and no rebound_limit given; ")


def test_no_bar_may_be_said():
    text = _text("crew_cab").replace(
        'link_end_rate = "28 N/mm", installation_ratio = 0.6', 'roll_stiffness = "0 N*m/deg"'
    )
    said = scenario.loads(text, "x.toml")
    assert said.notes == ()
    assert said.job.vehicle.front.bar_roll_stiffness == 0.0
    assert said.job.vehicle.front.bar_description == ""


def test_load_without_a_place_leaves_a_note(van):
    assert [note for note in van.notes if "load[2]" in note]
    assert van.job.loads[1].place is Place.CABIN


def test_measured_spring_is_taken_to_the_wheel(van):
    spring = van.job.vehicle.rear.spring
    assert spring.travel == pytest.approx((0.0, 0.05 / 0.8, 0.1 / 0.8))
    load = (900.0 - 120.0) / 2.0 * STANDARD_GRAVITY
    curve = spring.curve(load)
    assert float(curve.force(np.array(0.0))) == pytest.approx(load, rel=1e-12)
    # 3825 N at the wheel is 4781 N at the spring: second stretch, 60 N/mm, times 0.8².
    assert float(curve.tangent_rate(np.array(0.0))) == pytest.approx(60e3 * 0.64, rel=1e-12)


def test_table_header_may_be_imperial_and_falling(tmp_path):
    inches = [(100.0, 7500.0), (50.0, 4500.0), (0.0, 2000.0)]
    rows = [f"{f / 4.4482216152605!r},{x / 25.4!r}" for x, f in inches]
    (tmp_path / "spring.csv").write_text("force_lbf,travel_in\n" + "\n".join(rows) + "\n")
    imperial = scenario.loads(_text("independent_rear"), "x.toml", tmp_path)
    metric = scenario.loads(_text("independent_rear"), "x.toml", DATA)
    for word in ("travel", "force"):
        a, b = (getattr(s.job.vehicle.rear.spring, word) for s in (imperial, metric))
        assert a == pytest.approx(b, rel=1e-13)


def test_replaced_spring_with_its_own_load(van):
    force = 700.0 * STANDARD_GRAVITY * 0.6
    spring = van.job.change.front_spring
    assert spring.rate == pytest.approx(90e3 * 0.36, rel=1e-14)
    assert spring.stage_start == pytest.approx(0.03 / 0.6, rel=1e-14)
    assert spring.stage_rate == pytest.approx(50e3 * 0.36, rel=1e-14)
    assert spring.stated_load == StatedLoad(pytest.approx(force), pytest.approx(0.02 / 0.6))


def test_target_and_limits_stated(van):
    target = van.job.target
    assert target.at is None
    assert target.roll_gradient == pytest.approx(4.5 * DEG / STANDARD_GRAVITY, rel=1e-14)
    g = STANDARD_GRAVITY
    assert van.job.limits == Limits(
        gradient_tolerance=0.04,
        safety_factor=1.5,
        inner_rear_lift=0.5 * g,
        front_share_drop=0.2,
        stress_acceleration=pytest.approx(0.7 * g),
        dynamic_factor=1.1,
    )


def test_loads_and_cases(van):
    rack, tools, sleepers = van.job.loads
    assert rack.on_when_weighed
    assert rack.cases is None
    assert tools.left_of_centreline == -0.2
    assert sleepers.parked_only
    assert scenario.case_names(van.job.loads) == ("work week", "holiday")


def test_centreline_stocks_and_user_steel(van):
    bar = van.rear_bar
    (shape,) = bar.shapes
    assert (shape.lever, shape.bend_radius) == (0.24, 0.04)
    assert shape.half_centreline[2] == (0.24, 0.44, -0.03)
    assert (bar.mount, bar.installation_ratio) == (Mount.CHASSIS, 0.7)
    assert (bar.installation.link_length, bar.installation.lash) == (0.12, 0.0005)
    first, second = bar.stocks
    assert len(first.sections) == 3
    assert (second.steel.name, second.steel.youngs_modulus) == ("own tube", 205e9)
    assert second.steel.allowable_stress(0.03) == 500e6
    assert second.steel.shear_modulus == 79.3e9


def test_records_are_values(crew_cab):
    assert hash(crew_cab) == hash(scenario.load(DATA / "crew_cab.toml"))


def test_every_class_default_lies_in_its_keys_range():
    keys = _keys()
    names = {
        "tyre_vertical_rate": "front.tyre.vertical_rate",
        "bump_gap": "front.bump_stop.gap",
        "rebound_gap": "front.rebound_limit.gap",
        "bump_rate": "front.bump_stop.rate",
        "rebound_rate": "front.rebound_limit.rate",
    }
    for defaults in CLASS_DEFAULTS.values():
        for axle in (defaults.front, defaults.rear):
            for field in set(axle.__dataclass_fields__) - {"suspension", "ride_frequency"}:
                key = about(keys[names.get(field, f"front.{field}")])
                assert key.low <= getattr(axle, field)[0] <= key.high


def test_ranges_are_ranges_in_units_of_their_dimension():
    measured = [about(field) for field in _keys().values() if isinstance(about(field), Measured)]
    assert len(measured) > 60
    for key in measured:
        low, high = (from_unit(end, key.unit, key.dimension) for end in (key.low, key.high))
        assert low < high


def test_documentation_names_every_key_with_its_range():
    documented = DOCS.read_text(encoding="utf-8")
    for path, field in _keys().items():
        name = path.rsplit(".", 1)[-1]
        row = f"| `{name}` | {about(field).allowed()} |"
        assert row in documented, f"{path}: docs/scenario-format.md lacks the row {row}"


def test_documentation_names_every_class_default():
    documented = DOCS.read_text(encoding="utf-8")
    for kind, defaults in CLASS_DEFAULTS.items():
        for axle in ("front", "rear"):
            row = [line for line in documented.splitlines() if f"| {kind.value}, {axle} |" in line]
            bands = getattr(defaults, axle)
            for field in ("unsprung_mass", "roll_centre_height", "bump_gap", "rebound_gap"):
                value, spread = getattr(bands, field)
                assert f"{value:g} ± {spread:g}" in row[0]


@pytest.mark.parametrize("kind", VehicleClass, ids=lambda kind: kind.value)
def test_a_bar_may_be_assumed_from_the_class(kind):
    documented = DOCS.read_text(encoding="utf-8")
    front, rear = (
        math.radians(x) for x in (BODIES[kind].front_bar_stiffness, BODIES[kind].rear_bar_stiffness)
    )
    assert f"{kind.value} {front:.0f} / {rear:.0f}" in documented
    start = Start(kind, (1000.0, 900.0), bars=Bars.BOTH, roof_height=BODIES[kind].roof_height)
    text = scenario_text(start)
    found = scenario.loads(text, "x.toml")
    for axle, stiffness in (("front", front), ("rear", rear)):
        assert any(
            line.startswith(f"{axle}.bar.roll_stiffness = {stiffness:.4g} N·m/deg ± ")
            and f"class default: {kind.value})" in line
            for line in found.assumed
        )
        built = getattr(found.job.vehicle, axle)
        assert math.radians(built.bar_roll_stiffness) == pytest.approx(stiffness)
        assert built.bar_description.endswith("assumed")
    known = [one for one in found.tolerances if one.key == "rear.bar.roll_stiffness"]
    assert [one.tolerance / one.value for one in known] == pytest.approx([0.5], abs=0.05)


def test_documentation_gives_the_limits_that_hold():
    documented = DOCS.read_text(encoding="utf-8")
    limits, g = Limits(), STANDARD_GRAVITY
    for name, value in (
        ("roll_gradient_within", f"{limits.gradient_tolerance:g}"),
        ("safety_factor", f"{limits.safety_factor:g}"),
        ("inner_rear_lift", f"{limits.inner_rear_lift / g:g} g"),
        ("front_share_drop", f"{limits.front_share_drop:g}"),
        ("stress_acceleration", f"{limits.stress_acceleration / g:g} g"),
        ("dynamic_factor", f"{limits.dynamic_factor:g}"),
    ):
        (row,) = (line for line in documented.splitlines() if line.startswith(f"| `{name}` "))
        assert row.split("|")[3].strip() == value


def test_documented_file_is_read():
    block = DOCS.read_text(encoding="utf-8").split("```toml\n")[1].split("```")[0]
    assert scenario.loads(block, "docs.toml").title == "Crew-cab, touring load"


def test_documented_van_takes_every_class_default():
    block = DOCS.read_text(encoding="utf-8").split("```toml\n")[2].split("```")[0]
    van = scenario.loads(block, "docs.toml")
    assert van.job.vehicle.vehicle_class is VehicleClass.VAN
    assert van.notes == (FROM_MEMORY,)  # told once, not with every value
    assert not any("from memory" in line for line in van.assumed)
    told = {line.split(" = ")[0] for line in van.assumed}
    assert {"vehicle.cg_height", "front.spring.wheel_rate", "rear.spring.rate"} <= told
    assert {"rear.bump_stop.gap", "rear.rebound_limit.rate", "rear.spring_base"} <= told


def test_documentation_says_which_tables_take_a_class_default():
    rows = [line for line in DOCS.read_text(encoding="utf-8").splitlines() if line[:3] == "| `"]
    whole = {row.split("`")[1] for row in rows if '| a table or "class default" |' in row}
    assert whole == {"spring", "tyre", "bump_stop", "rebound_limit"}
    (bar,) = (row for row in rows if row.startswith("| `bar` "))
    assert "no class default" in bar


def _text(name):
    return (DATA / f"{name}.toml").read_text(encoding="utf-8")


def _without(text, head):
    """The text without one table."""
    start = text.index(head)
    end = text.find("\n[", start + 1)
    return text[:start] + ("" if end < 0 else text[end + 1 :])


def _numbers(read):
    """Every number of a scenario's vehicle, change and tolerances."""
    found = []

    def collect(item):
        if isinstance(item, float):
            found.append(item)
        elif isinstance(item, tuple):
            for part in item:
                collect(part)
        elif hasattr(item, "__dataclass_fields__"):
            for name in item.__dataclass_fields__:
                collect(getattr(item, name))

    collect((read.job, read.tolerances))
    return found


def _keys():
    """Every key of the format, by its path."""
    found = {}

    def collect(table, path):
        for name, field in fields(table):
            found[f"{path}{name}"] = field
            inner = nested(field)
            if inner is not None:
                collect(inner, f"{path}{name}.")

    collect(Document, "")
    return found
