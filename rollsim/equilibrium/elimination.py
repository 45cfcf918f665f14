"""The Jacobian of a balance eliminated: each axle into the roll of its end, both into the frame."""

from dataclasses import dataclass

import numpy as np

from rollsim.equilibrium.balance import Balance, Slopes

ROLL, TRAVEL, AXLE = range(3)


@dataclass(frozen=True, slots=True)
class Eliminated:
    """What is left of a Jacobian J once travel and axle roll are eliminated, for N vehicles.

    Parameters
    ----------
    slopes, spread, frame : Slopes, (3, 2, N) array, (2, N) array or None
        The Jacobian, and what else of the `Balance` a solution takes [N·m/rad, N, N/m].
    per_travel, axle, axle_roll : (2, N) arrays
        1 / ss [m/N]; pivot of axle roll, and what roll of the end does there [N·m/rad].
    by_travel : (2, 2, N) array
        Rows roll and axle roll: their travel column over ss [m].
    by_axle, stiffness : (2, N) arrays
        Roll's axle-roll column over its pivot [-]; roll stiffness left at each end [N·m/rad].
    """

    slopes: Slopes
    spread: np.ndarray
    frame: np.ndarray | None
    per_travel: np.ndarray
    axle: np.ndarray
    axle_roll: np.ndarray
    by_travel: np.ndarray
    by_axle: np.ndarray
    stiffness: np.ndarray

    @property
    def pivot(self) -> np.ndarray:
        """Roll stiffness of the whole after all else gives way [N·m/rad], (N,); ≤ 0 topples.

        Of a frame that twists the determinant over the frame's rate, which has the same sign.
        """
        front, rear = self.stiffness
        if self.frame is None:
            return front + rear
        return front + rear + self.frame[1] * front * rear

    def solve(self, rhs: np.ndarray) -> np.ndarray:
        """x [rad, m] of J x = rhs [N·m, N], both (8, N)."""
        b, x = self.slopes, np.empty_like(rhs)
        rise, roll = b.by_rise * rhs[5:7], np.empty_like(rhs[:2])
        travel = rhs[1:3] - rise[TRAVEL]
        axle = rhs[3:5] - rise[AXLE] - self.by_travel[1] * travel
        roll[0], roll[1] = rhs[0] - rhs[7], rhs[7]
        roll -= rise[ROLL] + self.by_travel[0] * travel + self.by_axle * axle
        if self.frame is None:
            leans = (roll[0] + roll[1]) / self.pivot
            x[0], x[7] = leans, 0.0
        else:
            give, per = self.frame[1], 1.0 / self.pivot
            leans = (roll[0] + roll[1] + give * self.stiffness[::-1] * roll) * per
            x[0] = leans[0]
            x[7] = give * (self.stiffness[0] * roll[1] - self.stiffness[1] * roll[0]) * per

        x[3:5] = (axle - self.axle_roll * leans) / self.axle
        to_roll, _, to_axle = b.block[TRAVEL]
        x[1:3] = self.per_travel * (travel - to_roll * leans - to_axle * x[3:5])
        by_roll, by_travel, by_axle = self.spread
        uneven = by_roll * leans + by_travel * x[1:3] + by_axle * x[3:5]
        x[5:7] = rhs[5:7] / b.rise_rise - b.uneven * uneven
        return x


def eliminate(balance: Balance) -> Eliminated:
    """Eliminate travel and axle roll of each end into its roll.

    Parameters
    ----------
    balance : Balance
        Gives the Jacobian [N·m/rad, N, N/m].

    Returns
    -------
    Eliminated
        Ready to solve for any right-hand side [N·m, N].
    """
    slopes = balance.slopes()
    block = slopes.block
    per_travel = 1.0 / block[TRAVEL, TRAVEL]
    by_travel = block[:: AXLE - ROLL, TRAVEL] * per_travel  # those of roll and axle roll
    roll = block[ROLL] - by_travel[0] * block[TRAVEL]
    axle = block[AXLE] - by_travel[1] * block[TRAVEL]
    by_axle = roll[AXLE] / axle[AXLE]
    stiffness = roll[ROLL] - by_axle * axle[ROLL]
    return Eliminated(
        *(slopes, balance.spread, balance.frame, per_travel),
        *(axle[AXLE], axle[ROLL], by_travel, by_axle, stiffness),
    )


def solve_arrow(balance: Balance, rhs: np.ndarray) -> np.ndarray:
    """Solve J x = rhs.

    Parameters
    ----------
    balance : Balance
        Holds the Jacobian.
    rhs : (8, N) array
        Right-hand side, [N·m] for angles and [N] for lengths.

    Returns
    -------
    (8, N) array
        x [rad, m].
    """
    return eliminate(balance).solve(rhs)


def roll_pivot(balance: Balance) -> np.ndarray:
    """Roll stiffness left after the other freedoms give way [N·m/rad], (N,); ≤ 0 topples."""
    return eliminate(balance).pivot
