"""What is known of the wheels of an axle in one state."""

import math
from dataclasses import dataclass
from enum import Enum

ANGLES, SIDES = ("camber", "caster", "toe"), ("left", "right")
AS_WANTED = math.radians(0.1) + 1e-9  # what a rack tells apart: common practice, no source


class AngleVerdict(Enum):
    """Whether an angle can be set as wanted, the worst last."""

    TAKEN = "taken as wanted"
    AS_WANTED = "as wanted"
    ADJUSTERS = "the adjusters take it"
    UNKNOWN = "adjusters not given"
    ROUGH = "the tape is too rough"
    CLOSE = "too close to tell"
    PARTS = "beyond the adjusters"


@dataclass(frozen=True, slots=True)
class WheelStand:
    """The wheels of one axle in one state; NaN marks what has no value.

    Parameters
    ----------
    ride_height_change : float
        Of the body over the axle, from as weighed, up positive [m].
    camber_change, caster_change, toe_change : float
        Of each wheel, from as weighed, by its linkage [rad].
    pitch : float
        Of the body, nose up, from as weighed: the caster changes by it too [rad].
    camber_band, caster_band, toe_band : float
        Half the 90 % band, by the tape, of what the wheels lack: of the angle's change since the
        height that what is wanted was taken at [rad].
    too_rough : tuple of str
        Names of figures of caster, toe and bump steer that are smaller than what the tape leaves
        open: they are not told.
    track_change : float
        Of both contact patches together, from as weighed [m].
    roll_centre_height : float
        Above ground [m].
    scrub_radius : float
        Of the patch outside the steering axis, as the tape has it [m].
    bump_steer, bump_steer_band : float
        Toe-in that 10 mm of bump add to each wheel, and half its 90 % band by the tape [rad].
    left_camber, right_camber, left_caster, right_caster, left_toe, right_toe : float
        As read, with what this height and the body's pitch change [rad].
    wanted_camber, wanted_caster, wanted_toe : float
        Of each wheel [rad].
    as_unladen : tuple of str
        Of which angles that is how they stood unladen, as the file does not say.
    left_camber_off, right_camber_off, left_caster_off, right_caster_off : float
        What each wheel lacks of what is wanted [rad].
    left_toe_off, right_toe_off : float
        The same of the toe [rad].
    adjusters : float
        What they take of a camber at this height, to either side [rad].
    left_camber_missing, right_camber_missing : float
        What is left of each beyond them [rad].
    caster_missing : float
        The same of the caster, of the worse wheel [rad].
    left_arm_longer, right_arm_longer : float
        The arm that takes what is missing there, longer at the ball joint [m]; NaN where none is
        to be ordered.
    arm_is_upper : bool
        Those arms are upper ones.
    arm_track : float
        What those arms add to the track [m].
    arm_roll_centre : float
        What they add to the roll centre's height, the mean of both sides [m].
    left_arm_toe, right_arm_toe : float
        What each does to its wheel's toe until that is set anew [rad]; NaN without a tie rod.
    left_arm_scrub, right_arm_scrub : float
        What each adds to its wheel's scrub radius [m].
    left_verdict, right_verdict : AngleVerdict or None
        Of the camber; None where none is known.
    caster_verdict, toe_verdict : AngleVerdict or None
        Of the worse wheel; toe has adjusters that are not asked for.
    """

    ride_height_change: float
    camber_change: float
    caster_change: float
    toe_change: float
    pitch: float
    camber_band: float
    caster_band: float
    toe_band: float
    too_rough: tuple[str, ...]
    track_change: float
    roll_centre_height: float
    scrub_radius: float
    bump_steer: float
    bump_steer_band: float
    left_camber: float
    right_camber: float
    left_caster: float
    right_caster: float
    left_toe: float
    right_toe: float
    wanted_camber: float
    wanted_caster: float
    wanted_toe: float
    as_unladen: tuple[str, ...]
    left_camber_off: float
    right_camber_off: float
    left_caster_off: float
    right_caster_off: float
    left_toe_off: float
    right_toe_off: float
    adjusters: float
    left_camber_missing: float
    right_camber_missing: float
    caster_missing: float
    left_arm_longer: float
    right_arm_longer: float
    arm_is_upper: bool
    arm_track: float
    arm_roll_centre: float
    left_arm_toe: float
    right_arm_toe: float
    left_arm_scrub: float
    right_arm_scrub: float
    left_verdict: AngleVerdict | None
    right_verdict: AngleVerdict | None
    caster_verdict: AngleVerdict | None
    toe_verdict: AngleVerdict | None

    @property
    def verdict(self) -> AngleVerdict | None:
        """Of the camber, of the worse wheel [-]."""
        both = (self.left_verdict, self.right_verdict)
        return None if None in both else max(both, key=list(AngleVerdict).index)

    @property
    def wants_parts(self) -> bool:
        """Camber or caster is beyond the adjusters [-]."""
        return AngleVerdict.PARTS in (self.verdict, self.caster_verdict)


def beyond(off: float, reach: float) -> float:
    """What is left of a change beyond what adjusters take.

    Parameters
    ----------
    off : float
        To be changed, with its sign [rad].
    reach : float
        What adjusters take, to either side [rad].

    Returns
    -------
    float
        With its sign [rad]; NaN where either is not known.
    """
    if math.isnan(off) or math.isnan(reach):
        return math.nan
    return math.copysign(abs(off) - reach, off) if abs(off) > reach else 0.0
