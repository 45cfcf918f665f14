"""Which bars stand in the accepted corner? A dot a bar and hole: lean, safety, front share."""

import math
from dataclasses import dataclass

from rollsim.reader_units import ReaderUnits, figure
from rollsim.sizing import Sizing
from rollsim.units import to_unit
from rollsim.vehicle import Limits
from rollsim.wording import section_words

LEAN_TITLE = "lean per g (roll gradient), deg/g"
SAFETY_TITLE = "safety factor"
SHARE_TITLE = "front share of weight transfer, empty"


@dataclass(frozen=True, slots=True)
class BarDot:
    """One bar in one hole.

    Section, steel and hole are in the reader's words. Lean per g [deg/g] and safety factor are in
    the case sized for, `front_share` is in the emptiest state [-].
    """

    section: str
    steel: str
    hole: str
    lean_per_g: float
    safety_factor: float
    front_share: float
    accepted: bool
    is_choice: bool


@dataclass(frozen=True, slots=True)
class BarChoice:
    """Every bar at hand, and what an accepted one has to keep to.

    Parameters
    ----------
    dots : tuple of BarDot
        Ranked; those that have a place.
    not_drawn : int
        Bars that have none: the vehicle tips with them before the lean can be compared, or they
        take no load.
    target, present : float
        Lean per g wanted, and as it is now [deg/g]; infinite where it tips before.
    most_lean : float
        The lean per g that is still accepted [deg/g]; NaN where there is nothing to bring back, and
        so no bar is.
    least_safety, least_share : float
        The limits of the other axes [-].
    """

    dots: tuple[BarDot, ...]
    not_drawn: int
    target: float
    present: float
    most_lean: float
    least_safety: float
    least_share: float

    @property
    def choice(self) -> BarDot | None:
        """The bar to order."""
        return next((dot for dot in self.dots if dot.is_choice), None)

    def in_corner(self, dot: BarDot) -> bool:
        """Lean, strength and front share of a bar are within the limits."""
        return (
            dot.lean_per_g <= self.most_lean
            and dot.safety_factor >= self.least_safety
            and dot.front_share >= self.least_share
        )


def bar_choice(sizing: Sizing, limits: Limits, units: ReaderUnits) -> BarChoice:
    """What a picture of the choice shows."""
    ranked = sizing.candidates
    dots = [
        BarDot(
            section=section_words(c.section, units),
            steel=c.steel.name,
            hole=f"{figure(c.lever, units.length)} {units.length}",
            lean_per_g=float(to_unit(c.roll_gradient, "deg/g")),
            safety_factor=c.safety_factor,
            front_share=c.front_load_transfer_share,
            accepted=c.accepted,
            is_choice=c is sizing.choice,
        )
        for c in ranked
    ]
    placed = tuple(d for d in dots if math.isfinite(d.lean_per_g + d.safety_factor + d.front_share))
    allowed = min(
        sizing.target * (1.0 + limits.gradient_tolerance),
        sizing.present * (1.0 - limits.least_gain),
    )
    # The same for every bar: what the emptiest state has without one.
    share_now = ranked[0].front_load_transfer_share + ranked[0].front_share_drop
    return BarChoice(
        dots=placed,
        not_drawn=len(dots) - len(placed),
        target=float(to_unit(sizing.target, "deg/g")),
        present=float(to_unit(sizing.present, "deg/g")),
        most_lean=math.nan if sizing.nothing_to_bring_back else float(to_unit(allowed, "deg/g")),
        least_safety=limits.safety_factor,
        least_share=share_now - limits.front_share_drop,
    )
