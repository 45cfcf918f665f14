"""What has to be said beside the figures, in plain words, once for command, page and sheet."""

from collections.abc import Callable

from rollsim.vehicle import Axle, Change

BEFORE_USE = "Before you rely on these figures"
"""What stands above the cautions, wherever they stand together."""
STEADY_BEND = (
    "Figures are for a steady, level, untripped bend: a kerb, a soft edge, a swerve, a gust or a "
    "shifting load tips the vehicle sooner."
)
LAW = (
    "Local codes and a licensed engineer decide what may be fitted and driven; these figures do "
    "not."
)

UP_HIGH = (
    "Mass up high raises the risk of rollover; no figure here is a safe speed or a safe slope."
)

NO_SAFETY = (
    "The bar cuts lean; it is no safety against rollover. The computed tipping point may rise or "
    "fall by some hundredths of a g: do not count on it."
)
EMPTY_AND_WET = (
    "Empty and in the wet the rear lets go earlier (oversteer): drive the bar in the softest of "
    "its accepted holes first, and go to the one named only if it still leans too much."
)
STABILITY_CONTROL = (
    "Nobody knows how the stability control copes with stiffer bars: it was calibrated without "
    "them."
)
NO_RATING = (
    "Stiffer springs, a bar or a lift raise no rating: axle, gross and roof limits stay as they "
    "are."
)
NOT_COUNTED = (
    "Left out: roll steer, of the way into the bend all but how far a swerve throws the body, "
    "camber."
)
FRAME_LEFT_OUT = "Twist of a frame whose stiffness is not given is left out."
"""Without a bar; `FRAME_TWISTS` says it with one."""
FRAME_TWISTS = (
    "A ladder frame twists: where its stiffness is not given, 2 to 27 % of a rear bar may not be "
    "felt in the cab."
)
IN_SIGHT = (UP_HIGH, EMPTY_AND_WET, STABILITY_CONTROL, STEADY_BEND, LAW)
"""Those that weigh most: a page that folds the others away leaves them in sight."""

SPRING_CAUTIONS: tuple[str, ...] = (
    "Verdicts are common practice, not a rule: they say whether the springs suit the weight at "
    "rest, nothing about handling, braking or strength.",
    "A stiffer spring raises no rating. Local codes and a licensed engineer decide what may be "
    "fitted and carried.",
)

ROLL_CAUTIONS: tuple[str, ...] = (
    UP_HIGH,
    STEADY_BEND,
    NO_RATING,
    NOT_COUNTED,
    FRAME_LEFT_OUT,
    LAW,
)

BAR_CAUTIONS: tuple[str, ...] = (
    UP_HIGH,
    NO_SAFETY,
    NO_RATING,
    EMPTY_AND_WET,
    STEADY_BEND,
    STABILITY_CONTROL,
    "Off road the bar costs flex (articulation): it ties the two wheels of the axle together.",
    FRAME_TWISTS,
    "Strength holds for this steel, heat-treated as stated, with unwelded ends. Welds, holes in "
    "the arms and bends gone oval are not counted.",
    "Shear of the bar is left out: a real bar is about 0.1 % (solid) to 0.4 % (tube) softer.",
    "Change of understeer is from load transfer only.",
    LAW,
)

STIFFER_FRONT = (
    "A stiffer front bar makes the front let go sooner: the vehicle understeers more, in the wet "
    "first."
)

AFTER_LIFT: tuple[str, ...] = (
    "Brake hoses: long enough at full droop, wheels on full lock.",
    "Load-sensing brake valve: its rod set to the new height.",
    "Driveline angles: universal joints and drive shafts, at full droop too.",
    "Headlamps: aim them again.",
    "Stability control: nobody calibrated it for this height; ask who may.",
    "Wheel alignment: caster and camber moved with the height.",
)
"""What to check after a lift."""

HEIGHT_CHANGE = 0.050  # m; published vehicle standards
TRAVEL_SHARE = 1.0 / 3.0  # of the travel from stop to stop; the same
_ROUNDING = 1e-9  # m: a change that equals the bound is not beyond it


def is_lifted(change: Change) -> bool:
    """Whether lift, body lift or tyres make the vehicle stand higher, or lower, than before."""
    lifts = (change.suspension_lift_front, change.suspension_lift_rear)
    return any((*lifts, change.body_lift, change.tyre_radius))


def _in_mm(length: float) -> str:
    return f"{length * 1e3:.3g} mm"


def height_note(
    axle: Axle, change: Change, name: str, *, words: Callable[[float], str] = _in_mm
) -> str:
    """Where a change of ride height is beyond what codes commonly let pass without a certificate.

    Empty where it is not; local codes decide in either case. `words` writes a length [m] with the
    reader's unit. Without both stops the travel is not judged.

    Notes
    -----
    50 mm of ride height, by suspension, body and tyres together, or a third of the travel from
    stop to stop lost to the suspension lift, are the bounds of [vsb-14], and [vsi-8] has the same.

    Examples
    --------
    >>> from rollsim.springs import LinearSpring
    >>> from rollsim.vehicle import Suspension, Tyre
    >>> parts = (1.55, 1.0, 190.0, 0.37, 0.47, 0.5, LinearSpring(3.6e4), Tyre(2.5e5))
    >>> height_note(Axle(Suspension.SOLID_AXLE, *parts), Change(suspension_lift_rear=0.05), "rear")
    ''
    """
    lift = change.suspension_lift_front if name == "front" else change.suspension_lift_rear
    whole = lift + change.body_lift + change.tyre_radius
    reasons = []
    if abs(whole) > HEIGHT_CHANGE + _ROUNDING:
        reasons.append(f"the ride height changes by {words(whole)}, over {words(HEIGHT_CHANGE)}")
    if axle.bump_stop is not None and axle.rebound_limit is not None:
        stops = (axle.bump_stop, axle.rebound_limit)
        travel = sum(stop.gap / stop.motion_ratio for stop in stops)
        if abs(lift) > TRAVEL_SHARE * travel + _ROUNDING:
            reasons.append(
                f"the lift of {words(lift)} is over a third of the {words(travel)} of travel from "
                "stop to stop"
            )
    if not reasons:
        return ""
    return (
        f"{name}: {' and '.join(reasons)}; codes commonly ask for an approved person's "
        "certificate there: local codes decide, and some ask sooner"
    )
