"""Tables of the job sheet: weights, ratings, loads, states, springs, lean to be measured."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from rollsim import mass
from rollsim.mass import State
from rollsim.rating_wording import RATING_WORDS, not_checked_words
from rollsim.reader_units import NO_FIGURE, ReaderUnits, figure
from rollsim.roll import StateResult
from rollsim.sentences import sentence
from rollsim.sheet import marked
from rollsim.sheet.marked import Entry
from rollsim.sheet.words import band_words, state_words
from rollsim.sheet.work import Work
from rollsim.spring_check import Verdict
from rollsim.spring_wording import UNSETTLED, reason_words

_MASSES = {"front_axle", "rear_axle", "gross_vehicle_mass"}  # in the ratings' table already


@dataclass(frozen=True, slots=True)
class Cell:
    """A figure of a table; what is over is boxed."""

    words: str
    over: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """A row of a table: its name and its cells."""

    name: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class RatingLine:
    """A rating: its name, the limit as typed, and what each state puts on it."""

    name: str
    limit: Entry
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Carried:
    """A load item: as it was typed, and in which states it is on the vehicle.

    Parameters
    ----------
    item : LoadEntry
        As typed.
    remark : str
        That it was on the scales, or is up there only when parked.
    aboard : tuple of bool
        One for each state.
    """

    item: marked.LoadEntry
    remark: str
    aboard: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class SpringLine:
    """The springs of one axle in one state, in words."""

    state: str
    axle: str
    verdict: str
    reason: str
    over: bool


def scales(text: str) -> tuple[tuple[Entry, ...], tuple[Entry, ...]]:
    """What the scales said, as typed; what is not given is to be filled in.

    Parameters
    ----------
    text : str
        A scenario that can be read, TOML.

    Returns
    -------
    tuple of two tuples of Entry
        Front and rear: left wheel, right wheel, axle; an empty text where not given [as typed].
    """
    front, rear = (
        tuple(marked.typed(text, "vehicle", name) or Entry(name, "", "") for name in names)
        for names in marked.SCALES
    )
    return front, rear


def distinct(work: Work) -> tuple[int, ...]:
    """Places of the states that are worth a row: without "as weighed" where it is another one.

    Parameters
    ----------
    work : Work
        Worked out.

    Returns
    -------
    tuple of int
        Positions among the states [-].
    """
    states = mass.states(work.scenario.job)
    weighed = states[1]
    same = [_same(weighed, other, work) for n, other in enumerate(states) if n != 1]
    return tuple(n for n in range(len(states)) if n != 1 or not any(same))


def _same(one: State, other: State, work: Work) -> bool:
    job = work.scenario.job
    sprung = [mass.sprung_mass(job, state) for state in (one, other)]
    return sprung[0] == sprung[1] and mass.springs(job, one) == mass.springs(job, other)


def states_named(work: Work) -> tuple[str, ...]:
    """Names of the states that have a row or column of their own."""
    names = [result.name for result in work.before]
    return tuple(state_words(names[n]) for n in distinct(work))


def over(work: Work, units: ReaderUnits) -> tuple[str, ...]:
    """Every rating that is exceeded, in words.

    Parameters
    ----------
    work : Work
        Worked out; with the bar where there is one.
    units : ReaderUnits
        For masses.

    Returns
    -------
    tuple of str
        A line each.
    """
    unit, found = units.mass, work.after or work.before
    return tuple(
        f"{state_words(found[n].name)}: {RATING_WORDS[check.name]} "
        f"{figure(check.load, unit)} {unit}, allowed {figure(check.limit, unit)} {unit}: "
        f"{figure(check.load - check.limit, unit, 1)} {unit} too much"
        for n in distinct(work)
        for check in found[n].ratings
        if check.over
    )


def ratings(text: str, work: Work, units: ReaderUnits) -> tuple[RatingLine, ...]:
    """Each rating with its limit and what every state puts on it.

    Parameters
    ----------
    text : str
        A scenario that can be read, TOML.
    work : Work
        The same, worked out; with the bar where there is one.
    units : ReaderUnits
        For masses.

    Returns
    -------
    tuple of RatingLine
        Those that are given.
    """
    found = work.after or work.before
    chosen = [found[n].ratings for n in distinct(work)]
    return tuple(
        RatingLine(
            RATING_WORDS[checks[0].name],
            marked.typed(text, "ratings", checks[0].name),
            tuple(Cell(_on_it(c.load, units, over=c.over), c.over) for c in checks),
        )
        for checks in zip(*chosen, strict=True)
    )


def not_rated(work: Work) -> str:
    """Which ratings are not given, a sentence; empty where all that count are.

    Parameters
    ----------
    work : Work
        Worked out.

    Returns
    -------
    str
        Without figures.
    """
    return sentence(not_checked_words(work.scenario.job))


def _on_it(load: float, units: ReaderUnits, *, over: bool) -> str:
    return f"{figure(load, units.mass)}{' OVER' if over else ''}"


def loads(text: str, work: Work) -> tuple[Carried, ...]:
    """The load items, and in which states they are on.

    Parameters
    ----------
    text : str
        A scenario that can be read, TOML.
    work : Work
        The same, worked out.

    Returns
    -------
    tuple of Carried
        In the order of the file.
    """
    job = work.scenario.job
    states = mass.states(job)
    shown = [states[n] for n in distinct(work)]
    return tuple(
        Carried(
            item,
            "was on the scales" if load.on_when_weighed else "parked only" * load.parked_only,
            tuple(load in state.loads for state in shown),
        )
        for item, load in zip(marked.loads(text), job.loads, strict=True)
    )


def states(work: Work, units: ReaderUnits) -> tuple[Line, ...]:
    """The states side by side; where a bar is ordered, each figure before and with it.

    Parameters
    ----------
    work : Work
        Worked out.
    units : ReaderUnits
        For masses and lengths.

    Returns
    -------
    tuple of Line
        A cell for each state.
    """
    shown = distinct(work)

    def line(name: str, unit: str, value: Callable[[StateResult], float]) -> Line:
        cells = []
        for n in shown:
            words = _shown(value(work.before[n]), unit)
            if work.after:
                with_bar = _shown(value(work.after[n]), unit)
                words = words if words == with_bar else f"{words} → {with_bar}"
            cells.append(Cell(words))
        return Line(f"{name}, {unit}" if unit else name, tuple(cells))

    masses = (
        line("mass", units.mass, lambda r: r.total_mass),
        line("on the front axle", units.mass, lambda r: r.front_axle_mass),
        line("on the rear axle", units.mass, lambda r: r.rear_axle_mass),
    )
    rated = {check.name for check in work.before[0].ratings}
    return (
        *(() if rated >= _MASSES else masses),
        line("CG height", units.length, lambda r: r.cg_height),
        line("lean per g at 0.4 g", "deg/g", lambda r: r.secant_roll_gradient),
        line("front share of weight transfer", "", lambda r: r.front_load_transfer_share),
        line("inner front wheel lifts", "g", lambda r: r.inner_front_lift),
        line("inner rear wheel lifts", "g", lambda r: r.inner_rear_lift),
        line("tipping point", "g", lambda r: r.tip_over_threshold),
    )


def _shown(value: float, unit: str) -> str:
    return figure(value, unit) if math.isfinite(value) else NO_FIGURE


def springs(work: Work, units: ReaderUnits) -> tuple[SpringLine, ...]:
    """The verdict on each axle's springs, state by state.

    Parameters
    ----------
    work : Work
        Worked out.
    units : ReaderUnits
        For lengths, forces and masses.

    Returns
    -------
    tuple of SpringLine
        Front and rear of each state.
    """
    found = []
    for n in distinct(work):
        check = work.springs[n]
        for axle, one in (("front", check.front), ("rear", check.rear)):
            verdict = UNSETTLED if one.verdict is None else one.verdict.value
            found.append(
                SpringLine(
                    state_words(check.name),
                    axle,
                    verdict,
                    reason_words(one, units),
                    one.verdict is Verdict.OVER_LOADED,
                )
            )
    return tuple(found)


def leans(work: Work) -> tuple[Line, ...]:
    """Lean at 0.3 g: before, predicted; what is measured is left to be filled in.

    Parameters
    ----------
    work : Work
        Worked out.

    Returns
    -------
    tuple of Line
        The loaded state and the empty one; one cell, or two where a bar is ordered [deg].
    """
    return tuple(
        Line(
            state_words(one.name),
            tuple(Cell(band_words(lean)) for lean in (one.before, one.after) if lean is not None),
        )
        for one in work.leans
    )
