"""The figures of wheels and dampers after a lift, each declared once."""

import math
from collections.abc import Callable

from rollsim.lift_check import (
    ANGLES,
    SIDES,
    AngleVerdict,
    DamperFinding,
    DamperReach,
    LeafStand,
    WheelStand,
)
from rollsim.lift_wording import arm_length
from rollsim.reader_units import NO_FIGURE, ReaderUnits
from rollsim.tell.figures import Figure, by_name
from rollsim.tell.kinds import FINE_WHEEL_ANGLE, LENGTH, RATIO, WHEEL_ANGLE, Kind, signed
from rollsim.wheel_wording import NO_LINKAGE, NOT_READ, ROUGH

TOO_ROUGH_CELL = "too rough"
_NO_CASTER = "upper_axis and lower_axis of its arms are not given"
_NO_ROD = "its tie_rod is not given"
_NO_ADJUSTERS = "neither camber_adjustment nor pivot_adjustment is given"
_NO_ARM = "no other arm is needed, or none of another length does it"
_NOT_JUDGED = f"{_NO_ADJUSTERS}, or {NOT_READ}"
_NO_ARM_TOE = f"{_NO_ARM}, or {_NO_ROD}"
_NO_BUMP, _NO_DROOP = "its bump_stop is not given", "its rebound_limit is not given"
_ALONE = "each wheel moves on its own, or a stop is not given"
_NO_WISH = "it was not read, or what moves it or what is wanted is not given"
_READ = "it was not read on a rack, or what moves it is not given"


def _told(name: str, kind: Kind) -> Callable[[WheelStand, ReaderUnits], str]:
    """What a table says of a figure that the tape may be too rough to tell."""
    return lambda stand, units: (
        TOO_ROUGH_CELL
        if name in stand.too_rough
        else signed(kind.said(getattr(stand, name), units))
    )


def _change(name: str, words: str, why: str) -> Figure:
    return Figure(
        f"{name}_change",
        f"{name}_change_deg",
        words,
        WHEEL_ANGLE,
        why=why,
        more_is_plus=True,
        text=_told(f"{name}_change", WHEEL_ANGLE),
    )


def _of_wheel(side: str, word: str) -> Figure:
    return Figure(
        f"{side}_{word}",
        f"{word}_{side}_deg",
        f"{word}, {side} wheel",
        WHEEL_ANGLE,
        why=_READ,
        more_is_plus=True,
        text=_told(f"{side}_{word}", WHEEL_ANGLE),
    )


def _off(side: str, word: str) -> Figure:
    return Figure(
        f"{side}_{word}_off",
        f"{word}_off_{side}_deg",
        f"{word} to be changed, {side} wheel",
        WHEEL_ANGLE,
        why=_NO_WISH,
        more_is_plus=True,
        text=_told(f"{side}_{word}_off", WHEEL_ANGLE),
    )


def _missing(side: str) -> Figure:
    return Figure(
        f"{side}_camber_missing",
        f"camber_missing_{side}_deg",
        f"camber to be changed beyond the adjusters, {side} wheel",
        WHEEL_ANGLE,
        why=_NOT_JUDGED,
        more_is_plus=True,
    )


def _of_arm(side: str, name: str, key: str, words: str, *, kind: Kind, why: str) -> Figure:
    return Figure(
        f"{side}_arm_{name}",
        key.format(side),
        f"what is ordered adds to {words}, {side} wheel",
        kind,
        why=why,
        more_is_plus=True,
    )


def _arm(side: str) -> Figure:
    name = f"{side}_arm_longer"
    return Figure(
        name,
        f"arm_longer_{side}_mm",
        f"arm to order, {side}, longer by",
        LENGTH,
        why=_NO_ARM,
        text=lambda stand, units: signed(arm_length(getattr(stand, name), units)),
    )


WHEEL = by_name(
    Figure(
        "ride_height_change",
        "ride_height_change_mm",
        "ride height against as weighed",
        LENGTH,
        why="no settled position was found",
        more_is_plus=True,
    ),
    _change("camber", "camber against as weighed", NO_LINKAGE),
    Figure(
        "camber_band",
        "camber_within_deg",
        "camber to be changed ± by the tape",
        WHEEL_ANGLE,
        why=f"{NO_LINKAGE}, or {ROUGH}",
    ),
    *(
        Figure(
            f"{word}_band",
            f"{word}_within_deg",
            f"{word} to be changed ± by the tape",
            WHEEL_ANGLE,
            why=f"{why}, or {ROUGH}",
        )
        for word, why in (("caster", _NO_CASTER), ("toe", _NO_ROD))
    ),
    _change("caster", "caster against as weighed, by its linkage", _NO_CASTER),
    Figure(
        "pitch",
        "pitch_deg",
        "body nose up against as weighed, in the caster",
        WHEEL_ANGLE,
        why="no settled position was found",
        more_is_plus=True,
    ),
    _change("toe", "toe of each wheel against as weighed", _NO_ROD),
    Figure(
        "track_change",
        "track_change_mm",
        "track against as weighed",
        LENGTH,
        why=NO_LINKAGE,
        more_is_plus=True,
    ),
    Figure(
        "roll_centre_height", "roll_centre_height_mm", "roll centre height", LENGTH, why=NO_LINKAGE
    ),
    Figure("scrub_radius", "scrub_radius_mm", "scrub radius", LENGTH, why=NO_LINKAGE),
    Figure(
        "bump_steer",
        "toe_in_per_10_mm_bump_deg",
        "toe-in that 10 mm of bump add",
        FINE_WHEEL_ANGLE,
        iso="bump steer",
        why=_NO_ROD,
        more_is_plus=True,
        text=_told("bump_steer", FINE_WHEEL_ANGLE),
    ),
    Figure(
        "bump_steer_band",
        "toe_in_per_10_mm_bump_within_deg",
        "toe-in that 10 mm of bump add ± by the tape",
        FINE_WHEEL_ANGLE,
        why=f"{_NO_ROD}, or {ROUGH}",
    ),
    *(_of_wheel(side, word) for word in ANGLES for side in SIDES),
    *(
        Figure(
            f"wanted_{word}",
            f"wanted_{word}_deg",
            f"wanted {word}",
            WHEEL_ANGLE,
            why=_READ,
            more_is_plus=True,
            text=_told(f"wanted_{word}", WHEEL_ANGLE),
        )
        for word in ANGLES
    ),
    *(_off(side, word) for word in ANGLES for side in SIDES),
    Figure(
        "adjusters",
        "camber_adjusters_deg",
        "adjusters take, ±",
        FINE_WHEEL_ANGLE,
        why=_NO_ADJUSTERS,
    ),
    *(_missing(side) for side in SIDES),
    Figure(
        "caster_missing",
        "caster_missing_deg",
        "caster to be changed beyond the adjusters",
        WHEEL_ANGLE,
        why="caster, caster_adjustment, upper_axis or lower_axis is not given",
        more_is_plus=True,
        text=_told("caster_missing", WHEEL_ANGLE),
    ),
    *(_arm(side) for side in SIDES),
    Figure(
        "arm_track", "arm_track_change_mm", "what is ordered adds to the track", LENGTH, why=_NO_ARM
    ),
    Figure(
        "arm_roll_centre",
        "arm_roll_centre_change_mm",
        "what is ordered adds to the roll centre height",
        LENGTH,
        why=_NO_ARM,
    ),
    *(
        _of_arm(side, "scrub", "arm_scrub_change_{}_mm", "scrub radius", kind=LENGTH, why=_NO_ARM)
        for side in SIDES
    ),
    *(
        _of_arm(side, "toe", "arm_toe_change_{}_deg", "toe", kind=WHEEL_ANGLE, why=_NO_ARM_TOE)
        for side in SIDES
    ),
)


def _verdict(words: str, name: str) -> Figure:
    def told(stand: WheelStand, _: ReaderUnits) -> str:
        verdict: AngleVerdict | None = getattr(stand, name)
        return NO_FIGURE if verdict is None else verdict.value

    return Figure(name, "", words, RATIO, text=told)


CURVE = by_name(
    WHEEL["ride_height_change"],
    Figure("camber", "camber_deg", "camber", WHEEL_ANGLE, more_is_plus=True),
    Figure("caster", "caster_deg", "caster", WHEEL_ANGLE, why=_NO_CASTER, more_is_plus=True),
    Figure("toe", "toe_deg", "toe", WHEEL_ANGLE, why=_NO_ROD, more_is_plus=True),
    *(WHEEL[name] for name in ("track_change", "roll_centre_height", "scrub_radius")),
)
"""Of a point of a camber curve, the mean of both wheels."""

ONE_ARM = by_name(
    *(
        Figure(
            f"{side}_longer",
            f"arm_longer_{side}_mm",
            f"one arm for all, {side}, longer by",
            LENGTH,
            why="its adjusters serve all states",
        )
        for side in SIDES
    ),
    Figure("within", "camber_within_deg", "camber then within, of what is wanted", WHEEL_ANGLE),
)


WHEELS_LISTED = (
    _verdict("camber", "verdict"),
    _verdict("caster", "caster_verdict"),
    _verdict("toe", "toe_verdict"),
    *(
        WHEEL[name]
        for name in (
            *("ride_height_change", "left_camber", "right_camber", "wanted_camber"),
            *("camber_change", "camber_band", "adjusters", "left_camber_missing"),
            *("right_camber_missing", "left_arm_longer", "right_arm_longer"),
            *("left_arm_toe", "right_arm_toe", "left_arm_scrub", "right_arm_scrub"),
            *("left_caster", "right_caster", "wanted_caster", "caster_change", "pitch"),
            *(
                "caster_band",
                "caster_missing",
                "left_toe",
                "right_toe",
                "wanted_toe",
                "toe_change",
                "toe_band",
            ),
            *("bump_steer", "bump_steer_band"),
            *("track_change", "roll_centre_height", "scrub_radius"),
        )
    ),
)
"""Of a table, in its order."""

DAMPER = by_name(
    Figure("open_length", "open_length_mm", "open", LENGTH),
    Figure("closed_length", "closed_length_mm", "closed", LENGTH),
    Figure("length", "length_mm", "length at rest", LENGTH, why="no settled position was found"),
    Figure(
        "stroke_used",
        "stroke_share",
        "share of its stroke that it is open at rest",
        RATIO,
        why="no settled position was found",
    ),
    Figure(
        "bump_length", "bump_length_mm", "length where the bump stops begin", LENGTH, why=_NO_BUMP
    ),
    Figure("droop_length", "droop_length_mm", "length at full droop", LENGTH, why=_NO_DROOP),
    Figure(
        "twist_bump_length",
        "twist_bump_length_mm",
        "shorter one at full twist",
        LENGTH,
        why=_ALONE,
    ),
    Figure(
        "twist_droop_length",
        "twist_droop_length_mm",
        "longer one at full twist",
        LENGTH,
        why=_ALONE,
    ),
    Figure("left_at_bump", "left_at_bump_mm", "left to close at bump", LENGTH, why=_NO_BUMP),
    Figure("left_at_droop", "left_at_droop_mm", "left to open at droop", LENGTH, why=_NO_DROOP),
    Figure("band", "left_within_mm", "left ± by the tape", LENGTH),
    Figure("needed_open", "needed_open_length_mm", "open needed, at least", LENGTH, why=_NO_DROOP),
    Figure(
        "needed_closed", "needed_closed_length_mm", "closed needed, at most", LENGTH, why=_NO_BUMP
    ),
)


def damper_verdict(reach: DamperReach) -> str:
    """Whether it reaches, in a word or two."""
    if {DamperFinding.CLOSES, DamperFinding.OPENS} & set(reach.findings):
        return "does not reach"
    if reach.findings:
        return "little left"
    known = math.isfinite(reach.left_at_bump) and math.isfinite(reach.left_at_droop)
    return "reaches" if known else "not judged"


DAMPERS_LISTED = (
    Figure("findings", "", "damper", RATIO, text=lambda reach, _: damper_verdict(reach)),
    *DAMPER.values(),
)
"""Of a table, in its order."""

_NO_LEAF = "another spring is on then, or the shackle does not reach so far"
LEAF = by_name(
    Figure("arch", "arch_mm", "arch of the main leaf", LENGTH, why=_NO_LEAF),
    Figure(
        "shackle_angle",
        "shackle_angle_deg",
        "shackle from square to the frame",
        WHEEL_ANGLE,
        why=_NO_LEAF,
        more_is_plus=True,
    ),
    Figure("angle_band", "shackle_angle_within_deg", "shackle ±", WHEEL_ANGLE, why=_NO_LEAF),
    Figure("eye_distance", "eye_distance_mm", "eye to eye", LENGTH, why=_NO_LEAF),
    Figure(
        "axle_shift",
        "axle_shift_mm",
        "axle away from the fixed eye",
        LENGTH,
        why=_NO_LEAF,
        more_is_plus=True,
    ),
)


def _signs(stand: LeafStand, _: ReaderUnits) -> str:
    return NO_FIGURE if stand.sign is None else stand.sign.value


def _checked(stand: LeafStand, _: ReaderUnits) -> str:
    return NO_FIGURE if stand.check.verdict is None else stand.check.verdict.value


LEAVES_LISTED = (
    Figure("sign", "", "the pack looks", RATIO, text=_signs),
    Figure("check", "", "spring check", RATIO, text=_checked),
    *LEAF.values(),
)
"""Of a table, in its order."""
