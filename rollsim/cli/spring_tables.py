"""Text tables of `rollsim springs`."""

from collections.abc import Sequence

from rollsim.cautions import AFTER_LIFT, SPRING_CAUTIONS, is_lifted
from rollsim.cli.layout import bullets, section, side_by_side
from rollsim.cli.tables import heading, over_ratings, rated, remarks
from rollsim.mass import RatingCheck
from rollsim.reader_units import NO_FIGURE, READER_UNITS, ReaderUnits, UnitSystem
from rollsim.scenario import Scenario
from rollsim.spring_check import AxleCheck, SpringCheck
from rollsim.spring_wording import SHORT, reason_words
from rollsim.tell.figures import Row, rows
from rollsim.tell.names import state_words
from rollsim.tell.of_springs import LISTED
from rollsim.tell.ratings import left_cell, rating_label
from rollsim.vehicle import Job

_UNSETTLED = "unsettled"


def springs_report(
    scenario: Scenario,
    found: Sequence[SpringCheck],
    *,
    system: UnitSystem = UnitSystem.METRIC,
    more: Sequence[str] = (),
) -> str:
    """What `rollsim springs` prints, the blocks of `more` after the payload."""
    units = READER_UNITS[system]
    names = [state_words(check.name) for check in found]
    over = over_ratings([(state_words(check.name), check.ratings) for check in found], units)
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
    blocks += [*remarks(scenario, (), units), *section("Cautions", bullets(SPRING_CAUTIONS)), *over]
    return "\n\n".join(blocks)


def _rows(axles: Sequence[AxleCheck], units: ReaderUnits) -> list[Row]:
    """The figures of an axle; those that no state has are left out."""
    lines = [line for line in rows(LISTED, axles, units) if set(line.cells) != {NO_FIGURE}]
    verdicts = (SHORT[axle.verdict] if axle.verdict else _UNSETTLED for axle in axles)
    lines[0] = Row("verdict: under- or over-loaded", tuple(verdicts))
    return lines


def _payload(
    job: Job, found: Sequence[SpringCheck], names: Sequence[str], *, units: ReaderUnits
) -> tuple[str, ...]:
    """What each rating still leaves in each state, and which ones are not given."""
    checks: dict[str, list[RatingCheck | None]] = {}
    for number, check in enumerate(found):
        for rating in check.ratings:
            checks.setdefault(rating.name, [None] * len(found))[number] = rating
    lines = [
        Row(
            rating_label(name, _limit(each), units),
            tuple(_UNSETTLED if one is None else left_cell(one, units) for one in each),
        )
        for name, each in checks.items()
    ]
    body = rated(job, side_by_side(names, lines) if lines else "")
    return section(f"Payload left on every rating, {units.mass}", body)


def _limit(each: Sequence[RatingCheck | None]) -> float:
    return next(rating.limit for rating in each if rating is not None)
