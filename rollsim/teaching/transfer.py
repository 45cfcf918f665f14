"""Weight transfer by hand, line by line: elastic, geometric and unsprung parts of each axle."""

from collections.abc import Iterable

from rollsim.teaching.board import Board, Of, Part, Step
from rollsim.teaching.hand import AxleByHand, ByHand, HandAxle, HandNumbers


def steps(board: Board, numbers: HandNumbers, found: ByHand, *, tyres: bool) -> Iterable[Step]:
    """Parts and sum of each axle's load transfer, and the front share.

    In the order of the board; `found` is from `hand.solve` on the same numbers, and `tyres` says
    that they give way.
    """
    w, in_g = board.write, found.lateral_acceleration / numbers.gravity
    for name, axle, by_hand in (
        ("front", numbers.front, found.front),
        ("rear", numbers.rear, found.rear),
    ):
        less = f" − {w(by_hand.passed_on, Of.MOMENT)} × {in_g:.2f}" if tyres else ""
        lean = f"{w(by_hand.stiffness, Of.STIFFNESS)} × {w(found.lean, Of.RADIANS)}"
        yield board.step(
            Part.TRANSFER,
            (f"{name}: through springs and bar", f"{name}, elastic"),
            f"(K {name} · φ{f' − N {name} · a' if tyres else ''}) / t",
            put=f"({lean}{less}) / {w(axle.track, Of.LENGTH)}",
            value=by_hand.elastic,
            kind=Of.FORCE,
        )
        yield from _direct(board, name, axle, by_hand=by_hand, found=found, numbers=numbers)
        parts = (by_hand.elastic, by_hand.geometric, by_hand.unsprung)
        yield board.step(
            Part.TRANSFER,
            (f"{name}: weight transfer in all", f"{name}, lateral load transfer"),
            "ΔF = the three together",
            put=" + ".join(w(part, Of.FORCE) for part in parts),
            value=by_hand.transfer,
            kind=Of.FORCE,
        )
    front, rear = (w(a.transfer, Of.FORCE) for a in (found.front, found.rear))
    yield board.step(
        Part.TRANSFER,
        ("front part of the weight transfer", "front load-transfer share"),
        "front / (front + rear)",
        put=f"{front} / ({front} + {rear})",
        value=found.front_share,
        kind=Of.SHARE,
    )


def _direct(
    board: Board,
    name: str,
    axle: HandAxle,
    *,
    by_hand: AxleByHand,
    found: ByHand,
    numbers: HandNumbers,
) -> Iterable[Step]:
    """What goes to the tyres without leaning the body."""
    w, track = board.write, board.write(axle.track, Of.LENGTH)
    in_g = f"{found.lateral_acceleration / numbers.gravity:.2f}"
    weight = f"{w(found.weight, Of.FORCE)} × {w(axle.share, Of.SHARE)}"
    own = f"{w(axle.unsprung_mass, Of.MASS)} × {board.gravity(numbers.gravity)}"
    yield board.step(
        Part.TRANSFER,
        (f"{name}: through the roll centre", f"{name}, geometric"),
        "W · share · a · h / t   (a in g)",
        put=f"{weight} × {in_g} × {w(axle.roll_centre_height, Of.LENGTH)} / {track}",
        value=by_hand.geometric,
        kind=Of.FORCE,
    )
    yield board.step(
        Part.TRANSFER,
        (f"{name}: of the axle's own weight", f"{name}, unsprung"),
        "mᵤ · g · a · hᵤ / t   (a in g)",
        put=f"{own} × {in_g} × {w(axle.unsprung_cg_height, Of.LENGTH)} / {track}",
        value=by_hand.unsprung,
        kind=Of.FORCE,
    )
