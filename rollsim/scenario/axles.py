"""Axles and stops from the file's tables."""

import math

from rollsim.scenario.defaults import axle_default, side_default
from rollsim.scenario.keys import CLASS_DEFAULT
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.linkage import read_roll_centre, track_bar
from rollsim.scenario.springs_input import SpringSeat, spring_or_default
from rollsim.scenario.stock import StockAxle
from rollsim.scenario.table import Beside
from rollsim.scenario.vehicle_bar import build_bar
from rollsim.scenario.vehicle_tables import AxleTable, LimitStrapTable, StopTable, TyreTable
from rollsim.units import Quantity
from rollsim.vehicle import STANDARD_GRAVITY, Axle, Stop, Suspension, Tyre


def build_axle(
    ledger: Ledger, name: str, table: AxleTable, *, stock: StockAxle, folder: Beside
) -> tuple[Axle, SpringSeat]:
    """Build one axle, what is assumed as it is empty and stock, the rest as weighed.

    With NaN in place of refused values; the seat is for a replaced spring.
    """
    kind = table.suspension

    def value(field: str) -> float:
        return _or_default(ledger, name, field, quantity=getattr(table, field), suspension=kind)

    track = ledger.take(f"{name}.track", table.track)
    unsprung = value("unsprung_mass")
    _check_unsprung(ledger, name, unsprung=unsprung, axle_mass=stock.as_weighed)
    height, of_leaf = _spring_height(ledger, name, table)
    seat = SpringSeat(
        name,
        kind,
        load=(stock.as_weighed - unsprung) / 2.0 * STANDARD_GRAVITY,
        stock_load=(stock.mass - unsprung) / 2.0 * STANDARD_GRAVITY,
        folder=folder,
        twist_is_given=table.auxiliary_roll_stiffness is not None,
        height=height,
        height_is_of_leaf=of_leaf,
    )
    base = _spring_base(ledger, name, table, track=track)
    # A stop that is assumed is one at the stock wheel; independent ones move with the wheel.
    solid = kind is Suspension.SOLID_AXLE
    wheels = track - 2.0 * stock.wheel_offset if solid else track
    bar = build_bar(ledger, f"{name}.bar", table.bar, axle=name, suspension=kind, track=track)
    auxiliary = 0.0
    if table.auxiliary_roll_stiffness is not None:
        auxiliary = value("auxiliary_roll_stiffness")
    centre, ratio = read_roll_centre(ledger, name, table, track=table.track)
    axle = Axle(
        suspension=kind,
        track=track,
        spring_base=base,
        unsprung_mass=unsprung,
        unsprung_cg_height=value("unsprung_cg_height"),
        roll_centre_height=centre,
        roll_centre_travel_ratio=ratio,
        spring=spring_or_default(ledger, table.spring, seat),
        tyre=_tyre(ledger, name, table.tyre),
        bump_stop=_stop(ledger, name, "bump_stop", axle=table, base=base, wheels=wheels),
        rebound_limit=_stop(ledger, name, "rebound_limit", axle=table, base=base, wheels=wheels),
        auxiliary_roll_stiffness=auxiliary,
        bar_roll_stiffness=bar.stiffness,
        bar_description=bar.words,
        bar_place=bar.place,
        track_bar=track_bar(table),
    )
    return axle, seat


def _spring_height(ledger: Ledger, name: str, table: AxleTable) -> tuple[float | None, bool]:
    """How high the spring itself stands as weighed [m], and whether by its leaf and shackle."""
    stated = ledger.take_or_none(f"{name}.spring_height", table.spring_height)
    if table.leaf_and_shackle is None:
        return stated, False
    from rollsim.scenario.leaf_input import taped_height  # few files have them

    if stated is not None:
        ledger.problems.add(
            f"{name}.spring_height",
            "found beside leaf_and_shackle, whose places say it; remove one of the two",
        )
    return taped_height(table), True


def _or_default(
    ledger: Ledger,
    axle: str,
    field: str,
    *,
    quantity: Quantity | str | None,
    suspension: Suspension | None,
) -> float:
    """A quantity's value, or the class default where the file says so."""
    key = f"{axle}.{field}"
    if quantity == CLASS_DEFAULT:
        return axle_default(ledger, axle, field, key=key, suspension=suspension)
    return ledger.take(key, quantity)


def _check_unsprung(ledger: Ledger, name: str, *, unsprung: float, axle_mass: float) -> None:
    if unsprung >= axle_mass:
        ledger.problems.add(
            f"{name}.unsprung_mass",
            f"found {unsprung:.4g} kg; allowed less than the axle's mass as weighed, "
            f"{axle_mass:.5g} kg; check both (unsprung mass is wheels, hubs and axle alone)",
        )


def _spring_base(ledger: Ledger, name: str, table: AxleTable, *, track: float) -> float:
    """Distance between the springs; the track on independent suspension."""
    key = f"{name}.spring_base"
    if table.suspension is not Suspension.SOLID_AXLE:
        if table.suspension is not None and table.spring_base is not None:
            ledger.problems.add(
                key, "independent suspension takes none, its rates are wheel rates; remove it"
            )
        return track
    if table.spring_base is None:
        if not ledger.problems.has(key):
            ledger.problems.add(
                key, "missing; a solid axle needs it; add it (tape: spring centre to spring centre)"
            )
        return math.nan
    base = _or_default(
        ledger, name, "spring_base", quantity=table.spring_base, suspension=table.suspension
    )
    if base > track:
        ledger.problems.add(
            key,
            f"found {base * 1e3:.5g} mm; allowed up to the track, {track * 1e3:.5g} mm; measure "
            "between the spring centres",
        )
    return base


def _tyre(ledger: Ledger, name: str, table: TyreTable | str | None) -> Tyre:
    if table is None:
        return Tyre(math.nan)
    key = f"{name}.tyre.vertical_rate"
    if table == CLASS_DEFAULT or table.vertical_rate == CLASS_DEFAULT:
        rate = axle_default(ledger, name, "tyre_vertical_rate", key=key, suspension=None)
    else:
        rate = ledger.take(key, table.vertical_rate)
    lateral = f"{name}.tyre.lateral_rate"
    if table == CLASS_DEFAULT:
        return Tyre(rate, side_default(ledger, lateral))
    return Tyre(
        rate,
        side_default(ledger, lateral)
        if table.lateral_rate == CLASS_DEFAULT
        else ledger.take_or_none(lateral, table.lateral_rate),
        ledger.take_or_none(f"{name}.tyre.rated_load", table.rated_load),
    )


def _stop(
    ledger: Ledger, name: str, word: str, *, axle: AxleTable, base: float, wheels: float
) -> Stop | None:
    """A bump stop or rebound limit; a class default is one at the wheel."""
    table: StopTable | str | None = getattr(axle, word)
    key = f"{name}.{word}"
    if table is None:
        return None
    part = word.split("_")[0]
    whole = table == CLASS_DEFAULT
    ratio = 1.0 if whole else _stop_ratio(ledger, key, table, suspension=axle.suspension)
    values = []
    for field in ("gap", "rate"):
        quantity = CLASS_DEFAULT if whole else getattr(table, field)
        if quantity == CLASS_DEFAULT:
            kind = axle.suspension
            value = axle_default(
                ledger, name, f"{part}_{field}", key=f"{key}.{field}", suspension=kind
            )
            if field == "gap" and ratio != 1.0:
                # The default gap is travel of the wheel; the stop moves less by its motion ratio.
                told, value = value, value * ratio
                ledger.restate(f"{key}.gap", value, spread=ratio, told=told)
            values.append(value)
        else:
            values.append(ledger.take(f"{key}.{field}", quantity))
    if whole:
        return Stop(*values, base=wheels)
    if CLASS_DEFAULT in (table.gap, table.rate):
        base = wheels  # a class default is meant at the wheel, however it is spelled
    return Stop(*values, base=ledger.take(f"{key}.base", table.base, base), motion_ratio=ratio)


def build_limit_straps(ledger: Ledger, key: str, table: LimitStrapTable, *, axle: Axle) -> Stop:
    """Build a rebound limit in place of an axle's own.

    What the table leaves out is that of the axle's rebound limit; without one, of a stop at the
    springs.

    In [m] and [N/m]. What the table leaves out is that of the axle's rebound limit; without one, of
    a stop at the springs.
    """
    own = axle.rebound_limit or Stop(math.nan, math.nan, axle.spring_base)
    _refuse_unfit(ledger, key, table, suspension=axle.suspension)
    if table.rate is None and axle.rebound_limit is None:
        ledger.problems.add(
            f"{key}.rate", "missing; the rear axle has no rebound_limit to take it from; add it"
        )
    return Stop(
        gap=ledger.take(f"{key}.gap", table.gap),
        rate=ledger.take(f"{key}.rate", table.rate, own.rate),
        base=ledger.take(f"{key}.base", table.base, own.base),
        motion_ratio=ledger.take(f"{key}.motion_ratio", table.motion_ratio, own.motion_ratio),
    )


def _stop_ratio(
    ledger: Ledger, key: str, table: StopTable, *, suspension: Suspension | None
) -> float:
    """Motion ratio of a stop."""
    _refuse_unfit(ledger, key, table, suspension=suspension)
    return ledger.take(f"{key}.motion_ratio", table.motion_ratio, 1.0)


def _refuse_unfit(
    ledger: Ledger,
    key: str,
    table: StopTable | LimitStrapTable,
    *,
    suspension: Suspension | None,
) -> None:
    """Base and motion ratio each fit one kind of suspension only."""
    if suspension is Suspension.INDEPENDENT and table.base is not None:
        ledger.problems.add(
            f"{key}.base", "independent suspension takes motion_ratio instead (1 at the wheel)"
        )
    if suspension is Suspension.SOLID_AXLE and table.motion_ratio is not None:
        ledger.problems.add(f"{key}.motion_ratio", "a solid axle takes base instead")
