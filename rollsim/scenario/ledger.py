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
    """A roll centre by tape.

    Parameters
    ----------
    axle : str
        "front" or "rear".
    linkage : str
        As the file calls it.
    height, travel_ratio : Estimate
        With the errors of the readings as the file states them [m], [-].
    readings : tuple of (str, float, float)
        Each reading in words, and what 5 mm more of it do to height [m] and ratio [-]; the
        strongest first.
    """

    axle: str
    linkage: str
    height: Estimate
    travel_ratio: Estimate
    readings: tuple[tuple[str, float, float], ...]


@dataclass(slots=True)
class Ledger:
    """Collects while a scenario is built.

    Parameters
    ----------
    problems : Problems
        Errors.
    vehicle_class : VehicleClass or None
        For class defaults.
    assumed, measured, notes : list of str
        Values not measured, values from tests in the bay, and remarks, each a line for every
        output.
    roll_centres : list of TapedRollCentre
        Those that were measured by tape.
    tolerances : list of Tolerance
        In the order of the file.
    units : dict of str
        Unit of each assumed value, by its key.
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
        """Value of a quantity, its tolerance noted.

        Parameters
        ----------
        key : str
            Of the file.
        quantity : Quantity or None
            As read; None: the key is absent.
        otherwise : float
            What then stands in its place [SI unit].

        Returns
        -------
        float
            [SI unit].
        """
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
        """Assume a value.

        Parameters
        ----------
        key : str
            Of the file.
        band : tuple of float
            Value and half its band, in `unit`.
        unit : str
            For the line in `assumed`.
        dimension : Dimension
            What it measures.
        why : str
            Where the value comes from.

        Returns
        -------
        float
            The value [SI unit].
        """
        # A spread known to more than two digits would not be one.
        digits = f"{band[0]:.4g}", f"{float(f'{band[1]:.2g}'):g}"
        value, spread = (f"{number} {unit}".strip().replace("*", "·") for number in digits)
        self.assumed.append(f"{key} = {value} ± {spread} ({why})")
        self.units[key] = unit
        converted = (from_unit(number, unit, dimension) for number in band)
        return self.take(key, Quantity(*converted))

    def restate(
        self, key: str, value: float, *, spread: float = 1.0, told: float | None = None
    ) -> None:
        """Say what an assumed value of the empty and stock vehicle is as weighed.

        Parameters
        ----------
        key : str
            Of the file.
        value : float
            As weighed [SI unit].
        spread : float
            What the tolerance is multiplied by [-].
        told : float or None
            As weighed, for the line in `assumed` [SI unit]; None: `value`.
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

        Parameters
        ----------
        key : str
            Of the file, that the value stands for.
        figure : callable
            From the values to that value [SI].
        read : sequence of Quantity
            As read.

        Returns
        -------
        float
            [SI unit]; NaN where one of them was refused.
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
        """Take a value that a test in the bay gave.

        Parameters
        ----------
        key : str
            Of the file, that the value stands for.
        found : Quantity
            Value and half its 90 % band [SI].
        unit : str
            For the line in `measured`.
        how : str
            By which test.
        replace : bool
            The file has a value there, stated or assumed, that this one puts right.
        together : str
            The one unknown that it shares with other keys, as `Tolerance` has it.

        Returns
        -------
        float
            The value [SI unit].
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
