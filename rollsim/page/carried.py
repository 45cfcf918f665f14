"""What an owner's page says of a load: the same bend before and now, in plain words."""

import math
from dataclasses import dataclass

from rollsim import mass
from rollsim.drawing import Pose, Standing, WaterfallStep, body_pose, standing
from rollsim.mass import RatingCheck, State
from rollsim.page.answers import droop_is_assumed
from rollsim.reader_units import NO_FIGURE, ReaderUnits, figure
from rollsim.roll import StateResult, results
from rollsim.roll.contributions import Part, Stage, contributions, stages
from rollsim.scenario import Scenario
from rollsim.sentences import sentence
from rollsim.sizing.inverse import worse_turn
from rollsim.tell import ratings
from rollsim.vehicle import Place

LAST_STANDING = 0.9998  # of the tipping point
SAME_LEAN = 1e-5  # rad: less apart counts as one figure
PLACES = {
    Place.ROOF: "on the roof",
    Place.TRAY: "in the tray",
    Place.CABIN: "inside",
    Place.TOW_BAR: "on the tow bar",
}
RATINGS = {
    "front_axle": "front axle",
    "rear_axle": "rear axle",
    "gross_vehicle_mass": "whole vehicle",
    "roof_load": "roof, on the road",
    "roof_load_off_road": "roof, off the road",
    "roof_load_parked": "roof, parked",
}
PARTS = {
    Part.ROOF_LOADS: "what is on the roof",
    Part.OTHER_LOADS: "everything else on board",
    Part.SUSPENSION_LIFT: "the lift",
    Part.BODY_LIFT: "the lift of the body on its frame",
    Part.TYRES: "the other tyre size",
    Part.WHEEL_OFFSET: "the wheels set further out or in",
    Part.SPRINGS: "the parts changed underneath",
    Part.FRONT_BAR: "the other front anti-roll bar",
}
OTHER_CAUSES = (
    "Wallowing, nodding, being pushed about by gusts or standing crooked have other causes too: "
    "worn shock absorbers, worn rubber joints, soft or mixed tyres, wrong tyre pressure, more "
    "weight on one side. Have those looked at first; nothing on this page shows them."
)


@dataclass(frozen=True, slots=True)
class Carried:
    """One load, before (unladen) and now, in one bend of a lateral acceleration [m/s²].

    The stages lead from one to the other, one thing at a time, leaning at `lateral`. With an
    off-centre load the bend is the turn that leans it more.
    """

    scenario: Scenario
    case: State
    lateral: float
    before: StateResult
    now: StateResult
    stages: tuple[Stage, ...]
    to_the_right: bool

    @property
    def nothing_on(self) -> bool:
        """Nothing has been put on or altered yet."""
        return len(self.stages) == 1

    @property
    def lean_before(self) -> float:
        """Unladen in this bend [rad]; NaN where it tips."""
        return self.stages[0].roll_angles[0]

    @property
    def lean_now(self) -> float:
        """With the load in this bend [rad]; NaN where it tips."""
        return self.stages[-1].roll_angles[0]


def ends(scenario: Scenario, case: str) -> tuple[StateResult, StateResult]:
    """Unladen and the load, whatever the bend: what is worked out once."""
    found = {r.name: r for r in results(scenario.job, (), only=("unladen", case))}
    return found["unladen"], found[case]


def carried(
    scenario: Scenario,
    case: str,
    lateral: float,
    *,
    known: tuple[StateResult, StateResult] | None = None,
) -> Carried:
    """Compute a load, before and now, in a bend of a lateral acceleration [m/s²].

    `case` is the name of the load case; `known` comes from `ends`, where it is at hand.
    """
    job = scenario.job
    state = mass.named(job, case)
    before, now = known or ends(scenario, case)
    turned = False
    model = mass.model(job, state)
    if model.is_lopsided:
        turned = bool(worse_turn(model, lateral).right[0])
    last = [LAST_STANDING * r.tip_over_threshold for r in (before, now)]
    also = tuple(a for a in last if math.isfinite(a) and a < lateral)
    way = stages(job, case, (lateral, 0.0, *also), mirrored=turned)
    return Carried(scenario, state, lateral, before, now, way, turned)


def silhouettes(c: Carried, roof_height: float) -> tuple[Standing, Standing] | None:
    """Before and now as they are drawn, as in a left bend; where one tips, as it last stands.

    `roof_height` is as weighed [m]. None where no equilibrium is known.
    """
    job = mass.mirrored(c.scenario.job) if c.to_the_right else c.scenario.job
    states = {state.name: state for state in mass.states(job)}
    drawn = []
    for name, state, stage in (
        ("before", states[mass.UNLADEN], c.stages[0]),
        ("now", states[c.case.name], c.stages[-1]),
    ):
        tips = math.isnan(stage.roll_angles[0])
        points = [p for p in stage.points if p.lateral_acceleration > 0.0]
        if not points:
            return None
        where = {"name": name, "roof_height": roof_height, "tips": tips}
        drawn.append(standing(job, state, points[-1], **where))
    return drawn[0], drawn[1]


def at_rest(c: Carried) -> Pose:
    """Where the empty body is before it turns."""
    job = mass.mirrored(c.scenario.job) if c.to_the_right else c.scenario.job
    return body_pose(job, mass.states(job)[0], c.stages[0].points[0])


def tray_words(c: Carried) -> str:
    """The tray's lean in the bend, where the frame twists and it is another than the cab's."""
    points = (p for p in c.stages[-1].points if p.lateral_acceleration == c.lateral)
    tray = next((degrees(p.tray_roll_angle) for p in points), NO_FIGURE)
    if tray in (NO_FIGURE, degrees(c.lean_now)):
        return ""
    return f"The frame twists: the cab leans {degrees(c.lean_now)}, the tray {tray}."


def headline(c: Carried) -> str:
    """The answer in one sentence."""
    before, now, unknown = c.lean_before, c.lean_now, _or_not_known(c.now)
    if c.nothing_on:
        if math.isnan(now):
            return f"In this bend it tips over with nothing on it{unknown}."
        return f"Nothing is on it yet: it leans {degrees(now)} in this bend."
    if math.isnan(now) and math.isnan(before):
        return f"In this bend it tips over, empty and as it is loaded now{unknown}."
    if math.isnan(now):
        return f"In this bend it tips over as it is loaded now{unknown}."
    if math.isnan(before):
        return f"In this bend it leans {degrees(now)} now; empty it tips over{unknown}."
    was, is_now = apart(before, now)
    return f"The same bend: {was} before, {is_now} now."


def tipping_words(c: Carried) -> str:
    """What the picture shows where one of the two tips in this bend; empty where none does."""
    now, before = math.isnan(c.lean_now), math.isnan(c.lean_before)
    if not (now or before):
        return ""
    who = "it tips over, empty and as it is now" if now and before else "it tips over as it is now"
    if not now:
        who = "it tips over empty"
    return f"In this bend {who}: the picture shows how it last stands before that."


def papers_words(c: Carried, units: ReaderUnits) -> str:
    """What the ratings leave, for the first line; empty where one is exceeded [kg or lb]."""
    if not c.now.ratings:
        return (
            "No limits from the papers are typed in yet, so nothing here tells whether it is too "
            "heavy: type them in under Correct limits, weights and sizes."
        )
    if any(check.over for check in c.now.ratings):
        return ""
    left = "; ".join(
        f"{RATINGS[check.name]} {ratings.left_words(check, units)}" for check in c.now.ratings
    )
    return f"Room left under the limits in the papers: {left}. {not_checked(c)}".rstrip()


def not_checked(c: Carried) -> str:
    """Which weights off the papers are not given; empty where all that count are."""
    return sentence(ratings.not_checked_words(c.scenario.job, RATINGS))


def _or_not_known(result: StateResult) -> str:
    return "" if math.isfinite(result.tip_over_threshold) else ", or no figure was found"


def degrees(angle: float) -> str:
    """An angle [rad] as an owner reads it."""
    return f"{figure(angle, 'deg', 1)}°"


def apart(one: float, other: float) -> tuple[str, str]:
    """Two angles [rad] side by side, with the decimals it takes to tell them apart."""
    decimals = decimals_apart(one, other)
    return tuple(f"{figure(angle, 'deg', decimals)}°" for angle in (one, other))


def decimals_apart(one: float, other: float) -> int:
    """One decimal, or more where rounding would hide which of two angles [rad] is greater."""
    for decimals in (1, 2):
        if figure(one, "deg", decimals) != figure(other, "deg", decimals):
            return decimals
    return 1 if abs(one - other) < SAME_LEAN else 3


def share_rows(c: Carried) -> tuple[tuple[str, str, str], ...]:
    """What is put on, what it adds to the lean, and the lean then; empty where it has tipped."""
    parts = contributions(c.stages)
    leans = [stage.roll_angles[0] for stage in c.stages]
    if not parts or not all(math.isfinite(lean) for lean in leans):
        return ()
    rows = [("empty, as it was built", "", closely(leans[0]))]
    rows += [
        (PARTS[part.step.part], _signed(part.roll_angles[0]), closely(lean))
        for part, lean in zip(parts, leans[1:], strict=True)
    ]
    whole = leans[-1] - leans[0]
    return (*rows, ("all of it", _signed(whole), closely(leans[-1])))


def share_steps(c: Carried) -> tuple[WaterfallStep, ...]:
    """The same for a picture: the lean to start from and what is added [rad]."""
    return (
        WaterfallStep("empty, as it was built", c.lean_before),
        *(
            WaterfallStep(PARTS[part.step.part], part.roll_angles[0])
            for part in contributions(c.stages)
        ),
    )


SHARE_HEADS = ("put on one after the other", "adds", "lean in this bend")
SHARE_NOTE = (
    "In another order each would add a little more or less; together they add the same. Rounded."
)


def lift_words(c: Carried) -> str:
    """Why a lift may seem to take lean away; empty where it does not."""
    for part, was, now in zip(contributions(c.stages), c.stages, c.stages[1:], strict=False):
        less = part.step.part is Part.SUSPENSION_LIFT and part.roll_angles[0] < 0.0
        if less and first_lift(now) < first_lift(was):
            return (
                "The lift is no cure for lean: it uses up the way down that the "
                f"wheels have{_if_assumed(c)}, which holds the body here and lifts the inner wheel "
                "sooner."
            )
    return ""


def _if_assumed(c: Carried) -> str:
    return " (assumed here, to be measured)" if droop_is_assumed(c.scenario) else ""


def closely(angle: float) -> str:
    """An angle [rad] that is set beside others."""
    return f"{figure(angle, 'deg')}°"


def _signed(angle: float) -> str:
    text = closely(angle)
    return text if text.startswith(("-", "0.00")) else f"+{text}"


def first_lift(stage: Stage) -> float:
    """Lateral acceleration at which the first wheel lifts, or it tips without that [m/s²]."""
    found = (stage.inner_front_lift, stage.inner_rear_lift, stage.tip_over_threshold)
    known = [value for value in found if math.isfinite(value)]
    return min(known) if math.isfinite(stage.tip_over_threshold) else math.nan


def over_words(c: Carried, units: ReaderUnits) -> tuple[str, ...]:
    """Every rating that is exceeded, a line each."""
    return tuple(
        ratings.over_words(f"{RATINGS[check.name]}:", check.load, check.limit, units)
        for check in c.now.ratings
        if check.over
    )


def rating_words(check: RatingCheck, units: ReaderUnits) -> str:
    """One rating and what is on it [kg or lb]."""
    unit = units.mass
    if check.over:
        on, allowed, more = ratings.over_figures(check.load, check.limit, unit)
        return f"{RATINGS[check.name]}: {on} of {allowed} {unit}, {more} {unit} OVER"
    on, allowed = figure(check.load, unit), figure(check.limit, unit)
    return (
        f"{RATINGS[check.name]}: {on} of {allowed} {unit}, {ratings.left_words(check, units)} left"
    )
