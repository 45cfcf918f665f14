"""The sheet's page on wheels, dampers and leaf packs, with the inputs that are theirs."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from rollsim import mass
from rollsim.drawing.lift_from_job import corner_of, dampers_of, leaf_of
from rollsim.lift_check import WheelStand
from rollsim.lift_wording import damper_words, damping_words, leaf_words
from rollsim.reader_units import NO_FIGURE, ReaderUnits
from rollsim.sheet.work import Work
from rollsim.tell.figures import Figure
from rollsim.tell.kinds import WHEEL_ANGLE, signed
from rollsim.tell.names import state_words
from rollsim.tell.of_lift import DAMPER, WHEEL, damper_verdict
from rollsim.wheel_travel import AlignmentReading
from rollsim.wheel_wording import ALIGNMENT_CAUTION, one_arm_words, wheel_words

_ANGLES = ("camber", "caster", "toe")
_TABLES = ("alignment", "damper", "leaf_and_shackle")
_REACH = (
    *("open_length", "closed_length", "bump_length", "droop_length", "left_at_bump"),
    *("left_at_droop", "needed_closed", "needed_open"),
)


@dataclass(frozen=True, slots=True)
class AngleLine:
    """One angle of one wheel, in words: empty, wanted, before as read, with the lift, after."""

    name: str
    stock: str
    before: str
    lifted: str
    wanted: str
    after: str


@dataclass(frozen=True, slots=True)
class AxleSheet:
    """The alignment of an axle: a picture, what to order, why in rows, and its angles."""

    axle: str
    drawn: str
    answers: tuple[str, ...]
    rows: tuple[str, ...]
    lines: tuple[AngleLine, ...]


@dataclass(frozen=True, slots=True)
class LeafSheet:
    """The leaf packs of an axle: a picture, and what each state looks like."""

    axle: str
    drawn: str
    lines: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class LiftSheet:
    """All of the page, with the name of the loaded state; `caution` is empty without wheels."""

    case: str
    wheels: tuple[AxleSheet, ...]
    dampers: str
    damper_headings: tuple[str, ...]
    damper_lines: tuple[tuple[str, ...], ...]
    damper_answers: tuple[str, ...]
    caution: str
    leaves: tuple[LeafSheet, ...]


def lift_sheet(work: Work, units: ReaderUnits) -> LiftSheet | None:
    """The page's content; None where neither an alignment nor a damper is given."""
    lift = work.lift
    if not (lift.wheels or lift.dampers or lift.leaves):
        return None
    job = work.scenario.job
    wheels = []
    for end, states in lift.wheels:
        stands = dict(states)
        alignment = getattr(job.vehicle, end).alignment
        arms = [one_arm_words(of, arm, units) for of, arm in lift.one_arm if of == end]
        before = stands[mass.UNLADEN]
        words = wheel_words(stands[work.case], units, before=before, set_once=bool(arms))
        here = f"{end.capitalize()} wheels, {state_words(work.case)}: {words.answer}."
        wheels.append(
            AxleSheet(
                end,
                corner_of(job, end, stands, work.case),
                (*arms, here),
                words.lines,
                _angles(stands, work.case, alignment.after, units),
            )
        )
    shown = tuple(DAMPER[name] for name in _REACH)
    loaded = [(end, dict(states)[work.case]) for end, states in lift.dampers]
    return LiftSheet(
        case=state_words(work.case),
        wheels=tuple(wheels),
        dampers=dampers_of(lift, work.case, units),
        damper_headings=tuple(one.label(units, iso=False) for one in shown),
        damper_lines=tuple(
            (end, damper_verdict(one), *(figure.cell(one, units) for figure in shown))
            for end, one in loaded
        ),
        damper_answers=(
            *(f"{end.capitalize()} dampers: {damper_words(one, units)}." for end, one in loaded),
            *[damping_words(lift.damping)] * bool(loaded),
        ),
        caution=ALIGNMENT_CAUTION if wheels else "",
        leaves=tuple(
            LeafSheet(
                end,
                leaf_of(job, end, dict(states), work.case, units),
                tuple((state_words(name), f"{leaf_words(one, units)}.") for name, one in states),
            )
            for end, states in lift.leaves
        ),
    )


def _angles(
    stands: Mapping[str, WheelStand], case: str, after: AlignmentReading, units: ReaderUnits
) -> tuple[AngleLine, ...]:
    """Camber, caster and toe of both wheels; what was not read is to be filled in."""
    states = [stands[name] for name in (mass.UNLADEN, mass.AS_WEIGHED, case)]
    found = []
    for word in _ANGLES:
        for number, side in enumerate(("left", "right")):
            figure = WHEEL[f"{side}_{word}"]
            stock, before, lifted = (_cell(figure, one, units) for one in states)
            read = getattr(after, word)
            done = math.nan if read is None else read[number]
            found.append(
                AngleLine(
                    f"{word}, {side}",
                    stock,
                    before,
                    lifted,
                    _cell(WHEEL[f"wanted_{word}"], states[-1], units),
                    "" if math.isnan(done) else signed(WHEEL_ANGLE.said(done, units)),
                )
            )
    return tuple(found)


def _cell(figure: Figure, stand: WheelStand, units: ReaderUnits) -> str:
    shown = figure.cell(stand, units)
    return "" if shown == NO_FIGURE else shown


def is_of_lift(group: str, key: str) -> bool:
    """Whether an input is listed on this page, not among the others."""
    first = key.partition(".")[0]
    if group == "change":
        return first in ("front_damper", "rear_damper")
    return group in ("front", "rear") and first in _TABLES
