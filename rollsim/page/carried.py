"""What an owner's page says of a load: the same bend before and now, in plain words."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim import mass
from rollsim.drawing import WaterfallStep, roof_height
from rollsim.equilibrium import settle
from rollsim.mass import RatingCheck, State
from rollsim.reader_units import ReaderUnits, figure
from rollsim.roll import TURN, StateResult, results, thresholds
from rollsim.roll.contributions import Part, Stage, contributions, stages
from rollsim.scenario import Scenario
from rollsim.sizing.inverse import Goal, Inverse, Kept, Outcome, greatest_load
from rollsim.sizing.stiffness import gradients
from rollsim.sizing.variants import loaded
from rollsim.typical import BODIES, Where, spot
from rollsim.vehicle import Job, Load, Place

LEANS = 1e-4  # rad: less at rest counts as upright
NEW_ROOF_LOAD = 0.2  # m, middle of a load above the roof where nothing lies there yet
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
    Part.SPRINGS: "the parts changed underneath",
}
OTHER_CAUSES = (
    "Wallowing, nodding, being pushed about by gusts or standing crooked have other causes too: "
    "worn shock absorbers, worn rubber joints, soft or mixed tyres, wrong tyre pressure, more "
    "weight on one side. Have those looked at first; nothing on this page shows them."
)


@dataclass(frozen=True, slots=True)
class Carried:
    """One load, before and now, in one bend.

    Parameters
    ----------
    scenario : Scenario
        As read.
    case : State
        The load shown.
    lateral : float
        Lateral acceleration of the bend [m/s²].
    before, now : StateResult
        Unladen and with the load.
    stages : tuple of Stage
        From one to the other, one thing at a time, leaning at `lateral`.
    to_the_right : bool
        The bend goes to the right, the harder side of an off-centre load.
    """

    scenario: Scenario
    case: State
    lateral: float
    before: StateResult
    now: StateResult
    stages: tuple[Stage, ...]
    to_the_right: bool

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
    """Compute a load, before and now.

    Parameters
    ----------
    scenario : Scenario
        As read.
    case : str
        Name of the load case.
    lateral : float
        Lateral acceleration of the bend [m/s²].
    known : tuple of StateResult or None
        From `ends`, where it is at hand.

    Returns
    -------
    Carried
        In SI.
    """
    job = scenario.job
    state = next(state for state in mass.states(job) if state.name == case)
    before, now = known or ends(scenario, case)
    turned = now.static_lean < -LEANS
    way = stages(job, case, (lateral,), mirrored=turned)
    return Carried(scenario, state, lateral, before, now, way, turned)


def headline(c: Carried) -> str:
    """The answer in one sentence."""
    before, now = c.lean_before, c.lean_now
    if math.isnan(now) and math.isnan(before):
        return f"In this bend it tips over, empty and as it is loaded now{_or_not_known(c.now)}."
    if math.isnan(now):
        return f"In this bend it tips over as it is loaded now{_or_not_known(c.now)}."
    if math.isnan(before):
        return (
            f"In this bend it leans {degrees(now)} now; empty it tips over{_or_not_known(c.now)}."
        )
    return f"The same bend: {degrees(before)} before, {degrees(now)} now."


def _or_not_known(result: StateResult) -> str:
    return "" if math.isfinite(result.tip_over_threshold) else ", or no figure was found"


def degrees(angle: float) -> str:
    """An angle [rad] as an owner reads it."""
    return f"{figure(angle, 'deg', 1)}°"


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
                "The lift takes no lean away: it leaves the wheels less way down, which holds the "
                "body here and lifts the inner wheel sooner."
            )
    return ""


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


def nearer_words(c: Carried) -> str:
    """How much nearer a wheel is to lifting."""
    before, now = first_lift(c.stages[0]), first_lift(c.stages[-1])
    if not (math.isfinite(before) and math.isfinite(now)):
        return "How near a wheel is to lifting could not be worked out for this vehicle."
    change = 1.0 - now / before
    moved = f"{abs(change):.0%} {'sooner' if change >= 0.0 else 'later'} than before"
    first = (
        f"On a smooth, level road the first wheel comes off the ground at {figure(before, 'g')} g "
        f"before and at {figure(now, 'g')} g now: {moved}."
    )
    used, was = c.lateral / now, c.lateral / before
    if used >= 1.0:
        return f"{first} In this bend a wheel is off the ground now."
    return f"{first} This bend takes {was:.0%} of the way there before and {used:.0%} now.".replace(
        "%", " %"
    )


def over_words(c: Carried, units: ReaderUnits) -> tuple[str, ...]:
    """Every rating that is exceeded, a line each."""
    return tuple(
        f"{RATINGS[check.name]}: {_with_unit(check.load, units)}, the papers allow "
        f"{_with_unit(check.limit, units)}: {_with_unit(check.load - check.limit, units)} too much"
        for check in c.now.ratings
        if check.over
    )


def rating_words(check: RatingCheck, units: ReaderUnits) -> str:
    """One rating and what is on it [kg or lb]."""
    unit = units.mass
    left = check.limit - check.load
    end = f"{figure(abs(left), unit)} {unit} {'OVER' if check.over else 'left'}"
    return (
        f"{RATINGS[check.name]}: {figure(check.load, unit)} of {figure(check.limit, unit)} {unit}, "
        f"{end}"
    )


def _with_unit(kilograms: float, units: ReaderUnits) -> str:
    return f"{figure(kilograms, units.mass)} {units.mass}"


def roof_of(job: Job) -> float:
    """Height of the roof above ground [m], guessed where nothing tells."""
    kind = job.vehicle.vehicle_class
    heights = [load.height for load in job.loads if load.place is Place.ROOF]
    if heights or kind is None:
        return roof_height(job.vehicle.cg_height, heights)
    return BODIES[kind].roof_height


def on_the_roof(c: Carried) -> tuple[Load, ...]:
    """What is on the roof, or a load without mass where nothing is."""
    found = tuple(load for load in c.case.loads if load.place is Place.ROOF)
    if found:
        return found
    job = c.scenario.job
    place = spot(
        Where.ROOF,
        NEW_ROOF_LOAD,
        wheelbase=job.vehicle.wheelbase,
        roof_height=roof_of(job),
    )
    return (Load("roof load", 0.0, place.behind_front_axle, place.height, place=Place.ROOF),)


@dataclass(frozen=True, slots=True)
class RoofLimit:
    """The greatest roof load for a lean.

    Parameters
    ----------
    lean : float
        That is chosen for the bend, from how it stands [rad].
    answer : Inverse
        [kg].
    wheel_off : bool
        In this bend a wheel is off the ground, now or with that much on the roof.
    over : tuple of str
        Ratings of axles and of the whole vehicle that it would exceed.
    """

    lean: float
    answer: Inverse
    wheel_off: bool
    over: tuple[str, ...]


def roof_limit(c: Carried, more: float) -> RoofLimit | None:
    """Greatest roof load with which this bend leans it by a share more than unladen.

    Parameters
    ----------
    c : Carried
        In the bend.
    more : float
        Lean above unladen, as a share of it [-].

    Returns
    -------
    RoofLimit or None
        Mean of a left and a right bend; None where unladen already tips in this one.
    """
    job = c.scenario.job
    unladen = mass.model(job, mass.states(job)[0])
    limit = float(gradients(unladen, c.lateral)[0]) * (1.0 + more)
    if not math.isfinite(limit):
        return None
    goal = Goal(Kept.ROLL_GRADIENT, limit, at=c.lateral)
    group = on_the_roof(c)
    answer = greatest_load(job, c.case, group, goal=goal)
    lifts = [first_lift(c.stages[-1])]
    over: tuple[str, ...] = ()
    amount = answer.ends if answer.outcome is Outcome.BETWEEN else answer.amount
    if answer.outcome in (Outcome.FOUND, Outcome.BETWEEN):
        model, settled = settle(loaded(job, c.case, group)(amount), TURN)
        found = thresholds(model, settled, TURN)
        lifts += [found.tip_over[0], found.inner_front_lift[0], found.inner_rear_lift[0]]
        over = _over(c, model.axle_mass[:, 0])
    wheel_off = bool(c.lateral >= np.nanmin(lifts))
    return RoofLimit(limit * c.lateral, answer, wheel_off, over)


def _over(c: Carried, axles: np.ndarray) -> tuple[str, ...]:
    """Ratings that these axle masses exceed [kg]."""
    put_on = {"front_axle": axles[0], "rear_axle": axles[1], "gross_vehicle_mass": axles.sum()}
    return tuple(
        RATINGS[check.name]
        for check in c.now.ratings
        if check.name in put_on and put_on[check.name] > check.limit
    )


def roof_words(c: Carried, found: RoofLimit | None, units: ReaderUnits) -> str:
    """The greatest roof load in words [kg or lb]."""
    if found is None:
        return "Unladen it tips in this bend: choose a gentler one."
    answer, both = found.answer, abs(c.now.static_lean) > LEANS
    mean = ", the mean of a left and a right bend" if both else ""
    chosen = f"{degrees(found.lean)} in this bend{mean}"
    if found.wheel_off:
        return (
            "No roof load is named for this bend: a wheel is off the ground in it, now or before "
            "the lean gets that far. Choose a gentler one."
        )
    now = sum(load.mass for load in c.case.loads if load.place is Place.ROOF)
    match answer.outcome:
        case Outcome.NONE:
            empty = answer.with_none * c.lateral
            without = f"leans {degrees(empty)}" if math.isfinite(empty) else "tips over"
            return (
                f"No roof load keeps it within {chosen}: with an empty roof and the rest of the "
                f"load it {without}."
            )
        case Outcome.ALL:
            told = f"The lean chosen, {chosen}, does not decide how much may go up there"
        case Outcome.BETWEEN:
            told = (
                f"Only between {_with_unit(answer.begins, units)} and "
                f"{_with_unit(answer.ends, units)} on the roof keep it within {chosen}"
            )
        case _:
            told = (
                f"At most {_with_unit(answer.amount, units)} on the roof keeps it within {chosen}"
            )
    told = f"{told}; {_with_unit(now, units)} is there now."
    if found.over:
        told += f" That much would be over what the papers allow for: {', '.join(found.over)}."
    return f"{told} {_rating_first(c, answer, units)}"


def _rating_first(c: Carried, found: Inverse, units: ReaderUnits) -> str:
    """Which rating comes before the lean does."""
    by_name = {check.name: check for check in c.now.ratings}
    limits = [
        by_name[name].limit for name in ("roof_load", "roof_load_off_road") if name in by_name
    ]
    if not limits:
        return "The papers may allow less: their roof load always counts, rack included."
    least = min(limits)
    if least < found.amount:
        return f"The papers allow only {_with_unit(least, units)} on the roof: that counts."
    return f"The papers allow {_with_unit(least, units)} on the roof, rack included."
