"""How much roof load keeps the lean of a bend within what the owner chooses, in plain words."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.drawing import roof_height
from rollsim.equilibrium import settle
from rollsim.page.carried import RATINGS, Carried, apart, degrees, first_lift
from rollsim.reader_units import ReaderUnits, coarse, with_unit
from rollsim.roll import TURN, thresholds
from rollsim.sizing.inverse import Goal, Inverse, Kept, Outcome, greatest_load
from rollsim.sizing.variants import loaded
from rollsim.typical import BODIES, Where, spot
from rollsim.vehicle import Job, Load, Place
from rollsim.wording import of_the_vehicle, provisional

NEW_ROOF_LOAD = 0.2  # m, middle of a load above the roof where nothing lies there yet
ROUNDING = 1e-9  # of a lean: two ways to the same figure differ by less
USUAL_ROOF = 150.0  # kg, rack included: common practice, no source


def roof_of(job: Job) -> float:
    """Height of the bare roof above ground, as weighed [m]: taped, or usual for the class.

    Whatever lies on it already: things put on in another order stand as high.
    """
    kind, taped = job.vehicle.vehicle_class, job.vehicle.roof_height
    if taped is not None or kind is None:
        return roof_height(job.vehicle.cg_height, (), taped)
    return BODIES[kind].roof_height + raised(job)


def drawn(job: Job) -> float:
    """Height of the roof in the picture [m]: taped, under what lies on it, or usual."""
    on_it = [load.height for load in job.loads if load.place is Place.ROOF]
    if on_it and job.vehicle.roof_height is None:
        return roof_height(job.vehicle.cg_height, on_it)
    return roof_of(job)


def raised(job: Job) -> float:
    """How much higher floor, seats and roof stood on the scales than usual, by a lift [m]."""
    change = job.change
    if not change.on_when_weighed:
        return 0.0
    return (change.suspension_lift_front + change.suspension_lift_rear) / 2.0 + change.tyre_radius


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
        raised=raised(job),
    )
    return (Load("roof load", 0.0, place.behind_front_axle, place.height, place=Place.ROOF),)


@dataclass(frozen=True, slots=True)
class RoofLimit:
    """The greatest roof load [kg] for a lean that is chosen for the bend.

    The lean is measured as on the rest of the page [rad]. `wheel_off`: in this bend a wheel is off
    the ground, now or with that much on the roof. `over` has the ratings of axles and of the whole
    vehicle that it would exceed.
    """

    lean: float
    answer: Inverse
    wheel_off: bool
    over: tuple[str, ...]


def roof_limit(c: Carried, more: float) -> RoofLimit | None:
    """Greatest roof load with which this bend leans it by a share more than before [-].

    For the worse of a left and a right bend, the lean at rest included; None where unladen already
    tips in this one.
    """
    job, before = c.scenario.job, c.lean_before
    limit = before + more * abs(before)
    if not math.isfinite(limit):
        return None
    goal = Goal(Kept.LEAN, limit * (1.0 + ROUNDING), at=c.lateral)
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
    return RoofLimit(limit, answer, wheel_off, over)


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
    return provisional(_roof_words(c, found, units), of_the_vehicle(c.scenario.assumed))


def _roof_words(c: Carried, found: RoofLimit, units: ReaderUnits) -> str:
    assumed = of_the_vehicle(c.scenario.assumed)
    leans, limit = apart(c.lean_now, found.lean)
    answer, chosen = found.answer, f"{limit} in this bend"

    def told_as(mass: float, *, up: bool = False) -> str:
        return coarse(mass, units.mass, up=up) if assumed else with_unit(mass, units.mass)

    if found.wheel_off:
        return (
            "No roof load is named for this bend: a wheel is off the ground in it, now or before "
            "the lean gets that far. Choose a gentler one."
        )
    now = sum(load.mass for load in c.case.loads if load.place is Place.ROOF)
    match answer.outcome:
        case Outcome.NONE:
            return _none_words(c, found)
        case Outcome.ALL:
            told = f"The lean chosen, {chosen}, does not decide how much may go up there"
        case Outcome.BETWEEN:
            told = (
                f"Only between {told_as(answer.begins, up=True)} and {told_as(answer.ends)} on the "
                f"roof keep it within {chosen}"
            )
        case _ if answer.amount > USUAL_ROOF and not _roof_ratings(c):
            told = (
                f"More than a roof usually carries ({with_unit(USUAL_ROOF, units.mass)}, common "
                f"practice) keeps it within {chosen}: that is no leave to carry it, no roof rating "
                "is given, and a wheel lifts sooner with every bit of it"
            )
        case _:
            told = f"At most {told_as(answer.amount)} on the roof keeps it within {chosen}"
    alike = degrees(c.lean_now) == degrees(found.lean) and leans != limit
    there = f"{with_unit(now, units.mass)} is there now{f' and leans it {leans}' if alike else ''}"
    told = f"{told}; {there}."
    if found.over:
        told += f" That much would be over what the papers allow for: {', '.join(found.over)}."
    return f"{told} {_rating_first(c, answer, units)}"


def _none_words(c: Carried, found: RoofLimit) -> str:
    """Why no roof load keeps the lean chosen."""
    rest = ", " if all(x.place is Place.ROOF for x in c.case.loads) else " and the rest on board, "
    (empty,) = found.answer.with_least
    if not math.isfinite(empty):
        return f"With nothing on the roof{rest}it tips over in this bend: choose a gentler one."
    leans, chosen = apart(empty, found.lean)
    return (
        f"With nothing on the roof{rest}it already leans {leans} in this bend, more than the "
        f"{chosen} chosen: no roof load brings it within that."
    )


def _rating_first(c: Carried, found: Inverse, units: ReaderUnits) -> str:
    """Which rating comes before the lean does."""
    limits = _roof_ratings(c)
    if not limits:
        return (
            "What the roof may carry is not given: look it up in the papers, it always counts, "
            "rack included."
        )
    least = min(limits)
    if least < found.amount:
        return f"The papers allow only {with_unit(least, units.mass)} on the roof: that counts."
    return f"The papers allow {with_unit(least, units.mass)} on the roof, rack included."


def _roof_ratings(c: Carried) -> list[float]:
    """What the papers allow on the roof, on the road and off it [kg]; empty where not given."""
    names = ("roof_load", "roof_load_off_road")
    return [check.limit for check in c.now.ratings if check.name in names]
