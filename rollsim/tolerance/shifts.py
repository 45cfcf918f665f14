"""How a job changes when one of its inputs is shifted, by the key of the input."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from rollsim.tolerance.spring_shifts import SpringShift, spring_shift
from rollsim.vehicle import Axle, Job, Load, Stop

LEAST_SHARE = 0.05  # of its value, below which a positive input is not shifted
EITHER_SIGN = (  # inputs that may be negative as well
    "after",
    "at",
    "behind_front_axle",
    "left_of_centreline",
    "roll_centre_height",
    "suspension_lift_front",
    "suspension_lift_rear",
    "tyre_radius",
    "wheel_offset_front",
    "wheel_offset_rear",
)
MEASURED_BELOW_ZERO = "auxiliary_roll_stiffness"
"""May be negative where a test corrects it, as a band that reaches below zero tells."""
WITHOUT_EFFECT = {
    "friction": "friction parts leaning in from leaning back and leaves their middle, the lean",
    "loop_width": "friction parts leaning in from leaning back and leaves their middle, the lean",
    "nip": "a nip moves stress between leaves and leaves their rate",
    "roll_damping_ratio": "damping is in how far a swerve throws it, and not in the steady lean",
    "roof_height": "a roof height is in the tolerance of the CG height that is assumed from it",
    "rated_load": "a tyre's rated load bears on its grip alone",
}
"""Inputs of the vehicle that the lean does not hang on, by the last word of the key, and why."""
_APART = {
    "alignment": "how a wheel is aligned bears on its tyre and the steering, not on the lean here",
    "leaf_and_shackle": "how a leaf pack stands is looked at; its rate is what the lean hangs on",
    "damper": "how far a damper reaches bears on nothing but the damper",
    "front_damper": "how far a damper reaches bears on nothing but the damper",
    "rear_damper": "how far a damper reaches bears on nothing but the damper",
}
"""The same by the table that they stand in."""

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
    together : str
        The one unknown that several keys share, such as a total that a test put right at both
        ends; empty where the key is an unknown of its own.
    """

    key: str
    value: float
    tolerance: float
    together: str = ""


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
        keeps its roll stiffness where the track shifts. Keys that share one unknown are one entry,
        their sum, and move together.
    """
    apart, shared = [], {}
    for one, shift in _moving(tolerances):
        if one.together:
            shared.setdefault(one.together, []).append((one, shift))
        else:
            apart.append((one, shift))
    return [*apart, *(_as_one(*pair) for pair in shared.items())]


def drawn_keys(tolerances: Sequence[Tolerance]) -> frozenset[str]:
    """Keys of the tolerances that move the vehicle, those of one unknown each for itself."""
    return frozenset(one.key for one, _ in _moving(tolerances))


def _moving(tolerances: Sequence[Tolerance]) -> list[tuple[Tolerance, Shift]]:
    keys = frozenset(one.key for one in tolerances)
    pairs = ((one, _shift(one, keys)) for one in tolerances)
    return [(one, shift) for one, shift in pairs if shift is not None]


def _as_one(name: str, parts: list[tuple[Tolerance, Shift]]) -> tuple[Tolerance, Shift]:
    """Keys that share an unknown: each takes its share of a shift, by its tolerance."""
    whole = sum(one.tolerance for one, _ in parts)
    shares = tuple((shift, one.tolerance / whole) for one, shift in parts)
    return Tolerance(name, sum(one.value for one, _ in parts), whole), partial(_shared, shares)


def _shared(shares: tuple[tuple[Shift, float], ...], job: Job, shift: float) -> Job:
    for part, share in shares:
        job = part(job, share * shift)
    return job


def limited(one: Tolerance, shift: float) -> float:
    """A shift, cut so that an input that must be positive stays so [SI unit of the input]."""
    word = one.key.rpartition(".")[2]
    if word in EITHER_SIGN or (word == MEASURED_BELOW_ZERO and one.tolerance > one.value):
        return shift
    return max(shift, -(1.0 - LEAST_SHARE) * one.value) if one.value > 0.0 else shift


def without_effect(one: Tolerance) -> str:
    """Why the lean does not hang on an input that no shift is known of; empty where it might.

    Parameters
    ----------
    one : Tolerance
        An input [SI].

    Returns
    -------
    str
        In words.

    Examples
    --------
    >>> without_effect(Tolerance("rear.tyre.rated_load", 11e3, 500.0))
    "a tyre's rated load bears on its grip alone"
    """
    parts = one.key.split(".")
    apart = next((_APART[part] for part in parts if part in _APART), "")
    return apart or WITHOUT_EFFECT.get(parts[-1], "")


def _shift(one: Tolerance, keys: frozenset[str]) -> Shift | None:
    """How a job changes when the input at a key is shifted; None where the vehicle does not."""
    head, _, rest = one.key.partition(".")
    if head == "vehicle":
        return _VEHICLE.get(rest)
    if head.startswith("load["):
        return partial(_on_load, int(head[5:-1]) - 1, rest) if rest in _LOAD else None
    part, _, of_spring = rest.partition(".")
    if (head, part) in _SPRINGS:
        own = frozenset(key.removeprefix(f"{head}.{part}.") for key in keys)
        change = spring_shift(of_spring, own)
        return None if change is None else partial(_SPRINGS[head, part], change)
    if head in ("front", "rear") and rest == "spring_height":
        return partial(_stands_on, f"{head}_spring")
    if head in ("front", "rear"):
        change = _axle_shift(rest, one.value)
        return None if change is None else partial(_on_axle, head, change)
    if head == "change":
        return _change_shift(rest, one.value)
    return None


def _change_shift(rest: str, value: float) -> Shift | None:
    """The same for a key under [change]; a front bar's keys are those of a bar on an axle."""
    if rest in _CHANGE:
        return partial(_on_change, rest)
    name, _, inner = rest.partition(".")
    if name == "rear_rebound_limit" and inner in _STOP:
        return partial(_on_straps, inner)
    power = _BAR.get(rest.removeprefix("front_"))
    return None if power is None else partial(_on_front_bar, power, value)


_LOAD = ("mass", "behind_front_axle", "height", "left_of_centreline")
_CHANGE = (
    "suspension_lift_front",
    "suspension_lift_rear",
    "tyre_radius",
    "body_lift",
    "body_lift_mass",
    "wheel_offset_front",
    "wheel_offset_rear",
)


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
    "frame_torsional_stiffness": partial(_vehicle, "frame_torsional_stiffness"),
    "frame_height": partial(_vehicle, "frame_height"),
    "cab_share_of_twist": partial(_vehicle, "cab_share_of_twist"),
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


def _on_straps(name: str, job: Job, shift: float) -> Job:
    """The rebound limit in place of the rear one; no matter where there is none."""
    straps = job.change.rear_rebound_limit
    if straps is None:
        return job
    moved = replace(straps, **{name: getattr(straps, name) + shift})
    return replace(job, change=replace(job.change, rear_rebound_limit=moved))


def _on_front_bar(power: int, value: float, job: Job, shift: float) -> Job:
    """The bar that replaces the front one, its roll stiffness scaled; no matter where none does."""
    if job.change.front_bar_roll_stiffness is None:
        return job
    stiffness = _of_bar(job.change.front_bar_roll_stiffness, power, value, shift)
    return replace(job, change=replace(job.change, front_bar_roll_stiffness=stiffness))


def _on_axle(name: str, change: Callable[[Axle, float], Axle], job: Job, shift: float) -> Job:
    axle = change(getattr(job.vehicle, name), shift)
    return replace(job, vehicle=replace(job.vehicle, **{name: axle}))


def _own_spring(name: str, change: SpringShift, job: Job, shift: float) -> Job:
    def moved(axle: Axle, by: float) -> Axle:
        return replace(axle, spring=change(axle.spring, by))

    return _on_axle(name, moved, job, shift)


def _new_spring(name: str, change: SpringShift, job: Job, shift: float) -> Job:
    spring = change(getattr(job.change, name), shift)
    return replace(job, change=replace(job.change, **{name: spring}))


def _stands_on(name: str, job: Job, shift: float) -> Job:
    """A spring of [change] by its free height: the higher the old one stands, the less it lifts."""
    spring = getattr(job.change, name)
    stated = getattr(spring, "stated_load", None)
    if stated is None or not stated.is_free_height:
        return job
    return _new_spring(name, spring_shift("free_height", frozenset()), job, -shift)


_SPRINGS: dict[tuple[str, str], Callable[[SpringShift, Job, float], Job]] = {
    ("front", "spring"): partial(_own_spring, "front"),
    ("rear", "spring"): partial(_own_spring, "rear"),
    ("change", "front_spring"): partial(_new_spring, "front_spring"),
    ("change", "rear_spring"): partial(_new_spring, "rear_spring"),
}


def _axle_shift(rest: str, value: float) -> Callable[[Axle, float], Axle] | None:
    """How an axle changes when the input at a key of it, with that value, is shifted."""
    if rest in _PLAIN:
        return partial(_field, rest)
    if rest in _TYRE:
        return partial(_tyre, rest.removeprefix("tyre."))
    if rest in _BAR:
        return partial(_bar, _BAR[rest], value)
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


def _bar(power: int, value: float, axle: Axle, shift: float) -> Axle:
    stiffness = _of_bar(axle.bar_roll_stiffness, power, value, shift)
    return replace(axle, bar_roll_stiffness=stiffness)


def _of_bar(stiffness: float, power: int, value: float, shift: float) -> float:
    """Roll stiffness of a bar; where there is none there may be one, never less than none."""
    if value == 0.0:
        return stiffness + max(shift, 0.0)
    return stiffness * _factor(value, shift) ** power


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
