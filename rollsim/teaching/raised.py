"""What a lift and larger tyres raise, line by line: the CG, the roll centres, the axles' own CG."""

from collections.abc import Iterable

from rollsim import mass
from rollsim.mass import State
from rollsim.teaching import hand
from rollsim.teaching.board import Board, Of, Part, Step
from rollsim.teaching.hand import HandNumbers
from rollsim.vehicle import Axle, Job


def body_lift(job: Job, state: State) -> float:
    """How much the body stands higher on its mounts than on the scales [m]."""
    made = int(state.changed) - int(job.change.on_when_weighed)
    return made * job.change.body_lift


def steps(board: Board, job: Job, state: State, *, numbers: HandNumbers) -> Iterable[Step]:
    """Every height that a lift or larger tyres raise.

    There are no lines where nothing is raised or lowered since the scales.

    Notes
    -----
    The sprung CG rises by the lift over it, by the body lift's share of the sprung mass and by the
    tyres; a roll centre by its travel ratio of the lift and by the tyres; an axle by the tyres
    alone. A lift that was on the scales counts minus where it is taken off.
    """
    axles, ups = (job.vehicle.front, job.vehicle.rear), hand.lifts(job, state)
    radius = mass.raised(job, state)
    if any(ups) or body_lift(job, state) or radius:
        yield _sprung_cg(board, job, state, numbers=numbers)
    for name, axle, up in zip(("front", "rear"), axles, ups, strict=True):
        if up or radius:
            yield _roll_centre(board, name, axle, up=up, radius=radius)
    for name, axle in zip(("front", "rear"), axles, strict=True):
        if radius:
            yield _axle_cg(board, name, axle, radius=radius)


def _sprung_cg(board: Board, job: Job, state: State, *, numbers: HandNumbers) -> Step:
    w, before = board.write, numbers.not_raised.cg_height
    body, radius = body_lift(job, state), mass.raised(job, state)
    symbols, put = ["hₛ"], w(before, Of.LENGTH)
    for name, axle, up in zip(
        ("front", "rear"), numbers.axles, hand.lifts(job, state), strict=True
    ):
        if up:
            symbols.append(f"{name} share × {name} lift")
            put += f" {_sign(up)} {w(axle.share, Of.SHARE)} × {w(abs(up), Of.LENGTH)}"
    if body:
        symbols.append("m body × body lift / mₛ")
        lifted, sprung = job.change.body_lift_mass, numbers.sprung_mass
        put += f" {_sign(body)} {w(lifted, Of.MASS)} × {w(abs(body), Of.LENGTH)}"
        put += f" / {w(sprung, Of.MASS)}"
    if radius:
        symbols.append("more radius")
        put += f" {_sign(radius)} {w(abs(radius), Of.LENGTH)}"
    return board.step(
        Part.RAISED,
        ("what sits on the springs, raised", "height of the sprung CG, lifted"),
        f"hₛ lifted = {' + '.join(symbols)}",
        put=put,
        value=numbers.cg_height,
        kind=Of.LENGTH,
    )


def _roll_centre(board: Board, name: str, axle: Axle, *, up: float, radius: float) -> Step:
    w, ratio = board.write, axle.roll_centre_travel_ratio
    symbols, put = "h on the scales", w(axle.roll_centre_height, Of.LENGTH)
    if up:
        symbols += " + ρ · lift"
        put += f" {_sign(up)} {w(ratio, Of.SHARE)} × {w(abs(up), Of.LENGTH)}"
    if radius:
        symbols += " + more radius"
        put += f" {_sign(radius)} {w(abs(radius), Of.LENGTH)}"
    return board.step(
        Part.RAISED,
        (f"{name} roll centre, raised", f"{name} roll centre height, ρ: its travel ratio"),
        f"h {name} = {symbols}",
        put=put,
        value=axle.roll_centre_height + ratio * up + radius,
        kind=Of.LENGTH,
    )


def _axle_cg(board: Board, name: str, axle: Axle, *, radius: float) -> Step:
    w = board.write
    return board.step(
        Part.RAISED,
        (f"{name} wheels and axle, raised", f"{name} unsprung CG height"),
        "hᵤ = hᵤ on the scales + more radius",
        put=f"{w(axle.unsprung_cg_height, Of.LENGTH)} {_sign(radius)} {w(abs(radius), Of.LENGTH)}",
        value=axle.unsprung_cg_height + radius,
        kind=Of.LENGTH,
    )


def _sign(value: float) -> str:
    return "−" if value < 0.0 else "+"
