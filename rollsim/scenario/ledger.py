"""What building a scenario leaves behind: errors, assumed values, tolerances and notes."""

import dataclasses
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from rollsim.estimates import Estimate, propagated
from rollsim.scenario.errors import Problems
from rollsim.scenario.keys import CLASS_DEFAULT
from rollsim.tolerance import Tolerance
from rollsim.units import Dimension, Quantity, from_unit, to_unit
from rollsim.vehicle import VehicleClass


@dataclass(frozen=True, slots=True)
class TapedRollCentre:
    """A roll centre by tape, with the errors of the readings as the file states them.

    Height in [m], travel ratio in [-]. `linkage` is as the file calls it. `readings` are each in
    words, and what 5 mm more of it do to height [m] and ratio [-]; the strongest first.
    """

    axle: str
    linkage: str
    height: Estimate
    travel_ratio: Estimate
    readings: tuple[tuple[str, float, float], ...]


@dataclass(slots=True)
class Ledger:
    """Collects while a scenario is built.

    `assumed`, `measured` and `notes` are lines for every output: values not measured, values from
    tests in the bay, and remarks. `units` has the unit of each assumed value, by its key.
    """

    problems: Problems
    vehicle_class: VehicleClass | None = None
    assumed: list[str] = field(default_factory=list)
    tolerances: list[Tolerance] = field(default_factory=list)
    measured: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    roll_centres: list[TapedRollCentre] = field(default_factory=list)
    units: dict[str, str] = field(default_factory=dict)

    def take(self, key: str, quantity: Quantity | None, otherwise: float = 0.0) -> float:
        """Value of a quantity [SI], its tolerance noted; `otherwise` where the key is absent."""
        if quantity is None:
            return otherwise
        if quantity.tolerance > 0.0:
            self.tolerances.append(Tolerance(key, quantity.value, quantity.tolerance))
        return quantity.value

    def take_or_none(self, key: str, quantity: Quantity | None) -> float | None:
        """Value of a quantity [SI], its tolerance noted under `key`; None if absent."""
        return None if quantity is None else self.take(key, quantity)

    def assume(
        self, key: str, band: tuple[float, float], unit: str, *, dimension: Dimension, why: str
    ) -> float:
        """Assume a value, and give it in SI.

        `band` is the value and half its band, in `unit`; `why` says where it comes from.
        """
        # A spread known to more than two digits would not be one.
        digits = f"{band[0]:.4g}", f"{float(f'{band[1]:.2g}'):g}"
        value, spread = (f"{number} {unit}".strip().replace("*", "·") for number in digits)
        self.assumed.append(f"{key} = {value} ± {spread} ({why})")
        self.units[key] = unit
        converted = (from_unit(number, unit, dimension) for number in band)
        return self.take(key, Quantity(*converted))

    def is_assumed(self, key: str) -> bool:
        """Whether the value of a key is a class default, or marked so in the file."""
        return any(line.startswith(f"{key} = ") for line in self.assumed)

    def restate(
        self, key: str, value: float, *, spread: float = 1.0, told: float | None = None
    ) -> None:
        """Say what an assumed value of the empty and stock vehicle is as weighed.

        Value in SI; `told` is that for the line in `assumed`, where it is another. The tolerance is
        multiplied by `spread` [-].
        """
        if key not in self.units:
            return
        unit = self.units[key]
        shown = to_unit(value if told is None else told, unit)
        text = f"{shown:.4g} {unit}".replace("*", "·")
        for n, line in enumerate(self.assumed):
            if line.startswith(f"{key} = ") and not line.startswith(f"{key} = {text} ±"):
                self.assumed[n] = f"{line[:-1]}; so empty and stock, {text} as weighed)"
        self.tolerances = [
            Tolerance(key, value, one.tolerance * spread) if one.key == key else one
            for one in self.tolerances
        ]

    def go_on_with(self, other: "Ledger") -> None:
        """Take over what another ledger of the same problems has collected."""
        self.assumed += other.assumed
        self.tolerances += other.tolerances
        self.measured += other.measured
        self.notes += other.notes

    def derive(
        self, key: str, figure: Callable[[np.ndarray], float], read: Sequence[Quantity]
    ) -> float:
        """Value that several quantities give together, their tolerances carried through.

        `figure` gives it [SI] from the values of `read`. NaN where one of them was refused.
        """
        values = [quantity.value for quantity in read]
        if not np.isfinite(values).all():
            return math.nan
        found = propagated(figure, values, [quantity.tolerance for quantity in read])
        return self.take(key, Quantity(found.value, found.standard_error))

    def measure(
        self,
        key: str,
        found: Quantity,
        unit: str,
        *,
        how: str,
        replace: bool = False,
        together: str = "",
    ) -> float:
        """Take a value [SI] that a test in the bay gave, with half its 90 % band as tolerance.

        `unit` and `how`, the test, are for the line in `measured`. `replace`: the file has a value
        there, stated or assumed, that this one puts right. `together`: the one unknown that it
        shares with other keys, as `Tolerance` has it.
        """
        if replace:
            self.assumed = [line for line in self.assumed if not line.startswith(f"{key} = ")]
            self.tolerances = [one for one in self.tolerances if one.key != key]
        value, spread = (to_unit(x, unit) if unit else x for x in (found.value, found.tolerance))
        shown = unit.replace("*", "·")
        text = f"{value:.4g} {shown}".strip(), f"{float(f'{spread:.2g}'):g} {shown}".strip()
        self.measured.append(f"{key} = {text[0]} ± {text[1]} (measured: {how})")
        value = self.take(key, found)
        if together:
            self.tie((key,), together)
        return value

    def tie(self, keys: Sequence[str], together: str) -> None:
        """Say that keys share one unknown, so that it is drawn once."""
        self.tolerances = [
            dataclasses.replace(one, together=together) if one.key in keys else one
            for one in self.tolerances
        ]

    def class_or_problem(self, key: str, instead: str) -> VehicleClass | None:
        """Vehicle class, or None with the error that a class default at `key` needs it."""
        if self.vehicle_class is None and not self.problems.has("vehicle.class"):
            words = ", ".join(f'"{kind.value}"' for kind in VehicleClass)
            self.problems.add(
                key,
                f'found "{CLASS_DEFAULT}" without vehicle.class; allowed classes {words}; '
                f"add the class or {instead}",
            )
        return self.vehicle_class
