"""How an offset leans the vehicle at rest, line by line, and what that does to its springs."""

import math
from collections.abc import Iterable

from rollsim.teaching.board import Board, Of, Part, Step
from rollsim.teaching.hand import AxleByHand, ByHand, HandAxle, HandNumbers, solve
from rollsim.teaching.stages import Sits

SEEN = 0.5e-3  # m: less is written as 0.000 m


def off_centre(numbers: HandNumbers) -> bool:
    """Whether the board shows an offset."""
    return abs(numbers.cg_left) >= SEEN


def steps(board: Board, numbers: HandNumbers, found: ByHand, *, alike: ByHand) -> Iterable[Step]:
    """Lean at rest, each spring's travel, and the stiffness where one side alone has its helper.

    `found` and `alike` are from `hand.solve`: of these numbers, and with both springs of an axle
    alike. There are no lines where the vehicle stands upright with both springs of each axle alike.
    """
    if off_centre(numbers):
        yield lean(board, numbers, alike)
    axles = (
        ("front", numbers.front, alike.front, found.front),
        ("rear", numbers.rear, alike.rear, found.rear),
    )
    for name, axle, by_hand, sided in axles:
        if axle.sits and off_centre(numbers):
            yield from _travels(board, name, axle, by_hand=by_hand, lean=alike.lean_at_rest)
        if axle.one_sided:
            yield from _rates(board, name, axle.sits)
            yield from _one_sided(board, name, axle, by_hand=sided)
    if any(axle.one_sided for axle in numbers.axles):
        yield from _whole(board, found)


def in_each_bend(board: Board, numbers: HandNumbers, found: ByHand) -> Iterable[Step]:
    """How far it leans from upright in a left and in a right bend, where an offset parts them."""
    if not off_centre(numbers):
        return
    w, rest = board.write, solve(numbers.alike).lean_at_rest
    for bend, out, into in (("left", "right", -rest), ("right", "left", rest)):
        sign = "−" if into < 0.0 else "+"
        yield board.step(
            Part.ANGLE,
            (f"in a {bend} bend it leans from upright, to the {out}", f"roll angle, {bend} bend"),
            f"φ {bend} bend = φ {sign} φ₀",
            put=f"{w(found.lean, Of.ANGLE)} {board.added(into, Of.ANGLE)}",
            value=found.lean + into,
            kind=Of.ANGLE,
        )


def lean(board: Board, numbers: HandNumbers, alike: ByHand) -> Step:
    """The lean at rest; `alike` has both springs of an axle alike."""
    w, side = board.write, "left" if numbers.cg_left > 0.0 else "right"
    weight, net = w(alike.weight, Of.FORCE), w(alike.net_stiffness, Of.STIFFNESS)
    off = w(abs(numbers.cg_left), Of.LENGTH)
    staged = any(axle.sits for axle in numbers.axles)
    why = "it decides how deep each spring stands" if staged else "it adds nothing to lean per g"
    return board.step(
        Part.REST,
        (f"lean at rest, to the {side}", "static lean of a CG off centre"),
        f"φ₀ = W · y / K net   ({why})",
        put=f"{weight} × {off} / {net} × 57.3 deg/rad",
        value=abs(alike.lean_at_rest),
        kind=Of.ANGLE,
    )


def _travels(
    board: Board, name: str, axle: HandAxle, *, by_hand: AxleByHand, lean: float
) -> Iterable[Step]:
    """How far down the left and the right spring are."""
    w, sits, symbol = board.write, axle.sits, "b" if axle.solid else "t"
    share, put = "", ""
    if math.isfinite(by_hand.tyres):
        share = f" · K {name} / K susp"
        put = f" × {w(by_hand.stiffness, Of.STIFFNESS)} / {w(by_hand.suspension, Of.STIFFNESS)}"
    for side, apart in (("left", sits.apart), ("right", -sits.apart)):
        sign = "−" if apart < 0.0 else "+"
        mean, down = f"δ {sign} ", f"{w(sits.down, Of.LENGTH)} {sign} "
        if not sits.more_load:  # both at the height as weighed
            mean = down = sign.replace("+", "")
        changed = sits.left if side == "left" else sits.right
        told = "other side of c: its rate changes" if changed else "same side of c: its rate stays"
        yield board.step(
            Part.REST,
            (f"{side} {name} spring goes down by", f"{name} spring travel at rest, {side}"),
            f"δ {side} = {mean}{symbol} / 2 · φ₀{share}   ({told})",
            put=f"{down}{w(axle.spring_base, Of.LENGTH)} / 2 × {w(abs(lean), Of.RADIANS)}{put}",
            value=sits.down + apart,
            kind=Of.LENGTH,
        )


def _rates(board: Board, name: str, sits: Sits) -> Iterable[Step]:
    """The rate of the side that a stage leaves or comes in on."""
    w = board.write
    for side, changes, rate in zip(
        ("left", "right"), (sits.left, sits.right), sits.rates, strict=True
    ):
        if changes:
            sign = "−" if rate < sits.rate else "+"
            bend = "" if sits.apart else "   (at c: in a left bend the right spring goes in)"
            yield board.step(
                Part.REST,
                (f"{side} {name} spring rate", f"{name} spring rate, {side} side alone"),
                f"k {side} = k {sign} k₂{bend}",
                put=" ".join(
                    [w(sits.rate, Of.RATE), *(board.added(s.step, Of.RATE) for s in changes)]
                ),
                value=rate,
                kind=Of.RATE,
            )


def _one_sided(board: Board, name: str, axle: HandAxle, *, by_hand: AxleByHand) -> Iterable[Step]:
    """Springs, suspension and axle once more, the two springs unlike."""
    w, symbol = board.write, "b" if axle.solid else "t"
    left, right = (w(rate, Of.RATE) for rate in axle.one_sided)
    others = {"bar": axle.bar_stiffness, "twist": axle.auxiliary_stiffness}
    parts = {"springs": by_hand.springs, **{key: k for key, k in others.items() if k}}
    suspension, tyres = w(by_hand.suspension, Of.STIFFNESS), w(by_hand.tyres, Of.STIFFNESS)
    yield board.step(
        Part.REST,
        (f"{name} springs, unlike, against lean", f"{name} spring roll stiffness, sides unlike"),
        f"K springs = {symbol}² · k left · k right / (k left + k right)",
        put=f"({w(axle.spring_base, Of.LENGTH)})² × {left} × {right} / ({left} + {right})",
        value=by_hand.springs,
        kind=Of.STIFFNESS,
    )
    if len(parts) > 1:
        yield board.step(
            Part.REST,
            (f"{name} suspension with them", f"{name} suspension roll stiffness, sides unlike"),
            "K susp = " + " + ".join(f"K {key}" for key in parts),
            put=" + ".join(w(k, Of.STIFFNESS) for k in parts.values()),
            value=by_hand.suspension,
            kind=Of.STIFFNESS,
        )
    if math.isfinite(by_hand.tyres):
        yield board.step(
            Part.REST,
            (f"{name} axle with them on its tyres", f"{name} roll stiffness, sides unlike"),
            f"K {name} = K susp · K tyres / (K susp + K tyres)",
            put=f"{suspension} × {tyres} / ({suspension} + {tyres})",
            value=by_hand.stiffness,
            kind=Of.STIFFNESS,
        )


def _whole(board: Board, found: ByHand) -> Iterable[Step]:
    w = board.write
    yield board.step(
        Part.REST,
        ("both axles together, once more", "total roll stiffness, sides unlike"),
        "K = K front + K rear",
        put=" + ".join(w(a.stiffness, Of.STIFFNESS) for a in (found.front, found.rear)),
        value=found.stiffness,
        kind=Of.STIFFNESS,
    )
    yield board.step(
        Part.REST,
        ("less what the leaning weight takes away, once more", "net roll stiffness, sides unlike"),
        "K net = K − W · d",
        put=f"{w(found.stiffness, Of.STIFFNESS)} − {w(found.moment, Of.MOMENT)}",
        value=found.net_stiffness,
        kind=Of.STIFFNESS,
    )
