"""The tipping point by hand, line by line: when do the inner wheels carry nothing?"""

from collections.abc import Iterable
from dataclasses import dataclass

from rollsim.teaching import at_rest
from rollsim.teaching.board import Board, Of, Part, Step
from rollsim.teaching.hand import ByHand, HandNumbers, solve


@dataclass(frozen=True, slots=True)
class Tipping:
    """Where a leaning vehicle tips, in the bend in which it does so sooner.

    `half_track` is the mean of both axles, `off_centre` how far the CG stands off the middle at
    rest, `moves_out` how far it moves out per g [m]; `outer` is the side on which it tips over,
    empty where both are alike.
    """

    mass: float
    height: float
    half_track: float
    off_centre: float
    moves_out: float
    outer: str

    @property
    def at(self) -> float:
        """The tipping point [g]."""
        return (self.half_track - self.off_centre) / (self.height + self.moves_out)

    @property
    def upright(self) -> float:
        """That of the same vehicle if it did not lean in the bend [g]."""
        return (self.half_track - self.off_centre) / self.height

    @property
    def bend(self) -> str:
        """Which way the bend turns; empty where both are alike."""
        return {"left": "right", "right": "left"}.get(self.outer, "")


def tipping(numbers: HandNumbers, found: ByHand) -> Tipping:
    """Take moments about the outer wheels; `found` is from `hand.solve` on the same numbers.

    Notes
    -----
    a = (t/2 − s₀)/(h + s) in g, the CG of the whole vehicle moving out by s = mₛ/m d φ for each g:
    t/(2 h) over 1 + φ (1 − h_r/h) where the wheels weigh nothing [gillespie]. Small angles; tyres
    that give sideways, stops and a wheel that lifts before are left out.
    """
    part = numbers.sprung_mass / numbers.mass
    aside = part * (numbers.cg_left + found.arm * solve(numbers.alike).lean_at_rest)
    aside = aside if at_rest.off_centre(numbers) else 0.0
    return Tipping(
        mass=numbers.mass,
        height=numbers.whole_cg_height,
        half_track=0.25 * sum(axle.track for axle in numbers.axles),
        off_centre=abs(aside),
        moves_out=part * found.arm * found.roll_gradient * numbers.gravity,
        outer=("left" if aside > 0.0 else "right") if aside else "",
    )


def steps(board: Board, numbers: HandNumbers, found: ByHand) -> Iterable[Step]:
    """From the masses to the tipping point."""
    w, tips = board.write, tipping(numbers, found)
    sprung, whole = w(numbers.sprung_mass, Of.MASS), w(tips.mass, Of.MASS)
    arm, half = w(found.arm, Of.LENGTH), w(tips.half_track, Of.LENGTH)
    own = [w(axle.unsprung_mass, Of.MASS) for axle in numbers.axles]
    high = [w(axle.unsprung_cg_height, Of.LENGTH) for axle in numbers.axles]
    yield board.step(
        Part.TIPPING,
        ("mass of the whole vehicle", "total mass"),
        "m = mₛ + Σ mᵤ",
        put=" + ".join([sprung, *own]),
        value=tips.mass,
        kind=Of.MASS,
    )
    yield board.step(
        Part.TIPPING,
        ("CG height of the whole vehicle", "CG height"),
        "h = (mₛ · hₛ + Σ mᵤ · hᵤ) / m",
        put=f"({sprung} × {w(numbers.cg_height, Of.LENGTH)} + {own[0]} × {high[0]} + "
        f"{own[1]} × {high[1]}) / {whole}",
        value=tips.height,
        kind=Of.LENGTH,
    )
    yield board.step(
        Part.TIPPING,
        ("from the middle to the outer wheels", "half the mean track"),
        "t / 2 = (t front + t rear) / 4",
        put=f"({' + '.join(w(axle.track, Of.LENGTH) for axle in numbers.axles)}) / 4",
        value=tips.half_track,
        kind=Of.LENGTH,
    )
    if tips.outer:
        rest = w(abs(solve(numbers.alike).lean_at_rest), Of.ANGLE)
        yield board.step(
            Part.TIPPING,
            (f"how far the CG is {tips.outer} of the middle at rest", "CG offset, leaning at rest"),
            "s₀ = mₛ / m · (y + d · φ₀ / 57.3)",
            put=f"{sprung} / {whole} × ({w(abs(numbers.cg_left), Of.LENGTH)} + {arm} × {rest} / "
            "57.3 deg/rad)",
            value=tips.off_centre,
            kind=Of.LENGTH,
        )
    yield board.step(
        Part.TIPPING,
        ("how far the CG moves out at 1 g", "lateral CG shift per g"),
        "s = mₛ / m · d · φ per g / 57.3",
        put=f"{sprung} / {whole} × {arm} × {w(found.roll_gradient, Of.GRADIENT)} / 57.3 deg/rad",
        value=tips.moves_out,
        kind=Of.LENGTH,
    )
    less = f" − {w(tips.off_centre, Of.LENGTH)}" if tips.outer else ""
    bend = f" in a {tips.bend} bend" if tips.outer else ""
    yield board.step(
        Part.TIPPING,
        (f"it tips over{bend} at", "tip-over threshold"),
        f"a = (t / 2{' − s₀' if tips.outer else ''}) / (h + s)   (in g)",
        put=f"({half}{less}) / ({w(tips.height, Of.LENGTH)} + {w(tips.moves_out, Of.LENGTH)})",
        value=tips.at * numbers.gravity,
        kind=Of.IN_G,
    )
