"""From a log to a roll gradient with its interval, or to the reason why there is none."""

import math
from dataclasses import dataclass, replace

import numpy as np

from rollsim.road_test.fitting import LeanLine, bend_of_the_line, fit_line
from rollsim.road_test.fused import Fused, follows_felt_vertical
from rollsim.road_test.log import Log, RollKind
from rollsim.road_test.signals import Signals, prepare
from rollsim.road_test.stretches import Stretches, Thrown, find_stretches
from rollsim.vehicle import STANDARD_GRAVITY

FEWEST_BENDS = 3  # a side
NEEDED = 0.25 * STANDARD_GRAVITY  # to be reached on both sides
RANGE = 0.1 * STANDARD_GRAVITY  # between the gentlest and the sharpest bend
NOISIEST = 0.25  # half the interval over the gradient
DISAGREES, IMPOSSIBLE = 0.1, 0.35  # of speed × yaw rate against the sensor
OUTLIER = 0.5  # of its full weight: a stretch that counts less is told
BENT = 0.05  # of the lean at the sharpest bend: a curve worth telling
LOPSIDED = math.radians(0.5)  # of the line at no acceleration: straights are zero
CROOKED = 0.2  # of the same: no spring does that
STILL = 0.02 * STANDARD_GRAVITY  # a sensor that moves less saw no bend
DEGREES_PER_G = STANDARD_GRAVITY * 180.0 / math.pi


@dataclass(frozen=True, slots=True, eq=False)
class RoadTest:
    """What a log says of a vehicle.

    Parameters
    ----------
    line : LeanLine or None
        The fit; None where refused.
    stretches : Stretches or None
        That it stands on; None where there are none.
    refused : str or None
        Why there is no figure.
    bends : tuple of int
        Steady bends to the left and to the right [-].
    seconds : tuple of float
        Steady seconds to the left and to the right [s].
    range : tuple of float
        Least and greatest lateral acceleration of the stretches, either way [m/s²].
    bent : float
        Change of lean within the range by which it bends away from the line [rad].
    bends_surely : bool
        That is beyond its 95 % interval.
    notes : tuple of str
        What a reader should know.
    """

    line: LeanLine | None
    stretches: Stretches | None
    refused: str | None
    bends: tuple[int, int] = (0, 0)
    seconds: tuple[float, float] = (0.0, 0.0)
    range: tuple[float, float] = (math.nan, math.nan)
    bent: float = math.nan
    bends_surely: bool = False
    notes: tuple[str, ...] = ()


def analyse(log: Log) -> RoadTest:
    """Take the roll gradient from a log.

    Parameters
    ----------
    log : Log
        As read [SI].

    Returns
    -------
    RoadTest
        A line with its interval, or why there is none.

    Notes
    -----
    After ISO 4138: steady stretches of at least 3 s or slow ramps, both directions, a line
    through them. [iso-4138]
    """
    still = _still(log.lateral, STILL)
    if still or np.nanmax(log.roll) == np.nanmin(log.roll):
        which = "lateral acceleration" if still else log.kind.value
        return _refused(f"{which} does not change: no bend was driven, or it is the wrong column")
    try:
        signals = prepare(log)
    except ValueError as error:
        return _refused(str(error))
    if log.kind is RollKind.ANGLE:
        fused = follows_felt_vertical(signals)
        if fused is not None:
            return _refused(_fused_words(fused))
    found = _described(find_stretches(signals))
    reason = _too_little(found) or _against_itself(found)
    if reason:
        return replace(found, refused=reason)
    return _fitted(found, signals)


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
    )


def _still(values: np.ndarray, least: float) -> bool:
    known = values[np.isfinite(values)]
    low, high = np.percentile(known, (1.0, 99.0))
    return bool(high - low < least)


def _refused(reason: str) -> RoadTest:
    return RoadTest(None, None, reason)


def _fused_words(fused: Fused) -> str:
    how = "at once" if fused.time_constant == 0.0 else f"within some {fused.time_constant:.0f} s"
    return (
        "the roll angle follows the lateral acceleration as a pendulum would: it goes "
        f"{how} to {abs(fused.share):.0%} of the felt tilt, so it is a fused angle that drifts to "
        "the felt vertical and tells nothing of the body; record the gyro's roll rate instead"
    )


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
    )


def _too_little(found: RoadTest) -> str | None:
    """What is missing to conclude anything."""
    stretches = found.stretches
    if not stretches.lateral.size:
        reasons = dict(stretches.thrown)
        most = max((r for r in reasons if r is not Thrown.STRAIGHT), key=reasons.get, default=None)
        why = f"; most of the log outside straights: {most.value}" if most else ""
        return f"no steady stretch of a bend was found, each needs 3 s{why}"
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
    reached = min(lateral.max(), -lateral.min())
    if reached < NEEDED:
        return (
            f"the sharper bends of one side reach {reached / STANDARD_GRAVITY:.2f} g: needs 0.25 g "
            "both ways, within the limit of the test drive; else do the lean test"
        )
    spread = max(np.ptp(lateral[lateral > 0.0]), np.ptp(lateral[lateral < 0.0]))
    if spread < RANGE:
        return (
            f"all bends lie within {spread / STANDARD_GRAVITY:.2f} g of each other: needs gentle "
            "and sharp ones, at least 0.1 g apart, to tell lean per g from friction"
        )
    return None


def _against_itself(found: RoadTest) -> str | None:
    """Speed × yaw rate is something else than the lateral acceleration."""
    ratio = _turning_ratio(found.stretches)
    if ratio is None or abs(ratio - 1.0) <= IMPOSSIBLE:
        return None
    return (
        f"speed times yaw rate is {ratio:.2f} times the lateral acceleration: one of the three "
        "columns has another unit or is another axis"
    )


def _turning_ratio(stretches: Stretches) -> float | None:
    if stretches.turning is None or not np.isfinite(stretches.turning).all():
        return None
    return float(np.median(np.abs(stretches.turning / stretches.lateral)))


def _fitted(found: RoadTest, signals: Signals) -> RoadTest:
    stretches = found.stretches
    slope = np.polyfit(stretches.lateral, stretches.roll, 1)[0]
    if slope < 0.0:
        return replace(found, refused=_reversed_words(signals))
    try:
        line = fit_line(stretches.lateral, stretches.roll, stretches.bend)
    except ValueError as error:
        return replace(found, refused=str(error))
    gradient = line.gradient
    half = gradient.interval[1] - gradient.value
    if not (gradient.value > 0.0 and half <= NOISIEST * gradient.value):
        return replace(
            found,
            refused=(
                f"too noisy: {gradient.value * DEGREES_PER_G:.1f} ± {half * DEGREES_PER_G:.1f} "
                "deg/g is no answer; drive more bends, each steady for 5 s, on a smoother and "
                "leveller place, the sensor fixed to the floor"
            ),
        )
    bent, sure = bend_of_the_line(line, stretches.lateral, stretches.bend)
    most = gradient.value * found.range[1]
    if bent > CROOKED * most:
        return replace(found, refused=_crooked_words(bent / most, signals))
    if signals.yaw_rate is None and abs(line.offset) > LOPSIDED:
        return replace(found, refused=_lopsided_words(line.offset))
    found = replace(found, line=line, bent=bent, bends_surely=sure)
    return replace(found, notes=(*_notes(found), *_by_the_yaw_rate(signals)))


def _lopsided_words(offset: float) -> str:
    """The line misses the straights."""
    return (
        f"the line through the bends misses the straights by {math.degrees(abs(offset)):.1f} deg: "
        "the place falls to one side, so that straights and gentle bends are taken for each other; "
        "drive on a level place, and record the yaw rate, which tells them apart"
    )


def _by_the_yaw_rate(signals: Signals) -> tuple[str, ...]:
    if signals.yaw_rate is not None:
        if float(np.dot(signals.yaw_rate, signals.reading)) > 0.0:
            return ()
        return (
            "by the yaw rate left and right are exchanged in this log, in lateral acceleration and "
            "roll alike: the lean per g holds, left and right do not",
        )
    return (
        "no yaw rate is recorded: where the place falls to one side, straights cannot be told from "
        "gentle bends, and the figure is worth less",
    )


def _crooked_words(share: float, signals: Signals) -> str:
    """The readings lie on no line."""
    words = (
        f"the lean follows no line, it bends away from one by {share:.0%} of the greatest: a place "
        "that falls to one side does that, or a load that moved; drive on a level place"
    )
    if signals.yaw_rate is None:
        words += ", and record the yaw rate, which tells a straight from a gentle bend"
    return words


def _reversed_words(signals: Signals) -> str:
    """Which column is reversed, as far as the yaw rate tells."""
    guess = ""
    if signals.yaw_rate is not None:
        agrees = float(np.dot(signals.yaw_rate, signals.reading)) > 0.0
        which = "roll" if agrees else "lateral"
        guess = f"; by the yaw rate it is {which}"
    return (
        "the body leans into the bends, so the roll or the lateral column is reversed in sign: "
        f"give --flip roll or --flip lateral{guess}"
    )


def _notes(found: RoadTest) -> tuple[str, ...]:
    line, stretches, notes = found.line, found.stretches, []
    ratio = _turning_ratio(stretches)
    if ratio is not None:
        agree = "agrees with" if abs(ratio - 1.0) <= DISAGREES else "does not agree well with"
        notes.append(
            f"speed times yaw rate is {ratio:.2f} times the lateral acceleration and {agree} it"
        )
    if ratio is not None and ratio > 1.0 + DISAGREES:
        notes.append(
            "a log whose lateral acceleration is already corrected for lean would look so: it has "
            "to be the sensor's own reading, fixed to the body"
        )
    most = line.gradient.value * found.range[1]
    if found.bends_surely and found.bent > BENT * most:
        notes.append(
            f"the lean bends away from the line by {math.degrees(found.bent):.2f} deg: "
            "a helper, a stop or a wheel comes in; the figure holds for the middle of the range"
        )
    low = int((line.weights < OUTLIER).sum())
    if low:
        notes.append(f"{low} of {len(line.weights)} stretches lie far off the line and count less")
    return tuple(notes)
