"""Further questions on a vehicle, each with its lines, hint and usual slips."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from rollsim.reader_units import METRIC, ReaderUnits, decimals_of
from rollsim.roll import StateResult
from rollsim.teaching import at_rest, ride_height, tipping
from rollsim.teaching.board import Board, Part, Step
from rollsim.teaching.hand import HandNumbers, find_state, numbers_of, solve
from rollsim.teaching.slips import Slip
from rollsim.teaching.stages import Sits
from rollsim.teaching.working import moved, written
from rollsim.tell.figures import Figure
from rollsim.tell.of_states import STATE
from rollsim.units import to_unit
from rollsim.vehicle import Job

WORTH_ASKING = math.radians(0.1)  # of lean at rest


@dataclass(frozen=True, slots=True)
class Question:
    """A question, its answer by hand and what other answers come from.

    `right` and `slips` are in `unit`, the reader's; `hint` gives the way and no figure.
    `figure` is the full model's answer to it, where it has one.
    """

    title: str
    words: str
    hint: str
    unit: str
    right: float
    slips: Mapping[Slip, float]
    steps: tuple[Step, ...]
    figure: Figure | None = None

    @property
    def decimals(self) -> int:
        """With how many the figures are shown."""
        return decimals_of(self.unit)

    def by_model(self, model: StateResult, units: ReaderUnits) -> str:
        """What the full model says to it; empty where it has no such figure."""
        if self.figure is None:
            return ""
        return f"Full model: {self.figure.words} {self.figure.with_unit(model, units)}."


def asked(job: Job, name: str, units: ReaderUnits = METRIC) -> tuple[Question, ...]:
    """The questions that a state has something to ask about; tipping always, unless it topples.

    The name is as for `hand.find_state`.
    """
    numbers = numbers_of(job, name)
    lines = written(job, name, solve(numbers), units=units)
    found = [*_helpers(job, numbers, lines, units=units)]
    if at_rest.off_centre(numbers) and abs(solve(numbers.alike).lean_at_rest) >= WORTH_ASKING:
        found.append(_rest(job, name, numbers, lines=lines))
    if math.isfinite(solve(numbers).roll_gradient):
        found.append(_tipping(numbers, units))
    return tuple(found)


def _helpers(
    job: Job, numbers: HandNumbers, lines: tuple[Step, ...], *, units: ReaderUnits
) -> Iterable[Question]:
    """How deep the springs of each axle stand that has a helper."""
    for name, axle in zip(("front", "rear"), numbers.axles, strict=True):
        if not (axle.sits and axle.sits.more_load):
            continue
        slips = {s: to_unit(x, units.length) for s, x in _travel_slips(axle.sits).items()}
        yield Question(
            f"Helper, {name}",
            f"How far do the {name} springs go down from their height as weighed? Mind the helper. "
            "Up counts negative.",
            "What does one spring carry more than as weighed? Divide by the main rate. Is that "
            "past the gap c? Then the helper has pushed on all travel past c: δ = (F more + k₂ · "
            "c) / (k + k₂).",
            units.length,
            to_unit(axle.sits.down, units.length),
            slips,
            tuple(s for s in lines if s.part is Part.RIDE and f"{name} spring" in s.iso),
        )


def _travel_slips(sits: Sits) -> dict[Slip, float]:
    """Travel that each slip gives [m]."""
    load, rate = sits.more_load, sits.rate_as_weighed
    late = sits.stages or ((sits.following,) if sits.following else ())
    both = rate + sits.sense * sum(stage.step for stage in late)
    whole, next_one = sits.down + load / sits.rate, sits.following
    if next_one and sits.sense * (whole - next_one.start) > 0.0:
        past = (whole - next_one.start) * sits.rate / (sits.rate + sits.sense * next_one.step)
        whole = next_one.start + past
    found = {Slip.NO_GAP: load / both, Slip.WHOLE_AXLE: whole}
    if sits.stages:
        found[Slip.HELPER_LEFT_OUT] = load / rate
    return _other_than(sits.down, found)


def _rest(job: Job, name: str, numbers: HandNumbers, *, lines: tuple[Step, ...]) -> Question:
    found, state = solve(numbers.alike), find_state(job, name)
    right = math.degrees(abs(found.lean_at_rest))
    slips = {
        Slip.RADIANS: abs(found.lean_at_rest),
        Slip.GRAVITY_LEFT_OUT: right * found.net_stiffness / found.stiffness,
    }
    on, off = moved(job, state)
    loads = ride_height.aside(job, state, moved=(*off, *on))
    if len(loads) == 1:
        own = abs(loads[0][1].left_of_centreline)
        slips[Slip.ONLY_THE_LOAD] = right * own / abs(numbers.cg_left)
    needed = ("sprung CG left", "sprung weight", "net roll stiffness, grav", "static lean")
    return Question(
        "Lean at rest",
        "How far does it lean while it stands, before any bend?",
        "How far is what sits on the springs off the centreline? That offset times its weight is "
        "a moment; K net holds it, as in a bend.",
        "deg",
        right,
        _other_than(right, slips),
        tuple(s for s in lines if s.iso.startswith(needed)),
        STATE["static_lean"],
    )


def _tipping(numbers: HandNumbers, units: ReaderUnits) -> Question:
    found = solve(numbers)
    tips = tipping.tipping(numbers, found)
    over = tips.height + tips.moves_out
    slips = {
        Slip.NO_LEAN: tips.upright,
        Slip.WHOLE_TRACK: (2.0 * tips.half_track - tips.off_centre) / over,
        Slip.SPRUNG_HEIGHT: (tips.half_track - tips.off_centre)
        / (numbers.cg_height + tips.moves_out),
    }
    bend = f" in a {tips.bend} bend, where it tips sooner" if tips.outer else ""
    return Question(
        "Tipping point",
        f"At how many g of steady cornering does it tip over{bend}? Small angles, tyres that hold "
        "and do not give sideways.",
        "Take moments about the outer wheels: weight times half the track holds it, cornering "
        "force times CG height tips it. As it leans, the CG moves out.",
        "g",
        tips.at,
        _other_than(tips.at, slips),
        tuple(tipping.steps(Board(units), numbers, found)),
        STATE["tip_over_threshold"],
    )


def _other_than(right: float, slips: Mapping[Slip, float]) -> dict[Slip, float]:
    return {s: x for s, x in slips.items() if math.isfinite(x) and not math.isclose(x, right)}
