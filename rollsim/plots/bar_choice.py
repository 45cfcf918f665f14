"""Which bars stand in the accepted corner? A dot a bar and hole: lean, safety, front share."""

import math
from dataclasses import dataclass
from enum import Enum, IntEnum

from rollsim.reader_units import ReaderUnits, figure, plain
from rollsim.sizing import Sizing
from rollsim.units import to_unit
from rollsim.vehicle import Limits
from rollsim.wording import section_words

LEAN_TITLE = "lean per g (roll gradient), deg/g"
SAFETY_TITLE = "safety factor"
SHARE_TITLE = "front share of weight transfer, empty"
ACCEPTED, REJECTED, LEAST = "accepted", "not accepted", "least that is accepted"
TOO_WEAK = "not accepted, too weak"
_ROOM = 0.08  # of the span beside the outermost dot


class Ink(IntEnum):
    """Which colour of `rollsim.plots.look` stands for what."""

    PRESENT, REJECTED, ACCEPTED, TARGET, SHARE, CHOICE = range(6)


@dataclass(frozen=True, slots=True)
class BarDot:
    """One bar in one hole.

    `rank` is its place among all that are at hand, from 1. Section, steel and hole are in the
    reader's words. Lean per g [deg/g] and safety factor are in the case sized for, `front_share` is
    in the emptiest state [-].
    """

    rank: int
    section: str
    steel: str
    hole: str
    lean_per_g: float
    safety_factor: float
    front_share: float
    accepted: bool
    is_choice: bool

    @property
    def words(self) -> str:
        """Section and hole."""
        return f"{self.section}, {self.hole} hole"


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
    share_lean : float
        Lean per g under which a bar takes the front share below its limit [deg/g], between the two
        bars on either side of it; NaN where none does or all do.
    """

    dots: tuple[BarDot, ...]
    not_drawn: int
    target: float
    present: float
    most_lean: float
    least_safety: float
    least_share: float
    share_lean: float = math.nan

    @property
    def choice(self) -> BarDot | None:
        """The bar to order."""
        return next((dot for dot in self.dots if dot.is_choice), None)

    @property
    def choice_words(self) -> str:
        """Of the bar to order; empty where there is none."""
        return f"to order: {self.choice.words}" if self.choice else ""

    @property
    def lines(self) -> dict[Ink, tuple[float, str]]:
        """The upright lines that have a place, with words: target, now, limit of front share."""
        words = {
            Ink.TARGET: (self.target, "target,"),
            Ink.PRESENT: (self.present, "as it is now,"),
            Ink.SHARE: (self.share_lean, "least front share, at"),
        }
        return {
            ink: (at, f"{what} {plain(at, 2)} deg/g")
            for ink, (at, what) in words.items()
            if math.isfinite(at)
        }

    def least_lean(self, against: "Against") -> float:
        """Where the accepted corner begins on the left [deg/g]."""
        left = self.lean_range[0]
        return max(left, self.share_lean) if against is Against.SAFETY else left

    @property
    def bars(self) -> dict[tuple[str, str], list[BarDot]]:
        """The holes of each bar, by section and steel, those that let it lean least first."""
        bars: dict[tuple[str, str], list[BarDot]] = {}
        for dot in sorted(self.dots, key=lambda dot: dot.lean_per_g):
            bars.setdefault((dot.section, dot.steel), []).append(dot)
        return bars

    @property
    def lean_range(self) -> tuple[float, float]:
        """What the axis of lean shows [deg/g]."""
        lines = (at for at, _ in self.lines.values())
        return _span([*(dot.lean_per_g for dot in self.dots), *lines])

    def in_corner(self, dot: BarDot) -> bool:
        """Lean, strength and front share of a bar are within the limits."""
        return (
            dot.lean_per_g <= self.most_lean
            and dot.safety_factor >= self.least_safety
            and dot.front_share >= self.least_share
        )


class Against(Enum):
    """What the lean is shown against."""

    SAFETY = "safety factor"
    SHARE = "front share"

    @property
    def title(self) -> str:
        """Of the axis."""
        return SAFETY_TITLE if self is Against.SAFETY else SHARE_TITLE

    def of(self, dot: BarDot) -> float:
        """The figure of one bar [-]."""
        return dot.safety_factor if self is Against.SAFETY else dot.front_share

    def least(self, choice: BarChoice) -> float:
        """The least that is accepted [-]."""
        return choice.least_safety if self is Against.SAFETY else choice.least_share

    def range(self, choice: BarChoice) -> tuple[float, float]:
        """What its axis shows [-]."""
        return _span([*map(self.of, choice.dots), self.least(choice)])


def _span(values: list[float]) -> tuple[float, float]:
    """From the least to the most that is finite, with room."""
    finite = [value for value in values if math.isfinite(value)]
    low, high = min(finite), max(finite)
    room = _ROOM * max(high - low, 0.05 * abs(high), 1e-6)
    return low - room, high + room


def bar_choice(sizing: Sizing, limits: Limits, units: ReaderUnits) -> BarChoice:
    """What a picture of the choice shows."""
    ranked = sizing.candidates
    dots = [
        BarDot(
            rank=rank,
            section=section_words(c.section, units),
            steel=c.steel.name,
            hole=f"{figure(c.lever, units.length)} {units.length}",
            lean_per_g=float(to_unit(c.roll_gradient, "deg/g")),
            safety_factor=c.safety_factor,
            front_share=c.front_load_transfer_share,
            accepted=c.accepted,
            is_choice=c is sizing.choice,
        )
        for rank, c in enumerate(ranked, 1)
    ]
    placed = tuple(d for d in dots if math.isfinite(d.lean_per_g + d.safety_factor + d.front_share))
    allowed = min(
        sizing.target * (1.0 + limits.gradient_tolerance),
        sizing.present * (1.0 - limits.least_gain),
    )
    # The same for every bar: what the emptiest state has without one.
    share_now = ranked[0].front_load_transfer_share + ranked[0].front_share_drop
    least_share = share_now - limits.front_share_drop
    return BarChoice(
        dots=placed,
        not_drawn=len(dots) - len(placed),
        target=float(to_unit(sizing.target, "deg/g")),
        present=float(to_unit(sizing.present, "deg/g")),
        most_lean=math.nan if sizing.nothing_to_bring_back else float(to_unit(allowed, "deg/g")),
        least_safety=limits.safety_factor,
        least_share=least_share,
        share_lean=_lean_at(least_share, placed),
    )


def _lean_at(share: float, dots: tuple[BarDot, ...]) -> float:
    """Lean per g between the last bar whose front share is less and the first that has more."""
    low = [(dot.lean_per_g, dot.front_share) for dot in dots if dot.front_share < share]
    high = [(dot.lean_per_g, dot.front_share) for dot in dots if dot.front_share >= share]
    if not (low and high):
        return math.nan
    (x, below), (to, above) = max(low), min(high)
    return x + (to - x) * (share - below) / (above - below) if to > x else math.nan


def notes(choice: BarChoice) -> tuple[str, ...]:
    """What dots and lines do not show."""
    said = []
    if not math.isfinite(choice.most_lean):
        said.append("nothing to bring back: none is accepted")
    others = sum(choice.in_corner(dot) and not dot.accepted for dot in choice.dots)
    if others:
        said.append(f"within all three limits, not accepted for another reason: {others}")
    if choice.not_drawn:
        said.append(f"not drawn, it tips before or has no stress: {choice.not_drawn}")
    return tuple(said)
