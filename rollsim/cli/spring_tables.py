"""Text tables of `rollsim springs`."""

import math
from collections.abc import Callable, Sequence

from rollsim.cautions import AFTER_LIFT, is_lifted
from rollsim.cli.layout import Row, bullets, paragraph, section, side_by_side
from rollsim.cli.tables import RATING_WORDS, heading, rated, remarks, state_words
from rollsim.mass import RatingCheck
from rollsim.reader_units import READER_UNITS, ReaderUnits, UnitSystem, figure
from rollsim.scenario import Scenario
from rollsim.spring_check import AxleCheck, SpringCheck, Verdict
from rollsim.spring_wording import SHORT, reason_words, travel_words
from rollsim.vehicle import Job

CAUTIONS = (
    "Verdicts are common practice, not a rule: they say whether springs and weight go together at "
    "rest, nothing of handling, braking or strength.",
    "A stiffer spring raises no rating. Local codes and a licensed engineer decide what may be "
    "fitted and carried.",
)
_UNSETTLED = "unsettled"


def springs_report(
    scenario: Scenario,
    found: Sequence[SpringCheck],
    *,
    system: UnitSystem = UnitSystem.METRIC,
    more: Sequence[str] = (),
) -> str:
    """What `rollsim springs` prints.

    Parameters
    ----------
    scenario : Scenario
        Title, vehicle, assumed values and notes.
    found : sequence of SpringCheck
        Every state.
    system : UnitSystem
        Metric or imperial.
    more : sequence of str
        Blocks that follow the payload.

    Returns
    -------
    str
        Lines of at most 100 characters.
    """
    units = READER_UNITS[system]
    names = [state_words(check.name) for check in found]
    over = _over(found, units)
    blocks = [heading(scenario, "springs and weight, state by state"), *over]
    for end, title in (("front", "Front axle"), ("rear", "Rear axle")):
        axles = [getattr(check, end) for check in found]
        blocks += section(title, side_by_side(names, _rows(axles, units)))
        why = [
            f"{name}: {reason_words(axle, units)}" for name, axle in zip(names, axles, strict=True)
        ]
        blocks += section(f"{title}: why", bullets(why))
    blocks += [*_payload(scenario.job, found, names, units=units), *more]
    if is_lifted(scenario.job.change):
        blocks += section("After the lift, check", bullets(AFTER_LIFT))
    blocks += [*remarks(scenario, ()), *section("Cautions", bullets(CAUTIONS)), *over]
    return "\n\n".join(blocks)


def _rows(axles: Sequence[AxleCheck], units: ReaderUnits) -> list[Row]:
    def row(label: str, unit: str, value: Callable[[AxleCheck], float]) -> Row:
        return Row(f"{label}, {unit}", tuple(figure(value(axle), unit) for axle in axles))

    def words(label: str, value: Callable[[AxleCheck], str]) -> Row:
        cells = (value(axle) if axle.verdict is not None else _UNSETTLED for axle in axles)
        return Row(label, tuple(cells))

    length = units.length
    rows = [
        words("verdict: under- or over-loaded", lambda a: SHORT[a.verdict or Verdict.SUITED]),
        row("load on one spring", units.force, lambda a: a.spring_load),
        row("spring rate there", units.rate, lambda a: a.spring_rate),
        row("ride height against as weighed", length, lambda a: a.ride_height_change),
        words("helper leaves (second stage)", lambda a: a.second_stage.value),
        words(
            f"bump travel left, {length}",
            lambda a: travel_words(a.bump_travel_left, a.bump_share, units),
        ),
        words(
            f"left to full droop, {length}",
            lambda a: travel_words(a.rebound_travel_left, a.rebound_share, units),
        ),
        Row("ride frequency, Hz", tuple(figure(a.ride_frequency, "") for a in axles)),
        row("load on one tyre, heavier side", units.force, lambda a: a.tyre_load),
    ]
    if any(math.isfinite(axle.tyre_rated_load) for axle in axles):
        rows.append(row("  tyre rated", units.force, lambda a: a.tyre_rated_load))
    if any(math.isfinite(axle.spring_stress) for axle in axles):
        rows.append(row("greatest spring stress", units.stress, lambda a: a.spring_stress))
    return rows


def _payload(
    job: Job, found: Sequence[SpringCheck], names: Sequence[str], *, units: ReaderUnits
) -> tuple[str, ...]:
    """What each rating still leaves in each state, and which ones are not given."""
    checks: dict[str, list[RatingCheck | None]] = {}
    for number, check in enumerate(found):
        for rating in check.ratings:
            checks.setdefault(rating.name, [None] * len(found))[number] = rating
    rows = [
        Row(
            f"{RATING_WORDS[name]}, at most {figure(_limit(each), units.mass)}",
            tuple(_left(rating, units) for rating in each),
        )
        for name, each in checks.items()
    ]
    body = rated(job, side_by_side(names, rows) if rows else "")
    return section(f"Payload left on every rating, {units.mass}", body)


def _limit(each: Sequence[RatingCheck | None]) -> float:
    return next(rating.limit for rating in each if rating is not None)


def _left(rating: RatingCheck | None, units: ReaderUnits) -> str:
    if rating is None:
        return _UNSETTLED
    return figure(rating.limit - rating.load, units.mass) + (" OVER" if rating.over else "")


def _over(found: Sequence[SpringCheck], units: ReaderUnits) -> tuple[str, ...]:
    """The block that cannot be missed."""
    mass = units.mass
    lines = [
        paragraph(
            f"OVER A RATING: {state_words(check.name)}: {RATING_WORDS[rating.name]}: "
            f"load {figure(rating.load, mass, 1)} {mass}, "
            f"limit {figure(rating.limit, mass, 1)} {mass}",
            "    ",
            first="!!! ",
        )
        for check in found
        for rating in check.ratings
        if rating.over
    ]
    return ("\n".join(lines),) if lines else ()
