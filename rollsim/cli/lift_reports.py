"""Wheels, dampers and leaf packs: tables and JSON of `rollsim springs`."""

import math
from collections.abc import Callable, Iterator, Sequence

from rollsim.cli.layout import bullets, paragraph, section, side_by_side
from rollsim.lift_check import LiftCheck, WheelStand, camber_curve
from rollsim.lift_wording import LEAF_CAUTION, damper_words, damping_words, leaf_words
from rollsim.mass import UNLADEN, case_names
from rollsim.reader_units import METRIC, NO_FIGURE, ReaderUnits
from rollsim.spring_check import AXLES
from rollsim.tell.figures import Figure, Record, record, rows, why_null
from rollsim.tell.names import driven_empty_words, state_words
from rollsim.tell.of_lift import (
    CURVE,
    DAMPER,
    DAMPERS_LISTED,
    LEAF,
    LEAVES_LISTED,
    ONE_ARM,
    WHEEL,
    WHEELS_LISTED,
    damper_verdict,
)
from rollsim.vehicle import Job
from rollsim.wheel_wording import ALIGNMENT_CAUTION, WheelWords, one_arm_words, wheel_words

States = Sequence[tuple[str, object]]


def lift_tables(found: LiftCheck, units: ReaderUnits) -> tuple[str, ...]:
    """Every axle with an alignment, a damper, a leaf and its shackle; nothing without."""
    blocks: list[str] = []
    for end, states in found.wheels:
        title = f"Wheels, {end} axle"
        arms = [one_arm_words(end, arm, units) for of, arm in found.one_arm if of == end]
        blocks += section(f"{title}: what to order", bullets(arms))
        blocks += section(f"{title}: in words", _wheel_rows(states, units, set_once=bool(arms)))
        blocks += _table(title, states, WHEELS_LISTED, units=units)
    if found.wheels:
        blocks.append(paragraph(ALIGNMENT_CAUTION))
    for end, states in found.dampers:
        blocks += _section(
            f"Dampers, {end} axle", states, DAMPERS_LISTED, words=damper_words, units=units
        )
    if found.dampers:
        blocks.append(paragraph(damping_words(found.damping)))
    for end, states in found.leaves:
        title = f"Leaf packs, {end} axle"
        blocks += _section(title, states, LEAVES_LISTED, words=leaf_words, units=units)
    if found.leaves:
        blocks.append(paragraph(LEAF_CAUTION))
    every = {
        name
        for axles in (found.wheels, found.dampers, found.leaves)
        for _, states in axles
        for name, _ in states
    }
    if said := driven_empty_words(every):
        blocks.append(paragraph(said))
    return tuple(blocks)


def _wheel_rows(
    states: Sequence[tuple[str, WheelStand]], units: ReaderUnits, *, set_once: bool
) -> str:
    """What to order first, a state or several that are alike, then the rest in rows."""
    alike: dict[WheelWords, list[str]] = {}
    before = dict(states)[UNLADEN]
    for name, stand in states:
        words = wheel_words(stand, units, before=before, set_once=set_once)
        alike.setdefault(words, []).append(state_words(name))
    return "\n".join(
        line
        for words, names in alike.items()
        for line in (
            paragraph(f"{', '.join(names)}: {words.answer}", "  ", first="- "),
            *(paragraph(row, "    ", first="  - ") for row in words.lines),
        )
    )


def _table(
    title: str, states: States, listed: Sequence[Figure], *, units: ReaderUnits
) -> tuple[str, ...]:
    names = [state_words(name) for name, _ in states]
    lines = rows(listed, [of for _, of in states], units)
    shown = [line for line in lines if set(line.cells) != {NO_FIGURE}]
    return section(title, side_by_side(names, shown))


def _section(
    title: str,
    states: States,
    listed: Sequence[Figure],
    *,
    words: Callable[[object, ReaderUnits], str],
    units: ReaderUnits,
) -> list[str]:
    alike: dict[str, list[str]] = {}
    for name, of in states:
        alike.setdefault(words(of, units), []).append(state_words(name))
    told = [f"{', '.join(each)}: {said}" for said, each in alike.items()]
    return [
        *_table(title, states, listed, units=units),
        *section(f"{title}: in words", bullets(told)),
    ]


def curve_record(job: Job) -> Record:
    """Camber and toe against ride height, by axle, in the first load case: "camber_curve"."""
    case = case_names(job)[0]
    axles = {
        end: camber_curve(job, number, case)
        for number, end in enumerate(AXLES)
        if getattr(job.vehicle, end).alignment is not None
    }
    return {
        "camber_curve": {
            end: {"state": case, "points": [record(CURVE.values(), point) for point in points]}
            for end, points in axles.items()
            if points
        }
    }


def _told(
    found: LiftCheck, end: str, states: Sequence[tuple[str, WheelStand]]
) -> Iterator[tuple[str, WheelStand, WheelWords]]:
    """The wheels of an axle in every state, and what they take, as the text has it."""
    once, before = end in dict(found.one_arm), dict(states)[UNLADEN]
    for name, stand in states:
        yield name, stand, wheel_words(stand, METRIC, before=before, set_once=once)


def lift_record(found: LiftCheck) -> Record:
    """What `rollsim springs --json` adds: wheels, dampers, leaf packs, by axle and state."""
    return {
        "wheels": {
            end: {
                name: {
                    **record(WHEEL.values(), of),
                    "arm": None
                    if math.isnan(of.arm_track)
                    else ("lower", "upper")[of.arm_is_upper],
                    "verdict": None if of.verdict is None else of.verdict.value,
                    "caster_verdict": None
                    if of.caster_verdict is None
                    else of.caster_verdict.value,
                    "toe_verdict": None if of.toe_verdict is None else of.toe_verdict.value,
                    "too_rough": [WHEEL[one].key for one in of.too_rough],
                    "to_do": words.answer,
                    "rows": dict(words.rows),
                    "text": words.text,
                }
                for name, of, words in _told(found, end, states)
            }
            for end, states in found.wheels
        },
        "one_arm": {
            end: {
                "states": list(arm.states),
                **record(ONE_ARM.values(), arm),
                "arm": ("lower", "upper")[arm.upper],
                "text": one_arm_words(end, arm, METRIC),
            }
            for end, arm in found.one_arm
        },
        "damping": None
        if not found.dampers
        else {
            "roll_damping_ratio": None if found.damping is None else found.damping[0],
            "text": damping_words(found.damping),
        },
        "dampers": {
            end: {
                name: {
                    **record(DAMPER.values(), of),
                    "verdict": damper_verdict(of),
                    "text": damper_words(of, METRIC),
                }
                for name, of in states
            }
            for end, states in found.dampers
        },
        "leaf_packs": {
            end: {
                name: {
                    **record(LEAF.values(), of),
                    "sign": None if of.sign is None else of.sign.value,
                    "agrees_with_spring_check": of.agrees,
                    "text": leaf_words(of, METRIC),
                }
                for name, of in states
            }
            for end, states in found.leaves
        },
    }


def null_notes(found: LiftCheck) -> list[str]:
    """Why a figure is null, each reason once an axle."""
    notes = []
    if found.dampers and found.damping is None:
        notes.append("damping: roll_damping_ratio is null: no bounce test is given")
    for end, arm in found.one_arm:
        notes += [f"one_arm: {end}: {note}" for note in why_null(ONE_ARM.values(), [arm])]
    for what, axles, catalogue in (
        ("wheels", found.wheels, WHEEL),
        ("dampers", found.dampers, DAMPER),
        ("leaf_packs", found.leaves, LEAF),
    ):
        for end, states in axles:
            of = [one for _, one in states]
            notes += [f"{what}: {end}: {note}" for note in why_null(catalogue.values(), of)]
    return notes
