"""What the page draws: each state in the bend as a picture, and its lean as a curve."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from rollsim import mass
from rollsim.drawing import (
    bar_in_place,
    bar_plan_of,
    body_pose,
    rear_view,
    rear_view_of,
    standing_still,
)
from rollsim.page import bars
from rollsim.page.answers import Answer, Bend, named
from rollsim.plots.lean_curves import (
    FRONT_LIFTS,
    FULL_REACH,
    REAR_LIFTS,
    STEPS_PER_G,
    LeanCurve,
    distinct,
    lean_curve,
    step,
)
from rollsim.reader_units import NO_FIGURE, figure, plain
from rollsim.roll import CurvePoint, StateResult
from rollsim.tell.names import state_words
from rollsim.wording import bar_words

WITH_BAR = "with bar"
SIDE_BY_SIDE = 2  # pictures in a row: more leave no room for their figures


@dataclass(frozen=True, slots=True)
class View:
    """One state at one lateral acceleration in a bend; the point is None where it has tipped."""

    title: str
    result: StateResult
    point: CurvePoint | None
    bend: Bend


def views(found: Answer, case: str, lateral_g: float) -> tuple[View, ...]:
    """Unladen, the case, and the case with the bar, at one lateral acceleration.

    Two, or three where there is a bar; the unladen state once. `case` is one of `choices`,
    `lateral_g` a multiple of 0.05 [g].
    """
    unladen = found.before[0]
    shown = [("unladen", unladen)]
    if case != unladen.name:
        shown.append((state_words(case), named(found.before, case)))
    if found.after:
        shown.append((f"{state_words(case)}, {WITH_BAR}", named(found.after, case)))
    return tuple(
        View(title, result, _point(result, lateral_g), found.bend) for title, result in shown
    )


def _point(result: StateResult, lateral_g: float) -> CurvePoint | None:
    wanted = step(round(lateral_g * STEPS_PER_G))
    return next((p for p in result.curve if p.lateral_acceleration == wanted), None)


def missing_words(view: View) -> str:
    """Why a view without a point has no figures: a few words, the tipping point in g."""
    tip = view.result.tip_over_threshold
    if math.isfinite(tip):
        return f"tipped: it tips at {figure(tip, 'g')} g"
    return "no figure: the way to the tipping point was not resolved"


def picture(found: Answer, view: View) -> str:
    """One view as a picture from behind; a tipped vehicle as it stood before it went.

    A `<figure>` element. The unladen body in the same bend is dashed, in its own picture the body
    upright.
    """
    job, result = found.scenario.job, view.result
    state = mass.named(job, result.name)
    fitted = any(view.result is result for result in found.after)
    bar = bar_in_place(found.scenario.rear_bar, found.bar.hole) if fitted else None
    unladen = found.before[0]
    at = view.point.lateral_acceleration if view.point else None
    beside = next((p for p in unladen.curve if p.lateral_acceleration == at), None)
    ghost = None if beside is None or result is unladen else beside
    return rear_view(
        rear_view_of(
            job,
            state,
            view.point or next(iter(result.curve[-1:]), standing_still(result)),
            title=view.title,
            bend=view.bend.value,
            bar=bar,
            ghost=ghost and body_pose(job, mass.named(job, unladen.name), ghost),
            missing="" if view.point else missing_words(view),
            force_unit=found.units.force,
        )
    )


def bar_picture(found: Answer) -> str:
    """The selected bar from above, darker and wider where its steel works harder.

    An `<svg>` element; under the load that the safety factor counts.
    """
    unit = found.units.stress
    return bar_plan_of(
        bars.stress_of(found),
        found.scenario.rear_bar.bush_spacing,
        allowable=found.bar.allowable_stress,
        peak_words=f"{figure(found.bar.peak_stress, unit)} {unit}",
        title=bar_words(found.bar, found.units),
    )


def lean_curves(found: Answer, case: str) -> tuple[LeanCurve, ...]:
    """Every state's lean, and the case's with the bar, towards the outside of the bend [g, deg].

    `case` is one of `choices`; "as_weighed" only where it is not one of the others.
    """
    shown = [(state_words(result.name), result) for result in distinct(found.before)]
    if found.after:
        shown.append((f"{state_words(case)}, {WITH_BAR}", named(found.after, case)))
    right = found.bend is Bend.RIGHT
    return tuple(lean_curve(title, result, right_bend=right) for title, result in shown)


def curves_table(curves: Sequence[LeanCurve]) -> pd.DataFrame:
    """The chart of lean as a table of text.

    Lean [deg] at each step of 0.1 g; wheel lift and tipping point [g].
    """
    rows = {}
    for number in range(round(FULL_REACH * 10) + 1):
        at = number / 10
        rows[f"lean at {at:.1f} g, deg"] = [_lean_at(curve, at) for curve in curves]
    for which in (REAR_LIFTS, FRONT_LIFTS):
        lifts = [
            [lift.lateral_acceleration_g for lift in curve.lifts if lift.which == which]
            for curve in curves
        ]
        rows[f"{which}, g"] = [f"{lift[0]:.2f}" if lift else NO_FIGURE for lift in lifts]
    tips = [curve.tipping_point_g for curve in curves]
    rows["tipping point, g"] = [NO_FIGURE if tip is None else f"{tip:.2f}" for tip in tips]
    names = [curve.name for curve in curves]
    return pd.DataFrame.from_dict(rows, orient="index", columns=names).rename_axis("")


def _lean_at(curve: LeanCurve, at: float) -> str:
    found = zip(curve.lateral_acceleration_g, curve.lean_deg, strict=True)
    return next((plain(lean, 2) for g, lean in found if abs(g - at) < 1e-6), "tipped")


def outward(point: CurvePoint, bend: Bend) -> float:
    """Lean towards the outside of the bend [rad]."""
    return point.roll_angle if bend is Bend.LEFT else -point.roll_angle
