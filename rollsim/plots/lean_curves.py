"""How do lean and wheel loads grow with lateral acceleration? Figures alone, nothing drawn."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from rollsim.roll import StateResult
from rollsim.tell.names import LEFT_BEND_WHEELS
from rollsim.units import to_unit
from rollsim.vehicle import STANDARD_GRAVITY

STEPS_PER_G = 20
FULL_REACH = 0.7  # g: as far a curve goes, and further where something still stands
NEAR_THE_TIP = (0.97, 0.99, 0.998, 0.9998)  # of it, where the lean grows steeply
HEAD_ROOM = 1.05  # times the largest lean
MARGIN = 0.05  # g to the right of the last tipping point

LATERAL_TITLE = "lateral acceleration, g"
LEAN_TITLE = "lean (roll angle) to the outside, deg"
TIPS, REAR_LIFTS, FRONT_LIFTS = (
    "tipping point",
    "inner rear wheel lifts",
    "inner front wheel lifts",
)


@dataclass(frozen=True, slots=True)
class Lift:
    """Where a wheel lifts on a curve; `which` is `REAR_LIFTS` or `FRONT_LIFTS`."""

    which: str
    lateral_acceleration_g: float
    lean_deg: float


@dataclass(frozen=True, slots=True)
class LeanCurve:
    """Lean of one state against lateral acceleration.

    The lean is towards the outside of the bend, static lean included. The tipping point is None
    where it was not resolved; `lifts` are of wheels that lift before it.
    """

    name: str
    lateral_acceleration_g: tuple[float, ...]
    lean_deg: tuple[float, ...]
    tipping_point_g: float | None
    lifts: tuple[Lift, ...] = ()

    @property
    def words(self) -> str:
        """Its name, and where it ends."""
        return f"{self.name}: {self.end_words}"

    @property
    def end_words(self) -> str:
        """Where it ends, in g."""
        tip = self.tipping_point_g
        return "tipping point not resolved" if tip is None else f"tips at {tip:.2f} g"


@dataclass(frozen=True, slots=True)
class WheelCurves:
    """Load on each wheel of one state in a left bend.

    `lean` is of the same points; the loads stand in the order of `LEFT_BEND_WHEELS` [unit of the
    reader].
    """

    lean: LeanCurve
    loads: tuple[tuple[float, ...], ...]


def step(number: int) -> float:
    """Lateral acceleration of a step of the curves [m/s²]."""
    return number / STEPS_PER_G * STANDARD_GRAVITY


def lateral_steps(tips: Iterable[float]) -> tuple[float, ...]:
    """Steps from 0 as far as anything stands, and the last of each way to the tip [m/s²]."""
    known = [float(tip) for tip in tips if math.isfinite(tip)]
    most = max([FULL_REACH * STANDARD_GRAVITY, *known])
    steps = range(math.floor(most / STANDARD_GRAVITY * STEPS_PER_G + 1e-9) + 1)
    near = (tip * share for tip in known for share in NEAR_THE_TIP)
    return tuple(sorted({*(step(n) for n in steps), *near}))


def lean_curve(name: str, result: StateResult, *, right_bend: bool = False) -> LeanCurve:
    """The lean of a state towards the outside of the bend; it ends where the vehicle tips.

    The curve of `result` has the roll as the vehicle has it, with `right_bend` that of a right
    bend.
    """
    tip, sign = float(to_unit(result.tip_over_threshold, "g")), -1.0 if right_bend else 1.0
    lateral = tuple(float(to_unit(p.lateral_acceleration, "g")) for p in result.curve)
    lean = tuple(float(to_unit(sign * p.roll_angle, "deg")) for p in result.curve)
    lifts = (
        (which, float(to_unit(value, "g")))
        for which, value in (
            (REAR_LIFTS, result.inner_rear_lift),
            (FRONT_LIFTS, result.inner_front_lift),
        )
        if math.isfinite(value) and lateral
    )
    return LeanCurve(
        name,
        lateral,
        lean,
        tip if math.isfinite(tip) else None,
        tuple(Lift(which, at, float(np.interp(at, lateral, lean))) for which, at in lifts),
    )


def wheel_curves(name: str, result: StateResult, unit: str) -> WheelCurves:
    """The wheel loads of a state in a left bend, in the reader's unit of force."""
    loads = (tuple(float(to_unit(x, unit)) for x in p.wheel_loads) for p in result.curve)
    wheels = tuple(zip(*loads, strict=True)) or ((),) * len(LEFT_BEND_WHEELS)
    return WheelCurves(lean_curve(name, result), wheels)


def ends(curves: Sequence[LeanCurve]) -> tuple[float, float, float]:
    """How far a chart of some curves reaches.

    The least lean, where the axis stands, and the most, with room [deg]; where it ends on the right
    [g].
    """
    lean = [value for curve in curves for value in curve.lean_deg]
    floor = min([0.0, *lean])
    reach = [g for curve in curves for g in curve.lateral_acceleration_g]
    tips = [curve.tipping_point_g for curve in curves if curve.tipping_point_g is not None]
    top = max([*(HEAD_ROOM * value for value in lean), floor + 1.0])
    return floor, top, max([MARGIN, *reach, *tips]) + MARGIN


def distinct(found: tuple[StateResult, ...]) -> tuple[StateResult, ...]:
    """The states, without as-weighed where it is the unladen state or a load case."""
    weighed = found[1]
    return found if twin(found) is None else tuple(r for r in found if r is not weighed)


def twin(found: tuple[StateResult, ...]) -> StateResult | None:
    """The state that as-weighed repeats, if any."""
    unladen, weighed, *cases = found
    same = (r for r in (unladen, *cases) if _same(weighed, r))
    return next(same, None)


def _same(one: StateResult, other: StateResult) -> bool:
    return one.curve == other.curve and one.total_mass == other.total_mass
