"""Through which field is a vehicle led: a turn on the level, a tilt table, or either?"""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from rollsim.equilibrium.balance import Balance, evaluate
from rollsim.equilibrium.model import STANDARD_GRAVITY, Model


class Field(Enum):
    """What grows along a path: lateral acceleration on the level, or the angle of a tilt table."""

    TURN = "turn"
    TILT = "tilt"


@dataclass(frozen=True, slots=True)
class Course:
    """The field that a vehicle is led through.

    Parameters
    ----------
    field : Field
        Turn: the parameter is lateral acceleration [m/s²]. Tilt: it is the table angle [rad].
    gravity : float
        [m/s²].
    """

    field: Field = Field.TURN
    gravity: float = STANDARD_GRAVITY

    def fields(self, parameter: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Normal and lateral field at `parameter`, each of its shape [m/s²]."""
        if self.field is Field.TURN:
            return np.full_like(parameter, self.gravity), parameter
        return self.gravity * np.cos(parameter), self.gravity * np.sin(parameter)

    def balance(self, model: Model, x: np.ndarray) -> Balance:
        """Balance of `model` at the points `x`, (9, N) [m/s² or rad; rad, m]."""
        normal, lateral = self.fields(x[0])
        return evaluate(model, x[1:], normal, lateral=lateral)

    def column(self, balance: Balance, x: np.ndarray) -> np.ndarray:
        """Derivative of the residual [N·m, N] by the parameter, (8, N)."""
        if self.field is Field.TURN:
            return balance.d_lateral()
        normal, lateral = self.fields(x[0])
        return balance.d_lateral() * normal - balance.d_normal() * lateral

    def reach(self, stability_factor: np.ndarray) -> np.ndarray:
        """Parameter at which a rigid vehicle would tip, given its SSF [-], of the same shape."""
        return stability_factor * (self.gravity if self.field is Field.TURN else 1.0)

    def take(self, index: np.ndarray | slice) -> "Course":
        """The course of the members at `index` of the batch axis [-]: the same for all."""
        return self


@dataclass(frozen=True, slots=True)
class TurnAndTable:
    """A `Course` of its own for each member: one batch holds both.

    Parameters
    ----------
    tilting : (N,) array of bool
        The parameter is a table angle [rad]; else a lateral acceleration [m/s²].
    gravity : float
        [m/s²].
    """

    tilting: np.ndarray
    gravity: float = STANDARD_GRAVITY

    def fields(self, parameter: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Normal and lateral field at `parameter`, each of its shape [m/s²]."""
        angle = np.where(self.tilting, parameter, 0.0)
        lateral = np.where(self.tilting, self.gravity * np.sin(angle), parameter)
        return self.gravity * np.cos(angle), lateral

    def balance(self, model: Model, x: np.ndarray) -> Balance:
        """Balance of `model` at the points `x`, (9, N) [m/s² or rad; rad, m]."""
        normal, lateral = self.fields(x[0])
        return evaluate(model, x[1:], normal, lateral=lateral)

    def column(self, balance: Balance, x: np.ndarray) -> np.ndarray:
        """Derivative of the residual [N·m, N] by the parameter, (8, N)."""
        normal, lateral = self.fields(x[0])
        by_lateral = balance.d_lateral()
        on_table = by_lateral * normal - balance.d_normal() * lateral
        return np.where(self.tilting, on_table, by_lateral)

    def reach(self, stability_factor: np.ndarray) -> np.ndarray:
        """Parameter at which a rigid vehicle would tip, given its SSF [-], of the same shape."""
        return stability_factor * np.where(self.tilting, 1.0, self.gravity)

    def take(self, index: np.ndarray | slice) -> "TurnAndTable":
        """The courses of the members at `index` of the batch axis [-]."""
        return TurnAndTable(self.tilting[index], self.gravity)
