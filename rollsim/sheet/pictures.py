"""Pictures of the job sheet: the vehicle from behind before and after, and its lean curves."""

import math

from rollsim import mass
from rollsim.drawing import (
    LeanLine,
    RearView,
    bar_in_place,
    body_pose,
    lean_lines,
    rear_view,
    rear_view_of,
    standalone,
    standing_still,
)
from rollsim.mass import UNLADEN
from rollsim.reader_units import ReaderUnits
from rollsim.roll import CurvePoint, StateResult
from rollsim.sheet.words import degrees, shows, with_words
from rollsim.sheet.work import CURVE, LEAN_AT, Work
from rollsim.tell.names import state_words
from rollsim.units import to_unit

BEFORE = "before"
LEFT_BEND = "A left bend, from behind; dashed: the empty vehicle in the same bend."
LONGEST_NAME = 14  # characters of a state in a picture, which has no room for more


def views(work: Work, units: ReaderUnits) -> tuple[str, str]:
    """The loaded vehicle in a left bend as it is and with the bar; without a bar, empty and loaded.

    Two `<svg>` elements with fixed colours; the empty body in the same bend is dashed.
    """
    first, second = (standalone(rear_view(view)) for view, _ in pair_shown(work, units))
    return first, second


def pair_shown(work: Work, units: ReaderUnits) -> tuple[tuple[RearView, StateResult], ...]:
    """What `views` draws, and the states that it is drawn of."""
    loaded = _short(state_words(work.case))
    if work.after:
        pair = (
            (_of(work.before, work.case), BEFORE),
            (_of(work.after, work.case), with_words(work)),
        )
    else:
        pair = ((_of(work.before, UNLADEN), UNLADEN), (_of(work.before, work.case), loaded))
    return tuple((_view(work, result, title, units=units), result) for result, title in pair)


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1]}…"


def _of(found: tuple[StateResult, ...], name: str) -> StateResult:
    return next(result for result in found if result.name == name)


def _view(work: Work, result: StateResult, title: str, *, units: ReaderUnits) -> RearView:
    job = work.scenario.job
    states = {state.name: state for state in mass.states(job)}
    point = point_of(result)
    empty = point_of(_of(work.before, UNLADEN))
    fitted = any(result is one for one in work.after)
    return rear_view_of(
        job,
        states[result.name],
        point or next(iter(result.curve[-1:]), standing_still(result)),
        title=title,
        bend="left",
        bar=bar_in_place(work.scenario.rear_bar, work.bar.hole) if fitted and work.bar else None,
        ghost=None if empty is None else body_pose(job, states[UNLADEN], empty),
        missing="" if point else "tips before this bend",
        force_unit=units.force,
    )


def point_of(result: StateResult) -> CurvePoint | None:
    """Where it stands at `LEAN_AT`; None where it tips before."""
    return next((p for p in result.curve if p.lateral_acceleration == LEAN_AT), None)


def curves(work: Work) -> str:
    """Lean of the empty vehicle, of the loaded one, and of that with the bar, in a left bend.

    An `<svg>` element in black and white.
    """
    loaded = _short(state_words(work.case))
    lines = [_line(UNLADEN, _of(work.before, UNLADEN)), _line(loaded, _of(work.before, work.case))]
    if work.after:
        lines.append(_line(with_words(work), _of(work.after, work.case)))
    mark, reach = (float(to_unit(a, "g")) for a in (LEAN_AT, CURVE[-1]))
    return lean_lines(lines, reach=reach, mark=mark)


def _line(name: str, result: StateResult) -> LeanLine:
    return LeanLine(
        name,
        tuple(float(to_unit(p.lateral_acceleration, "g")) for p in result.curve),
        tuple(float(to_unit(p.roll_angle, "deg")) for p in result.curve),
        float(to_unit(result.tip_over_threshold, "g")),
    )


def bend_words(work: Work) -> str:
    """Which bend pictures and curves are for, where an off-centre load makes a difference.

    Empty where no lean at rest can be shown.
    """
    lean = _of(work.before, work.case).static_lean
    if not math.isfinite(lean) or not shows(lean):
        return ""
    side, harder = ("right", "left") if lean > 0.0 else ("left", "right")
    return (
        f"Its off-centre load leans it {degrees(abs(lean))} to the {side} at rest, so it leans "
        f"more in a {harder} bend. Pictures and curves are for a left bend, with the lean at rest; "
        "the table of lean is the mean of both bends, from rest."
    )
