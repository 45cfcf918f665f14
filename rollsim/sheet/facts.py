"""Tables of the job sheet: weights, ratings, loads, states, springs, lean to be measured."""

from dataclasses import dataclass

from rollsim import mass
from rollsim.mass import State
from rollsim.reader_units import ReaderUnits
from rollsim.sentences import sentence
from rollsim.sheet import marked
from rollsim.sheet.marked import Entry
from rollsim.sheet.words import band_words
from rollsim.sheet.work import Work
from rollsim.spring_check import Verdict
from rollsim.spring_wording import UNSETTLED, reason_words
from rollsim.tell.figures import Figure
from rollsim.tell.names import state_words
from rollsim.tell.of_states import listed
from rollsim.tell.of_swerve import SWERVE
from rollsim.tell.ratings import RATING_WORDS, load_cell, not_checked_words, over_lines

_MASSES = {"front_axle", "rear_axle", "gross_vehicle_mass"}  # in the ratings' table already
_OF_MASS = ("total_mass", "front_axle_mass", "rear_axle_mass")
_SHOWN = (
    *("cg_height", "secant_roll_gradient", "front_load_transfer_share", "inner_front_lift"),
    *("inner_rear_lift", "tip_over_threshold"),
)


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
    """A load item as it was typed, and in which states it is on the vehicle, in their order.

    The remark tells that it was on the scales, or is up there only when parked.
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

    Front and rear: left wheel, right wheel, axle; an empty text where not given.
    """
    front, rear = (
        tuple(marked.typed(text, "vehicle", name) or Entry(name, "", "") for name in names)
        for names in marked.SCALES
    )
    return front, rear


def distinct(work: Work) -> tuple[int, ...]:
    """Places of the states that are worth a row: without "as weighed" where it is another one.

    Driven empty, the last one, is in the table of their figures alone.
    """
    states = mass.states(work.scenario.job)
    weighed = states[1]
    same = [_same(weighed, other, work) for n, other in enumerate(states) if n != 1]
    return tuple(n for n in range(len(states)) if n != 1 or not any(same))


def _same(one: State, other: State, work: Work) -> bool:
    job = work.scenario.job
    sprung = [mass.sprung_mass(job, state) for state in (one, other)]
    return sprung[0] == sprung[1] and mass.springs(job, one) == mass.springs(job, other)


def _in_figures(work: Work) -> tuple[int, ...]:
    """Places of the states in the table of their figures."""
    return (*distinct(work), *range(len(work.springs), len(work.before)))


def states_named(work: Work, *, figures: bool = False) -> tuple[str, ...]:
    """Names of the states that have a row or column of their own, or those in their figures."""
    places = _in_figures(work) if figures else distinct(work)
    return tuple(state_words(work.before[n].name) for n in places)


def over(work: Work, units: ReaderUnits) -> tuple[str, ...]:
    """Every rating that is exceeded, a line each; with the bar where there is one."""
    found = work.after or work.before
    shown = [found[n] for n in distinct(work)]
    return over_lines([(state_words(one.name), one.ratings) for one in shown], units)


def ratings(text: str, work: Work, units: ReaderUnits) -> tuple[RatingLine, ...]:
    """Each rating that is given, with its limit and what every state puts on it.

    With the bar where there is one; `text` is a scenario that can be read.
    """
    found = work.after or work.before
    chosen = [found[n].ratings for n in distinct(work)]
    return tuple(
        RatingLine(
            RATING_WORDS[checks[0].name],
            marked.typed(text, "ratings", checks[0].name),
            tuple(Cell(load_cell(c, units), c.over) for c in checks),
        )
        for checks in zip(*chosen, strict=True)
    )


def not_rated(work: Work) -> str:
    """Which ratings are not given, a sentence; empty where all that count are."""
    return sentence(not_checked_words(work.scenario.job))


def loads(text: str, work: Work) -> tuple[Carried, ...]:
    """The load items in the order of the file, and in which states they are on.

    `text` is a scenario that can be read, `work` the same, worked out.
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
    """The states side by side; where a bar is ordered, each figure before and with it."""
    rated = {check.name for check in work.before[0].ratings}
    names = _SHOWN if rated >= _MASSES else (*_OF_MASS, *_SHOWN)
    figures = (*listed((*work.before, *(work.after or ())), names), *SWERVE)
    return tuple(_line(one, work, units) for one in figures)


def _line(one: Figure, work: Work, units: ReaderUnits) -> Line:
    cells = []
    for n in _in_figures(work):
        said = one.cell(work.before[n], units)
        with_bar = one.cell(work.after[n], units) if work.after else said
        cells.append(Cell(said if said == with_bar else f"{said} → {with_bar}"))
    return Line(one.label(units, iso=False), tuple(cells))


def springs(work: Work, units: ReaderUnits) -> tuple[SpringLine, ...]:
    """The verdict on each axle's springs: front and rear of each state."""
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

    The loaded state and the empty one; one cell [deg], or two where a bar is ordered.
    """
    return tuple(
        Line(
            state_words(one.name),
            tuple(Cell(band_words(lean)) for lean in (one.before, one.after) if lean is not None),
        )
        for one in work.leans
    )
