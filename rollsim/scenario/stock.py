"""What is assumed describes the vehicle empty and stock: where did that stand on the scales?

Loads, lift, tyres and wheels that were on it when it was weighed come off, the class defaults go on
what is left, and all of it goes back on. What was measured stays as it was read.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from rollsim.mass import STILL, AxleRise, axle_rise
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.scales import Scales
from rollsim.scenario.schema import ChangeTable
from rollsim.springs import Spring, StatedLoad
from rollsim.units import Quantity
from rollsim.vehicle import STANDARD_GRAVITY, Axle, Load, Suspension, Vehicle

_STOPS = ("bump_stop", "rebound_limit")


@dataclass(frozen=True, slots=True)
class StockAxle:
    """One axle empty and stock, and what has been altered there before weighing.

    Masses on it [kg]: `mass` empty and stock. Alterations in [m].
    """

    mass: float
    as_weighed: float
    lift: float = 0.0
    tyre_radius: float = 0.0
    wheel_offset: float = 0.0

    @property
    def unaltered(self) -> bool:
        """It was weighed empty and stock."""
        return self.mass == self.as_weighed and not (
            self.lift or self.tyre_radius or self.wheel_offset
        )


@dataclass(frozen=True, slots=True)
class StockVehicle:
    """What was on the vehicle on the scales.

    `loads` are those marked on_when_weighed; the body lift [m] raises `body_lift_mass` [kg].
    """

    front: StockAxle
    rear: StockAxle
    loads: tuple[Load, ...] = ()
    body_lift: float = 0.0
    body_lift_mass: float = 0.0

    @property
    def unaltered(self) -> bool:
        """It was weighed empty and stock."""
        axles = self.front.unaltered and self.rear.unaltered
        return axles and not (self.loads or self.body_lift)


def stock_of(
    scales: Scales, loads: Sequence[Load], change: ChangeTable, *, wheelbase: float
) -> StockVehicle:
    """Take off what was on the vehicle on the scales.

    `loads` are all of the file, the wheelbase in [m]. NaN where something was refused.

    Notes
    -----
    A load at x behind the front axle takes m (1 − x/L) off the front and m x/L off the rear.
    """
    on = tuple(load for load in loads if load.on_when_weighed)
    rear = sum(load.mass * load.behind_front_axle for load in on) / (wheelbase or math.nan)
    front = sum(load.mass for load in on) - rear

    def made(word: str) -> float:
        quantity: Quantity | None = getattr(change, word)
        return quantity.value if change.on_when_weighed and quantity is not None else 0.0

    axles = (
        StockAxle(
            weighed - off if on else weighed,
            weighed,
            lift=made(f"suspension_lift_{name}"),
            tyre_radius=made("tyre_radius"),
            wheel_offset=made(f"wheel_offset_{name}"),
        )
        for name, weighed, off in (("front", scales.front, front), ("rear", scales.rear, rear))
    )
    return StockVehicle(*axles, on, made("body_lift"), made("body_lift_mass"))


def levelled(stock: StockVehicle, vehicle: Vehicle, rises: tuple[AxleRise, ...]) -> StockVehicle:
    """Axle masses empty and stock, with what pitch has moved between the axles put back.

    The loads were taken off by their place alone; the vehicle is as weighed, to a first
    approximation. `rises` are those of front and rear since it was empty and stock.

    In [kg]. The loads were taken off by their place alone; the vehicle is as weighed, to a first
    approximation. `rises` [m] are those of front and rear since it was empty and stock.

    Notes
    -----
    A nose that has come up by R_f − R_r carries the CG of the body, h − h_f above the front roll
    centre, aft by (h − h_f)(R_f − R_r)/L, as the balance has it.
    """
    axles = (vehicle.front, vehicle.rear)
    total = vehicle.front_axle_mass + vehicle.rear_axle_mass
    sprung = stock.front.mass + stock.rear.mass - sum(a.unsprung_mass for a in axles)
    moment = total * vehicle.cg_height - sum(load.mass * load.height for load in stock.loads)
    moment -= sum(a.unsprung_mass * a.unsprung_cg_height for a in axles)
    pitch = (rises[0].above_ground - rises[1].above_ground) / vehicle.wheelbase
    moved = (moment - sprung * vehicle.front.roll_centre_height) * pitch / vehicle.wheelbase
    ends = [
        replace(end, mass=end.mass + by) for end, by in ((stock.front, moved), (stock.rear, -moved))
    ]
    if any(end.mass <= axle.unsprung_mass for end, axle in zip(ends, axles, strict=True)):
        return stock
    return replace(stock, front=ends[0], rear=ends[1])


def put_on(ledger: Ledger, name: str, axle: Axle, *, stock: StockAxle) -> tuple[Axle, AxleRise]:
    """Move the class defaults of an axle from empty and stock to as weighed.

    The rest of the axle is as weighed already. Gives with it the rise from then to now; what the
    assumed values are as weighed goes into the ledger.

    Notes
    -----
    Roll centre + ρ rise + tyre, bump gap + rise, droop gap − rise, unsprung CG + tyre; a bar keeps
    its rate at the wheel. A spread goes along as it is, that of a bar in proportion.
    """
    sizes = (stock.mass, stock.as_weighed, axle.unsprung_mass, axle.tyre.vertical_rate)
    sprung = min(stock.mass, stock.as_weighed) - axle.unsprung_mass
    known = all(map(math.isfinite, sizes)) and sprung > 0.0
    if stock.unaltered or not known or ledger.problems.found:
        return axle, STILL
    gaps = [word for word in _STOPS if f"{name}.{word}.gap" in ledger.units]
    rise = axle_rise(
        axle,
        (stock.mass, stock.as_weighed),
        lift=stock.lift,
        tyre_radius=stock.tyre_radius,
        stock_gaps=gaps,
    )
    moved = {word: _gap_moved(ledger, name, axle, word, rise=rise.body) for word in gaps}
    moved |= _bar_moved(ledger, name, axle, stock.wheel_offset)
    for word, by in (
        ("roll_centre_height", axle.roll_centre_travel_ratio * rise.body + rise.axle),
        ("unsprung_cg_height", rise.axle),
    ):
        key = f"{name}.{word}"
        if key in ledger.units:
            moved[word] = getattr(axle, word) + by
            ledger.restate(key, moved[word])
    spring = relieved(axle.spring, stock, axle, rise)
    return replace(axle, spring=spring, **moved), rise


def _gap_moved(ledger: Ledger, name: str, axle: Axle, word: str, *, rise: float) -> object:
    """A stop with the gap that it has as weighed; below zero it is pressed already."""
    stop = getattr(axle, word)
    wheel = stop.gap / stop.motion_ratio + (rise if word == "bump_stop" else -rise)
    gap = wheel * stop.motion_ratio
    ledger.restate(f"{name}.{word}.gap", gap, told=wheel)
    return replace(stop, gap=gap)


def _bar_moved(ledger: Ledger, name: str, axle: Axle, offset: float) -> dict[str, float]:
    """An assumed bar on independent suspension, the wheels out from where they were stock."""
    key = f"{name}.bar.roll_stiffness"
    if not offset or axle.suspension is not Suspension.INDEPENDENT or key not in ledger.units:
        return {}
    out = (axle.track / (axle.track - 2.0 * offset)) ** 2
    stiffness = axle.bar_roll_stiffness * out
    ledger.restate(key, stiffness, spread=out)
    return {"bar_roll_stiffness": stiffness}


def relieved(spring: Spring, stock: StockAxle, axle: Axle, rise: AxleRise) -> Spring:
    """A spring that carries what the stops of the weighed vehicle leave to it.

    As it came where no stop is pressed.
    """
    if not rise.stop_force:
        return spring
    load = 0.5 * STANDARD_GRAVITY * (stock.as_weighed - axle.unsprung_mass)
    return replace(spring, stated_load=StatedLoad(load - rise.stop_force))
