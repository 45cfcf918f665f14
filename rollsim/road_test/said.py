"""What is said of a drive beside its figure, and why it has none."""

import math

import numpy as np

from rollsim.estimates import Estimate
from rollsim.road_test.fused import Fused
from rollsim.road_test.interval import Part
from rollsim.road_test.result import DEGREES_PER_G, RoadTest
from rollsim.road_test.stretches import Stretches

DISAGREES = 0.1  # of speed × yaw rate against the sensor
SMALL = 0.1  # of the largest part of an interval: not worth a word
OUTLIER = 0.5  # of its full weight: a stretch that counts less is told
BENT = 0.05  # of the lean at the sharpest bend: a curve worth telling

CURES = {
    Part.SCATTER: "drive more bends, each steady for 5 s, on a smoother and leveller place, the "
    "sensor fixed to the floor",
    Part.SCALE: "turn the logger round a known angle to find its scale, and give --gyro-scale",
    Part.DIVE: "keep the speed constant from straight to straight, or record the pitch rate",
    Part.FRICTION: "keep the speed constant from straight to straight",
    Part.LEVEL: "drive one bend or circle at three speeds, both ways, which takes its bank out (if "
    "it was one bend, give --one-place); or check the place with a level and give --level",
}


def too_wide(gradient: Estimate, found: RoadTest) -> str:
    """Why an interval of the gradient [rad/(m/s²)] is no answer, and what narrows it most."""
    half = gradient.interval[1] - gradient.value
    most = max((p for p in CURES if p in found.parts), key=lambda p: found.parts[p])
    noisy = "too noisy" if most is Part.SCATTER else f"too uncertain by {most.value}"
    value, off = gradient.value * DEGREES_PER_G, half * DEGREES_PER_G
    return f"{noisy}: {value:.1f} ± {off:.1f} deg/g is no answer; {CURES[most]}"


def crooked(share: float) -> str:
    """The readings lie on no line: they bend away by that share of the greatest lean [-]."""
    return (
        f"the lean follows no line, it bends away from one by {share:.0%} of the greatest: a place "
        "that falls to one side does that, or a load that moved; drive on a level place"
    )


def fused_angle(fused: Fused) -> str:
    """Why an angle that follows the felt vertical is none of the body."""
    how = "at once" if fused.time_constant == 0.0 else f"within some {fused.time_constant:.0f} s"
    return (
        "the roll angle follows the lateral acceleration as a pendulum would: it goes "
        f"{how} to {abs(fused.share):.0%} of the felt tilt, so it is a fused angle that drifts to "
        "the felt vertical and tells nothing of the body; record the gyro's roll rate instead"
    )


def without_gravity(seen: str) -> str:
    """Why acceleration without gravity is refused, with what was seen of it."""
    return (
        f"gravity, or the lean, seems to be taken out of the acceleration already ({seen}): record "
        "the accelerometer's own reading, not the phone's linear or user acceleration"
    )


def turning_ratio(stretches: Stretches) -> float | None:
    """Speed times yaw rate over lateral acceleration [-]; None where not recorded."""
    if stretches.turning is None or not np.isfinite(stretches.turning).all():
        return None
    return float(np.median(np.abs(stretches.turning / stretches.lateral)))


def notes(found: RoadTest) -> tuple[str, ...]:
    """What a reader should know of a figure."""
    line, stretches = found.line, found.stretches
    told = [*([] if found.wide else [_place_words(found)]), _parts_words(found)]
    ratio = turning_ratio(stretches)
    if ratio is not None:
        agree = "agrees with" if abs(ratio - 1.0) <= DISAGREES else "does not agree well with"
        told.append(
            f"speed times yaw rate is {ratio:.2f} times the lateral acceleration and {agree} it"
        )
    most = line.gradient.value * found.range[1]
    if found.bends_surely and found.bent > BENT * most:
        told.append(
            f"the lean bends away from the line by {math.degrees(found.bent):.2f} deg: "
            "a helper, a stop or a wheel comes in; the figure holds for the middle of the range"
        )
    low = int((line.weights < OUTLIER).sum())
    if low:
        told.append(f"{low} of {len(line.weights)} stretches lie far off the line and count less")
    return tuple(told)


def exchanged_sides(exchanged: bool) -> tuple[str, ...]:
    """That left and right are exchanged; nothing where they are not."""
    if not exchanged:
        return ()
    return (
        "by the yaw rate left and right are exchanged in this log, in lateral acceleration and "
        "roll alike: the lean per g holds, left and right do not",
    )


def _place_words(found: RoadTest) -> str:
    """How bank was kept out of the figure, or was not."""
    if not found.same_place:
        return _level_words(found)
    where = "one bend" if found.places == 1 else f"{found.places} bends"
    return f"the figure is the slope within {where} driven at several speeds: bank is not in it"


def _level_words(found: RoadTest) -> str:
    level = found.parts.get(Part.LEVEL, 0.0) * DEGREES_PER_G
    return (
        "the bends were not each driven at several speeds, so bank that grows with the sharpness "
        f"of the bends passes for lean: ± {level:.1f} deg/g of the interval are for that"
    )


def why_wide(found: RoadTest) -> str:
    """Why a figure over different bends is so wide, and what narrows it."""
    return f"{_level_words(found)}; to narrow it, {CURES[Part.LEVEL]}"


def _parts_words(found: RoadTest) -> str:
    """What the interval is made of, the largest first."""
    parts = sorted(found.parts.items(), key=lambda one: -one[1])
    least = SMALL * parts[0][1]
    said = [f"{part.value} ± {half * DEGREES_PER_G:.2f}" for part, half in parts if half > least]
    return f"the interval, deg/g: {', '.join(said)}"
