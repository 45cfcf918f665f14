"""Checks across keys: case names, and whether every state of the vehicle is one at all."""

import math
from collections.abc import Iterator

from rollsim.scenario.bounds import MOST_CASES
from rollsim.scenario.errors import Problems
from rollsim.units import shown
from rollsim.vehicle import Change, Load, Suspension, Target, Vehicle

UNLADEN, AS_WEIGHED, AS_USED = "unladen", "as_weighed", "as_used"
RESERVED = (UNLADEN, AS_WEIGHED, AS_USED, "driven_empty")


def case_names(loads: tuple[Load, ...]) -> tuple[str, ...]:
    """Load cases that the loads use, in the order of the file; `as_used` alone where they use none.

    Examples
    --------
    >>> case_names(())
    ('as_used',)
    """
    named = dict.fromkeys(case for load in loads for case in load.cases or ())
    return tuple(named) or (AS_USED,)


def few_cases(problems: Problems, loads: tuple[Load, ...]) -> bool:
    """Check that no more load cases are named than are worked out; whether it is so."""
    count = len(case_names(loads))
    if count > MOST_CASES:
        problems.add(
            "load",
            f"the loads name {count} cases; allowed up to {MOST_CASES}; keep those to compare",
        )
    return count <= MOST_CASES


def check_names(problems: Problems, loads: tuple[Load, ...], target: Target) -> None:
    """Check that no load or case name is reserved, doubled or, in the target, unknown."""
    seen: dict[str, str] = {}
    items: dict[str, int] = {}
    for number, load in enumerate(loads, 1):
        _check_doubled_load(problems, items, name=load.name, number=number)
        for position, case in enumerate(load.cases or ()):
            _check_case(problems, f"load[{number}].cases", case, seen=seen)
            if case in load.cases[:position]:
                problems.add(f"load[{number}].cases", f"{shown(case)} stands twice; remove one")
    known = case_names(loads)
    refused = any(problems.has(f"load[{n}].cases") for n in range(1, len(loads) + 1))
    if target.case is not None and target.case not in known and not refused:
        names = ", ".join(shown(case) for case in known)
        problems.add(
            "target.case",
            f"found {shown(target.case)}, a case that no load names; allowed {names}; "
            "write one of these or add the case to a load",
        )


def check_states(
    problems: Problems, vehicle: Vehicle, loads: tuple[Load, ...], *, change: Change
) -> None:
    """Check that every state has its CG inside the wheelbase and weight on the springs.

    No state carries more than the vehicle itself weighs: that is a slip of a figure.

    No state carries more than the vehicle itself weighs: that is a slip of a figure. A body lift
    raises no more than the sprung mass. Values that were refused are NaN.

    Notes
    -----
    Axle masses follow from the masses and their positions along the wheelbase.
    """
    if any(load.name is None for load in loads):
        return
    for state, masses in _states(vehicle, loads):
        if not _is_overfull(problems, vehicle, state, loads=loads):
            _check_axles(problems, vehicle, state, masses=masses)
    unsprung = vehicle.front.unsprung_mass + vehicle.rear.unsprung_mass
    sprung = vehicle.front_axle_mass + vehicle.rear_axle_mass - unsprung
    if change.body_lift_mass > sprung > 0.0:
        problems.add(
            "change.body_lift_mass",
            f"found {change.body_lift_mass:.5g} kg; allowed up to the sprung mass as weighed, "
            f"{sprung:.5g} kg; give what stands on the spacers",
        )
    _check_sprung_height(problems, vehicle, sprung)
    _check_wheel_offset(problems, vehicle, change)


def _check_doubled_load(
    problems: Problems, items: dict[str, int], *, name: str, number: int
) -> None:
    plain = _plain(name or "")
    if plain and plain in items:
        problems.add(
            f"load[{number}].name",
            f"found {shown(name)}, the name of load[{items[plain]}] already; give it another",
        )
    items.setdefault(plain, number)


def _check_case(problems: Problems, key: str, case: str, *, seen: dict[str, str]) -> None:
    plain = _plain(case)
    if plain in {_plain(word) for word in RESERVED}:
        problems.add(
            key,
            f"found {shown(case)}, a reserved name (reserved: {', '.join(RESERVED)}); "
            "give the case another name",
        )
    elif seen.setdefault(plain, case) != case:
        problems.add(
            key,
            f"found {shown(case)} beside {shown(seen[plain])}, doubled but for capitals or "
            "spaces; write the same case in one way",
        )


def _plain(name: str) -> str:
    """Name without capitals, spaces and underscores."""
    return "".join(name.replace("_", " ").casefold().split())


def _states(vehicle: Vehicle, loads: tuple[Load, ...]) -> Iterator[tuple[str, tuple[float, float]]]:
    """Name and axle masses of unladen and of every case."""
    taken_off = [load for load in loads if load.on_when_weighed]
    front, rear = vehicle.front_axle_mass, vehicle.rear_axle_mass
    front, rear = _with(vehicle, (front, rear), taken_off, sign=-1.0)
    yield UNLADEN, (front, rear)
    for case in case_names(loads):
        carried = [load for load in loads if _rides_in(load, case)]
        yield case, _with(vehicle, (front, rear), carried, sign=1.0)


def _rides_in(load: Load, case: str) -> bool:
    return not load.parked_only and (load.cases is None or case in load.cases)


def _is_overfull(
    problems: Problems, vehicle: Vehicle, state: str, *, loads: tuple[Load, ...]
) -> bool:
    """Whether the loads put on for a case outweigh the vehicle; the heaviest is named."""
    weighed = vehicle.front_axle_mass + vehicle.rear_axle_mass
    put_on = {
        number: load.mass
        for number, load in enumerate(loads, 1)
        if state != UNLADEN and _rides_in(load, state) and not load.on_when_weighed
    }
    total = sum(put_on.values())
    if not total > weighed:
        return False
    heaviest = max(put_on, key=lambda number: put_on[number])
    key = f"load[{heaviest}].mass"
    if problems.has(key):
        return True
    problems.add(
        key,
        f"found {put_on[heaviest]:.5g} kg, with which the loads of {shown(state)} weigh "
        f"{total:.5g} kg; allowed together up to the vehicle's own mass as weighed, "
        f"{weighed:.5g} kg; check the number and its unit",
    )
    return True


def _with(
    vehicle: Vehicle, masses: tuple[float, float], loads: list[Load], *, sign: float
) -> tuple[float, float]:
    """Axle masses with loads put on or taken off."""
    front, rear = masses
    for load in loads:
        share = load.behind_front_axle / vehicle.wheelbase
        front += sign * load.mass * (1.0 - share)
        rear += sign * load.mass * share
    return front, rear


def _check_axles(
    problems: Problems, vehicle: Vehicle, state: str, *, masses: tuple[float, float]
) -> None:
    """The CG of one state lies inside the wheelbase and each axle carries body weight."""
    total = sum(masses)
    if total <= 0.0:
        problems.add(
            "load",
            f"the loads taken off for {shown(state)} weigh more than the vehicle; check the mass "
            "of those marked on_when_weighed",
        )
        return
    behind = masses[1] / total * vehicle.wheelbase
    if not 0.0 <= masses[1] <= total and math.isfinite(behind):
        problems.add(
            "load",
            f"the CG of {shown(state)} lies outside the wheelbase, {behind * 1e3:.5g} mm behind "
            f"the front axle; allowed 0 mm to {vehicle.wheelbase * 1e3:.5g} mm; check mass and "
            "behind_front_axle of its loads",
        )
        return
    for name, mass in zip(("front", "rear"), masses, strict=True):
        unsprung = getattr(vehicle, name).unsprung_mass
        weighed = getattr(vehicle, f"{name}_axle_mass")
        # An axle that is too light as weighed already has its own error.
        if mass <= unsprung < weighed:
            problems.add(
                "load",
                f"the {name} axle of {shown(state)} would carry {mass:.4g} kg; allowed more than "
                f"its unsprung mass, {unsprung:.4g} kg; check mass and behind_front_axle of its "
                "loads",
            )


def _check_sprung_height(problems: Problems, vehicle: Vehicle, sprung: float) -> None:
    """The sprung CG that follows from the whole vehicle's lies above ground and below 3 m."""
    axles = (vehicle.front, vehicle.rear)
    total = vehicle.front_axle_mass + vehicle.rear_axle_mass
    moment = total * vehicle.cg_height
    moment -= sum(axle.unsprung_mass * axle.unsprung_cg_height for axle in axles)
    if sprung > 0.0 and not 0.1 <= moment / sprung <= 3.0 and math.isfinite(moment):
        problems.add(
            "vehicle.cg_height",
            f"found {vehicle.cg_height * 1e3:.5g} mm, which puts the sprung CG at "
            f"{moment / sprung * 1e3:.5g} mm; allowed 100 mm to 3000 mm; check it and the "
            "unsprung masses",
        )


def _check_wheel_offset(problems: Problems, vehicle: Vehicle, change: Change) -> None:
    """The springs of a solid axle stay between its wheels, before and after."""
    sign = -1.0 if change.on_when_weighed else 1.0
    for name in ("front", "rear"):
        axle, offset = getattr(vehicle, name), getattr(change, f"wheel_offset_{name}")
        track = axle.track + 2.0 * sign * offset
        if axle.suspension is Suspension.SOLID_AXLE and offset and axle.spring_base > track:
            problems.add(
                f"change.wheel_offset_{name}",
                f"found {offset * 1e3:.5g} mm, which makes the track {track * 1e3:.5g} mm "
                f"{'before' if sign < 0.0 else 'after'} the change; allowed as far as the spring "
                f"base, {axle.spring_base * 1e3:.5g} mm; give the offset of one wheel",
            )
