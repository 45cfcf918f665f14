"""How the wheels of an axle stand in every state, what adjusters take, and which arm the rest."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from rollsim import mass
from rollsim.lift_check.curve import corner_in_state, mean
from rollsim.lift_check.stand import ANGLES, AS_WANTED, SIDES, AngleVerdict, WheelStand, beyond
from rollsim.spring_check import AXLES, SpringCheck
from rollsim.vehicle import STANDARD_GRAVITY, Job
from rollsim.wheel_travel import (
    Alignment,
    ArmChange,
    Corner,
    arm_change,
    bump_steer,
    pivot_reach,
    pose,
    reading_bands,
)
from rollsim.wheel_travel.reading import NOTHING_READ, ReadingBands

AS_READ = 1e-6  # m: within it a state stands as it was on the rack
AS_LEVEL = 1e-6  # rad: the same of its pitch
STEER_TOLD = AS_WANTED / 3.0  # rad for 10 mm: a rack's 0.1 degrees over 30 mm of travel
BY_TAPE = ("caster", "toe")
"""Angles that are not told where the tape leaves as much open as has changed."""


@dataclass(frozen=True, slots=True)
class _Change:
    """What a height changes on a wheel [rad, m], and how well that is known [rad].

    `bands` are those of the change from as weighed, `of_lack` those from where what is wanted was
    taken. `caster` is by the linkage, against the body, which has pitched too.
    """

    rise: float
    bands: ReadingBands
    of_lack: ReadingBands
    pitch: float
    camber: float = math.nan
    caster: float = math.nan
    toe: float = math.nan
    outward: float = math.nan
    roll_centre: float = math.nan
    scrub_radius: float = math.nan
    bump_steer: float = math.nan

    def moved(self, word: str) -> float:
        """How far an angle has changed against the road, from as weighed [rad]."""
        return getattr(self, word) + (self.pitch if word == "caster" else 0.0)


def wheel_stands(
    job: Job, checks: Sequence[SpringCheck]
) -> dict[str, tuple[WheelStand | None, WheelStand | None]]:
    """How the wheels stand in every state.

    Parameters
    ----------
    job : Job
        Vehicle and changes, an axle with its alignment.
    checks : sequence of SpringCheck
        The states, with their ride heights [m]; the unladen one among them.

    Returns
    -------
    dict of str to tuple of WheelStand or None
        Front and rear by the state's name [rad, m]; None for an axle without alignment.

    Notes
    -----
    The body over the axle by its settled ride height, both wheels alike. What is wanted, where the
    file does not say, is the mean of both wheels as they stand empty and stock: that state itself
    is not judged. A state that stands
    as high as it was weighed has the rack's readings, with or without a linkage; its caster goes
    with the body's pitch as well. What the tape leaves open is no verdict: there it is too close to
    tell.
    """
    found: dict[str, list[WheelStand | None]] = {check.name: [] for check in checks}
    for number, end in enumerate(AXLES):
        alignment = getattr(job.vehicle, end).alignment
        if alignment is None:
            for each in found.values():
                each.append(None)
            continue
        heights = {check.name: getattr(check, end).ride_height_change for check in checks}
        corners = {check.name: corner_in_state(job, number, check.name) for check in checks}
        unladen = corners[mass.UNLADEN], heights[mass.UNLADEN]
        pitched = {check.name: pitch(job, check) for check in checks}
        stock = _change(alignment, *unladen, pitched[mass.UNLADEN], since=NOTHING_READ)
        since = {word: _since(alignment, word, stock) for word in ANGLES}
        wanted = {word: _wanted(alignment, word, stock) for word in ANGLES}
        for name, each in found.items():
            change = _change(alignment, corners[name], heights[name], pitched[name], since=since)
            each.append(_stand(alignment, corners[name], change, wanted=wanted, stock=stock))
    return {name: (both[0], both[1]) for name, both in found.items()}


def _since(alignment: Alignment, word: str, stock: _Change) -> float:
    """The height that what is wanted of an angle was taken at: as it was read, or unladen [m]."""
    given = getattr(alignment, f"wanted_{word}") is not None
    return 0.0 if given or getattr(alignment.reading, word) is None else stock.rise


def pitch(job: Job, check: SpringCheck) -> float:
    """How far the body of a state is nose up, from as weighed.

    Parameters
    ----------
    job : Job
        Vehicle as weighed.
    check : SpringCheck
        The state, with its ride heights [m] and axle masses [kg].

    Returns
    -------
    float
        By the rise of the body over both axles and of their wheels on the tyres [rad]; other tyres
        raise both alike.
    """
    rises = []
    for end in AXLES:
        own, axle = getattr(check, end), getattr(job.vehicle, end)
        more = own.axle_mass - getattr(job.vehicle, f"{end}_axle_mass")
        sunk = more * STANDARD_GRAVITY / (2.0 * axle.tyre.vertical_rate)
        rises.append(own.ride_height_change - sunk)
    return math.atan2(rises[0] - rises[1], job.vehicle.wheelbase)


def _change(
    alignment: Alignment,
    corner: Corner | None,
    rise: float,
    pitched: float,
    *,
    since: Mapping[str, float],
) -> _Change:
    # As weighed a wheel stands as the rack read it, whatever else is known of its linkage.
    as_read = dict.fromkeys(ANGLES if abs(rise) < AS_READ else (), 0.0)
    same = {word: 0.0 for word in as_read if abs(since[word]) < AS_READ}
    nothing = replace(ReadingBands(), **as_read), replace(ReadingBands(), **same)
    if corner is None or not math.isfinite(rise):
        return _Change(rise, *nothing, pitched, **as_read)
    try:
        there = pose(corner, rise)
        steer = bump_steer(corner, rise)
    except ValueError:
        return _Change(rise, *nothing, pitched, **as_read)
    bands, of_lack = (
        reading_bands(corner, rise, alignment.reading_error, since=one)
        for one in (NOTHING_READ, since)
    )
    return _Change(
        rise,
        replace(bands, **as_read),
        replace(of_lack, **same),
        pitched,
        **({word: getattr(there, word) for word in ANGLES} | as_read),
        outward=there.outward,
        roll_centre=there.roll_centre_height,
        scrub_radius=there.scrub_radius,
        bump_steer=steer,
    )


def _wanted(alignment: Alignment, word: str, stock: _Change) -> float:
    given = getattr(alignment, f"wanted_{word}")
    return mean(getattr(alignment.reading, word)) + stock.moved(word) if given is None else given


def _stands_rough(change: _Change) -> tuple[str, ...]:
    """Angles of which the tape leaves as much open as the linkage has changed.

    The camber has a verdict of its own for that, and is told with its band.
    """
    return tuple(
        word
        for word in BY_TAPE
        if math.isfinite(getattr(change, word))
        and not getattr(change.bands, word) <= max(AS_WANTED, abs(getattr(change, word)))
    )


def _lacks_rough(
    change: _Change, stock: _Change, offs: Mapping[str, Sequence[float]], as_unladen: Sequence[str]
) -> tuple[str, ...]:
    """The same of what is lacking, the change from where what is wanted was taken."""
    found = []
    for word in BY_TAPE:
        moved = getattr(change, word) - (getattr(stock, word) if word in as_unladen else 0.0)
        told = max(AS_WANTED, abs(moved), *(abs(one) for one in offs[word]))
        if math.isfinite(moved) and not getattr(change.of_lack, word) <= told:
            found.append(word)
    return tuple(found)


def _too_rough(
    change: _Change, stock: _Change, lacks: Sequence[str], as_unladen: Sequence[str]
) -> tuple[str, ...]:
    """Figures that the tape is too rough to tell, by their names."""
    stands = ("left_{}", "right_{}", "{}_change")
    names = [one.format(word) for word in _stands_rough(change) for one in stands]
    names += [f"wanted_{word}" for word in _stands_rough(stock) if word in as_unladen]
    names += [f"{side}_{word}_off" for word in lacks for side in SIDES]
    names += ["caster_missing"] * ("caster" in lacks)
    if change.bands.bump_steer > max(STEER_TOLD, abs(change.bump_steer)):
        names.append("bump_steer")
    return tuple(names)


def _stand(
    alignment: Alignment,
    corner: Corner | None,
    change: _Change,
    *,
    wanted: Mapping[str, float],
    stock: _Change,
) -> WheelStand:
    rise, unread = change.rise, (math.nan, math.nan)
    stands = {
        word: tuple(one + change.moved(word) for one in getattr(alignment.reading, word) or unread)
        for word in ANGLES
    }
    offs = {word: tuple(wanted[word] - one for one in both) for word, both in stands.items()}
    as_unladen = tuple(word for word in ANGLES if getattr(alignment, f"wanted_{word}") is None)
    here = abs(rise - stock.rise) < AS_READ
    level = abs(change.pitch - stock.pitch) < AS_LEVEL
    taken = tuple(word for word in as_unladen if here and (level or word != "caster"))
    lacks = _lacks_rough(change, stock, offs, as_unladen)
    camber, verdicts = _camber(alignment, corner, change, offs["camber"], taken="camber" in taken)
    caster_off, toe_off = (_worst(offs[word]) for word in BY_TAPE)
    takes, bands = _or_nan(alignment.caster_adjustment), change.of_lack
    caster_band = max(AS_WANTED, 0.0 if math.isnan(bands.caster) else bands.caster)

    def judged(word: str, off: float, takes: float, band: float) -> AngleVerdict | None:
        if word in lacks and word not in taken:
            return AngleVerdict.ROUGH
        return _verdict(off, takes, band, taken=word in taken)

    return WheelStand(
        ride_height_change=rise,
        **{f"{word}_change": getattr(change, word) for word in ANGLES},
        **{f"{word}_band": getattr(bands, word) for word in ANGLES},
        pitch=change.pitch,
        too_rough=_too_rough(change, stock, lacks, as_unladen),
        track_change=2.0 * change.outward,
        roll_centre_height=change.roll_centre,
        scrub_radius=change.scrub_radius,
        bump_steer=change.bump_steer,
        bump_steer_band=change.bands.bump_steer,
        **_by_side("{side}_{word}", stands),
        **{f"wanted_{word}": value for word, value in wanted.items()},
        **_by_side("{side}_{word}_off", offs),
        **camber,
        caster_missing=beyond(caster_off, takes),
        as_unladen=as_unladen,
        left_verdict=verdicts[0],
        right_verdict=verdicts[1],
        caster_verdict=judged("caster", caster_off, takes, caster_band),
        toe_verdict=judged("toe", toe_off, math.inf, 0.0),
    )


def _camber(
    alignment: Alignment,
    corner: Corner | None,
    change: _Change,
    offs: Sequence[float],
    *,
    taken: bool,
) -> tuple[dict[str, float | bool], list[AngleVerdict | None]]:
    """What adjusters and arms do for the camber of both wheels, and the verdicts."""
    rise = change.rise
    adjusters = _adjusters(alignment, corner, rise)
    verdicts = [_verdict(off, adjusters, change.of_lack.camber, taken=taken) for off in offs]
    missing = [beyond(off, adjusters) for off in offs]
    arms = [
        arm_change(corner, rise, one) if verdict is AngleVerdict.PARTS and corner else None
        for one, verdict in zip(missing, verdicts, strict=True)
    ]
    sides = {f"{side}_camber_missing": one for side, one in zip(SIDES, missing, strict=True)}
    return {"adjusters": adjusters, **sides, **_of_arms(arms)}, verdicts


def _by_side(name: str, angles: Mapping[str, tuple[float, float]]) -> dict[str, float]:
    return {
        name.format(side=side, word=word): one
        for word, both in angles.items()
        for side, one in zip(SIDES, both, strict=True)
    }


def _of_arms(arms: Sequence[ArmChange | None]) -> dict[str, float | bool]:
    """Both sides' arms, and what they bring."""
    ordered = [arm for arm in arms if arm is not None]
    each = {
        f"{side}_arm_{name}": math.nan if arm is None else getattr(arm, of)
        for side, arm in zip(SIDES, arms, strict=True)
        for name, of in (("longer", "longer"), ("toe", "toe"), ("scrub", "scrub_radius"))
    }
    return {
        **each,
        "arm_is_upper": any(arm.upper for arm in ordered),
        "arm_track": sum(arm.outward for arm in ordered) if ordered else math.nan,
        "arm_roll_centre": sum(0.5 * arm.roll_centre_rise for arm in ordered)
        if ordered
        else math.nan,
    }


def _or_nan(value: float | None) -> float:
    return math.nan if value is None else value


def _worst(each: Sequence[float]) -> float:
    """What is furthest from nothing; NaN where one is not known."""
    return math.nan if any(map(math.isnan, each)) else max(each, key=abs)


def _adjusters(alignment: Alignment, corner: Corner | None, rise: float) -> float:
    """Camber that the adjusters take, to either side [rad]."""
    if alignment.pivot_adjustment is None or corner is None or not math.isfinite(rise):
        return _or_nan(alignment.camber_adjustment)
    try:
        return pivot_reach(corner, rise, alignment.pivot_adjustment, upper=alignment.upper_pivot)
    except ValueError:
        return math.nan


def _verdict(off: float, adjusters: float, band: float, *, taken: bool) -> AngleVerdict | None:
    if math.isnan(off) or math.isnan(band):
        return None
    if taken:  # what is wanted was read off this very state
        return AngleVerdict.TAKEN
    if abs(off) <= AS_WANTED:
        return AngleVerdict.AS_WANTED
    if math.isnan(adjusters):
        return AngleVerdict.UNKNOWN
    beyond = abs(off) - adjusters
    if abs(beyond) < band:
        return AngleVerdict.CLOSE
    return AngleVerdict.PARTS if beyond > 0.0 else AngleVerdict.ADJUSTERS
