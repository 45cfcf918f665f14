"""The hand formula line by line: moment, stiffness, angle; the weight transfer follows."""

import math
from collections.abc import Iterable

from rollsim.reader_units import METRIC, ReaderUnits
from rollsim.teaching import at_rest, transfer
from rollsim.teaching.board import Board, Of, Part, Step
from rollsim.teaching.hand import AxleByHand, ByHand, HandAxle, HandNumbers, solve


def steps(numbers: HandNumbers, found: ByHand, units: ReaderUnits = METRIC) -> tuple[Step, ...]:
    """Moment, stiffness, angle and weight transfer, line by line.

    In the order of the board; `found` is from `hand.solve` on the same numbers. Rigid tyres have no
    lines, nor has a vehicle that stands upright any at rest.

    Examples
    --------
    >>> from rollsim.teaching.hand import HandAxle, solve
    >>> axle = HandAxle(True, 1.5, 1.0, 40e3, 0.0, 0.0, math.inf, 0.3, 150.0, 0.35, 0.5)
    >>> numbers = HandNumbers(1500.0, 0.8, axle, axle)
    >>> line = steps(numbers, solve(numbers))[1]
    >>> line.formula, line.numbers, line.result
    ('d = hₛ − h₀', '0.800 m − 0.300 m', '0.500 m')
    """
    board = Board(units)
    tyres = not all(math.isinf(axle.tyre_rate) for axle in numbers.axles)
    alike = solve(numbers.alike, found.lateral_acceleration)
    axles = (("front", numbers.front, found.front), ("rear", numbers.rear, found.rear))
    lines = [*_moment(board, numbers, found)]
    for name, axle, by_hand in zip(
        ("front", "rear"), numbers.axles, (alike.front, alike.rear), strict=True
    ):
        lines += _suspension(board, name, axle, by_hand=by_hand)
        lines += _tyres(board, name, axle, by_hand=by_hand) if tyres else ()
    lines += _whole_stiffness(board, alike)
    lines += at_rest.steps(board, numbers, found, alike=alike)
    for name, axle, by_hand in axles if tyres else ():
        weight = (found.weight, numbers.gravity)
        lines.append(_passed_on(board, name, axle, by_hand=by_hand, weight=weight))
    lines += _angle(board, found, tyres=tyres)
    lines += at_rest.in_each_bend(board, numbers, found)
    return (*lines, *transfer.steps(board, numbers, found, tyres=tyres))


def _moment(board: Board, numbers: HandNumbers, found: ByHand) -> Iterable[Step]:
    w = board.write
    yield board.step(
        Part.MOMENT,
        ("height of the roll axis under the load", "roll axis height at the sprung CG"),
        "h₀ = front share × h front + rear share × h rear",
        put=" + ".join(
            f"{w(a.share, Of.SHARE)} × {w(a.roll_centre_height, Of.LENGTH)}" for a in numbers.axles
        ),
        value=found.roll_axis_height,
        kind=Of.LENGTH,
    )
    yield board.step(
        Part.MOMENT,
        ("leaning arm", "height of the sprung CG above the roll axis"),
        "d = hₛ − h₀",
        put=f"{w(numbers.cg_height, Of.LENGTH)} − {w(found.roll_axis_height, Of.LENGTH)}",
        value=found.arm,
        kind=Of.LENGTH,
    )
    yield board.step(
        Part.MOMENT,
        ("weight on the springs", "sprung weight"),
        "W = mₛ · g",
        put=f"{w(numbers.sprung_mass, Of.MASS)} × {board.gravity(numbers.gravity)}",
        value=found.weight,
        kind=Of.FORCE,
    )
    yield board.step(
        Part.MOMENT,
        ("leaning moment at 1 g", "roll moment per g"),
        "M = W · d",
        put=f"{w(found.weight, Of.FORCE)} × {w(found.arm, Of.LENGTH)}",
        value=found.moment,
        kind=Of.MOMENT,
    )


def _suspension(board: Board, name: str, axle: HandAxle, *, by_hand: AxleByHand) -> Iterable[Step]:
    """Springs, bar and auxiliary stiffness of one axle, and their sum."""
    w = board.write
    base, symbol = ("spring base", "b") if axle.solid else ("track", "t")
    yield board.step(
        Part.STIFFNESS,
        (f"{name} springs against lean", f"{name} spring roll stiffness"),
        f"K springs = k · {symbol}² / 2   ({symbol}: {base})",
        put=f"{w(axle.spring_rate, Of.RATE)} × ({w(axle.spring_base, Of.LENGTH)})² / 2",
        value=by_hand.springs,
        kind=Of.STIFFNESS,
    )
    rest = (
        ("bar", "anti-roll bar", "bar roll stiffness", axle.bar_stiffness),
        (
            "twist",
            "bush and leaf twist",
            "auxiliary roll stiffness",
            axle.auxiliary_stiffness,
        ),
    )
    parts = {"springs": by_hand.springs}
    for key, shop, iso, stiffness in rest:
        if stiffness:
            parts[key] = stiffness
            yield board.step(
                Part.STIFFNESS,
                (f"{name} {shop}", f"{name} {iso}"),
                f"K {key} per degree × 57.3",
                put=f"{w(stiffness, Of.SHOP_STIFFNESS)} × 57.3 deg/rad",
                value=stiffness,
                kind=Of.STIFFNESS,
            )
    if len(parts) > 1:
        yield board.step(
            Part.STIFFNESS,
            (f"{name} suspension together", f"{name} suspension roll stiffness"),
            "K susp = " + " + ".join(f"K {key}" for key in parts),
            put=" + ".join(w(k, Of.STIFFNESS) for k in parts.values()),
            value=by_hand.suspension,
            kind=Of.STIFFNESS,
        )


def _tyres(board: Board, name: str, axle: HandAxle, *, by_hand: AxleByHand) -> Iterable[Step]:
    w = board.write
    yield board.step(
        Part.STIFFNESS,
        (f"{name} tyres against lean", f"{name} tyre roll stiffness"),
        "K tyres = k tyre · t² / 2",
        put=f"{w(axle.tyre_rate, Of.RATE)} × ({w(axle.track, Of.LENGTH)})² / 2",
        value=by_hand.tyres,
        kind=Of.STIFFNESS,
    )
    suspension, tyres = w(by_hand.suspension, Of.STIFFNESS), w(by_hand.tyres, Of.STIFFNESS)
    yield board.step(
        Part.STIFFNESS,
        (
            f"{name} suspension standing on its tyres",
            f"{name} roll stiffness, suspension and tyres in series",
        ),
        f"K {name} = K susp · K tyres / (K susp + K tyres)",
        put=f"{suspension} × {tyres} / ({suspension} + {tyres})",
        value=by_hand.stiffness,
        kind=Of.STIFFNESS,
    )


def _whole_stiffness(board: Board, found: ByHand) -> Iterable[Step]:
    w = board.write
    yield board.step(
        Part.STIFFNESS,
        ("both axles together", "total roll stiffness"),
        "K = K front + K rear",
        put=" + ".join(w(a.stiffness, Of.STIFFNESS) for a in (found.front, found.rear)),
        value=found.stiffness,
        kind=Of.STIFFNESS,
    )
    yield board.step(
        Part.STIFFNESS,
        ("less what the leaning weight takes away", "net roll stiffness, gravity term taken off"),
        "K net = K − W · d",
        put=f"{w(found.stiffness, Of.STIFFNESS)} − {w(found.moment, Of.MOMENT)}",
        value=found.net_stiffness,
        kind=Of.STIFFNESS,
    )


def _passed_on(
    board: Board,
    name: str,
    axle: HandAxle,
    *,
    by_hand: AxleByHand,
    weight: tuple[float, float],
) -> Step:
    """What the axle's own lean on its tyres does to the body; `weight`: sprung weight, gravity."""
    w = board.write
    sprung = f"{w(weight[0], Of.FORCE)} × {w(axle.share, Of.SHARE)}"
    own = f"{w(axle.unsprung_mass, Of.MASS)} × {board.gravity(weight[1])}"
    suspension, tyres = w(by_hand.suspension, Of.STIFFNESS), w(by_hand.tyres, Of.STIFFNESS)
    return board.step(
        Part.ANGLE,
        (
            f"{name} axle leans on its tyres and takes the body along",
            f"{name} axle roll moment per g, passed on to the body",
        ),
        f"N {name} = (W · share · h + mᵤ · g · hᵤ) · K susp / (K susp + K tyres)",
        put=f"({sprung} × {w(axle.roll_centre_height, Of.LENGTH)} + "
        f"{own} × {w(axle.unsprung_cg_height, Of.LENGTH)}) × "
        f"{suspension} / ({suspension} + {tyres})",
        value=by_hand.passed_on,
        kind=Of.MOMENT,
    )


def _angle(board: Board, found: ByHand, *, tyres: bool) -> Iterable[Step]:
    w = board.write
    axles = (found.front, found.rear)
    extra = "".join(f" + {w(a.passed_on, Of.MOMENT)}" for a in axles) if tyres else ""
    in_g = w(found.lateral_acceleration, Of.IN_G)
    yield board.step(
        Part.ANGLE,
        ("lean per g", "roll gradient"),
        f"φ per g = {'(M + N front + N rear)' if tyres else 'M'} / K net × 57.3",
        put=f"({w(found.moment, Of.MOMENT)}{extra}) / {w(found.net_stiffness, Of.STIFFNESS)} "
        "× 57.3 deg/rad",
        value=found.roll_gradient,
        kind=Of.GRADIENT,
    )
    yield board.step(
        Part.ANGLE,
        (f"lean at {in_g}, angle taken as small", "roll angle, small angles"),
        "φ = φ per g · a",
        put=f"{w(found.roll_gradient, Of.GRADIENT)} × {in_g}",
        value=found.small_lean,
        kind=Of.ANGLE,
    )
    yield board.step(
        Part.ANGLE,
        (f"lean at {in_g}, both sides balanced", "roll angle"),
        f"the φ for which K·φ = W·d·(a·cos φ + sin φ){' + N·a' if tyres else ''}   (a in g)",
        put=f"{w(found.stiffness * found.lean, Of.MOMENT)} on either side",
        value=found.lean,
        kind=Of.ANGLE,
    )
