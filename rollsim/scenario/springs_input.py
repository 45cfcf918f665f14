"""Springs from the file's tables, and every error across their keys."""

import math
from dataclasses import dataclass

from rollsim.scenario.defaults import spring_default
from rollsim.scenario.keys import CLASS_DEFAULT
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.spring_dimensions import helical_spring, leaf_pack
from rollsim.scenario.spring_tables import SpringTable
from rollsim.scenario.table import Beside, read_table
from rollsim.springs import (
    FrictionLoop,
    HelicalSpring,
    LinearSpring,
    Spring,
    StatedLoad,
    TableSpring,
    compression_at,
)
from rollsim.vehicle import Suspension

FURTHEST = 0.2  # m from as weighed: what stands further off is no spring for this vehicle
NO_SPRING = LinearSpring(math.nan)
"""Stands for a spring that was refused."""

WAYS = ("rate", "wheel_rate", "table", "helical", "leaf_pack", "load_test")
"""Keys that say how stiff a spring is, one of them in a table."""


@dataclass(frozen=True, slots=True)
class SpringSeat:
    """Where a spring stands.

    `load` and `stock_load` are the sprung load on one side, as weighed, and empty and stock [N].
    `suspension` is None where it was refused. `twist_is_given`: the axle states its auxiliary roll
    stiffness. `height` is the spring's own as weighed [m], `height_is_of_leaf` where it is the arch
    by `leaf_and_shackle`, on which no coil stands.
    """

    axle: str
    suspension: Suspension | None
    load: float
    stock_load: float
    folder: Beside
    twist_is_given: bool = False
    height: float | None = None
    height_is_of_leaf: bool = False


@dataclass(frozen=True, slots=True)
class _Fitting:
    """What every kind of spring takes besides its own keys."""

    ratio: float
    stated: StatedLoad | None
    loop: FrictionLoop


def build_spring(
    ledger: Ledger, key: str, table: SpringTable, *, seat: SpringSeat, replaced: bool = False
) -> Spring:
    """Build the spring of one side; `NO_SPRING` where refused.

    At the wheel (independent) or at the spring (solid axle). A replaced one may state its own load
    at a height.
    """
    if not _is_stated(ledger, key, table, seat=seat):
        return NO_SPRING
    spring = _spring(ledger, key, table, seat=seat, replaced=replaced)
    _check_free_height(ledger, key, spring, seat=seat)
    return spring


def _spring(
    ledger: Ledger, key: str, table: SpringTable, *, seat: SpringSeat, replaced: bool
) -> Spring:
    ratio = ledger.take(f"{key}.motion_ratio", table.motion_ratio, 1.0)
    stated = _stated_load(ledger, key, table, ratio=ratio, replaced=replaced)
    if replaced and stated is None:
        stated = _free_height(ledger, key, table, seat=seat, ratio=ratio)
    fitting = _Fitting(ratio, stated, _loop(ledger, key, table, ratio=ratio))
    if table.table is not None:
        return _table_spring(ledger, key, table, seat=seat, fitting=fitting)
    if table.helical is not None or table.leaf_pack is not None:
        return _by_dimensions(ledger, key, table, seat=seat, fitting=fitting)
    loop = fitting.loop
    if table.load_test is not None:
        # Here, not above: few files have one, and what evaluates it takes time to import.
        from rollsim.scenario.load_test_input import tested_spring

        tested = tested_spring(ledger, key, table, suspension=seat.suspension)
        if tested is None:
            return NO_SPRING
        rate, loop = tested.rate, _one_loop(ledger, key, table, tested=tested.loop, stated=loop)
    else:
        word = "rate" if table.rate is not None else "wheel_rate"
        rate = ledger.take(f"{key}.{word}", getattr(table, word))
    stage = table.second_stage
    if stage is None:
        return LinearSpring(rate * ratio**2, stated_load=stated, loop=loop, motion_ratio=ratio)
    return LinearSpring(
        rate * ratio**2,
        stage_start=ledger.take(f"{key}.second_stage.after", stage.after) / ratio,
        stage_rate=ledger.take(f"{key}.second_stage.rate", stage.rate) * ratio**2,
        stated_load=stated,
        loop=loop,
        motion_ratio=ratio,
    )


def spring_or_default(ledger: Ledger, table: SpringTable | str | None, seat: SpringSeat) -> Spring:
    """Build the spring of [front] or [rear]; `NO_SPRING` where refused."""
    if table is None:
        return NO_SPRING
    if table == CLASS_DEFAULT:
        rate = spring_default(ledger, seat.axle, load=seat.stock_load, suspension=seat.suspension)
        return LinearSpring(rate)
    return build_spring(ledger, f"{seat.axle}.spring", table, seat=seat)


def _is_stated(ledger: Ledger, key: str, table: SpringTable, *, seat: SpringSeat) -> bool:
    """Whether the spring is stated in one way that fits the suspension; adds what is not so."""
    ways = [word for word in WAYS if getattr(table, word) is not None]
    if seat.suspension is None:
        return False
    if not ways and any(ledger.problems.has(f"{key}.{word}") for word in WAYS):
        return False
    before = len(ledger.problems.found)
    if len(ways) != 1:
        came = " and ".join(ways) if ways else "no rate"
        ledger.problems.add(
            key, f"found {came}; allowed one of {', '.join(WAYS)}; give exactly one"
        )
    if seat.suspension is Suspension.SOLID_AXLE:
        _refuse_on_solid_axle(ledger, key, table)
    elif len(ways) == 1:
        _check_motion_ratio(ledger, key, table, way=ways[0])
    if table.second_stage is not None:
        _check_second_stage(ledger, key, table)
    if table.friction is not None and table.loop_width is not None:
        ledger.problems.add(
            f"{key}.loop_width", "found beside friction; allowed one of the two; remove one"
        )
    return len(ledger.problems.found) == before


def _check_motion_ratio(ledger: Ledger, key: str, table: SpringTable, *, way: str) -> None:
    """Independent suspension: what is stated at the spring needs it, at the wheel takes none."""
    if way in ("wheel_rate", "load_test") and table.motion_ratio is not None:
        ledger.problems.add(
            f"{key}.motion_ratio", f"{way} is at the wheel already; remove the motion ratio"
        )
    if way not in ("wheel_rate", "table", "load_test") and table.motion_ratio is None:
        instead = ", or give wheel_rate instead of rate" if way == "rate" else ""
        ledger.problems.add(
            f"{key}.motion_ratio",
            f"missing; on independent suspension {way} is the spring's own; add motion_ratio "
            f"(tape: spring travel per wheel travel){instead}",
        )


def _check_second_stage(ledger: Ledger, key: str, table: SpringTable) -> None:
    for word, why in (
        ("table", "a measured table holds its second stage already; remove it"),
        ("helical", "a coil spring by dimensions takes none; give its rate instead, or remove it"),
        ("leaf_pack", "a leaf pack takes leaf_pack.helper instead; give the helper's dimensions"),
    ):
        if getattr(table, word) is not None:
            ledger.problems.add(f"{key}.second_stage", why)


def _refuse_on_solid_axle(ledger: Ledger, key: str, table: SpringTable) -> None:
    if table.wheel_rate is not None:
        ledger.problems.add(
            f"{key}.wheel_rate",
            "on a solid axle the spring stands at spring_base, not at the wheel; "
            "give rate, the spring's own",
        )
    if table.motion_ratio is not None:
        ledger.problems.add(
            f"{key}.motion_ratio", "a solid axle has none, spring_base does its work; remove it"
        )


def _stated_load(
    ledger: Ledger, key: str, table: SpringTable, *, ratio: float, replaced: bool
) -> StatedLoad | None:
    """The spring's own load at a height, taken to the wheel."""
    if not replaced:
        for word in ("load", "at", "free_height"):
            if getattr(table, word) is not None:
                ledger.problems.add(
                    f"{key}.{word}",
                    "only a replaced spring states its own load, in [change]; this one carries "
                    "what the scales say; remove it",
                )
        return None
    if table.load is not None and table.free_height is not None:
        ledger.problems.add(
            f"{key}.free_height",
            "found beside load, which says at which height it carries; remove one of the two",
        )
    if table.load is None:
        if table.at is not None:
            ledger.problems.add(f"{key}.load", "missing; at needs it; add the load or remove at")
        return None
    force = ledger.take(f"{key}.load", table.load)
    return StatedLoad(force * ratio, ledger.take(f"{key}.at", table.at) / ratio)


def _free_height(
    ledger: Ledger, key: str, table: SpringTable, *, seat: SpringSeat, ratio: float
) -> StatedLoad | None:
    """The height at which a spring carries nothing, taken to the wheel; None where not known."""
    word, given, coil = "free_height", table.free_height, table.helical
    if given is None:
        if coil is None or seat.height is None or seat.height_is_of_leaf:
            return None
        word, given = "helical.free_length", coil.free_length
    wrong = ""
    if coil is not None and table.free_height is not None:
        wrong = "found beside helical, which has it as free_length; remove it"
    elif seat.suspension is Suspension.INDEPENDENT and table.motion_ratio is None:
        wrong = (
            "found without motion_ratio: it is the spring's own height; give its own rate and "
            "motion_ratio (tape: spring travel per wheel travel)"
        )
    elif seat.height is None:
        wrong = (
            f"found without {seat.axle}.spring_height, from which it counts; add that: the spring "
            "as it stands as weighed, coil from seat to seat, leaf pack from the line through its "
            "eyes down to the main leaf on the axle"
        )
    if wrong:
        ledger.problems.add(f"{key}.{word}", wrong)
        return None
    return StatedLoad(0.0, (ledger.take(f"{key}.{word}", given) - seat.height) / ratio)


def _check_free_height(ledger: Ledger, key: str, spring: Spring, *, seat: SpringSeat) -> None:
    """By its free height a spring carries the load as weighed where one can stand."""
    stated = getattr(spring, "stated_load", None)
    if stated is None or not stated.is_free_height or not seat.load > 0.0:
        return
    if not math.isfinite(stated.extension):
        return
    ratio = spring.motion_ratio
    higher = -compression_at(spring.curve(seat.load), seat.load) * ratio
    if not abs(higher) <= FURTHEST:
        free = stated.extension * ratio + seat.height
        word = "helical.free_length" if isinstance(spring, HelicalSpring) else "free_height"
        ledger.problems.add(
            f"{key}.{word}",
            f"found {free * 1e3:.5g} mm, with which it carries the load as weighed at "
            f"{(seat.height + higher) * 1e3:.0f} mm; allowed within {FURTHEST * 1e3:g} mm of "
            f"{seat.axle}.spring_height, {seat.height * 1e3:.5g} mm; check both, measured alike, "
            "and the rate",
        )


def _loop(ledger: Ledger, key: str, table: SpringTable, *, ratio: float) -> FrictionLoop:
    """The spring's friction, taken to the wheel."""
    return FrictionLoop(
        ledger.take(f"{key}.friction", table.friction),
        0.5 * ratio * ledger.take(f"{key}.loop_width", table.loop_width),
    )


def _one_loop(
    ledger: Ledger,
    key: str,
    table: SpringTable,
    *,
    tested: FrictionLoop | None,
    stated: FrictionLoop,
) -> FrictionLoop:
    """Friction as measured; as stated where the load test went one way only."""
    if tested is None:
        return stated
    for word in ("friction", "loop_width"):
        if getattr(table, word) is not None:
            ledger.problems.add(
                f"{key}.{word}",
                "found beside a load test with unloading, which measures it; remove one of the two",
            )
    return tested


def _table_spring(
    ledger: Ledger, key: str, table: SpringTable, *, seat: SpringSeat, fitting: _Fitting
) -> Spring:
    """A measured spring, taken to the wheel, whose forces reach the load that it carries."""
    ratio = fitting.ratio
    try:
        measured = read_table(seat.folder, table.table)
        if fitting.stated and fitting.stated.is_free_height and measured.force[0] > 0.0:
            raise ValueError(
                f"found beside free_height, and begins at {measured.force[0]:.0f} N; allowed from "
                "0 N, where that height is; measure the spring from unloaded on"
            )
        spring = TableSpring(
            tuple(x / ratio for x in measured.travel),
            tuple(f * ratio for f in measured.force),
            fitting.stated,
            loop=fitting.loop,
            half_widths=tuple(w * ratio for w in measured.half_widths),
            motion_ratio=ratio,
        )
        if math.isfinite(seat.load) and seat.load > 0.0:
            spring.curve(seat.load)
    except ValueError as error:
        ledger.problems.add(f"{key}.table", str(error))
        return NO_SPRING
    for word in ("friction", "loop_width"):
        if measured.half_widths and getattr(table, word) is not None:
            ledger.problems.add(
                f"{key}.{word}",
                "the table's unloading column holds the friction already; remove one of the two",
            )
    return spring


def _by_dimensions(
    ledger: Ledger, key: str, table: SpringTable, *, seat: SpringSeat, fitting: _Fitting
) -> Spring:
    """A coil spring or a leaf pack."""
    if table.helical is not None:
        spring = helical_spring(
            ledger,
            f"{key}.helical",
            table.helical,
            ratio=fitting.ratio,
            stated=fitting.stated,
            loop=fitting.loop,
            load=seat.load,
        )
    else:
        spring = leaf_pack(
            ledger,
            f"{key}.leaf_pack",
            table.leaf_pack,
            ratio=fitting.ratio,
            stated=fitting.stated,
            loop=fitting.loop,
            offer_twist=seat.suspension is Suspension.SOLID_AXLE and not seat.twist_is_given,
        )
    return NO_SPRING if spring is None else spring
