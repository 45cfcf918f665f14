"""How deep the springs stand, line by line: load, travel, and whether a helper works there."""

from collections.abc import Iterable, Sequence

from rollsim.mass import State
from rollsim.teaching.board import Board, Of, Part, Step
from rollsim.teaching.hand import HandNumbers
from rollsim.teaching.stages import Sits
from rollsim.vehicle import STANDARD_GRAVITY, Axle, Job, Load

Signed = Sequence[tuple[str, Load]]


def own_load(axle: Axle, axle_mass: float, sits: Sits) -> float | None:
    """What a spring carries at its height on the scales, where it states that itself.

    In [N]; None where it is what the scales say. `axle_mass` is that on the scales [kg].
    """
    weighed = 0.5 * STANDARD_GRAVITY * (axle_mass - axle.unsprung_mass)
    return None if abs(weighed - sits.own_load) < 1.0 else sits.own_load


def aside(job: Job, state: State, *, moved: Signed) -> Signed:
    """The loads that move the CG off the centreline, beside an offset on the scales.

    `moved` is what went on or off since the scales, with its sign. An offset that the scales found
    has all that stood on them in it.
    """
    loads = moved if job.vehicle.cg_left is not None else [("+", load) for load in state.loads]
    return [(sign, load) for sign, load in loads if load.left_of_centreline]


def steps(board: Board, job: Job, *, numbers: HandNumbers, moved: Signed) -> Iterable[Step]:
    """Load, travel and rate of every spring that may reach a stage.

    `moved` is what went on or off since the scales, with its sign. There are no lines where every
    spring keeps its rate.
    """
    v = job.vehicle
    for name, axle, by_hand, mass in (
        ("front", v.front, numbers.front, v.front_axle_mass),
        ("rear", v.rear, numbers.rear, v.rear_axle_mass),
    ):
        sits = by_hand.sits
        if sits and sits.more_load:
            terms = _by_loads(board, name, v.wheelbase, moved=moved)
            if own_load(axle, mass, sits) is not None:
                terms.append(_by_own_load(board, axle, mass, sits=sits))
            yield _more_load(board, name, sits, terms=terms)
            yield from _travel(board, name, sits)


def _by_loads(board: Board, name: str, wheelbase: float, *, moved: Signed) -> list[tuple[str, str]]:
    """What the loads put on one spring: in symbols, and with the numbers put in."""
    w, base = board.write, board.write(wheelbase, Of.LENGTH)
    put = ""
    for sign, load in moved:
        x = w(load.behind_front_axle, Of.LENGTH)
        put += f"{sign} {w(load.mass, Of.MASS)} × {f'({base} − {x})' if name == 'front' else x} "
    if not put:
        return []
    whole = f"+ ({put.strip().removeprefix('+ ')}) / {base}"
    far = "rear" if name == "front" else "front"
    symbols = f"Σ load · x / wheelbase · g / 2 (x: from the {far} axle)"
    whole = whole.replace("(− ", "(−")
    return [(symbols, f"{whole} × {board.gravity(STANDARD_GRAVITY)} / 2")]


def _by_own_load(board: Board, axle: Axle, mass: float, *, sits: Sits) -> tuple[str, str]:
    """How far a spring that states its own load is from it on the scales."""
    w = board.write
    carried = f"({w(mass, Of.MASS)} − {w(axle.unsprung_mass, Of.MASS)})"
    own = board.added(-sits.own_load, Of.FORCE)
    put = f"+ {carried} × {board.gravity(STANDARD_GRAVITY)} / 2 {own}"
    return "(axle mass − mᵤ) · g / 2 − F own", put


def _more_load(board: Board, name: str, sits: Sits, *, terms: list[tuple[str, str]]) -> Step:
    return board.step(
        Part.RIDE,
        (f"more load on one {name} spring", f"{name} spring load above that as weighed"),
        f"F more = {' + '.join(symbols for symbols, _ in terms)}",
        put=" ".join(put for _, put in terms).removeprefix("+ "),
        value=sits.more_load,
        kind=Of.FORCE,
    )


def _travel(board: Board, name: str, sits: Sits) -> Iterable[Step]:
    """How far the springs go down, and the rate that they have there."""
    w, turn = board.write, sits.sense
    load, rate = w(sits.more_load, Of.FORCE), w(sits.rate_as_weighed, Of.RATE)
    pushes = "".join(
        f" {board.added(turn * s.step * s.start / abs(s.start), Of.RATE)} × "
        f"{w(abs(s.start), Of.LENGTH)}"
        for s in sits.stages
        if s.start
    )
    steps = "".join(f" {board.added(turn * s.step, Of.RATE)}" for s in sits.stages)
    sign, so = ("+", "counts") if turn > 0.0 else ("−", "lets go")
    yield board.step(
        Part.RIDE,
        (f"{name} springs go down by", f"{name} spring travel from as weighed, up negative"),
        f"δ = (F more + k₂ · c) / (k {sign} k₂)   (past c, so the helper {so})"
        if sits.stages
        else "δ = F more / k   (short of c, so the helper stays as it is)",
        put=f"({load}{pushes}) / ({rate}{steps})" if sits.stages else f"{load} / {rate}",
        value=sits.down,
        kind=Of.LENGTH,
    )
    if sits.stages:
        yield board.step(
            Part.RIDE,
            (f"{name} spring rate there", f"{name} spring rate with its helper (second stage)"),
            f"k there = k {sign} k₂",
            put=f"{rate}{steps}",
            value=sits.rate,
            kind=Of.RATE,
        )


def cg_left(board: Board, job: Job, *, numbers: HandNumbers, items: Signed) -> Step:
    """How far off the centreline what sits on the springs has its CG.

    To the left positive; `items` are from `aside`.
    """
    v, w = job.vehicle, board.write
    symbols, terms = [], []
    if v.cg_left:
        symbols.append("m · y on the scales")
        whole = f"({w(v.front_axle_mass, Of.MASS)} + {w(v.rear_axle_mass, Of.MASS)})"
        terms.append(f"{board.added(v.cg_left, Of.LENGTH)} × {whole}")
    if items:
        symbols.append("Σ load · left")
    for sign, load in items:
        left = load.left_of_centreline * (1.0 if sign == "+" else -1.0)
        terms.append(f"{board.added(left, Of.LENGTH)} × {w(load.mass, Of.MASS)}")
    put = " ".join(terms).removeprefix("+ ")
    return board.step(
        Part.MASS,
        ("how far it sits to the left", "sprung CG left of the centreline, right negative"),
        f"y = ({' + '.join(symbols)}) / mₛ",
        put=f"({put}) / {w(numbers.sprung_mass, Of.MASS)}",
        value=numbers.cg_left,
        kind=Of.LENGTH,
    )
