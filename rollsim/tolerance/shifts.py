"""How a job changes when one of its inputs is shifted, by the key of the input."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from rollsim.springs import LinearSpring
from rollsim.vehicle import Axle, Job, Load, Stop

LEAST_SHARE = 0.05  # of its value, below which a positive input is not shifted

Shift = Callable[[Job, float], Job]


@dataclass(frozen=True, slots=True)
class Tolerance:
    """An input with a tolerance.

    Parameters
    ----------
    key : str
        Of the file, such as "front.spring.wheel_rate".
    value, tolerance : float
        The value as the file states it and half its band, both in SI [of its dimension];
        not yet taken to the wheel.
    """

    key: str
    value: float
    tolerance: float


def shifting(tolerances: Sequence[Tolerance]) -> list[tuple[Tolerance, Shift]]:
    """The tolerances that move the vehicle, each with how it does.

    Parameters
    ----------
    tolerances : sequence of Tolerance
        Of a scenario [SI].

    Returns
    -------
    list of (Tolerance, callable)
        The callable takes a job and a shift of the value in SI. A bar that is stated by its link
        keeps its roll stiffness where the track shifts.
    """
    pairs = ((one, _shift(one)) for one in tolerances)
    return [(one, shift) for one, shift in pairs if shift is not None]


def limited(one: Tolerance, shift: float) -> float:
    """A shift, cut so that a positive input stays positive [SI unit of the input]."""
    return max(shift, -(1.0 - LEAST_SHARE) * one.value) if one.value > 0.0 else shift


def _shift(one: Tolerance) -> Shift | None:
    """How a job changes when the input at a key is shifted; None where the vehicle does not."""
    head, _, rest = one.key.partition(".")
    if head == "vehicle":
        return _VEHICLE.get(rest)
    if head in ("front", "rear"):
        change = _axle_shift(rest, one.value)
        return None if change is None else partial(_on_axle, head, change)
    if head.startswith("load["):
        return partial(_on_load, int(head[5:-1]) - 1, rest) if rest in _LOAD else None
    if head == "change" and rest in _CHANGE:
        return partial(_on_change, rest)
    return None


_LOAD = ("mass", "behind_front_axle", "height", "left_of_centreline")
_CHANGE = ("suspension_lift_front", "suspension_lift_rear", "tyre_radius", "body_lift")


def _vehicle(name: str, job: Job, shift: float) -> Job:
    vehicle = job.vehicle
    return replace(job, vehicle=replace(vehicle, **{name: getattr(vehicle, name) + shift}))


def _corner(name: str, side: float, job: Job, shift: float) -> Job:
    """A corner mass: its axle is heavier, and the CG moves towards that side."""
    v = job.vehicle
    track = v.front.track if name == "front_axle_mass" else v.rear.track
    whole = v.front_axle_mass + v.rear_axle_mass
    left = (v.cg_left or 0.0) * whole + 0.5 * side * track * shift
    moved = replace(v, cg_left=left / (whole + shift))
    return _vehicle(name, replace(job, vehicle=moved), shift)


_VEHICLE: dict[str, Shift] = {
    "wheelbase": partial(_vehicle, "wheelbase"),
    "cg_height": partial(_vehicle, "cg_height"),
    "front_axle_mass": partial(_vehicle, "front_axle_mass"),
    "rear_axle_mass": partial(_vehicle, "rear_axle_mass"),
    "front_left_mass": partial(_corner, "front_axle_mass", 1.0),
    "front_right_mass": partial(_corner, "front_axle_mass", -1.0),
    "rear_left_mass": partial(_corner, "rear_axle_mass", 1.0),
    "rear_right_mass": partial(_corner, "rear_axle_mass", -1.0),
}


def _on_load(number: int, name: str, job: Job, shift: float) -> Job:
    def moved(load: Load) -> Load:
        return replace(load, **{name: getattr(load, name) + shift})

    loads = tuple(moved(load) if n == number else load for n, load in enumerate(job.loads))
    return replace(job, loads=loads)


def _on_change(name: str, job: Job, shift: float) -> Job:
    return replace(job, change=replace(job.change, **{name: getattr(job.change, name) + shift}))


def _on_axle(name: str, change: Callable[[Axle, float], Axle], job: Job, shift: float) -> Job:
    axle = change(getattr(job.vehicle, name), shift)
    return replace(job, vehicle=replace(job.vehicle, **{name: axle}))


def _axle_shift(rest: str, value: float) -> Callable[[Axle, float], Axle] | None:
    """How an axle changes when the input at a key of it, with that value, is shifted."""
    if rest in _PLAIN:
        return partial(_field, rest)
    if rest in _TYRE:
        return partial(_tyre, rest.removeprefix("tyre."))
    if rest in _BAR:
        return partial(_scale, "bar_roll_stiffness", _BAR[rest], value)
    if rest in _SPRING:
        return partial(_spring, _SPRING[rest], value)
    name, _, inner = rest.partition(".")
    if name in ("bump_stop", "rebound_limit") and inner in _STOP:
        return partial(_stop, name, inner)
    return None


_PLAIN = (
    "track",
    "spring_base",
    "unsprung_mass",
    "unsprung_cg_height",
    "roll_centre_height",
    "roll_centre_travel_ratio",
    "auxiliary_roll_stiffness",
)
_TYRE = ("tyre.vertical_rate", "tyre.lateral_rate")
_STOP = ("gap", "rate", "base", "motion_ratio")
_BAR = {  # power with which the roll stiffness goes
    "bar.roll_stiffness": 1,
    "bar.link_end_rate": 1,
    "bar.installation_ratio": 2,
    "bar.link_spacing": 2,
}
_SPRING = {  # field of the spring, and power with which it goes
    "spring.rate": ("rate", 1),
    "spring.wheel_rate": ("rate", 1),
    "spring.motion_ratio": ("rate", 2),
    "spring.second_stage.rate": ("stage_rate", 1),
}


def _field(name: str, axle: Axle, shift: float) -> Axle:
    moved = replace(axle, **{name: getattr(axle, name) + shift})
    if name != "track":
        return moved
    # Bases that are the track, as on independent suspension, go with it.
    base = moved.track if axle.spring_base == axle.track else axle.spring_base
    bump, rebound = (
        replace(stop, base=moved.track) if stop and stop.base == axle.track else stop
        for stop in (axle.bump_stop, axle.rebound_limit)
    )
    return replace(moved, spring_base=base, bump_stop=bump, rebound_limit=rebound)


def _scale(name: str, power: int, value: float, axle: Axle, shift: float) -> Axle:
    return replace(axle, **{name: getattr(axle, name) * _factor(value, shift) ** power})


def _factor(value: float, shift: float) -> float:
    return 1.0 + shift / value if value else 1.0


def _tyre(name: str, axle: Axle, shift: float) -> Axle:
    now = getattr(axle.tyre, name)
    return axle if now is None else replace(axle, tyre=replace(axle.tyre, **{name: now + shift}))


def _stop(name: str, inner: str, axle: Axle, shift: float) -> Axle:
    stop: Stop | None = getattr(axle, name)
    if stop is None:
        return axle
    return replace(axle, **{name: replace(stop, **{inner: getattr(stop, inner) + shift})})


def _spring(target: tuple[str, int], value: float, axle: Axle, shift: float) -> Axle:
    name, power = target
    if not isinstance(axle.spring, LinearSpring):
        return axle
    scaled = getattr(axle.spring, name) * _factor(value, shift) ** power
    return replace(axle, spring=replace(axle.spring, **{name: scaled}))
