"""How is said how wheels stand after a lift, and how far dampers reach?"""

import math
from collections.abc import Sequence

from rollsim.lift_check import (
    SIDES,
    AngleVerdict,
    DamperFinding,
    DamperReach,
    LeafSign,
    LeafStand,
    OneArm,
    WheelStand,
)
from rollsim.lift_check.leaves import NO_ARCH, STOP_CLOSE, SWUNG_OUT
from rollsim.mass import spoken
from rollsim.reader_units import ReaderUnits, figure, plain
from rollsim.roll.swerve import USUAL_DAMPING
from rollsim.sentences import sentence
from rollsim.spring_wording import reason_words
from rollsim.units import to_unit

FINE = (AngleVerdict.TAKEN, AngleVerdict.AS_WANTED)
NOT_READ = "no camber was read, so there is none to be wanted"
NOT_WANTED = "give wanted_camber: how it stood unladen cannot be worked out"
ROUGH = (
    "the tape is too rough to judge it: with one reading off by its tolerance the linkage does not "
    "reach so far"
)
NO_LINKAGE = (
    "its linkage is not taped (double_wishbone or strut, under alignment or roll_centre), or does "
    "not reach so far"
)
ALIGNMENT_CAUTION = (
    "Alignment: set and measured on a rack, by a licensed shop where codes ask for it. Joints and "
    "bushes without play first; the figures here leave out how bushes give way."
)
LEAF_CAUTION = (
    "Signs of a leaf pack at rest are common practice, no source. A lift under or over the pack is "
    "left out of its arch."
)
TWO_UNITS = 0.0005  # m: less rounds to nothing


def degrees(value: float) -> str:
    """An angle [rad] with its sign, one decimal."""
    shown = figure(value, "deg", 1)
    return f"{'+' * (shown[0].isdigit() and float(shown) != 0.0)}{shown}°"


def fine_length(value: float, units: ReaderUnits) -> str:
    """A small length [m] without its unit: tenths of a millimetre, hundredths of an inch."""
    return figure(value, units.length, 1 if units.length == "mm" else 2)


def _bare(value: float) -> str:
    return f"{plain(abs(float(to_unit(value, 'deg'))), 1)}°"


def _fine(value: float) -> str:
    """As it is set: 0.75° is not 0.8°, and 0.2° needs no second decimal."""
    said = plain(float(to_unit(value, "deg")), 2)
    return f"{said.removesuffix('0')}°"


def wheel_words(stand: WheelStand, units: ReaderUnits) -> str:
    """The wheels of an axle in one state, and what they take, in words without a full stop."""
    angles = (_camber_words(stand, units), *_caster_words(stand), *_toe_words(stand))
    return ". ".join((angles[0], *(sentence(one).removesuffix(".") for one in angles[1:])))


def _stands(stand: WheelStand, word: str) -> str:
    both = ((side, getattr(stand, f"{side}_{word}")) for side in SIDES)
    return f"{word} " + ", ".join(f"{side} {degrees(one)}" for side, one in both)


def _angle_words(stand: WheelStand, word: str, verdict: AngleVerdict) -> str:
    """An angle of both wheels as it stands, and how far off that is."""
    read = _stands(stand, word)
    if verdict in FINE:
        return f"{read}, {verdict.value}"
    offs = [f"{_bare(getattr(stand, f'{side}_{word}_off'))} off" for side in SIDES]
    wanted = degrees(getattr(stand, f"wanted_{word}")) + " as unladen" * (word in stand.as_unladen)
    return f"{read}; wanted {wanted}: {_each(offs)}"


def _caster_words(stand: WheelStand) -> tuple[str, ...]:
    verdict = stand.caster_verdict
    if verdict is None:
        return ()
    off = _angle_words(stand, "caster", verdict)
    return (
        {
            **dict.fromkeys(FINE, off),
            AngleVerdict.UNKNOWN: f"{off}, and what its adjusters take is not given",
            AngleVerdict.CLOSE: f"{off}, about what the adjusters take",
            AngleVerdict.PARTS: f"{off}, {_bare(stand.caster_missing)} beyond the adjusters",
        }.get(verdict, f"{off}, the adjusters take it"),
    )


def _toe_words(stand: WheelStand) -> tuple[str, ...]:
    verdict = stand.toe_verdict
    if verdict is None:
        return ()
    set_anew = ", to be set anew" * (verdict not in FINE)
    return (_angle_words(stand, "toe", verdict) + set_anew,)


def _not_judged(stand: WheelStand) -> str:
    """How a camber changes, or stands, where there is nothing to hold it against."""
    moved = f"camber changes by {degrees(stand.camber_change)}"
    if not math.isnan(stand.camber_band) and stand.camber_band > 0.0:
        moved += f" ± {_bare(stand.camber_band)} by the tape"
    if math.isnan(stand.left_camber):
        return f"{moved}; {NOT_READ}"
    return f"{_stands(stand, 'camber')}; {NOT_WANTED if math.isnan(stand.wanted_camber) else ROUGH}"


def _camber_words(stand: WheelStand, units: ReaderUnits) -> str:
    if math.isnan(stand.camber_change):
        return NO_LINKAGE
    if stand.verdict is None:
        return _not_judged(stand)
    off = _angle_words(stand, "camber", stand.verdict)
    if stand.verdict in FINE:
        return off
    if stand.camber_band > 0.0:
        off += f" (± {_bare(stand.camber_band)} by the tape)"
    if stand.verdict is AngleVerdict.UNKNOWN:
        return f"{off}, and what its adjusters take is not given"
    takes = f"{off}, the adjusters take {_fine(stand.adjusters)}"
    if stand.verdict is AngleVerdict.ADJUSTERS:
        return takes
    if stand.verdict is AngleVerdict.CLOSE:
        return f"{takes}: too close to tell; set it on the rack before any arm is ordered"
    sides = (
        (stand.left_camber_missing, stand.left_verdict),
        (stand.right_camber_missing, stand.right_verdict),
    )
    parts = AngleVerdict.PARTS
    left = _each([_bare(one) * (verdict is parts) for one, verdict in sides])
    return f"{takes}, which leaves {left}{_arm_words(stand, units)}"


def _each(both: Sequence[str]) -> str:
    """What is said of the left and the right wheel, once where it is the same; empty: nothing."""
    if both[0] == both[1]:
        return both[0]
    return ", ".join(f"{side} {said}" for side, said in zip(SIDES, both, strict=True) if said)


def _longer(one: float, units: ReaderUnits) -> str:
    """How much longer or shorter an arm is; empty where there is none."""
    if math.isnan(one):
        return ""
    return f"{fine_length(abs(one), units)} {units.length} {'longer' if one > 0.0 else 'shorter'}"


def _arm_words(stand: WheelStand, units: ReaderUnits) -> str:
    """Which arm takes what is missing on which side, and what goes along."""
    longer = (stand.left_arm_longer, stand.right_arm_longer)
    ordered = [one for one in longer if math.isfinite(one)]
    if math.isnan(stand.track_change):
        return "; which arm takes that, the linkage by tape would tell"
    if not ordered:
        return ", more than an arm of another length gives"
    which = "upper" if stand.arm_is_upper else "lower"
    arms, them = (
        ("an adjustable {} arm", "it") if len(ordered) == 1 else ("adjustable {} arms", "them")
    )
    verdicts = (stand.left_verdict, stand.right_verdict)
    sizes = _each(
        [
            _longer(one, units) or "more than an arm gives" * (verdict is AngleVerdict.PARTS)
            for one, verdict in zip(longer, verdicts, strict=True)
        ]
    )
    words = f": {arms.format(which)}, {sizes} at the ball joint"
    along = [
        _moved("the track", ("grows", "shrinks"), [stand.arm_track] * 2, units),
        _moved("the roll centre", ("rises", "falls"), [stand.arm_roll_centre] * 2, units),
        _moved(
            "the scrub radius",
            ("grows", "shrinks"),
            [stand.left_arm_scrub, stand.right_arm_scrub],
            units,
        ),
        _toe_of_arms(stand),
    ]
    return f"{words}; with {them} {', '.join(one for one in along if one)}"


def one_arm_words(end: str, arm: OneArm, units: ReaderUnits) -> str:
    """Which arms of an axle serve every state, a sentence."""
    said = _each([_longer(one, units) for one in (arm.left_longer, arm.right_longer)])
    what = f"arms {said}" if said else "its adjusters, no other arm,"
    within = plain(math.ceil(10.0 * math.degrees(arm.within) - 1e-6) / 10.0, 1)
    names = ", ".join(map(spoken, arm.states))
    return (
        f"{end.capitalize()} wheels, set once for {names}: {what} serve all of these, camber "
        f"within {within}° of what is wanted."
    )


def _moved(what: str, ways: tuple[str, str], both: Sequence[float], units: ReaderUnits) -> str:
    """How far a length moves on both sides; empty where that rounds to nothing."""
    said = [
        f"{ways[one < 0.0]} by {figure(abs(one), units.length)} {units.length}"
        * (abs(one) > TWO_UNITS)  # compared with NaN, a side without an arm says nothing
        for one in both
    ]
    return f"{what} {_each(said)}" if any(said) else ""


def _toe_of_arms(stand: WheelStand) -> str:
    toes = [stand.left_arm_toe, stand.right_arm_toe]
    said = _each([degrees(one) * math.isfinite(one) for one in toes])
    told = f" ({said})" * bool(said)
    return f"toe changes{told}: set it anew and see that the thread of the tie rods reaches"


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
