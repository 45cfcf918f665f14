"""What the trainer's page says and shows, put into words, tables and large figures."""

import math
from collections.abc import Sequence
from html import escape

import pandas as pd

from rollsim import mass
from rollsim.drawing import body_pose, rear_view, rear_view_of, side_by_side
from rollsim.drawing.effect_curve import Axis, effect_curve
from rollsim.reader_units import NO_FIGURE, ReaderUnits, figure
from rollsim.teaching import at_rest, leaning
from rollsim.teaching.bay import LeanPrediction, LeanResult
from rollsim.teaching.board import Step
from rollsim.teaching.effects import Effect, EffectCurve, Lever, Sensitivity
from rollsim.teaching.slips import PART, Outcome, Verdict
from rollsim.teaching.working import Working
from rollsim.teaching.worksheet import Given
from rollsim.tell.names import state_words
from rollsim.units import to_unit
from rollsim.vehicle import Job

# A projector shows 1920 px across a wall: all is drawn larger there, and tables in full ink.
PROJECTOR = """<style>
@media (min-width: 1600px) {
  html { font-size: 21px !important }
  [data-testid="stTable"] *, [data-testid="stAlert"] p { font-size: 1rem !important }
}
[data-testid="stTable"] th { color: inherit !important }
</style>"""
_STYLE = """<style>
.step { break-inside: avoid }
@media (min-width: 1600px) { .steps { columns: 2; column-gap: 3rem } }
.step { border-left: 4px solid currentColor; padding: .2rem 0 .2rem .8rem; margin: 0 0 1.1rem }
.step b { font-size: 1.15rem }
.step .formula { font-size: 1.3rem; margin: .15rem 0 }
.step .numbers { font-size: 1.15rem; overflow-wrap: anywhere }
.step .result { font-size: 1.5rem; font-weight: 700 }
.step summary { cursor: pointer; font-size: 1.15rem }
</style>"""

INDENT = "\N{EM SPACE}"  # a plain space at the start of a cell is dropped by the browser


def steps_html(steps: Sequence[Step], *, folded: bool = False) -> str:
    """Lines of a working, large enough for a projector.

    `folded`: numbers and result of each line open at a click.
    """
    lines = []
    for step in steps:
        worked = (
            f'<div class="numbers">= {escape(step.numbers)}</div>'
            f'<div class="result">{step.equals} {escape(step.result)}</div>'
        )
        if folded:
            worked = f"<details><summary>numbers and result</summary>{worked}</details>"
        lines.append(
            f'<div class="step"><b>{escape(step.shop)}</b> ({escape(step.iso)})'
            f'<div class="formula">{escape(step.formula)}</div>{worked}</div>'
        )
    return f'{_STYLE}<div class="steps">{"".join(lines)}</div>'


def given_table(rows: Sequence[Given]) -> pd.DataFrame:
    """The vehicle's numbers, the shop's word before the ISO word."""
    names = [f"{row.shop} ({row.iso})" for row in rows]
    pairs = [(row.front.removeprefix("front "), row.rear.removeprefix("rear ")) for row in rows]
    cells = [[cell.replace(" ", "\N{NO-BREAK SPACE}") for cell in pair] for pair in pairs]
    index = pd.Index(names, name="")
    return pd.DataFrame(cells, index=index, columns=["front", "rear"])


HINT = (
    "What leans it: the weight on the springs times its height above the roll axis. What holds it: "
    "on each axle springs and bar, which stand on the tyres: in series, so softer than either, "
    "because the axle leans too. Both axles together, less what the leaning weight takes away. "
    "The first over the second is radians per g; times 57.3 makes degrees."
)


def model_answer(verdict: Verdict) -> str:
    """What is said where the full model's own figure is typed; a slip may give about the same."""
    words = (
        "That is the full model's own figure, not the one by hand: what lies between the two "
        "stands under the working."
    )
    if not verdict.slips:
        return words
    return f"{words} A slip gives about this figure too. {_check(verdict)}"


def verdict_words(verdict: Verdict, *, last: bool = True) -> str:
    """What the answer is, in a sentence or two; how far off only after the `last` try."""
    if verdict.outcome is Outcome.RIGHT:
        return "Right."
    if verdict.outcome is Outcome.SLIP:
        return verdict.slips[0].value
    if verdict.outcome is Outcome.SEVERAL:
        words = "More than one slip gives about this figure, so none is named."
        if len(verdict.slips) == 1:
            words = "Close to the figure by hand, but a usual slip gives about this figure too."
        return f"{words} {_check(verdict)}"
    if verdict.ratio < 0.0:
        off = "it is negative, and lean out of the bend counts as positive"
    elif last:
        off = f"it is {verdict.ratio:.2f} times the figure by hand"
    else:
        off = "it is too much" if verdict.ratio > 1.0 else "it is too little"
    then = "Go through the working line by line." if last else "Take the hint and try again."
    return f"Neither the figure by hand nor a usual slip: {off}. {then}"


def _check(verdict: Verdict) -> str:
    """The parts of the working that the slips lie in."""
    parts = dict.fromkeys(PART[slip].value for slip in verdict.slips)
    return f"Check: {'; '.join(parts)}."


def bend_words(found: Working) -> str:
    """Which bend a figure is of, where the two differ; to stand after it."""
    return " in a left bend" if at_rest.off_centre(found.numbers) else ""


def missed_table(found: Working) -> pd.DataFrame:
    """From the figure by hand to the model's, effect by effect [deg/g]."""
    hand = found.by_hand.roll_gradient
    rows = {"by hand": (hand, hand)}
    for m in found.missed:
        rows[f"{INDENT}{m.effect.value}"] = (m.roll_gradient, m.secant_roll_gradient)
    rows["full model"] = (found.model.roll_gradient, found.model.secant_roll_gradient)
    cells = [
        [_signed(v, "deg/g") if n.startswith(INDENT) else figure(v, "deg/g") for v in row]
        for n, row in rows.items()
    ]
    columns = ["straight ahead, deg/g", f"at 0.4 g{bend_words(found)}, deg/g"]
    return pd.DataFrame(cells, index=pd.Index(list(rows), name=""), columns=columns)


def missed_words(found: Working) -> tuple[str, ...]:
    """What each effect is; one line where nothing is missed."""
    if not found.missed:
        return ("Nothing that shows in two decimals: this vehicle is as plain as the formula.",)
    return tuple(f"{m.effect.value.capitalize()}: {m.words}" for m in found.missed)


def transfer_table(found: Working, units: ReaderUnits) -> pd.DataFrame:
    """Weight transfer of each axle by part, by hand and from the model at 0.4 g."""
    rows, cells = [], []
    by_hand = (found.by_hand.front, found.by_hand.rear)
    for axle, hand, model in zip(
        ("front", "rear"), by_hand, found.model.load_transfer, strict=True
    ):
        for words, ours, theirs in (
            ("through springs and bar (elastic)", hand.elastic, model.elastic),
            ("through the roll centre (geometric)", hand.geometric, model.geometric),
            ("of the axle's own weight (unsprung)", hand.unsprung, model.unsprung),
            ("in all (lateral load transfer)", hand.transfer, model.total),
        ):
            rows.append(f"{axle}: {words}")
            cells.append([figure(ours, units.force), figure(theirs, units.force)])
    columns = [f"by hand, {units.force}", f"full model, {units.force}"]
    return pd.DataFrame(cells, index=pd.Index(rows, name=""), columns=columns)


def amount(lever: Lever, value: float, units: ReaderUnits) -> str:
    """A value of an input [SI] with the reader's unit."""
    unit = _unit(lever.effect, units)
    return f"{figure(value, unit)} {unit}"


def sensitivity_table(
    found: Sequence[Sensitivity], base: float, units: ReaderUnits
) -> pd.DataFrame:
    """What 10 % more of each input does, the strongest first; `base` is the lean per g now."""
    cells = [
        [
            amount(s.lever, s.now, units),
            _signed(s.gradient_change, "deg/g"),
            f"{_sign(s.gradient_change)}{abs(s.gradient_change / base):.1%}",
            f"{_sign(s.share_change)}{abs(100.0 * s.share_change):.1f}",
        ]
        for s in found
    ]
    columns = ["now", "lean per g, deg/g", "lean per g, share", "front share, points"]
    return pd.DataFrame(
        cells, index=pd.Index([s.lever.words for s in found], name="10 % more of"), columns=columns
    )


def effect_picture(found: EffectCurve, now: int, at: int, units: ReaderUnits) -> str:
    """Lean per g along one input, as SVG."""
    unit = _unit(found.lever.effect, units)
    whole = max(abs(to_unit(found.values[-1], unit)), 1e-9) >= 100.0
    return effect_curve(
        Axis(
            f"{found.lever.words}, {unit}",
            tuple(to_unit(v, unit) for v in found.values),
            0 if whole else 1,
        ),
        Axis(
            "lean per g (roll gradient), deg/g",
            tuple(to_unit(v, "deg/g") for v in found.roll_gradients),
            2,
        ),
        now=now,
        at=at,
    )


def lever_words(found: EffectCurve, units: ReaderUnits) -> str:
    """What the slider moves, and how far."""
    first, last = (amount(found.lever, found.values[n], units) for n in (0, -1))
    if not found.now:
        return f"{found.lever.words}: there is none; how much of {last} to add"
    return f"{found.lever.words}: how much more or less ({first} to {last})"


def effect_words(found: EffectCurve, now: int, at: int, units: ReaderUnits) -> str:
    """Before and after in one sentence."""
    before, after = found.roll_gradients[now], found.roll_gradients[at]
    change = after / before - 1.0
    share = 100.0 * (found.front_shares[at] - found.front_shares[now])
    lever = found.lever
    if not math.isfinite(after):
        return f"{lever.words} {amount(lever, found.values[at], units)}: the body topples at rest."
    return (
        f"{lever.words} {amount(lever, found.values[now], units)} → "
        f"{amount(lever, found.values[at], units)}: lean per g {figure(before, 'deg/g')} → "
        f"{figure(after, 'deg/g')} deg/g ({_sign(change)}{abs(change):.0%}); front share of the "
        f"weight transfer {_sign(share)}{abs(share):.1f} points."
    )


def effect_view(
    job: Job, state: str, curve: EffectCurve, *, now: int, at: int, units: ReaderUnits
) -> str:
    """The vehicle from behind at 0.4 g with the input as chosen; dashed: as it is now."""
    before, after = leaning.points(job, state, curve, now=now, at=at)
    changed = leaning.changed(job, state, curve, at=at)
    stands = mass.named(changed, state)
    still = after or before
    if still is None:
        return ""
    view = rear_view_of(
        changed,
        stands,
        still,
        title=f"At 0.4 g, {curve.lever.words} {amount(curve.lever, curve.values[at], units)}",
        bend="left",
        ghost=before and body_pose(job, mass.named(job, state), before),
        missing="" if after else "it tips before 0.4 g",
        force_unit=units.force,
    )
    return side_by_side([rear_view(view)])


def effect_table(found: EffectCurve, units: ReaderUnits) -> pd.DataFrame:
    """The curve in figures."""
    unit = _unit(found.lever.effect, units)
    cells = [
        (figure(v, unit), figure(g, "deg/g"), figure(s, "", 3))
        for v, g, s in zip(found.values, found.roll_gradients, found.front_shares, strict=True)
    ]
    columns = [f"{found.lever.words}, {unit}", "lean per g, deg/g", "front share"]
    return pd.DataFrame(cells, columns=columns)


def prediction_words(found: LeanPrediction, units: ReaderUnits) -> str:
    """What the level and the tape should read."""
    return (
        f"moment {figure(to_unit(found.moment, 'N·m'), '', 0)} N·m; lean towards the mass: left "
        f"{figure(found.to_left, 'deg')} deg, right {figure(found.to_right, 'deg')} deg (by hand "
        f"{figure(found.by_hand, 'deg')} deg); rear wheel arches "
        f"{figure(found.arch_difference, units.length)} {units.length} apart in height."
    )


def result_words(found: LeanResult, units: ReaderUnits) -> str:
    """Measured beside predicted."""
    return (
        f"measured {figure(found.lean, 'deg')} deg as mean of both sides, {found.ratio:.2f} times "
        f"the prediction; net roll stiffness "
        f"{figure(found.roll_stiffness, units.roll_stiffness)} {units.roll_stiffness}. A level "
        f"that is 0.1 deg off makes {found.reading:.0%} of this lean."
    )


def question(found: Working, name: str, vehicle: str) -> str:
    """What the class is asked first."""
    return f'How much does "{vehicle}" lean per g{bend_words(found)}, loaded "{state_words(name)}"?'


def _unit(effect: Effect, units: ReaderUnits) -> str:
    if effect is Effect.BAR:
        return units.roll_stiffness
    return units.rate if effect in (Effect.SPRING_RATE, Effect.TYRE) else units.length


def _sign(value: float) -> str:
    return "−" if value < 0.0 else "+"


def _signed(value: float, unit: str) -> str:
    if not math.isfinite(value):
        return NO_FIGURE
    return f"{_sign(value)}{figure(abs(value), unit)}"
