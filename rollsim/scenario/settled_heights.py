"""Does the vehicle stand where its lift says, or is the lift counted twice, or not held?"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rollsim import mass
from rollsim.mass import State, spoken
from rollsim.roll import AtRest, at_rest
from rollsim.springs import Spring, compression_at
from rollsim.vehicle import Change, Job

FAR_OFF = 0.025  # m from stock plus lift: project default, what an eye at the arch sees
_MM_OFF = f"{FAR_OFF * 1e3:.0f} mm"
ABOUT_THE_LIFT = 1.0 / 3.0  # of the lift: `at` is then taken to say the lift again
AXLES = ("front", "rear")
EMPTY = "empty"


@dataclass(frozen=True, slots=True)
class _Height:
    """A state with the changes: how far its body over an axle stands above stock [m]."""

    name: str
    rise: float


@dataclass(frozen=True, slots=True)
class _End:
    """One axle: its lift [m], its new spring and where that carries its load from as weighed [m].

    And where the states stand, the empty one apart.
    """

    axle: str
    lift: float
    spring: Spring | None
    at: float
    empty: float
    states: tuple[_Height, ...]


def looked_at(job: Job) -> tuple[State, ...]:
    """The states of a job, and one more: empty with the changes made."""
    return (*mass.states(job), State(EMPTY, (), changed=True))


def height_notes(job: Job, rests: Sequence[AtRest]) -> list[str]:
    """What to say where the settled vehicle does not stand at stock height plus lift.

    A lift that counts twice, then what stands more than 25 mm off, a line an axle each; `rests` are
    those of the states in `looked_at`.

    Notes
    -----
    Stock is the unladen vehicle without the changes, heights are those of the body over the axle,
    tyres left out. The lift counts twice where a new spring carries its load at about the height
    of the lift, and the vehicle stands above stock plus lift by over half of that.
    """
    ends = _ends(job, rests)
    twice = {end.axle: _twice(end, f"change.{end.axle}_spring") for end in ends}
    notes = [note for note in twice.values() if note]
    notes += [note for end in ends for note in _off(end, twice=bool(twice[end.axle]))]
    return notes + list(_of_options(job))


def _ends(job: Job, rests: Sequence[AtRest]) -> tuple[_End, ...]:
    *own, empty = rests
    change, loads = job.change, mass.sprung_load(job)
    stock = next(one for one in own if one.state.name == mass.UNLADEN)
    springs = (change.front_spring, change.rear_spring)
    return tuple(
        _End(
            axle,
            _lift(change, axle),
            springs[n],
            _stated_height(springs[n], loads[n]),
            empty.ride_heights[n] - stock.ride_heights[n],
            tuple(
                _Height(f'"{spoken(one.state.name)}"', one.ride_heights[n] - stock.ride_heights[n])
                for one in own
                if one.state.changed
            ),
        )
        for n, axle in enumerate(AXLES)
    )


def _of_options(job: Job) -> Iterator[str]:
    """The same for springs that might be fitted: few files say at which height they carry."""
    for option in job.spring_options:
        from rollsim.spring_options import with_option  # few files have one

        with_it = with_option(job, option)
        ends = {axle: getattr(option, axle) for axle in AXLES}
        stated = map(_stated_height, ends.values(), mass.sprung_load(job))
        lifts = (_lift(with_it.change, axle) for axle in AXLES)
        if not any(map(_says_the_lift, lifts, stated)):
            continue
        rests = at_rest(with_it, looked_at(with_it))
        for end in _ends(with_it, rests):
            if ends[end.axle] is not None:
                note = _twice(end, f'spring_option "{option.name}", {end.axle}')
                yield from [note] if note else []


def _lift(change: Change, axle: str) -> float:
    return change.suspension_lift_front if axle == "front" else change.suspension_lift_rear


def _stated_height(spring: Spring | None, load: float) -> float:
    """Where a spring carries its own load, from as weighed [m]; NaN where it states none.

    By its free height it is where it carries the load as weighed [N].
    """
    stated = None if spring is None else spring.stated_load
    if stated is None:
        return math.nan
    if stated.is_free_height:
        return -compression_at(spring.curve(load), load)
    return stated.extension


def _says_the_lift(lift: float, at: float) -> bool:
    """Whether a spring carries its own load at about the height of the lift [m]."""
    return abs(at - lift) <= ABOUT_THE_LIFT * abs(lift) > 0.0


def _twice(end: _End, key: str) -> str:
    """Where the lift is counted by itself and in the new spring's height again."""
    if not _says_the_lift(end.lift, end.at):
        return ""
    up, at = math.copysign(1.0, end.lift), end.at
    over = [
        one
        for one in (*end.states, _Height(EMPTY, end.empty))
        if up * (one.rise - end.lift) > 0.5 * abs(at)
    ]
    if not over:
        return ""
    told = over[0]
    typed = _signed(at * end.spring.motion_ratio)
    word, way = f"at ({typed})", "at is the height before the lift: set one of the two to 0 mm"
    if end.spring.stated_load.is_free_height:
        word = f"its free height ({typed} under the load as weighed)"
        way = f"what the spring lifts is not to stand in suspension_lift_{end.axle} again"
    return (
        f"{key}: {word} says the lift that suspension_lift_{end.axle} "
        f"({_signed(end.lift)}) says already: the lift is counted twice, and {told.name} it "
        f"stands at {_signed(told.rise)} from stock; {way}"
    )


def _off(end: _End, *, twice: bool) -> Iterator[str]:
    """What stands too high or too low, and why."""
    high = [one for one in end.states if one.rise - end.lift > FAR_OFF]
    low = [one for one in end.states if end.lift - one.rise > FAR_OFF]
    for found, up in ((() if twice else high, 1.0), (low, -1.0)):
        if not found:
            continue
        even_empty = up * (end.empty - end.lift) > FAR_OFF
        where = ", ".join(f"{one.name} {_signed(one.rise)}" for one in found)
        why = _why(end, up=up > 0.0, even_empty=even_empty)
        yield (
            f"{end.axle} ride height: {why}; hub to arch from stock, where the lift alone makes "
            f"{_signed(end.lift)}: {where}"
        )


def _why(end: _End, *, up: bool, even_empty: bool) -> str:
    """Whether spring or load puts it there."""
    own = end.spring.stated_load if end.spring is not None else None
    stated = "its rate"
    if own is not None:
        stated = "its free height" if own.is_free_height else "its load and at"
    if up and not end.lift and end.at > 0.0:
        which = "its free height" if own.is_free_height else "its own load and at"
        return f"the new spring lifts it by {which}, over the lift that is stated"
    if even_empty and end.spring is not None:
        which = "higher" if up else "lower"
        off = f"{_MM_OFF} {which} than the lift, even empty"
        return f"the new spring stands over {off}: check {stated}"
    if up:
        return f"what is loaded takes weight off this axle, and it rises more than {_MM_OFF}"
    return f"it settles more than {_MM_OFF} under its load"


def _signed(length: float) -> str:
    """A height in whole millimetres, with its sign."""
    return f"{length * 1e3:+.0f} mm".replace("+0 mm", "0 mm").replace("-0 mm", "0 mm")
