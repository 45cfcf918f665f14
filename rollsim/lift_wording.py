"""How is said how leaf packs stand after a lift, and how far dampers reach?"""

import math

from rollsim.lift_check import DamperFinding, DamperReach, LeafSign, LeafStand
from rollsim.lift_check.leaves import NO_ARCH, STOP_CLOSE, SWUNG_OUT
from rollsim.reader_units import NO_FIGURE, ReaderUnits, figure, plain
from rollsim.roll.swerve import USUAL_DAMPING
from rollsim.spring_wording import reason_words
from rollsim.units import to_unit

LEAF_CAUTION = (
    "Signs of a leaf pack at rest are common practice, no source. A lift under or over the pack is "
    "left out of its arch."
)
TWO_UNITS = 0.0005  # m: less rounds to nothing


def degrees(value: float) -> str:
    """An angle [rad] with its sign, one decimal."""
    shown = figure(value, "deg", 1)
    return f"{'+' * (shown[0].isdigit() and float(shown) != 0.0)}{shown}°"


def arm_length(value: float, units: ReaderUnits) -> str:
    """How much an arm is longer [m], without its unit: to 0.5 mm or 0.02 in, as a tape tells.

    Something is never told as nothing.
    """
    if not math.isfinite(value):
        return NO_FIGURE
    step, decimals = (0.5, 1) if units.length == "mm" else (0.02, 2)
    steps = float(round(to_unit(value, units.length) / step)) or math.copysign(1.0, value)
    return plain(steps * step if value else 0.0, decimals)


def leaf_words(stand: LeafStand, units: ReaderUnits) -> str:
    """How a leaf pack stands, in a sentence without a full stop."""
    if stand.other_spring:
        return "another spring is on then: its own arch and shackle have to be taped"
    if stand.sign is None:
        return "the shackle does not reach so far, or no settled position was found"
    unit = units.length
    arch = f"{figure(abs(stand.arch), unit)} {unit}"
    angle = f"shackle {degrees(stand.shackle_angle)} from square to the frame"
    within = f"± {figure(stand.angle_band, 'deg', 0)}°"
    told = {
        LeafSign.LITTLE: f"too little load: {angle}, close to upright, {arch} of arch; little "
        "swing is left one way",
        LeafSign.RIGHT: f"about right: {arch} of arch left, {angle}, free to swing both ways"
        + ", though gaps were seen between the leaves at mid-length, a sign of too little load"
        * bool(stand.gaps),
        LeafSign.MUCH: f"too much load: {_too_much(stand, arch, units)}, {angle}",
        LeafSign.CLOSE: f"too close to tell: {angle} {within}, {arch} of arch; {_look(stand)}",
    }[stand.sign]
    if stand.agrees is not False:
        return told
    return (
        f"{told}. The spring check says {stand.check.verdict.value}, as it counts travel, "
        f"frequency and ratings, which no pack shows: {reason_words(stand.check, units)}"
    )


def _too_much(stand: LeafStand, arch: str, units: ReaderUnits) -> str:
    """What shows it: the arch that is gone, the shackle at its end, the stop."""
    if stand.arch < -TWO_UNITS:
        told = [f"the main leaf is bent back by {arch}"]
    else:
        told = ["the main leaf is flat" if stand.arch <= NO_ARCH else f"{arch} of arch left"]
    if stand.shackle_angle >= SWUNG_OUT + stand.angle_band:
        told.append("the shackle swung out to its end")
    to_stop = stand.check.bump_travel_left
    if to_stop <= 0.0:
        told.append("on the bump stop")
    elif to_stop <= STOP_CLOSE:
        told.append(f"{figure(to_stop, units.length)} {units.length} to the bump stop")
    return ", ".join(told)


def _look(stand: LeafStand) -> str:
    if stand.shackle_angle > SWUNG_OUT - stand.angle_band:
        return "look whether the shackle can still swing out"
    if stand.gaps is None:
        return "look for gaps between the leaves at mid-length"
    return "the leaves touch at mid-length, which speaks against too little load"


def damper_words(reach: DamperReach, units: ReaderUnits) -> str:
    """How far a damper reaches, in a sentence without a full stop."""
    unit = units.length

    def said(length: float) -> str:
        return f"{figure(length, unit)} {unit}"

    open_enough = f"{said(reach.needed_open)} open"
    closed_enough = f"{said(reach.needed_closed)} closed"
    if math.isnan(reach.left_at_bump):
        to_close = "no bump_stop is given, so what it needs to close is not judged"
    elif DamperFinding.CLOSES in reach.findings:
        to_close = (
            f"it closes {said(-reach.left_at_bump)} before the bump stop works: {closed_enough} "
            f"at most is needed, it has {said(reach.closed_length)}"
        )
    elif reach.left_at_bump < reach.band:
        to_close = (
            f"it closes about where the bump stop begins, and may end the travel: {closed_enough} "
            "at most would leave that to the stop"
        )
    else:
        to_close = f"{said(reach.left_at_bump)} left to close where the bump stop begins"
        if DamperFinding.LITTLE_AT_BUMP in reach.findings:
            to_close += f", little: {closed_enough} would be enough"
    if math.isnan(reach.left_at_droop):
        to_open = "no rebound_limit is given, so what it needs to open is not judged"
    elif DamperFinding.OPENS in reach.findings:
        to_open = (
            f"it opens {said(-reach.left_at_droop)} before full droop: {open_enough} at least is "
            f"needed, it has {said(reach.open_length)}"
        )
    elif reach.left_at_droop < reach.band:
        to_open = (
            f"it is open at about full droop, and may be what ends the travel: {open_enough} at "
            "least would leave that to the rebound limit"
        )
    else:
        to_open = f"{said(reach.left_at_droop)} left to open at full droop"
        if DamperFinding.LITTLE_AT_DROOP in reach.findings:
            to_open += f", little: {open_enough} would be enough"
    judged = math.isfinite(reach.left_at_bump) and math.isfinite(reach.left_at_droop)
    start = "" if reach.findings or not judged else "they reach: "
    return f"{start}{to_close}; {to_open} (± {said(reach.band)} by the tape)"


def damping_words(damping: tuple[float, float] | None) -> str:
    """What the bounce test says of all dampers together, a sentence."""
    low, high = USUAL_DAMPING
    if damping is None:
        return (
            "Whether the dampers still damp is not known: rock the vehicle sideways, let go and "
            "count the swings (bounce test in the bay, roll_damping_ratio)."
        )
    ratio, band = damping
    within = f" ± {plain(band, 2)}" * (band > 0.0)
    usual = f"the {low:g} to {high:g} of dampers in order, from memory"
    if ratio + band < low:
        told = f"below {usual}: worn, or too soft for the weight that was on"
    elif ratio - band > high:
        told = f"above {usual}: firm"
    elif low <= ratio - band and ratio + band <= high:
        told = f"within {usual}"
    else:
        told = f"too close to tell from {usual}"
    return f"Roll damping ratio {plain(ratio, 2)}{within} by the bounce test: {told}."
