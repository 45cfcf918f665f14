"""One vehicle weighed empty and stock, or with load and lift on it: one answer.

What a vehicle does when it is loaded and lifted is worked out here by hand, spring by spring, and
written into a second file as the scales and the tape would have found it then.
"""

import copy
import math
import random
import tomllib

import pytest

from rollsim import mass, scenario
from rollsim.roll import SECANT_AT, results
from rollsim.scenario.defaults import CLASS_DEFAULTS
from rollsim.scenario.starting import Start, scenario_text
from rollsim.typical import ITEMS
from rollsim.vehicle import VehicleClass
from tests.builders import EVERY

G = 9.80665
DEFAULT = "class default"
ASSUMED = (
    "unsprung_mass",
    "unsprung_cg_height",
    "roll_centre_height",
    "roll_centre_travel_ratio",
    "spring",
    "bump_stop",
    "rebound_limit",
    "auxiliary_roll_stiffness",
    "tyre",
)
AXLES = ("front", "rear")
LEAN, LIFT = 0.005, 0.003 * G
KINDS = {kind.value: kind for kind in VehicleClass}


def mm(metres):
    return f"{1e3 * metres:.4f} mm"


def empty(kind="crew-cab truck", *, masses=(1142.0, 908.0), roof=1.8, loads=(), change=None):
    """A vehicle of class defaults, weighed empty and stock, load and change still to come."""
    axle = dict.fromkeys(ASSUMED, DEFAULT)
    vehicle = {
        "name": "Invented",
        "class": kind,
        "wheelbase": "3100 mm",
        "front_axle_mass": f"{masses[0]} kg",
        "rear_axle_mass": f"{masses[1]} kg",
        "cg_height": DEFAULT,
    }
    if roof is not None:
        vehicle["roof_height"] = mm(roof)
    found = {
        "title": "Two ways to weigh one vehicle",
        "vehicle": vehicle,
        "front": {"suspension": "independent", "track": "1560 mm", **copy.deepcopy(axle)},
        "rear": {"suspension": "solid axle", "track": "1550 mm", **copy.deepcopy(axle)},
        "load": [dict(one) for one in loads],
        "change": dict(change or {}),
    }
    found["front"]["bar"] = {"roll_stiffness": "420 N*m/deg"}
    found["rear"]["spring_base"] = DEFAULT
    if kind == "car":
        found["rear"] |= {"suspension": "independent"}
        del found["rear"]["spring_base"]
    return found


def load(name, kg, x, height, place="tray"):
    return {
        "name": name,
        "mass": f"{kg} kg",
        "behind_front_axle": mm(x),
        "height": mm(height),
        "place": place,
    }


TRAY = (load("rack", 60, 1.705, 1.88, "roof"), load("tools", 230, 2.945, 1.09))
LIFTED = {"suspension_lift_front": "50 mm", "suspension_lift_rear": "50 mm"}


def number(text):
    """Value of "35 mm" or "35 mm ± 5 mm (assumed)" in SI."""
    value, unit = text.partition(" ±")[0].split()
    return float(value) * {"mm": 1e-3, "kg": 1.0, "N/mm": 1e3}[unit]


def rise_of(data, built, *, axle, more):
    """Body over axle and axle over ground [m], by halving, from stock to loaded by `more` [kg]."""
    own, change = getattr(built, axle), data["change"]
    lift = number(change.get(f"suspension_lift_{axle}", "0 mm"))
    radius = number(change.get("tyre_radius", "0 mm"))
    push = 0.5 * more * G

    def carried(rise):
        sag = lift - rise
        force = own.spring.rate * sag
        if own.spring.stage_start is not None:
            force += own.spring.stage_rate * max(sag - own.spring.stage_start, 0.0)
        for stop, sense in ((own.bump_stop, -1.0), (own.rebound_limit, 1.0)):
            r = stop.motion_ratio
            force -= sense * r * stop.rate * max(sense * r * rise - stop.gap, 0.0)
        return force

    low, high = -2.0, 2.0
    for _ in range(100):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if carried(middle) > push else (low, middle)
    return middle, radius - push / own.tyre.vertical_rate


def weighed_loaded(data):
    """The file of the same vehicle with all of its loads and its change on it on the scales."""
    read = scenario.from_data(data, "empty")
    built, found = read.job.vehicle, copy.deepcopy(data)
    last = next(r for r in results(read.job, ()) if r.name == mass.AS_USED)
    vehicle, length = found["vehicle"], built.wheelbase
    body, axle_rise = {}, {}
    for name in AXLES:
        now = getattr(last, f"{name}_axle_mass")
        more = now - getattr(built, f"{name}_axle_mass")
        body[name], axle_rise[name] = rise_of(data, built, axle=name, more=more)
        vehicle[f"{name}_axle_mass"] = f"{now} kg"
        _measured_as_weighed(
            found[name],
            getattr(built, name),
            body[name],
            axle_rise[name],
            lift=number(data["change"].get(f"suspension_lift_{name}", "0 mm")),
        )
        offset = number(data["change"].get(f"wheel_offset_{name}", "0 mm"))
        found[name]["track"] = mm(number(data[name]["track"]) + 2.0 * offset)
        if offset and data[name]["suspension"] == "independent" and "bar" in data[name]:
            # The same rate at the wheels, K/t², which stand further out on the scales.
            out = 1.0 + 2.0 * offset / number(data[name]["track"])
            stiffness = math.radians(getattr(built, name).bar_roll_stiffness) * out**2
            found[name]["bar"] = {"roll_stiffness": f"{stiffness} N*m/deg"}
    up = {name: body[name] + axle_rise[name] for name in AXLES}
    pitch = (up["front"] - up["rear"]) / length
    for one in found["load"]:
        x, height = number(one["behind_front_axle"]), number(one["height"])
        one["height"] = mm(height + up["front"] - pitch * x)
        one["behind_front_axle"] = mm(x + pitch * (height - built.front.roll_centre_height))
        one["on_when_weighed"] = True
    found["change"]["on_when_weighed"] = True
    if "roof_height" in vehicle:
        raised = number(data["change"].get("body_lift", "0 mm"))
        middle = 0.5 * (up["front"] + up["rear"])
        vehicle["roof_height"] = mm(number(vehicle["roof_height"]) + middle + raised)
    return found


def _measured_as_weighed(table, own, body, axle_rise, *, lift):
    """What was measured empty reads otherwise with the load on."""
    if table["roll_centre_height"] != DEFAULT:
        ratio = own.roll_centre_travel_ratio
        table["roll_centre_height"] = mm(own.roll_centre_height + ratio * body + axle_rise)
    if table["unsprung_cg_height"] != DEFAULT:
        table["unsprung_cg_height"] = mm(own.unsprung_cg_height + axle_rise)
    for word, sense in (("bump_stop", 1.0), ("rebound_limit", -1.0)):
        stop = getattr(own, word)
        if table[word] != DEFAULT and table[word]["gap"] != DEFAULT:
            table[word]["gap"] = mm(stop.gap + sense * stop.motion_ratio * body)
    if table["spring"] != DEFAULT and "second_stage" in table["spring"]:
        stage = table["spring"]["second_stage"]
        # Less is left to it by what the spring has sagged; the lift moves it along.
        stage["after"] = mm(number(stage["after"]) + body - lift)


def apart(data):
    """Lines of what differs between the two ways by more than it may."""
    one, other = (scenario.from_data(d, "x").job for d in (data, weighed_loaded(data)))
    lines = []
    for name in (mass.UNLADEN, mass.AS_USED):
        a, b = (
            next(r for r in results(job, (SECANT_AT,)) if r.name == name) for job in (one, other)
        )
        for word in ("roll_gradient", "secant_roll_gradient"):
            ratio = getattr(b, word) / getattr(a, word)
            if not abs(ratio - 1.0) <= LEAN:
                lines.append(f"{name} {word}: {100 * (ratio - 1):+.2f} %")
        for word in ("tip_over_threshold", "inner_front_lift", "inner_rear_lift"):
            first, second = getattr(a, word), getattr(b, word)
            both = math.isnan(first) and math.isnan(second)
            if not both and not abs(first - second) <= LIFT:
                lines.append(f"{name} {word}: {first / G:.4f} and {second / G:.4f} g")
    return lines


def test_the_loaded_truck_of_class_defaults_is_the_empty_one():
    assert apart(empty(loads=TRAY, change=LIFTED)) == []


def test_without_a_roof_height_too():
    assert apart(empty(roof=None, loads=TRAY, change=LIFTED)) == []


def test_leaving_the_settling_out_would_show():
    """The tolerance is tight enough to notice what is easily forgotten."""
    data = empty(loads=TRAY, change=LIFTED)
    loaded = weighed_loaded(data)
    raised = number(loaded["vehicle"]["roof_height"])
    assert 1.81 < raised < 1.84
    loaded["vehicle"]["roof_height"] = "1850 mm"
    one, other = (scenario.from_data(d, "x").job for d in (data, loaded))
    leans = [results(job, ())[0].roll_gradient for job in (one, other)]
    assert abs(leans[1] / leans[0] - 1.0) > 2.0 * LEAN


def test_with_stiffer_springs_on_it_too():
    """The lift is told at equal load: with the load on, at the load of then."""
    stiffer = {"rear_spring": {"rate": "45 N/mm"}}
    data = empty(loads=TRAY, change=LIFTED | stiffer)
    own = scenario.from_data(data, "x").job.vehicle.rear.spring.rate
    after = next(
        r for r in results(scenario.from_data(data, "x").job, ()) if r.name == mass.AS_USED
    )
    push = 0.5 * G * (after.rear_axle_mass - 908.0)
    assert push / own > push / 45e3 + 0.01
    lifted = copy.deepcopy(data)
    lifted["change"]["suspension_lift_rear"] = mm(0.05 + push / own - push / 45e3)
    del lifted["change"]["rear_spring"]  # stands as high on its own springs, so lifted
    found = weighed_loaded(lifted)
    found["change"] |= stiffer
    one, other = (results(scenario.from_data(d, "x").job, (SECANT_AT,)) for d in (data, found))
    for name in (mass.UNLADEN, mass.AS_USED):
        a, b = (next(r for r in way if r.name == name) for way in (one, other))
        assert b.secant_roll_gradient == pytest.approx(a.secant_roll_gradient, rel=LEAN)
        assert b.tip_over_threshold == pytest.approx(a.tip_over_threshold, abs=LIFT)


def test_start_with_my_vehicle_gives_the_answer_of_the_file():
    """It arrives with rack, tools and lift; the same truck empty, told in a file."""
    items = tuple(one for one in ITEMS if one.name in ("roof rack", "tools in drawers"))
    kind = VehicleClass.CREW_CAB_TRUCK
    before = Start(kind, (1150.0, 880.0), items=items, lift=0.05, roof_height=1.8)
    data = tomllib.loads(scenario_text(before))
    for one in (*data["load"], data["change"]):
        one["on_when_weighed"] = False
    found = weighed_loaded(data)
    masses = tuple(number(found["vehicle"][f"{name}_axle_mass"]) for name in AXLES)
    roof = number(found["vehicle"]["roof_height"])
    arrived = Start(kind, masses, items=items, lift=0.05, roof_height=roof)
    text = scenario_text(arrived)
    told = tomllib.loads(text)
    for one, by_start in zip(found["load"], told["load"], strict=True):
        assert number(one["height"]) == pytest.approx(number(by_start["height"]), abs=0.03)
        # Where Start puts an item is usual for the class; the same places from here on.
        by_start |= {word: one[word] for word in ("height", "behind_front_axle")}
    one, other = (
        results(read.job, (SECANT_AT,))
        for read in (scenario.from_data(data, "x"), scenario.from_data(told, "x"))
    )
    for name in (mass.UNLADEN, mass.AS_USED):
        a, b = (next(r for r in way if r.name == name) for way in (one, other))
        assert b.secant_roll_gradient == pytest.approx(a.secant_roll_gradient, rel=LEAN)
        assert b.tip_over_threshold == pytest.approx(a.tip_over_threshold, abs=LIFT)


def random_vehicle(seed):
    draw = random.Random(seed)
    kind = draw.choice(list(KINDS))
    front = draw.uniform(900, 1300)
    masses = (round(front, 1), round(front * draw.uniform(0.75, 1.05), 1))
    roof = {"crew-cab truck": 1.8, "wagon": 1.8, "van": 2.4, "car": 1.47}[kind]
    roof *= draw.uniform(0.94, 1.06)
    if kind != "van" and draw.random() < 0.3:
        roof = None
    loads = [
        load(f"item {n}", round(draw.uniform(20, 140), 1), draw.uniform(0.8, 3.3), height, place)
        for n, (height, place) in enumerate([(1.0, "tray"), (1.2, "cabin"), (2.0, "roof")])
        if draw.random() < 0.75
    ]
    change = {}
    for word, most, chance in (
        ("suspension_lift_front", 0.06, 0.6),
        ("suspension_lift_rear", 0.06, 0.6),
        ("tyre_radius", 0.03, 0.4),
        ("wheel_offset_front", 0.03, 0.2),
        ("wheel_offset_rear", 0.03, 0.2),
    ):
        if draw.random() < chance:
            change[word] = mm(draw.uniform(0.0, most))
    if draw.random() < 0.2:
        change |= {"body_lift": mm(draw.uniform(0.02, 0.05)), "body_lift_mass": "500 kg"}
    found = empty(kind, masses=masses, roof=roof, loads=loads, change=change)
    for name in AXLES:
        _measure_some(found[name], getattr(CLASS_DEFAULTS[KINDS[kind]], name), draw)
    return found


def _measure_some(table, usual, draw):
    """Some values were measured on the empty vehicle, near those of its class."""
    for word in ("roll_centre_height", "unsprung_cg_height"):
        if draw.random() < 0.25:
            table[word] = mm(getattr(usual, word)[0] * 1e-3 * draw.uniform(0.9, 1.1))
    if draw.random() < 0.25:
        table["unsprung_mass"] = f"{usual.unsprung_mass[0] * draw.uniform(0.9, 1.1):.2f} kg"
    for word, gap in (("bump_stop", usual.bump_gap[0]), ("rebound_limit", usual.rebound_gap[0])):
        if draw.random() < 0.25:
            table[word] = {"gap": f"{gap} mm", "rate": "200 N/mm"}
    if draw.random() < 0.25:
        independent = table["suspension"] == "independent"
        word = "wheel_rate" if independent else "rate"
        table["spring"] = {word: f"{draw.uniform(30, 45):.2f} N/mm"}
        if draw.random() < 0.5:
            table["spring"]["second_stage"] = {"after": "25 mm", "rate": "30 N/mm"}


@pytest.mark.parametrize("seed", range(48) if EVERY else range(0, 48, 3))
def test_random_vehicles_weighed_either_way_give_one_answer(seed):
    assert apart(random_vehicle(seed)) == []


@pytest.mark.parametrize(
    ("loads", "change"),
    [
        ((load("engine in the tray", 700, 3.0, 1.0),), {}),
        ((), {"suspension_lift_front": "100 mm", "suspension_lift_rear": "120 mm"}),
    ],
    ids=["on its bump stops", "hanging in full droop"],
)
def test_stops_that_are_pressed_as_weighed_carry_their_part(loads, change):
    data = empty(loads=loads, change=change)
    rear = scenario.from_data(weighed_loaded(data), "x").job.vehicle.rear
    assert min(rear.bump_stop.gap, rear.rebound_limit.gap) < -0.001
    assert rear.spring.stated_load is not None
    assert apart(data) == []
