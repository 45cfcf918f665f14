"""What the page draws: each state in the bend as a picture, and its lean as a curve."""

import math
from dataclasses import dataclass

from rollsim import mass
from rollsim.charts import LeanCurve
from rollsim.cli.tables import state_words
from rollsim.drawing import Cargo, RearView, rear_view, roof_height
from rollsim.page.answers import STEPS_PER_G, Answer, Bend, distinct, named, step
from rollsim.reader_units import figure
from rollsim.roll import CurvePoint, StateResult
from rollsim.units import to_unit
from rollsim.vehicle import STANDARD_GRAVITY, Job, Place

HEAVIEST_WHEEL_SHARE = 0.42  # of the weight, for the length of the arrows only
HEAD_ROOM = 0.3  # m
WITH_BAR = "with bar"


@dataclass(frozen=True, slots=True)
class View:
    """One state at one lateral acceleration in a bend; the point is None where it has tipped."""

    title: str
    result: StateResult
    point: CurvePoint | None
    bend: Bend


def views(found: Answer, case: str, lateral_g: float) -> tuple[View, ...]:
    """Unladen, the case, and the case with the bar, at one lateral acceleration.

    Parameters
    ----------
    found : Answer
        For one bar and bend.
    case : str
        One of `choices`.
    lateral_g : float
        A multiple of 0.05 [g].

    Returns
    -------
    tuple of View
        Two, or three where there is a bar.
    """
    shown = [("unladen", found.before[0]), (state_words(case), named(found.before, case))]
    if found.after:
        shown.append((f"{state_words(case)}, {WITH_BAR}", named(found.after, case)))
    return tuple(
        View(title, result, _point(result, lateral_g), found.bend) for title, result in shown
    )


def _point(result: StateResult, lateral_g: float) -> CurvePoint | None:
    wanted = step(round(lateral_g * STEPS_PER_G))
    return next((p for p in result.curve if p.lateral_acceleration == wanted), None)


def missing_words(view: View) -> str:
    """Why a view has no figures.

    Parameters
    ----------
    view : View
        Without a point.

    Returns
    -------
    str
        A few words, the tipping point in g.
    """
    tip = view.result.tip_over_threshold
    if math.isfinite(tip):
        return f"tipped: it tips at {figure(tip, 'g')} g"
    return "no figure: the way to the tipping point was not resolved"


def picture(found: Answer, view: View) -> str:
    """One view as a picture from behind; a tipped vehicle as it stood before it went.

    Parameters
    ----------
    found : Answer
        For one bar and bend.
    view : View
        One of `views`.

    Returns
    -------
    str
        A `<figure>` element.
    """
    job, result = found.scenario.job, view.result
    state = next(s for s in mass.states(job) if s.name == result.name)
    rear = job.vehicle.rear
    weight = max(r.total_mass for r in found.before) * STANDARD_GRAVITY
    point = view.point or next(iter(result.curve[-1:]), _at_rest(result))
    return rear_view(
        RearView(
            title=view.title,
            bend=view.bend.value,
            roll_angle=point.roll_angle,
            heave=point.heave,
            wheel_loads=point.wheel_loads,
            full_load=weight * HEAVIEST_WHEEL_SHARE,
            track=rear.track,
            tyre_radius=rear.unsprung_cg_height,
            roll_centre_height=rear.roll_centre_height,
            roof_height=_roof(job),
            cg_height=result.cg_height,
            height_shown=_height_shown(job),
            cargo=tuple(Cargo(o.left_of_centreline, o.height, o.mass) for o in state.loads),
            missing="" if view.point else missing_words(view),
        )
    )


def _at_rest(result: StateResult) -> CurvePoint:
    """What to draw where no point of the curve was found."""
    none = (0.0, 0.0, 0.0, 0.0)
    return CurvePoint(0.0, result.static_lean, 0.0, none, none, none, (0.0, 0.0), (0.0, 0.0))


def _height_shown(job: Job) -> float:
    """Room for the roof and for the highest load of any state, lifted."""
    highest = max((load.height for load in job.loads), default=0.0)
    return max(_roof(job), highest) + HEAD_ROOM


def _roof(job: Job) -> float:
    on_roof = [load.height for load in job.loads if load.place is Place.ROOF]
    return roof_height(job.vehicle.cg_height, on_roof)


def lean_curves(found: Answer, case: str) -> tuple[LeanCurve, ...]:
    """Every state's lean, and the case's with the bar.

    Parameters
    ----------
    found : Answer
        For one bar and bend.
    case : str
        One of `choices`.

    Returns
    -------
    tuple of LeanCurve
        Towards the outside of the bend [g, deg]; "as_weighed" only where it is not one of the
        others.
    """
    shown = [(state_words(result.name), result) for result in distinct(found.before)]
    if found.after:
        shown.append((f"{state_words(case)}, {WITH_BAR}", named(found.after, case)))
    return tuple(_curve(title, result, found.bend) for title, result in shown)


def _curve(title: str, result: StateResult, bend: Bend) -> LeanCurve:
    tip = float(to_unit(result.tip_over_threshold, "g"))
    return LeanCurve(
        title,
        tuple(float(to_unit(p.lateral_acceleration, "g")) for p in result.curve),
        tuple(float(to_unit(outward(p, bend), "deg")) for p in result.curve),
        tip if math.isfinite(tip) else None,
    )


def outward(point: CurvePoint, bend: Bend) -> float:
    """Lean towards the outside of the bend [rad]."""
    return point.roll_angle if bend is Bend.LEFT else -point.roll_angle
