"""Everything that a job sheet tells, computed once: states, bar, lean with its band, springs."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from rollsim import mass
from rollsim.lift_check import LiftCheck, lift_check
from rollsim.mass import FittedBar
from rollsim.remedies import Remedy
from rollsim.road_test.drive_rule import Allowance, allowance
from rollsim.roll import StateResult, results
from rollsim.scenario import Scenario
from rollsim.sizing import Candidate, NewFront, Pair, Sizing, size
from rollsim.sizing.new_front import without_new_front
from rollsim.sizing.pair import with_new_front
from rollsim.spring_check import SpringCheck, spring_checks
from rollsim.tolerance import (
    Band,
    OrderedBar,
    Tolerance,
    band,
    bar_shifting,
    chance_of_target,
    lean_samples,
    ordered,
    shifting,
    wanted_samples,
)
from rollsim.tolerance.cab_loss import SAMPLES as LOSS_SAMPLES
from rollsim.tolerance.cab_loss import CabLoss, cab_loss
from rollsim.vehicle import STANDARD_GRAVITY, Job

SAMPLES = 256
ALIKE = 1e-6  # rad: by less left and right bends do not differ
STEPS_PER_G = 20
LAST_STEP = 14  # 0.7 g
LEAN_AT = 6 / STEPS_PER_G * STANDARD_GRAVITY
CURVE = tuple(n / STEPS_PER_G * STANDARD_GRAVITY for n in range(LAST_STEP + 1))


@dataclass(frozen=True, slots=True)
class Lean:
    """Lean at `LEAN_AT` from the lean at rest, the mean of a left and a right bend [rad].

    NaN where the vehicle tips before; the band of nine cases in ten is None where no input has a
    tolerance.
    """

    value: float
    within: Band | None = None


@dataclass(frozen=True, slots=True)
class StateLean:
    """Lean of one state as it is, and with the bar; None where there is no bar."""

    name: str
    before: Lean
    after: Lean | None


@dataclass(frozen=True, slots=True)
class HarderBend:
    """The bend in which the loaded vehicle leans more, "left" or "right", where they differ.

    Lean from level at `LEAN_AT`, before and after the bar [rad]: NaN where it tips before, or where
    there is no bar.
    """

    side: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Work:
    """One job, worked out.

    Parameters
    ----------
    scenario : Scenario
    sizing : Sizing or None
        With the bar of the sheet as its choice, without one where it orders a pair; None where the
        file has no bar to be sized.
    pair : Pair or None
        The front bar to order, and the rear bar with it, if any.
    new_front : NewFront or None
        The front bar of the changes, which is to be ordered too.
    case : str
        The loaded state that the sheet is about.
    before, after : tuple of StateResult
        Every state as it is, and with what is ordered; curves in a left bend. The latter is empty
        where nothing is.
    springs : tuple of SpringCheck
        Every state as it is.
    lift : LiftCheck
        Wheels and dampers of every state as it is.
    leans : tuple of StateLean
        The loaded state and the one that is driven empty.
    chance : float or None
        How likely the lean comes to at most what is allowed above the target [-]; None where not
        known.
    harder : HarderBend or None
        None where the load is not off centre.
    drive : Allowance
        Of a drive in the loaded state, as it is or with the bar, whichever is allowed less.
    helps : tuple of Remedy
        What else would help, where no bar is accepted and it was counted.
    lost : CabLoss or None
        Of the rear bar's effect in the cab; None where no bar is ordered or the frame does not
        twist.
    """

    scenario: Scenario
    sizing: Sizing | None
    pair: Pair | None
    case: str
    before: tuple[StateResult, ...]
    after: tuple[StateResult, ...]
    springs: tuple[SpringCheck, ...]
    lift: LiftCheck
    leans: tuple[StateLean, ...]
    chance: float | None
    harder: HarderBend | None
    drive: Allowance
    helps: tuple[Remedy, ...] = ()
    lost: CabLoss | None = None
    new_front: NewFront | None = None

    @property
    def bar(self) -> Candidate | None:
        """The rear bar to order, that of the pair where there is one."""
        if self.pair is not None:
            return self.pair.rear
        return None if self.sizing is None else self.sizing.choice

    @property
    def has_front(self) -> bool:
        """A front bar is ordered."""
        return self.pair is not None or self.new_front is not None

    @property
    def is_order(self) -> bool:
        """A bar is ordered."""
        return self.has_front or self.bar is not None

    @property
    def is_of_two(self) -> bool:
        """A front and a rear bar are ordered."""
        return self.has_front and self.bar is not None


@dataclass(frozen=True, slots=True)
class _Fitted:
    """A vehicle to be worked out: as it is, or with what is ordered."""

    job: Job
    bar: OrderedBar | None = None

    @property
    def on(self) -> FittedBar | None:
        """The rear bar as the vehicle takes it."""
        return None if self.bar is None else self.bar.fitted


def work_out(
    scenario: Scenario,
    *,
    rank: int | None = None,
    paired: bool = False,
    samples: int = SAMPLES,
    helps: tuple[Remedy, ...] = (),
) -> Work:
    """Compute what a job sheet tells, with so many samples for each band.

    `rank` is the place of the bar to order among the candidates, from 1; None: the one that is
    chosen. Where no bar alone is, or with `paired`, front and rear bar together are ordered, if
    there is such a pair. Raises ValueError where there is no bar of that rank.
    """
    job, rear_bar = scenario.job, scenario.rear_bar
    sizing = None if rear_bar is None else size(job, rear_bar, scenario.front_bar)
    if rank is not None:
        sizing = _picked(sizing, rank)
    pair = None
    if sizing is not None and isinstance(sizing.pair, Pair) and rank is None:
        pair = sizing.pair if paired or sizing.choice is None else None
    new = None if sizing is None or pair is not None else sizing.new_front
    now = _Fitted(job if new is None else without_new_front(job))
    then = _as_ordered(scenario, sizing, pair)
    names = mass.names_with_bar(job)
    before = results(now.job, CURVE, only=names)
    after = () if then is None else results(then.job, CURVE, then.on, only=names)
    if pair is not None:
        sizing = replace(sizing, choice=None, states=(), new_front=None)
    elif after:
        sizing = replace(sizing, states=after)
    cases = before[2 : 2 + len(mass.case_names(job))]
    case = max(cases, key=_gradient).name if sizing is None else sizing.case
    both, found = ((now,), (before,)) if then is None else ((now, then), (before, after))
    springs = spring_checks(job)
    return Work(
        scenario=scenario,
        sizing=sizing,
        pair=pair,
        case=case,
        before=before,
        after=after,
        springs=springs,
        lift=lift_check(job, springs),
        leans=_leans(scenario, (case, mass.driven_empty(job).name), both, found, samples=samples),
        chance=None if then is None else _chance(scenario, case, then, samples=samples),
        harder=_harder(both, case),
        drive=_drive(scenario, both, case),
        helps=helps,
        lost=None if then is None else _lost(scenario, case, then, samples=samples),
        new_front=new,
    )


def _as_ordered(scenario: Scenario, sizing: Sizing | None, pair: Pair | None) -> _Fitted | None:
    """The vehicle with the bar or bars of the sheet; None where none is ordered."""
    job, rear, front = scenario.job, None if sizing is None else sizing.choice, False
    if pair is not None:
        job, rear, front = with_new_front(job, pair.front), pair.rear, True
    elif sizing is not None:
        front = sizing.new_front is not None
    if rear is not None:
        return _Fitted(job, ordered(rear, scenario.rear_bar))
    return _Fitted(mass.with_parts(job)) if front else None


def _picked(sizing: Sizing | None, rank: int) -> Sizing:
    """The sizing with another choice."""
    count = 0 if sizing is None else len(sizing.candidates)
    if count == 0:
        raise ValueError(
            f"found {rank}, but the scenario has no [rear_bar] to be sized; leave it out"
        )
    if not 1 <= rank <= count:
        raise ValueError(f"found {rank}; allowed 1 to {count}, as `rollsim size` ranks the bars")
    return replace(sizing, choice=sizing.candidates[rank - 1])


def _gradient(result: StateResult) -> float:
    return result.roll_gradient if math.isfinite(result.roll_gradient) else -math.inf


def _leans(
    scenario: Scenario,
    names: tuple[str, ...],
    both: tuple[_Fitted, ...],
    found: tuple[tuple[StateResult, ...], ...],
    *,
    samples: int,
) -> tuple[StateLean, ...]:
    """Of the states named, from the results as it is and with what is ordered."""
    known = scenario.tolerances
    columns = []
    for one, states in zip(both, found, strict=True):
        means = _mean_leans(one, names, states)
        columns.append(
            [Lean(means[name], _band(one, known, name, samples=samples)) for name in names]
        )
    if len(columns) == 1:
        columns.append([None] * len(names))
    return tuple(StateLean(*row) for row in zip(names, *columns, strict=True))


def _mean_leans(
    one: _Fitted, names: tuple[str, ...], found: tuple[StateResult, ...]
) -> dict[str, float]:
    """Lean from rest, the mean of both bends [rad]; NaN where it tips first."""
    sides = [[result for result in found if result.name in names]]
    if any(abs(result.further_left) > ALIKE for result in sides[0]):
        sides.append(results(one.job, (LEAN_AT,), one.on, only=names, mirrored=True))
    leans: dict[str, list[float]] = {}
    for result in (result for side in sides for result in side):
        leans.setdefault(result.name, []).append(_from_rest(result))
    return {name: sum(both) / len(both) for name, both in leans.items()}


def _from_rest(result: StateResult) -> float:
    """Lean at `LEAN_AT` less that at rest [rad]."""
    points = (p for p in result.curve if p.lateral_acceleration == LEAN_AT)
    return next((p.roll_angle - result.static_lean for p in points), math.nan)


def _band(one: _Fitted, known: Sequence[Tolerance], name: str, *, samples: int) -> Band | None:
    if not _drawn(known, one.bar):
        return None
    drawn = lean_samples(one.job, known, name, at=LEAN_AT, bar=one.bar, count=samples)
    return band(drawn * LEAN_AT)


def _drawn(known: Sequence[Tolerance], bar: OrderedBar | None) -> bool:
    """Whether an input that is drawn has a tolerance."""
    return bool(shifting(known) or (bar is not None and bar_shifting(known)))


def _harder(both: tuple[_Fitted, ...], case: str) -> HarderBend | None:
    """Both bends of the loaded vehicle, where they differ."""
    leans: dict[str, list[float]] = {}
    for side, mirrored in (("left", False), ("right", True)):
        for one in both:
            (result,) = results(one.job, (LEAN_AT,), one.on, only=(case,), mirrored=mirrored)
            if abs(result.further_left) <= ALIKE:
                return None
            at = (p.roll_angle for p in result.curve if p.lateral_acceleration == LEAN_AT)
            leans.setdefault(side, []).append(next(at, math.nan))
    side = max(leans, key=lambda name: math.inf if math.isnan(leans[name][0]) else leans[name][0])
    before, after = (*leans[side], math.nan)[:2]
    return HarderBend(side, before, after)


def _drive(scenario: Scenario, both: tuple[_Fitted, ...], case: str) -> Allowance:
    known = scenario.tolerances
    state = next(one for one in mass.states(scenario.job) if one.name == case)
    return min(
        (allowance(one.job, known, state, bar=one.on) for one in both), key=lambda a: a.limit
    )


def _lost(scenario: Scenario, case: str, then: _Fitted, *, samples: int) -> CabLoss | None:
    if then.bar is None:
        return None
    count = min(samples, LOSS_SAMPLES)
    return cab_loss(then.job, scenario.tolerances, case, then.bar, count=count)


def _chance(scenario: Scenario, case: str, then: _Fitted, *, samples: int) -> float | None:
    known, at = scenario.tolerances, scenario.job.target.at
    if at is None or not _drawn(known, then.bar):
        return None
    wanted = wanted_samples(scenario.job, known, case, at=at, count=samples)
    drawn = lean_samples(then.job, known, case, at=at, bar=then.bar, count=samples)
    return chance_of_target(drawn, wanted, scenario.job.limits.gradient_tolerance)
