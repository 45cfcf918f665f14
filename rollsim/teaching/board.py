"""The blackboard: how a step of a working is written, in the units of the reader."""

import math
from dataclasses import dataclass
from enum import Enum

from rollsim.reader_units import METRIC, NO_FIGURE, ReaderUnits, decimals_of
from rollsim.teaching.calculator import GROUP, keyed
from rollsim.units import to_unit

LARGE = 10_000  # figures from here on are grouped
CARRIED = (
    "≈: this line was worked with more digits than it shows, so a calculator may end a little off; "
    "where = stands, the digits shown give the result."
)


class Part(Enum):
    """The parts of a working, in their order; the value is the heading."""

    MASS = "What sits on the springs"
    RAISED = "Lift and tyres: what they raise"
    RIDE = "Ride height: which springs work"
    MOMENT = "Moment: what leans it"
    STIFFNESS = "Stiffness: what holds it"
    REST = "At rest: how it stands before the bend"
    ANGLE = "Angle: how far it leans"
    TRANSFER = "Weight transfer: what the tyres feel"
    TIPPING = "Tipping: when the inner wheels carry nothing"


class Of(Enum):
    """Kinds of quantity on the board; value: unit, metric and imperial."""

    MASS = ("kg", "lb")
    LENGTH = ("m", "in")
    FORCE = ("N", "lbf")
    RATE = ("N/m", "lbf/in")
    MOMENT = ("N·m", "lbf·in")
    STIFFNESS = ("N·m/rad", "lbf·in/rad")
    SHOP_STIFFNESS = ("N·m/deg", "lbf·in/deg")
    ANGLE = ("deg", "deg")
    RADIANS = ("rad", "rad")
    GRADIENT = ("deg/g", "deg/g")
    SHARE = ("", "")
    IN_G = ("g", "g")


PER_RADIAN = (57.3, math.degrees(1.0))  # [deg/rad] as the board writes it; as a calculator has it
TOLD_AGAIN = {Of.STIFFNESS: Of.SHOP_STIFFNESS, Of.ANGLE: Of.RADIANS}
SHARE_DECIMALS = 3  # one more than a table shows: the next line is worked from it


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a working.

    `shop` and `iso` are the shop's word and the word of ISO 8855 or engineering; `formula` is in
    symbols, plain Unicode, `numbers` the same with the numbers put in. `result` has its unit, which
    `unit` tells alone, empty for a share; `value` is the result in SI. `equals` is ≈ where the
    numbers as they are shown give another last digit, or are no sum; so is the second in `result`.
    """

    part: Part
    shop: str
    iso: str
    formula: str
    numbers: str
    result: str
    unit: str
    value: float
    equals: str = "="


@dataclass(frozen=True, slots=True)
class Board:
    """Writes quantities in the units of one reader."""

    units: ReaderUnits = METRIC

    def unit(self, kind: Of) -> str:
        """The reader's unit of a kind; empty for a share."""
        return kind.value[self.units.mass == "lb"]

    def write(self, value: float, kind: Of) -> str:
        """A quantity in SI [kg, m, N, rad …] with the reader's unit."""
        if not math.isfinite(value):
            return NO_FIGURE
        unit = self.unit(kind)
        return self._said(to_unit(value, unit) if unit else value, kind)

    def _said(self, number: float, kind: Of) -> str:
        """A number in the reader's unit, with it."""
        unit = self.unit(kind)
        decimals = SHARE_DECIMALS if kind is Of.SHARE else decimals_of(unit)
        grouped = f"{number:,.{decimals}f}" if abs(number) >= LARGE else f"{number:.{decimals}f}"
        return f"{grouped.replace(',', GROUP).replace('-', '−')} {unit}".rstrip()

    def added(self, value: float, kind: Of) -> str:
        """A quantity in SI [kg, m, N …] as a term of a sum, its sign before it."""
        return f"{'−' if value < 0.0 else '+'} {self.write(abs(value), kind)}"

    def gravity(self, value: float) -> str:
        """What a mass weighs per unit of it [m/s²]: a pound weighs a pound-force."""
        return f"{value:.3f} m/s²" if self.units.mass == "kg" else "1 g"

    def step(
        self, part: Part, names: tuple[str, str], formula: str, *, put: str, value: float, kind: Of
    ) -> Step:
        """One line of a working.

        `names` are the shop's word and the ISO word, `put` is the formula with the numbers put in,
        `value` the result in SI [kg, m, N, rad …]. `kind` decides its unit; a roll stiffness is
        also given per degree, an angle in radians.
        """
        result, typed = self.write(value, kind), keyed(put)
        equals = "≈" if typed is None or result != self._said(typed, kind) else "="
        result += self._again(result, value, kind)
        return Step(part, *names, formula, put, result, self.unit(kind), value, equals)

    def _again(self, result: str, value: float, kind: Of) -> str:
        """A roll stiffness per degree, an angle in radians: = or ≈ by what the result shows."""
        if kind not in TOLD_AGAIN:
            return ""
        other, shown = TOLD_AGAIN[kind], keyed(result)
        again = self.write(value, other)
        same = shown is not None and all(self._said(shown / n, other) == again for n in PER_RADIAN)
        return f" {'=' if same else '≈'} {again}"
