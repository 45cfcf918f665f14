"""Are these springs right for this weight? The answer in words, tables and curves."""

import math
from collections.abc import Callable, Sequence

import pandas as pd

from rollsim import mass
from rollsim.charts import RateCurve
from rollsim.drawing import WaterfallStep
from rollsim.reader_units import METRIC, NO_FIGURE, ReaderUnits, figure
from rollsim.roll.contributions import Stage, Step, contributions
from rollsim.sentences import sentence
from rollsim.spring_check import AXLES, AxleCheck, Finding, SpringCheck, Verdict
from rollsim.spring_check.force_travel import force_travel
from rollsim.spring_wording import UNSETTLED, reason_words
from rollsim.tell.figures import rows
from rollsim.tell.kinds import FORCE
from rollsim.tell.names import state_words
from rollsim.tell.of_springs import LISTED
from rollsim.tell.of_states import ADDED, STAGE
from rollsim.tell.ratings import left_cell, over_lines, rating_label
from rollsim.units import to_unit
from rollsim.vehicle import Change, Job

RATINGS_ALONE = frozenset(
    {Finding.OVER_AXLE_RATING, Finding.OVER_GROSS_MASS, Finding.OVER_TYRE_RATING}
)
_ENDS = {"front": "in front", "rear": "behind"}
ORDER_NOTE = (
    "Put on one after the other in this order; in another each would add a little more or less, "
    "together they add the same. Lean per g (roll gradient) up to 0.4 g."
)


def choices(job: Job, found: Sequence[SpringCheck]) -> tuple[SpringCheck, ...]:
    """The states to look at, as-weighed only where it is not another one over again.

    The one in the most trouble is first, then the heaviest, unladen last.
    """
    unladen, weighed, *cases = found
    others = [check for check in (unladen, *cases) if _same(job, weighed.name, check.name)]
    shown = [*cases] if others else [*cases, weighed]

    def trouble(check: SpringCheck) -> tuple[bool, float]:
        over = Verdict.OVER_LOADED in (check.front.verdict, check.rear.verdict)
        return over, check.front.axle_mass + check.rear.axle_mass

    return (*sorted(shown, key=trouble, reverse=True), unladen)


def _same(job: Job, one: str, other: str) -> bool:
    a, b = mass.named(job, one), mass.named(job, other)
    return a.loads == b.loads and (a.changed == b.changed or job.change == Change())


def axles(check: SpringCheck) -> tuple[tuple[str, AxleCheck], ...]:
    """Both axles by name."""
    return (("front", check.front), ("rear", check.rear))


def headline(check: SpringCheck) -> str:
    """The answer in one sentence."""
    name = state_words(check.name)
    if None in (check.front.verdict, check.rear.verdict):
        return f"{name}: {UNSETTLED}."
    wrong = [(end, axle) for end, axle in axles(check) if axle.verdict is not Verdict.SUITED]
    if not wrong:
        return f"{name}: these springs suit this weight, in front and behind."
    where = " and ".join(_ENDS[end] for end, _ in wrong)
    if all(RATINGS_ALONE.issuperset(axle.findings) for _, axle in wrong):
        return f"{name}: too heavy for its ratings {where}, which no spring changes."
    kinds = {axle.verdict for _, axle in wrong}
    if len(kinds) == 1:
        return f"{name}: these springs do not suit this weight: {next(iter(kinds)).value} {where}."
    told = ", ".join(f"{axle.verdict.value} {_ENDS[end]}" for end, axle in wrong)
    return f"{name}: these springs do not suit this weight: {told}."


def suited(check: SpringCheck) -> bool:
    """Both axles are."""
    return all(axle.verdict is Verdict.SUITED for _, axle in axles(check))


def reasons(check: SpringCheck, units: ReaderUnits) -> tuple[str, ...]:
    """Verdict and reason of each axle."""
    return tuple(
        f"{end.capitalize()}: {axle.verdict.value if axle.verdict else 'no verdict'}. "
        f"{sentence(reason_words(axle, units))}"
        for end, axle in axles(check)
    )


def over_ratings(found: Sequence[SpringCheck], units: ReaderUnits) -> tuple[str, ...]:
    """Every rating that a state exceeds, tyres too, a line each."""
    ratings = [(state_words(check.name), check.ratings) for check in found]
    return (*over_lines(ratings, units), *_over_tyres(found, units))


def _over_tyres(found: Sequence[SpringCheck], units: ReaderUnits) -> tuple[str, ...]:
    return tuple(
        f"{state_words(check.name)}: {end} tyre {FORCE.with_unit(axle.tyre_load, units)}, rated "
        f"{FORCE.with_unit(axle.tyre_rated_load, units)}"
        for check in found
        for end, axle in axles(check)
        if Finding.OVER_TYRE_RATING in axle.findings
    )


def state_table(check: SpringCheck, units: ReaderUnits) -> pd.DataFrame:
    """One state, front beside rear; rows without a figure are left out."""
    return _listed([axle for _, axle in axles(check)], list(AXLES), "", units)


def axle_table(found: Sequence[SpringCheck], end: str, units: ReaderUnits) -> pd.DataFrame:
    """One axle in every state side by side; rows without a figure are left out."""
    names = [state_words(check.name) for check in found]
    return _listed([getattr(check, end) for check in found], names, f"{end} axle", units)


def _listed(
    of: Sequence[AxleCheck], names: Sequence[str], corner: str, units: ReaderUnits
) -> pd.DataFrame:
    lines = {row.label: row.cells for row in rows(LISTED, of, units)}
    lines = {label: cells for label, cells in lines.items() if set(cells) != {NO_FIGURE}}
    return pd.DataFrame.from_dict(lines, orient="index", columns=names).rename_axis(corner)


def long_table(found: Sequence[SpringCheck], units: ReaderUnits) -> pd.DataFrame:
    """Every state and axle a row, with its reason: for a spreadsheet."""
    return pd.DataFrame(
        {
            "state": state_words(check.name),
            "axle": end,
            **{one.label(units): one.cell(axle, units) for one in LISTED},
            "reason": reason_words(axle, units),
        }
        for check in found
        for end, axle in axles(check)
    )


def payload_table(found: Sequence[SpringCheck], units: ReaderUnits) -> pd.DataFrame:
    """What each rating still leaves in each state."""
    limits = {rating.name: rating.limit for check in found for rating in check.ratings}
    lines = {
        rating_label(name, limit, units): [_left(check, name, units) for check in found]
        for name, limit in limits.items()
    }
    names = [state_words(check.name) for check in found]
    corner = f"left, {units.mass}"
    return pd.DataFrame.from_dict(lines, orient="index", columns=names).rename_axis(corner)


def _left(check: SpringCheck, name: str, units: ReaderUnits) -> str:
    rating = next((r for r in check.ratings if r.name == name), None)
    return NO_FIGURE if rating is None else left_cell(rating, units)


def rate_curves(job: Job, check: SpringCheck, units: ReaderUnits) -> tuple[RateCurve, ...]:
    """Force against travel of both axles, and where they stand."""
    state = mass.named(job, check.name)
    found = []
    for number, (end, axle) in enumerate(axles(check)):
        curve = force_travel(job, state, number, here=axle.ride_height_change)
        down = -axle.ride_height_change
        at = min(range(len(curve.down)), key=lambda n, down=down: abs(curve.down[n] - down))
        rate = figure(axle.spring_rate, units.rate)
        found.append(
            RateCurve(
                name=end,
                down=_in(curve.down, units.length),
                force=_in(curve.force, units.force),
                rate=_in(curve.rate, units.rate),
                at=(
                    float(to_unit(down, units.length)),
                    float(to_unit(curve.force[at], units.force)),
                ),
                words=f"{end} {rate} {units.rate}",
            )
        )
    return tuple(found)


def _in(values: tuple[float, ...], unit: str) -> tuple[float, ...]:
    return tuple(float(to_unit(value, unit)) for value in values)


def curve_table(curves: Sequence[RateCurve], units: ReaderUnits) -> pd.DataFrame:
    """The curves as a table: travel, force and rate at each kink and in between."""
    return pd.DataFrame(
        (
            (curve.name, f"{down:.4g}", f"{force:.0f}", f"{rate:.1f}")
            for curve in curves
            for down, force, rate in zip(curve.down, curve.force, curve.rate, strict=True)
        ),
        columns=[
            "axle",
            f"body down, {units.length}",
            f"force, {units.force}",
            f"rate, {units.rate}",
        ],
    )


def step_words(step: Step | None) -> str:
    """What was put on, or done, last."""
    if step is None:
        return "unladen"
    return ", ".join(step.items) or step.part.value


def waterfall_steps(
    found: Sequence[Stage], value: Callable[[object], float]
) -> tuple[WaterfallStep, ...]:
    """A figure of the unladen vehicle and what each step adds; empty where one has none."""
    if not all(math.isfinite(value(stage)) for stage in found):
        return ()
    start = WaterfallStep(step_words(None), value(found[0]))
    return (start, *(WaterfallStep(step_words(c.step), value(c)) for c in contributions(found)))


def change_table(found: Sequence[Stage]) -> pd.DataFrame:
    """What each step adds to lean per g and tipping point, and where it then is."""
    adds = (None, *contributions(found))
    return pd.DataFrame(
        {
            "put on": step_words(stage.step),
            **{
                heading: one.cell(of, METRIC) if of else NO_FIGURE
                for now, added in zip(STAGE, ADDED, strict=True)
                for heading, one, of in (
                    (f"adds, {now.kind.unit}", added, add),
                    (now.label(METRIC, iso=False), now, stage),
                )
            },
        }
        for stage, add in zip(found, adds, strict=True)
    )
