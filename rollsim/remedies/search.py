"""How little of a remedy brings the roll back, or how far all of it goes; then the best two."""

import copy
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from rollsim.remedies.held import hold
from rollsim.remedies.measures import Measure, Tables, Told, measures, not_counted
from rollsim.remedies.records import Remedy, RemedyKind, RemedyStep
from rollsim.scenario import Scenario, ScenarioError, from_data
from rollsim.scenario.bounds import parsed
from rollsim.scenario.embedded import Source
from rollsim.sizing import Candidate, Sizing
from rollsim.sizing.choice import decide

VISIBLE = 0.01  # of the lean: less than that more is nothing
PAIRED = 2  # remedies: the best alone are tried with every other
MOST_SIZED_AGAIN = 400  # sections times holes: more are not sized again and again
OF_THE_BAR = (
    RemedyKind.ARM,
    RemedyKind.STEEL,
    RemedyKind.SECTION,
    RemedyKind.LIMIT_STRAPS,
)
"""What is ordered with the bar: nothing comes off, and nothing depends on the driver."""

Taken = tuple[tuple[Measure, int], ...]
"""Measures with the place of their amount."""


@dataclass(frozen=True, slots=True)
class _Found:
    """A scenario with something done to it, sized."""

    taken: Taken
    data: Tables
    told: tuple[Told, ...]
    scenario: Scenario
    bar: Candidate | None
    roll_gradient: float
    accepted: bool

    @property
    def reached(self) -> bool:
        """A bar is accepted, or none is needed any more."""
        return self.accepted or self.bar is None


class _Trials:
    """One scenario, sized again with this and that done to it."""

    def __init__(self, source: Source, scenario: Scenario, sizing: Sizing) -> None:
        self.source, self.sizing = source, sizing
        self.data = copy.deepcopy(parsed(source.text))
        self.held = hold(self.data, scenario, sizing)

    def done(self, taken: Taken) -> _Found | None:
        """Do it; None where that is no scenario, or no bar lasts and leans less than now."""
        data = copy.deepcopy(self.data)
        told = tuple(measure.put(data, measure.amounts[n]) for measure, n in taken)
        found = self._sized(taken, data, told)
        if found is None or found.bar is None:
            return found
        choosing = [measure.narrow for measure, _ in taken if measure.narrow is not None]
        if not choosing:
            return found
        for narrow in choosing:
            narrow(data, found.bar)
        return self._sized(taken, data, told)

    def _sized(self, taken: Taken, data: Tables, told: tuple[Told, ...]) -> _Found | None:
        tables = dict(self.source.tables)
        try:
            scenario = from_data(copy.deepcopy(data), self.source.name, tables)
        except ScenarioError:
            return None
        sized = decide(scenario.job, scenario.rear_bar)
        bar = sized.choice or sized.best
        if bar is None and not sized.nothing_to_bring_back:
            return None
        lean = sized.present if bar is None else bar.roll_gradient
        return _Found(taken, data, told, scenario, bar, lean, sized.choice is not None)


def what_else_helps(source: Source, scenario: Scenario, sizing: Sizing) -> tuple[Remedy, ...]:
    """Every remedy that brings something, each with a bar that lasts and keeps the balance.

    Those that reach the target come first, those on a condition after the plain ones, by the share
    of the gap that they close; where none does, the best two together as well.

    Notes
    -----
    Of each the least amount at which a bar is accepted, by halving; where all of it does not do,
    how far all of it goes.
    """
    if sizing.nothing_to_bring_back or _too_many(scenario):
        return ()
    trials = _Trials(source, scenario, sizing)
    offered = measures(trials.data, scenario, sizing)
    singles = [(measure, _least(trials, (), measure)) for measure in offered]
    found = [one for _, one in singles if one is not None]
    worth = [one for one in found if _is_worth(one, sizing)]
    if not any(one.reached for one in worth):
        worth += _pairs(trials, singles, worth, sizing)
    told = [_remedy(one, sizing, trials.held) for one in worth]
    return tuple(sorted(told, key=lambda one: (not one.reaches, one.on_condition, -one.gap_closed)))


def helps_not_counted(source: Source, scenario: Scenario) -> tuple[str, ...]:
    """What could help and cannot be counted from this file, a sentence each."""
    if _too_many(scenario):
        return (f"What else would help is counted for up to {MOST_SIZED_AGAIN} bars: list fewer.",)
    return tuple(not_counted(parsed(source.text), scenario))


def _too_many(scenario: Scenario) -> bool:
    """Sizing them again and again would take minutes."""
    return scenario.rear_bar.count > MOST_SIZED_AGAIN


def _least(trials: _Trials, others: Taken, measure: Measure) -> _Found | None:
    """With the least amount that reaches the target; else with all of it, or half if better."""
    last = len(measure.amounts) - 1
    whole = trials.done((*others, (measure, last)))
    if whole is None or not whole.reached:
        half = trials.done((*others, (measure, last // 2))) if last else None
        both = [one for one in (whole, half) if one is not None]
        return min(both, key=lambda one: (not one.reached, one.roll_gradient), default=None)
    low, high, best = -1, last, whole
    while high - low > 1:
        middle = (low + high) // 2
        found = trials.done((*others, (measure, middle)))
        if found is not None and found.reached:
            high, best = middle, found
        else:
            low = middle
    return best


def _pairs(
    trials: _Trials,
    singles: Sequence[tuple[Measure, _Found | None]],
    worth: Sequence[_Found],
    sizing: Sizing,
) -> list[_Found]:
    """The best two together, and the best two of those that are ordered with the bar."""
    ranked = [m for m, _ in sorted(singles, key=lambda pair: _lean_of(pair[1]))]
    of_the_bar = [measure for measure in ranked if measure.kind in OF_THE_BAR]
    found: list[_Found] = []
    for group, most in ((ranked, PAIRED), (of_the_bar, len(of_the_bar))):
        pair = _best_two(trials, group, most)
        if pair is None or any(pair.taken == other.taken for other in found):
            continue
        kinds = {measure.kind for measure, _ in pair.taken}
        parts = [one for one in worth if {m.kind for m, _ in one.taken} <= kinds]
        best = min((one.roll_gradient for one in parts), default=sizing.present)
        if _is_worth(pair, sizing) and (pair.reached or _less(pair.roll_gradient, best)):
            found.append(pair)
    return found


def _lean_of(found: _Found | None) -> float:
    return math.inf if found is None else found.roll_gradient


def _best_two(trials: _Trials, group: Sequence[Measure], most: int) -> _Found | None:
    """The first two that reach the target, with little of each; else those that go furthest.

    One of them is among the `most` that go furthest alone.
    """
    pairs = itertools.combinations(range(len(group)), 2)
    furthest = None
    for one, other in sorted((pair for pair in pairs if pair[0] < most), key=sum):
        both = tuple((group[n], len(group[n].amounts) - 1) for n in (one, other))
        found = trials.done(both)
        if found is not None and found.reached:
            return _as_little(trials, found)
        if found is not None and (furthest is None or found.roll_gradient < furthest.roll_gradient):
            furthest = found
    return furthest


def _as_little(trials: _Trials, found: _Found) -> _Found:
    """Less of the second, then less of the first."""
    first, second = found.taken
    less = _least(trials, (first,), second[0])
    found = found if less is None or not less.reached else less
    first, second = found.taken
    less = _least(trials, (second,), first[0])
    return found if less is None or not less.reached else less


def _is_worth(found: _Found, sizing: Sizing) -> bool:
    """It leans visibly less than now, and than with the best bar alone."""
    alone = sizing.present if sizing.best is None else sizing.best.roll_gradient
    return found.reached or _less(found.roll_gradient, alone)


def _less(lean: float, than: float) -> bool:
    return lean < than * (1.0 - VISIBLE)


def _remedy(found: _Found, sizing: Sizing, held: frozenset[str]) -> Remedy:
    steps = tuple(
        RemedyStep(measure.kind, told, n == len(measure.amounts) - 1, measure.subject)
        for (measure, n), told in zip(found.taken, found.told, strict=True)
    )
    springs = any(step.kind is RemedyKind.REAR_SPRINGS for step in steps)
    return Remedy(
        steps=steps,
        bar=found.bar,
        roll_gradient=found.roll_gradient,
        gap_closed=sizing.wanted.gap_closed(found.roll_gradient),
        accepted=found.accepted,
        change=_fragment(found, held),
        springs_suited=_suited(found.scenario) if springs else None,
        to_buy=sizing.candidates[0].part is not None
        and found.bar is not None
        and found.bar.part is None,
    )


def _suited(scenario: Scenario) -> bool:
    from rollsim.spring_check import Verdict, spring_checks  # few remedies are springs

    return all(check.rear.verdict is Verdict.SUITED for check in spring_checks(scenario.job))


def _fragment(found: _Found, held: frozenset[str]) -> str:
    """The tables that are other than in the file, as TOML."""
    import tomlkit  # only where something is to be pasted

    names = held | {name for measure, _ in found.taken for name in measure.tables}
    return tomlkit.dumps({name: found.data[name] for name in found.data if name in names})
