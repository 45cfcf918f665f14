"""From the checked tables of a file to the records that the rest of the program computes with."""

import math
from dataclasses import replace
from functools import partial

from rollsim.bar import RearBar
from rollsim.cautions import height_note
from rollsim.mass import AxleRise
from rollsim.scenario.axles import build_axle, build_limit_straps
from rollsim.scenario.cg_height import assumed_cg_height
from rollsim.scenario.checks import check_names, check_states, few_cases
from rollsim.scenario.errors import Problems
from rollsim.scenario.frame_input import with_frame
from rollsim.scenario.front_bar import build_front_bar
from rollsim.scenario.keys import LessThanNow
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.load_items import build_load
from rollsim.scenario.rear_bar import build_rear_bar
from rollsim.scenario.scales import Scales, Stand, read_cg_height, read_scales
from rollsim.scenario.schema import (
    ChangeTable,
    Document,
    LimitsTable,
    TargetTable,
)
from rollsim.scenario.spring_option_input import build_spring_options, shelf_options
from rollsim.scenario.spring_tables import SpringTable
from rollsim.scenario.springs_input import SpringSeat, build_spring
from rollsim.scenario.stock import StockVehicle, levelled, put_on, relieved, stock_of
from rollsim.scenario.table import Beside
from rollsim.scenario.vehicle_bar import build_bar, steel_words
from rollsim.scenario.vehicle_tables import CORNERS
from rollsim.springs import Spring
from rollsim.units import Quantity
from rollsim.vehicle import (
    Axle,
    Change,
    Job,
    Limits,
    Load,
    Place,
    Ratings,
    SpringLimits,
    Stop,
    Suspension,
    Target,
    Vehicle,
)


def build(
    ledger: Ledger, document: Document, folder: Beside
) -> tuple[Job | None, RearBar | None, RearBar | None]:
    """Build the job, the rear bar and the front bar, adding every error that crosses keys.

    The job means something only while the ledger holds no error; a bar is None where the file has
    none.
    """
    change_table = document.change or ChangeTable()
    # The loads first: what was on the scales comes off before anything is assumed.
    of_loads = Ledger(ledger.problems)
    stand = _stand(document)
    tables = enumerate(document.load or (), 1)
    loads = tuple(build_load(of_loads, n, table, stand=stand) for n, table in tables)
    scales = read_scales(ledger, document.vehicle)
    stock = stock_of(scales, loads, change_table, wheelbase=stand.wheelbase)
    if not stock.unaltered:
        stock = _levelled(document, folder, scales=scales, stock=stock)
    vehicle, seats, rises = _vehicle_and_seats(ledger, document, folder, scales=scales, stock=stock)
    if getattr(document.vehicle, "auxiliary_roll_stiffness_found_together", False):
        from rollsim.measured import KEYS, TOGETHER, Unknown  # few files have a test of the total

        ledger.tie(KEYS[Unknown.TOTAL_ROLL_STIFFNESS], TOGETHER)
    change = _change(ledger, change_table, seats, vehicle=vehicle)
    change = _relieved(change, vehicle, stock, rises)
    if vehicle is not None and _has_lift_parts(document):
        from rollsim.scenario.lift_input import with_lift_parts  # few files have them

        vehicle, change = with_lift_parts(ledger, document, vehicle, change)
    options = build_spring_options(ledger, document.spring_option or (), seats)
    options += shelf_options(ledger, document, seats, folder=folder, beside=options)
    ledger.go_on_with(of_loads)
    _note_low_roof_loads(ledger, vehicle, loads)
    _note_what_is_left_out(ledger, document)
    if document.lean_test is not None:
        from rollsim.scenario.lean_test_input import check_lean_test  # few files have one

        by_test = document.vehicle is not None and document.vehicle.cg_height_test is not None
        check_lean_test(ledger, document.lean_test, loads, cg_by_test=by_test)
    if vehicle is not None:
        notes = (height_note(getattr(vehicle, end), change, end) for end in ("front", "rear"))
        ledger.notes += [note for note in notes if note]
    target = _target(ledger, document.target or TargetTable())
    limits = _limits(ledger, document.limits or LimitsTable())
    spring_limits = _spring_limits(ledger, document.limits or LimitsTable())
    ratings = Ratings(
        **{
            name: ledger.take_or_none(f"ratings.{name}", getattr(document.ratings, name, None))
            for name in Ratings.__dataclass_fields__
        }
    )
    refused = ledger.problems.has("load")
    few = few_cases(ledger.problems, loads)
    if few and not refused:
        check_names(ledger.problems, loads, target)
    if few and vehicle is not None:
        check_states(ledger.problems, vehicle, loads, change=change)
    rear_bar = None
    if document.rear_bar is not None:
        rear = None if vehicle is None else vehicle.rear
        rear_bar = build_rear_bar(ledger, document.rear_bar, rear, change=change, folder=folder)
    front_bar = _front_bar(ledger, document, rear_bar)
    if vehicle is None or ledger.problems.found:
        return None, None, None
    job = Job(vehicle, loads, change, ratings, target, limits, spring_limits, options)
    return job, rear_bar, front_bar


def _has_lift_parts(document: Document) -> bool:
    """Whether an alignment or a damper stands in the file."""
    change = document.change or ChangeTable()
    ends = (document.front, document.rear)
    return any((change.front_damper, change.rear_damper)) or any(
        one is not None
        for axle in ends
        for one in (axle.alignment, axle.damper, axle.leaf_and_shackle)
    )


def _front_bar(ledger: Ledger, document: Document, rear_bar: RearBar | None) -> RearBar | None:
    """The front bar of a pair; None where none is asked for."""
    table, front = document.front_bar, document.front
    if table is None or front is None:
        return None
    if document.rear_bar is None and not ledger.problems.has("rear_bar"):
        ledger.problems.add(
            "front_bar",
            "found without [rear_bar]; a pair is chosen from the sections of both; add it, or "
            "remove [front_bar]",
        )
    return build_front_bar(ledger, table, front, rear_bar)


def _note_what_is_left_out(ledger: Ledger, document: Document) -> None:
    """What most vehicles have and the file has not, and which answers suffer from it."""
    if document.front is not None and document.front.bar is None:
        ledger.notes.append(
            "front: no anti-roll bar given; most vehicles of this kind have one, and without it "
            "the unladen lean per g is too high; where there is none, say so: "
            'bar = { roll_stiffness = "0 N*m/deg" }'
        )
    for name, suffers in (
        ("front", "lean and tip-over are computed without"),
        ("rear", "the axle's twist is taken to where its lower wheel lifts, the most there can be"),
    ):
        axle = getattr(document, name)
        missing = [
            word
            for word in ("bump_stop", "rebound_limit")
            if axle is not None and getattr(axle, word) is None
        ]
        if missing:
            ledger.notes.append(f"{name}: no {' and no '.join(missing)} given; {suffers}")


def _levelled(
    document: Document, folder: Beside, *, scales: Scales, stock: StockVehicle
) -> StockVehicle:
    """What was on the scales taken off, pitch and all, by building the vehicle once before."""
    aside = Ledger(Problems(""))
    vehicle, _, rises = _vehicle_and_seats(aside, document, folder, scales=scales, stock=stock)
    if vehicle is None or aside.problems.found:
        return stock
    return levelled(stock, vehicle, rises)


def _note_low_roof_loads(ledger: Ledger, vehicle: Vehicle | None, loads: tuple[Load, ...]) -> None:
    """What is said to lie on the roof, and stands lower than the roof was taped."""
    roof = None if vehicle is None else vehicle.roof_height
    for number, load in enumerate(loads, 1):
        if roof is not None and load.place is Place.ROOF and load.height < roof:
            ledger.notes.append(
                f"load[{number}].height: {load.height * 1e3:.5g} mm lies below the bare roof, "
                f"{roof * 1e3:.5g} mm; what is on the roof is not lower, measure both again"
            )


def _vehicle_and_seats(
    ledger: Ledger, document: Document, folder: Beside, *, scales: Scales, stock: StockVehicle
) -> tuple[Vehicle | None, dict[str, SpringSeat], tuple[AxleRise, ...]]:
    """The vehicle, None where a whole table was refused, and where its springs stand.

    With how far each axle has risen since it was empty and stock.
    """
    table = document.vehicle
    ledger.vehicle_class = None if table is None else table.vehicle_class
    axles: dict[str, Axle] = {}
    seats: dict[str, SpringSeat] = {}
    rises: list[AxleRise] = []
    wheelbase = 0.0 if table is None else ledger.take("vehicle.wheelbase", table.wheelbase)
    for name in ("front", "rear"):
        axle_table, own = getattr(document, name), getattr(stock, name)
        if axle_table is not None:
            axle, seats[name] = build_axle(ledger, name, axle_table, stock=own, folder=folder)
            axles[name], rise = put_on(ledger, name, axle, stock=own)
            rises.append(rise)
    tracks = [axle.track for axle in axles.values()]
    height = math.nan
    if table is not None:
        both = {"axles": tuple(axles.values()), "rises": tuple(rises)}
        assumed = partial(assumed_cg_height, ledger, table.roof_height, stock, **both)
        height = read_cg_height(ledger, table, scales, assumed=assumed)
    if table is None or len(axles) < 2:
        return None, seats, ()
    vehicle = Vehicle(
        name=table.name,
        vehicle_class=table.vehicle_class,
        wheelbase=wheelbase,
        front_axle_mass=scales.front,
        rear_axle_mass=scales.rear,
        cg_height=height,
        cg_left=_cg_left(scales, *tracks),
        **axles,
        roof_height=None if table.roof_height is None else table.roof_height.value,
        **_damping(ledger, table.roll_damping_ratio),
    )
    return with_frame(ledger, table, vehicle, rises), seats, tuple(rises)


def _damping(ledger: Ledger, found: Quantity | None) -> dict[str, float]:
    """The damping ratio in roll and half its band; nothing where nobody measured it."""
    if found is None:
        return {}
    ratio = ledger.take("vehicle.roll_damping_ratio", found)
    return {"roll_damping_ratio": ratio, "roll_damping_tolerance": found.tolerance}


def _relieved(
    change: Change, vehicle: Vehicle | None, stock: StockVehicle, rises: tuple[AxleRise, ...]
) -> Change:
    """The springs that were already replaced on the scales, carrying what the stops leave."""
    if vehicle is None or not change.on_when_weighed:
        return change
    made = {
        f"{name}_spring": relieved(spring, getattr(stock, name), getattr(vehicle, name), rise)
        for name, rise in zip(("front", "rear"), rises, strict=True)
        if (spring := getattr(change, f"{name}_spring")) is not None
    }
    return replace(change, **made)


def _cg_left(scales: Scales, front_track: float, rear_track: float) -> float | None:
    """CG left of the centreline [m]; None where the axles were weighed."""
    if scales.corners is None:
        return None
    front_left, front_right, rear_left, rear_right = scales.corners
    moment = (front_left - front_right) * front_track + (rear_left - rear_right) * rear_track
    return moment / 2.0 / sum(scales.corners)


def _stand(document: Document) -> Stand:
    """What load items are placed against."""
    table = document.vehicle
    corners = [getattr(table, name, None) for name in CORNERS]
    return Stand(
        wheelbase=math.nan if table is None else table.wheelbase.value,
        front_track=math.nan if document.front is None else document.front.track.value,
        rear_track=math.nan if document.rear is None else document.rear.track.value,
        corners=None if None in corners else tuple(corners),
    )


def _change(
    ledger: Ledger, table: ChangeTable, seats: dict[str, SpringSeat], *, vehicle: Vehicle | None
) -> Change:
    for word in ("front_spring", "rear_spring"):
        spring = getattr(table, word)
        for key in ("load", "free_height") if table.on_when_weighed else ():
            if getattr(spring, key, None) is not None:
                ledger.problems.add(
                    f"change.{word}.{key}",
                    "found with on_when_weighed = true; the scales say what it carries; remove it",
                )
    given = {
        word: getattr(table, word) is not None or ledger.problems.has(f"change.{word}")
        for word in ("body_lift", "body_lift_mass")
    }
    for word, is_given in given.items():
        if not is_given and any(given.values()):
            ledger.problems.add(
                f"change.{word}",
                "missing; body_lift and body_lift_mass belong together; add it or remove the other",
            )
    lengths = (
        *("suspension_lift_front", "suspension_lift_rear", "tyre_radius"),
        *("wheel_offset_front", "wheel_offset_rear", "body_lift", "body_lift_mass"),
    )
    bar, words = _replaced_bar(ledger, table, vehicle)
    return Change(
        **{word: ledger.take(f"change.{word}", getattr(table, word)) for word in lengths},
        front_spring=_replaced(ledger, "front", table.front_spring, seats=seats),
        rear_spring=_replaced(ledger, "rear", table.rear_spring, seats=seats),
        front_bar_roll_stiffness=bar,
        front_bar_description=words,
        rear_rebound_limit=_limit_straps(ledger, table, vehicle),
        on_when_weighed=table.on_when_weighed,
    )


def _replaced_bar(
    ledger: Ledger, table: ChangeTable, vehicle: Vehicle | None
) -> tuple[float | None, str]:
    """Roll stiffness of the new front bar [N·m/rad], None where there is none, and in words.

    It is stated for the changed vehicle and kept for the track as weighed.
    """
    if table.front_bar is None or vehicle is None:
        return None, ""
    front = vehicle.front
    track = front.track
    if table.wheel_offset_front is not None and not table.on_when_weighed:
        track += 2.0 * table.wheel_offset_front.value
    bar = build_bar(
        ledger,
        "change.front_bar",
        table.front_bar,
        axle="front",
        suspension=front.suspension,
        track=track,
    )
    out = front.track / track if front.suspension is Suspension.INDEPENDENT else 1.0
    return bar.stiffness * out**2, bar.words + steel_words(table.front_bar)


def _limit_straps(ledger: Ledger, table: ChangeTable, vehicle: Vehicle | None) -> Stop | None:
    """The rebound limit that straps make of the vehicle's own; None where there are none."""
    if table.rear_rebound_limit is None or vehicle is None:
        return None
    return build_limit_straps(
        ledger, "change.rear_rebound_limit", table.rear_rebound_limit, axle=vehicle.rear
    )


def _replaced(
    ledger: Ledger, axle: str, table: SpringTable | None, *, seats: dict[str, SpringSeat]
) -> Spring | None:
    if table is None or axle not in seats:
        return None
    return build_spring(ledger, f"change.{axle}_spring", table, seat=seats[axle], replaced=True)


def _target(ledger: Ledger, table: TargetTable) -> Target:
    usual = Target()
    gradient, at = table.roll_gradient, table.at
    return Target(
        roll_gradient=(
            ledger.take("target.roll_gradient", gradient)
            if isinstance(gradient, Quantity)
            else None
        ),
        less_than_now=gradient.share if isinstance(gradient, LessThanNow) else None,
        at=None if at == "linear" else ledger.take("target.at", at, usual.at),
        case=table.case,
    )


def _limits(ledger: Ledger, table: LimitsTable) -> Limits:
    usual = Limits()

    def value(word: str, otherwise: float) -> float:
        return ledger.take(f"limits.{word}", getattr(table, word), otherwise)

    return Limits(
        gradient_tolerance=value("roll_gradient_within", usual.gradient_tolerance),
        least_gain=value("least_gain", usual.least_gain),
        safety_factor=value("safety_factor", usual.safety_factor),
        inner_rear_lift=value("inner_rear_lift", usual.inner_rear_lift),
        front_share_drop=value("front_share_drop", usual.front_share_drop),
        stress_acceleration=value("stress_acceleration", usual.stress_acceleration),
        dynamic_factor=value("dynamic_factor", usual.dynamic_factor),
        road_twist=value("road_twist", usual.road_twist),
    )


def _spring_limits(ledger: Ledger, table: LimitsTable) -> SpringLimits:
    usual = SpringLimits()

    def value(word: str, otherwise: float) -> float:
        return ledger.take(f"limits.{word}", getattr(table, word), otherwise)

    found = SpringLimits(
        bump_share=value("least_bump_travel_share", usual.bump_share),
        rebound_share=value("least_rebound_travel_share", usual.rebound_share),
        stage_used=value("greatest_second_stage_share", usual.stage_used),
        stage_travel=value("second_stage_travel", usual.stage_travel),
        lowest_frequency=value("lowest_ride_frequency", usual.lowest_frequency),
        highest_frequency=value("highest_ride_frequency", usual.highest_frequency),
        soft_bump_share=value("soft_bump_travel_share", usual.soft_bump_share),
        highest_on_helper=value("highest_ride_frequency_on_helper", usual.highest_on_helper),
        damper_bump=value("least_damper_left_at_bump", usual.damper_bump),
        damper_droop=value("least_damper_left_at_droop", usual.damper_droop),
    )
    if found.lowest_frequency >= found.highest_frequency:
        ledger.problems.add(
            "limits.lowest_ride_frequency",
            f"found {found.lowest_frequency:.4g} Hz; allowed below the highest, "
            f"{found.highest_frequency:.4g} Hz; give both",
        )
    return found
