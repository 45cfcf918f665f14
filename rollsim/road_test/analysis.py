"""From a log to a roll gradient with its interval, or to the reason why there is none."""

import math
from dataclasses import replace

import numpy as np

from rollsim.road_test.columns import UNITS, Role
from rollsim.road_test.fitting import LeanLine, bend_of_the_line
from rollsim.road_test.fused import follows_felt_vertical
from rollsim.road_test.interval import DIVE, LEVEL_AT, Part, Stated, measured_line, slope_within
from rollsim.road_test.log import Log, RollKind
from rollsim.road_test.places import ALIKE, ALIKE_WITHOUT_SPEED, Passes, places, radii, recurs
from rollsim.road_test.result import RoadTest
from rollsim.road_test.said import (
    crooked,
    exchanged_sides,
    fused_angle,
    notes,
    too_wide,
    turning_ratio,
    why_wide,
    without_gravity,
)
from rollsim.road_test.signals import Signals, prepare
from rollsim.road_test.stretches import SHORTEST, Stretches, Thrown, find_stretches
from rollsim.vehicle import STANDARD_GRAVITY

FEWEST_BENDS = 3  # a side
NEEDED = 0.25 * STANDARD_GRAVITY  # to be reached on both sides
RANGE = 0.1 * STANDARD_GRAVITY  # between the gentlest and the sharpest bend
NOISIEST = 0.25  # half the interval over the gradient
DIVES = 0.02  # of the gradient, missed by a roll gyro alone for a usual dive: pitch is carried too
MOSTLY = 0.5  # of the bends are passes of bends driven at several speeds: the protocol
ALIKE_UNIT = 0.07  # of speed × yaw rate against the sensor: from mph to knots are 15 %
IMPOSSIBLE = 0.35  # of speed × yaw rate against the sensor
CROOKED = 0.2  # of the same: no spring does that
WITH_GRAVITY, WITHOUT = 0.5 * STANDARD_GRAVITY, 0.3 * STANDARD_GRAVITY  # upward, at rest
LEAST_OF_IT = 0.45  # of the share of gravity that a lean puts into the lateral reading
LEAST_MOVED = 0.25  # of half the interval
STILL = 0.02 * STANDARD_GRAVITY  # a sensor that moves less saw no bend


def analyse(log: Log, stated: Stated | None = None) -> RoadTest:
    """Take the roll gradient from a log.

    Parameters
    ----------
    log : Log
        As read [SI].
    stated : Stated or None
        What is known beside it; None: nothing.

    Returns
    -------
    RoadTest
        A line with its interval, or why there is none.

    Notes
    -----
    After ISO 4138: steady stretches of at least 3 s or slow ramps, both directions, a line
    through them [iso-4138]. A gyro and an accelerometer read body and road together; the bank of a
    bend is the same at any speed, so it is in the intercept of the place and not in the slope.
    """
    stated = stated or Stated()
    still = _still(log.lateral, STILL)
    if still or np.nanmax(log.roll) == np.nanmin(log.roll):
        which = "lateral acceleration" if still else log.kind.value
        return _refused(f"{which} does not change: no bend was driven, or it is the wrong column")
    found = _by_signals(replace(log, pitch_rate=None), stated)
    if log.pitch_rate is None or log.kind is not RollKind.RATE or not _dives(found):
        return found
    found = _by_signals(log, stated)
    told = "the speed changes in the bends, so roll is carried by all three gyros"
    return replace(found, notes=(*found.notes, told)) if found.line else found


def _dives(found: RoadTest) -> bool:
    """Whether a roll gyro alone misses much; where not, a pitch gyro adds but its own noise."""
    stretches = found.stretches
    if stretches is None or not stretches.lateral.size:
        return False
    missed, lean = (
        slope_within(stretches.lateral, one, None) for one in (stretches.missed, stretches.roll)
    )
    return not DIVE * abs(missed) <= DIVES * abs(lean)  # NaN: nothing tells of braking


def _by_signals(log: Log, stated: Stated) -> RoadTest:
    try:
        signals = prepare(log)
    except ValueError as error:
        return _refused(str(error))
    reason = _angle_of_no_unit(log, signals, stated)
    if reason:
        return _refused(reason)
    found = _described(find_stretches(signals))
    reason = (
        _reversed(found, signals, log.turned_round)
        or _too_little(found)
        or _not_logged(log, signals)
        or _against_itself(found, log)
    )
    if reason:
        return replace(found, refused=reason)
    return _fitted(found, signals, stated)


def _angle_of_no_unit(log: Log, signals: Signals, stated: Stated) -> str | None:
    """An angle that drifts to the felt vertical, or may: only its maker can tell."""
    if log.kind is not RollKind.ANGLE:
        return None
    fused = follows_felt_vertical(signals)
    if fused is not None:
        return fused_angle(fused)
    if log.angle_by or stated.angle_by:
        return None
    return (
        "a roll angle is logged, and nothing says what made it: a phone's drifts to the felt "
        "vertical, slowly enough to pass unseen. Record the gyro's roll rate instead; where an "
        "inertial unit made the angle, name it with --angle-by NAME"
    )


def _not_logged(log: Log, signals: Signals) -> str | None:
    """What has to be in a log before any figure of it can be believed."""
    if signals.yaw_rate is None:
        return (
            "no yaw rate is recorded, which tells a straight from a gentle bend and one bend from "
            "another; record it, as every phone with a gyro can, or name its column"
        )
    if signals.vertical is not None and abs(signals.vertical) < WITHOUT:
        return without_gravity(f"upward it reads {signals.vertical / STANDARD_GRAVITY:.2f} g")
    if signals.vertical is None and signals.speed is None:
        return (
            "neither speed nor vertical acceleration is recorded, so nothing tells whether gravity "
            "is in the lateral reading, which changes the figure by an eighth; record one of them"
        )
    if np.isnan(signals.missed).any():
        return (
            "a roll gyro alone misses the dive of braking in a bend, and neither speed nor "
            "longitudinal acceleration is recorded to tell of braking; record one of them, or the "
            "pitch rate"
        )
    return None


def turn_round(log: Log, *, lateral: bool, roll: bool) -> Log:
    """The same log with columns reversed in sign.

    Parameters
    ----------
    log : Log
        As read [SI].
    lateral, roll : bool
        Which are to be reversed.

    Returns
    -------
    Log
        In ISO 8855 signs, if these were wrong.
    """
    return replace(
        log,
        lateral=-log.lateral if lateral else log.lateral,
        roll=-log.roll if roll else log.roll,
        turned_round=("lateral",) * lateral + ("roll",) * roll,
    )


def _still(values: np.ndarray, least: float) -> bool:
    known = values[np.isfinite(values)]
    low, high = np.percentile(known, (1.0, 99.0))
    return bool(high - low < least)


def _refused(reason: str) -> RoadTest:
    return RoadTest(None, None, reason)


def _described(found: Stretches) -> RoadTest:
    """Bends, seconds and range of the stretches, before any fit."""
    left = found.lateral > 0.0
    sides = (left, ~left)
    size = np.abs(found.lateral)
    reach = (float(size.min()), float(size.max())) if size.size else (math.nan, math.nan)
    return RoadTest(
        line=None,
        stretches=found,
        refused=None,
        bends=tuple(len(set(found.bend[side].tolist())) for side in sides),
        seconds=tuple(float(found.seconds[side].sum()) for side in sides),
        range=reach,
        signs_agree=slope_within(found.reading, found.roll, None) > 0.0,
    )


def _too_little(found: RoadTest) -> str | None:
    """What is missing to conclude anything."""
    stretches = found.stretches
    if not stretches.lateral.size:
        reasons = dict(stretches.thrown)
        most = max((r for r in reasons if r is not Thrown.STRAIGHT), key=reasons.get, default=None)
        why = f"; most of the log outside straights: {most.value}" if most else ""
        return f"no steady stretch of a bend was found, each needs {SHORTEST:g} s{why}"
    for count, side, other in zip(found.bends, ("left", "right"), ("right", "left"), strict=True):
        if count == 0:
            return (
                f"all steady bends go {other}: needs both directions, at least {FEWEST_BENDS} "
                f"bends to the {side} too"
            )
    if min(found.bends) < FEWEST_BENDS:
        return (
            f"{found.bends[0]} steady bends to the left and {found.bends[1]} to the right: needs "
            f"at least {FEWEST_BENDS} each way, with a straight before and after each"
        )
    lateral = stretches.lateral
    reached = _reach(stretches)
    if reached < NEEDED:
        return (
            f"the sharper bends of one side reach {reached / STANDARD_GRAVITY:.2f} g: needs "
            f"{NEEDED / STANDARD_GRAVITY:g} g both ways, within the limit of the test drive; else "
            "do the lean test"
        )
    spread = max(np.ptp(lateral[lateral > 0.0]), np.ptp(lateral[lateral < 0.0]))
    if spread < RANGE:
        return (
            f"all bends lie within {spread / STANDARD_GRAVITY:.2f} g of each other: needs gentle "
            f"and sharp ones, at least {RANGE / STANDARD_GRAVITY:g} g apart, to tell lean per g "
            "from friction"
        )
    return None


def _against_itself(found: RoadTest, log: Log) -> str | None:
    """Speed × yaw rate is something else than the lateral acceleration."""
    ratio = turning_ratio(found.stretches)
    if ratio is None or abs(ratio - 1.0) <= IMPOSSIBLE:
        return None
    seen = f"speed times yaw rate is {ratio:.2f} times the lateral acceleration"
    speed = next((one for one in log.columns if one.role is Role.SPEED and one.guessed), None)
    for unit, size in UNITS[Role.SPEED].items() if speed else ():
        if abs(ratio * size / UNITS[Role.SPEED][speed.unit] - 1.0) <= ALIKE_UNIT:
            return f"{seen}, so the speed seems to be in {unit}: name it with --speed COLUMN UNIT"
    return f"{seen}: one of the three columns has another unit or is another axis"


def _fitted(found: RoadTest, signals: Signals, stated: Stated) -> RoadTest:
    """The line within places where the drive was by the protocol, else from bend to bend."""
    stretches = found.stretches
    place = _places(stretches, stated)
    several = _at_several_speeds(stretches, place)
    same = _by_protocol(stretches, place, several)
    used = place if same else None
    try:
        line, parts, shown = measured_line(stretches, used, stated)
    except ValueError as error:
        return replace(found, refused=str(error))
    count = len({p // 2 for p in (several if same else place.tolist())})
    found = replace(found, parts=parts, places=count, same_place=same)
    gradient = line.gradient
    if not _is_answer(gradient.value, _half(line), found):
        return replace(found, refused=too_wide(gradient, found))
    if signals.vertical is None and _gravity_matters(gradient.value, _half(line)):
        reason = _gravity_by_speed(stretches, gradient.value, used)
        if reason:
            return replace(found, refused=reason)
    bent, sure = bend_of_the_line(line, stretches.lateral, stretches.bend, used)
    most = gradient.value * found.range[1]
    if bent > CROOKED * most:
        return replace(found, refused=crooked(bent / most))
    wide = why_wide(found) if _half(line) > NOISIEST * gradient.value else ""
    found = replace(found, line=line, stretches=shown, bent=bent, bends_surely=sure, wide=wide)
    return replace(found, notes=(*notes(found), *exchanged_sides(signals.exchanged)))


def _by_protocol(stretches: Stretches, place: np.ndarray, several: list[int]) -> bool:
    """Most bends are passes of places that are known, by position or order, at several speeds."""
    passes = set(stretches.bend[np.isin(place, several)].tolist())
    known = stretches.centre is not None and bool(np.isfinite(stretches.centre).all())
    most = len(passes) >= MOSTLY * len(set(stretches.bend.tolist()))
    return most and (known or recurs(place, stretches.bend))


def _at_several_speeds(stretches: Stretches, place: np.ndarray) -> list[int]:
    """Places that were driven gently and sharply."""
    return [p for p in np.unique(place).tolist() if np.ptp(stretches.lateral[place == p]) >= RANGE]


def _is_answer(value: float, half: float, found: RoadTest) -> bool:
    """What is narrow enough, and from 0.3 g on what only the level of the bends makes wide."""
    if _reach(found.stretches) >= LEVEL_AT:
        half -= found.parts.get(Part.LEVEL, 0.0)
    return value > 0.0 and half <= NOISIEST * value


def _reach(stretches: Stretches) -> float:
    """Lateral acceleration that was reached both ways [m/s²]."""
    return float(min(stretches.lateral.max(), -stretches.lateral.min()))


def _half(line: LeanLine) -> float:
    return line.gradient.interval[1] - line.gradient.value


def _places(stretches: Stretches, stated: Stated) -> np.ndarray:
    alike = ALIKE if stretches.speed is not None else ALIKE_WITHOUT_SPEED
    passes = Passes(
        radius=radii(stretches.lateral, stretches.yaw_rate, stretches.speed),
        lateral=stretches.lateral,
        turned=stretches.turned,
        seconds=stretches.lasting,
        bend=stretches.bend,
        centre=stretches.centre,
    )
    return places(passes, alike=math.inf if stated.one_place else alike, apart=RANGE)


def _gravity_matters(gradient: float, half: float) -> bool:
    """Whether a reading without it moves the figure by a part of the interval worth the name."""
    return STANDARD_GRAVITY * gradient**2 > LEAST_MOVED * half


def _gravity_by_speed(
    stretches: Stretches, gradient: float, place: np.ndarray | None
) -> str | None:
    """Beside speed × yaw rate the reading has what the lean puts into it, if gravity is in it."""
    ratio = slope_within(stretches.turning, stretches.reading, place)
    if (ratio - 1.0) > LEAST_OF_IT * STANDARD_GRAVITY * gradient:
        return None
    expected = 1.0 + STANDARD_GRAVITY * gradient
    return without_gravity(
        f"it is {ratio:.2f} times speed times yaw rate, a reading with gravity in it "
        f"{expected:.2f} times, unless the speed reads too much"
    )


def _reversed(found: RoadTest, signals: Signals, turned: tuple[str, ...]) -> str | None:
    """Which column is reversed, as far as the yaw rate tells; None where none is."""
    slope = slope_within(found.stretches.reading, found.stretches.roll, None)
    if not slope < 0.0:
        return None
    guess = ""
    if signals.yaw_rate is not None:
        which = "lateral" if signals.exchanged else "roll"
        if which in turned:
            return f"the body leans into the bends: turn the sign of {which} round again"
        guess = f"; by the yaw rate it is {which}"
    return (
        "the body leans into the bends, so the roll or the lateral column is reversed in sign: "
        f"give --flip roll or --flip lateral{guess}"
    )
