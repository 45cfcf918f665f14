"""Each remedy as amounts and how an amount is put into the tables of a scenario."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from rollsim import mass
from rollsim.bar import STEELS, Form
from rollsim.remedies.bought import as_bought, put_bought
from rollsim.remedies.records import RemedyKind
from rollsim.scenario import Scenario
from rollsim.scenario.keys import bare
from rollsim.scenario.solved import stated_spring, stiffer
from rollsim.sizing import Candidate, Sizing
from rollsim.units import Dimension, parse
from rollsim.vehicle import Place

Tables = dict
"""A scenario file as read from TOML."""

# How far a remedy is taken: project defaults, no source.
MASS_STEP = 5.0  # kg
LENGTH_STEP = 0.005  # m
SPRING_FACTORS = (1.1, 1.2, 1.3, 1.4, 1.5, 1.75, 2.0)  # stiffer than that is another vehicle
FRONT_STEP, FRONT_LEAST = 25.0, 300.0  # N·m/deg: as much again as it has, or so much
ARM_STEP = 0.025  # m
LONGEST_ARM = 1.25  # times the longest hole
SOLIDS = range(12, 37)  # mm
LEAST_DROOP = 0.040  # m, from as weighed
DROOP_AT_REST = 0.015  # m: straps that are tight at rest are no straps

Told = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Measure:
    """One remedy, by amount.

    Parameters
    ----------
    kind : RemedyKind
        Its unit is that of the amounts.
    amounts : tuple of float
        Rising, the last one all that is sensible [SI unit of the kind], or a place in its own
        list, or 1 where there is one amount only.
    put : callable
        Puts an amount into tables, and gives the amounts as `RemedyStep` tells them.
    tables : tuple of str
        Names of the tables that it changes.
    narrow : callable or None
        Leaves of what was put in only what a bar needs.
    subject : str
        Name of a load item.
    """

    kind: RemedyKind
    amounts: tuple[float, ...]
    put: Callable[[Tables, float], Told]
    tables: tuple[str, ...]
    narrow: Callable[[Tables, Candidate], None] | None = None
    subject: str = ""


def measures(data: Tables, scenario: Scenario, sizing: Sizing) -> list[Measure]:
    """Every remedy that this scenario has something for, in the order in which they are told."""
    around = (_load_off, _lift_lower, _rear_springs, _front_bar)
    off_road = (_limit_straps, _links_off)
    ordered, buying = data, "shelf" in data["rear_bar"]
    section = _section_to_buy if buying else _another_section
    of_the_bar = (_longer_arm, _stronger_steel, section)
    if buying:
        nearest = sizing.choice or sizing.best or sizing.candidates[0]
        table = as_bought(data["rear_bar"], scenario.rear_bar, nearest)
        ordered = {**data, "rear_bar": table}
    found = [
        *(make(data, scenario, sizing) for make in around),
        *(make(ordered, scenario, sizing) for make in of_the_bar),
        *(make(data, scenario, sizing) for make in off_road),
    ]
    wanted = [measure for measure in found if measure is not None and measure.amounts]
    return [_buying(one, ordered["rear_bar"]) if buying else one for one in wanted]


def _buying(measure: Measure, table: Tables) -> Measure:
    """What is ordered stands in place of the shelf."""
    if measure.kind not in (RemedyKind.ARM, RemedyKind.STEEL, RemedyKind.SECTION):
        return measure

    def put(tables: Tables, amount: float) -> Told:
        if "shelf" in tables["rear_bar"]:
            tables["rear_bar"] = dict(tables["rear_bar"])
            put_bought(tables["rear_bar"], table)
        return measure.put(tables, amount)

    return replace(measure, put=put)


def not_counted(data: Tables, scenario: Scenario) -> list[str]:
    """What could help and cannot be counted from this file, and why; a sentence each.

    Empty where everything was counted.
    """
    change, found = scenario.job.change, []
    lifted = max(change.suspension_lift_front, change.suspension_lift_rear) > 0.0
    if change.on_when_weighed and lifted:
        found.append(
            "A lower lift was not counted: the lift was on the scales. Weigh it again lower, or "
            "without the lift, to see what that brings."
        )
    if change.on_when_weighed:
        found.append(
            "Stiffer rear springs were not counted: the springs under [change] were on the scales."
        )
    elif stated_spring(data, scenario.job, "rear") is None:
        found.append(
            "Stiffer rear springs were not counted: they are not stated by a rate; compare them "
            "under [[spring_option]]."
        )
    if "centreline" in data["rear_bar"]:
        found.append("Other arms were not counted: the bar is given by the points of its line.")
    return found


def _rising(most: float, step: float) -> tuple[float, ...]:
    """Multiples of a step, and the most itself."""
    return (*np.arange(step, most - 1e-9, step).round(6).tolist(), most) if most > 0.0 else ()


def _load_off(data: Tables, scenario: Scenario, sizing: Sizing) -> Measure | None:
    case = mass.named(scenario.job, sizing.case)
    weighed = {table["name"].strip(): table for table in data.get("load", []) if "mass" in table}
    items = [item for item in case.loads if item.name in weighed]
    roof = [item for item in items if item.place is Place.ROOF]
    if not items:
        return None
    item = max(roof or items, key=lambda one: one.height)

    def put(tables: Tables, amount: float) -> Told:
        number = next(n for n, one in enumerate(tables["load"]) if one["name"].strip() == item.name)
        table = tables["load"][number]
        if item.on_when_weighed:  # it was on the scales: what comes off is in no load case
            off = {**table, "name": f"{item.name}, taken off", "mass": f"{amount:g} kg"}
            tables["load"].insert(number + 1, {**off, "cases": []})
        table["mass"] = f"{round(item.mass - amount, 6):g} kg"
        return (amount,)

    amounts = _rising(item.mass, MASS_STEP)
    return Measure(RemedyKind.LOAD, amounts, put, ("load",), subject=item.name)


def _lift_lower(data: Tables, scenario: Scenario, sizing: Sizing) -> Measure | None:
    change = scenario.job.change
    lifts = change.suspension_lift_front, change.suspension_lift_rear
    if max(lifts) <= 0.0 or change.on_when_weighed:
        return None

    def put(tables: Tables, amount: float) -> Told:
        lower = tuple(round(max(lift, 0.0) * amount / max(lifts), 3) for lift in lifts)
        for end, lift, less in zip(("front", "rear"), lifts, lower, strict=True):
            if lift > 0.0:
                tables["change"][f"suspension_lift_{end}"] = _mm(lift - less)
        return lower

    return Measure(RemedyKind.LIFT, _rising(max(lifts), LENGTH_STEP), put, ("change",))


def _rear_springs(data: Tables, scenario: Scenario, sizing: Sizing) -> Measure | None:
    own = stated_spring(data, scenario.job, "rear")
    if own is None or scenario.job.change.on_when_weighed:
        return None

    def put(tables: Tables, amount: float) -> Told:
        spring = stiffer(own, amount, lambda rate: f"{rate / 1e3:.4g} N/mm")
        tables.setdefault("change", {})["rear_spring"] = spring
        return (amount,)

    return Measure(RemedyKind.REAR_SPRINGS, SPRING_FACTORS, put, ("change",))


def _front_bar(data: Tables, scenario: Scenario, sizing: Sizing) -> Measure | None:
    case = mass.named(scenario.job, sizing.case)
    now = math.radians(mass.axles(scenario.job, case)[0].bar_roll_stiffness)
    most = max(FRONT_LEAST, float(round(now)))

    def put(tables: Tables, amount: float) -> Told:
        change, wanted = tables.setdefault("change", {}), now + amount
        own = change.get("front_bar", {})
        if "link_end_rate" in own:
            rate = parse(bare(own["link_end_rate"]), Dimension.RATE).value * wanted / now
            change["front_bar"] = {**own, "link_end_rate": f"{rate / 1e3:.6g} N/mm"}
        else:
            change["front_bar"] = {"roll_stiffness": f"{wanted:.0f} N*m/deg"}
        return (math.degrees(amount),)

    return Measure(RemedyKind.FRONT_BAR, _rising(most, FRONT_STEP), put, ("change",))


def _longer_arm(data: Tables, scenario: Scenario, sizing: Sizing) -> Measure | None:
    bar = data["rear_bar"]
    if "arm_holes" not in bar:
        return None
    levers = [shape.lever for shape in scenario.rear_bar.shapes]
    first = math.ceil(min(levers) / ARM_STEP - 1e-9)
    last = math.ceil(LONGEST_ARM * max(levers) / ARM_STEP - 1e-9)
    added = [_mm(n * ARM_STEP) for n in range(first, last + 1)]

    def put(tables: Tables, amount: float) -> Told:
        holes = tables["rear_bar"]["arm_holes"]
        tables["rear_bar"]["arm_holes"] = [*holes, *(one for one in added if one not in holes)]
        return ()

    return Measure(RemedyKind.ARM, (1.0,), put, ("rear_bar",), _one_hole)


def _one_hole(tables: Tables, bar: Candidate) -> None:
    tables["rear_bar"]["arm_holes"] = [_mm(bar.lever)]


def _stronger_steel(data: Tables, scenario: Scenario, sizing: Sizing) -> Measure | None:
    sections = [s for stock in scenario.rear_bar.stocks for s in stock.sections if s.wall is None]
    if not sections:
        return None
    thin = min(s.outer_diameter for s in sections)
    now = min(stock.steel.allowable_stress(thin) for stock in scenario.rear_bar.stocks)
    steels = [s for s in STEELS if Form.ROUND_BAR in s.forms and s.allowable_stress(thin) > now]
    steels.sort(key=lambda steel: steel.allowable_stress(thin))

    def put(tables: Tables, amount: float) -> Told:
        steel = steels[int(amount)]
        most = steel.strengths[-1][0]
        labels = dict.fromkeys(s.label for s in sections if s.outer_diameter <= most + 1e-9)
        one_stock(tables["rear_bar"], steel.name, list(labels))
        return ()

    amounts = tuple(float(n) for n in range(len(steels)))
    return Measure(RemedyKind.STEEL, amounts, put, ("rear_bar",))


def _another_section(data: Tables, scenario: Scenario, sizing: Sizing) -> Measure | None:
    stocks = [s for s in scenario.rear_bar.stocks if Form.ROUND_BAR in s.steel.forms]
    if not stocks:
        return None
    stock = max(stocks, key=lambda s: s.steel.allowable_stress(s.sections[0].outer_diameter))
    most = stock.steel.strengths[-1][0] * 1e3
    own = [section.label for section in stock.sections]
    solids = [f"{size} mm solid" for size in SOLIDS if size <= most + 1e-6]
    bars = data["rear_bar"]
    number = scenario.rear_bar.stocks.index(stock)
    material = (bars["stock"][number] if "stock" in bars else bars)["material"]

    def put(tables: Tables, amount: float) -> Told:
        one_stock(tables["rear_bar"], material, list(dict.fromkeys([*own, *solids])))
        return ()

    def narrow(tables: Tables, bar: Candidate) -> None:
        one_stock(tables["rear_bar"], material, [bar.section.label])

    return Measure(RemedyKind.SECTION, (1.0,), put, ("rear_bar",), narrow)


def _section_to_buy(data: Tables, scenario: Scenario, sizing: Sizing) -> Measure:
    """Any solid bar, of the strongest steel that the shelf has of them, or of a stronger one."""
    stocks = scenario.rear_bar.stocks

    def strength(place: int) -> float:
        return stocks[place].steel.allowable_stress(stocks[place].sections[0].outer_diameter)

    round_bars = [n for n, stock in enumerate(stocks) if Form.ROUND_BAR in stock.steel.forms]
    own = max(round_bars, key=strength, default=None)
    now = 0.0 if own is None else strength(own)
    thinnest = SOLIDS[0] / 1e3
    better = [s for s in STEELS if Form.ROUND_BAR in s.forms and s.allowable_stress(thinnest) > now]
    better.sort(key=lambda steel: steel.allowable_stress(thinnest))
    steels = [(steel, steel.name) for steel in better]
    if own is not None:
        steels.insert(0, (stocks[own].steel, data["rear_bar"]["stock"][own]["material"]))

    def put(tables: Tables, amount: float) -> Told:
        steel, material = steels[int(amount)]
        most = steel.strengths[-1][0] * 1e3 + 1e-6
        one_stock(tables["rear_bar"], material, [f"{n} mm solid" for n in SOLIDS if n <= most])
        return ()

    def narrow(tables: Tables, bar: Candidate) -> None:
        (stock,) = tables["rear_bar"]["stock"]
        stock["sections"] = [bar.section.label]

    amounts = tuple(float(n) for n in range(len(steels)))
    return Measure(RemedyKind.SECTION, amounts, put, ("rear_bar",), narrow)


def one_stock(bar: Tables, material: object, sections: list[str]) -> None:
    """Leave one steel with its sections in [rear_bar]."""
    only = {"material": material, "sections": sections}
    if "stock" in bar:
        bar["stock"] = [only]
    else:
        bar |= only


def _limit_straps(data: Tables, scenario: Scenario, sizing: Sizing) -> Measure | None:
    job = scenario.job
    limit = mass.with_parts(job).vehicle.rear.rebound_limit
    if limit is None or job.vehicle.rear.bump_stop is None:
        return None
    ratio = limit.motion_ratio
    steps = np.arange(LEAST_DROOP, limit.gap / ratio - 1e-9, LENGTH_STEP).round(6)
    gaps = [float(droop * ratio) for droop in steps if droop >= _standing(scenario)]

    def put(tables: Tables, amount: float) -> Told:
        gap = gaps[-1 - int(amount)]
        table = tables.setdefault("change", {}).setdefault("rear_rebound_limit", {})
        table["gap"] = _mm(gap)
        return (gap,)

    amounts = tuple(float(n) for n in range(len(gaps)))
    return Measure(RemedyKind.LIMIT_STRAPS, amounts, put, ("change",))


def _standing(scenario: Scenario) -> float:
    """How far the rear stands above as weighed in its highest state, and what a strap needs [m]."""
    from rollsim.spring_check import spring_checks

    highest = max(check.rear.ride_height_change for check in spring_checks(scenario.job))
    return highest + DROOP_AT_REST


def _links_off(data: Tables, scenario: Scenario, sizing: Sizing) -> Measure | None:
    if scenario.rear_bar.disconnected_off_road:
        return None

    def put(tables: Tables, amount: float) -> Told:
        tables["rear_bar"]["links_disconnected_off_road"] = True
        return ()

    return Measure(RemedyKind.LINKS_OFF, (1.0,), put, ("rear_bar",))


def _mm(length: float) -> str:
    return f"{round(length * 1e3, 3):g} mm"
