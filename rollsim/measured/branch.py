"""On which branch of a friction loop was a reading taken?"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from rollsim.estimates import BAND, Estimate, Fit, coverage_factor, least_squares
from rollsim.units import Quantity


class Branch(Enum):
    """How the reading was come to; the value is the sense in which friction acts."""

    RISING = 1
    FALLING = -1
    UNKNOWN = 0


@dataclass(frozen=True, slots=True)
class Rubbing:
    """A straight line with a friction loop, from readings of travel against force.

    Parameters
    ----------
    stiffness : Estimate
        Force per travel [N/m or N·m/rad].
    half_loop : Estimate
        Half the loop's width in force [N or N·m].
    half_width : Estimate
        Half the loop's width in travel [m or rad].
    offset : float
        Travel at zero force between the branches [m or rad].
    reading_error, largest_residual : float
        Standard error of one reading of travel, and the worst of them [m or rad].
    """

    stiffness: Estimate
    half_loop: Estimate
    half_width: Estimate
    offset: float
    reading_error: float
    largest_residual: float

    def is_swapped(self, travel: np.ndarray) -> bool:
        """Whether falling lies well beyond rising, which no friction does; `travel` [m or rad]."""
        low, high = self.half_width.interval
        # Thrice what the readings explain; a line that bends a little makes a loop of its own.
        least = max(1.5 * (high - low), 0.04 * float(np.ptp(travel)))
        return 0.5 * (low + high) < -least


def fit_rubbing(
    force: Sequence[float],
    travel: np.ndarray,
    branches: Sequence[Branch],
    *,
    reading_error: float | None = None,
    force_error: float = 0.0,
) -> Fit:
    """Fit travel against force and branch.

    Parameters
    ----------
    force : n floats
        Known [N or N·m].
    travel : (n,) or (n, M) array
        Read, with an error [m or rad].
    branches : n Branch
        Come to with force rising or falling.
    reading_error : float or None
        Standard error of one reading of travel; None: from the scatter [m or rad].
    force_error : float
        Standard error of one force [N or N·m]; counts where the scatter does not hold it already.

    Returns
    -------
    Fit
        Coefficients: offset [m or rad], flexibility [m/N or rad/(N·m)] and half width [m or rad];
        without the last where all readings are of one branch.

    Raises
    ------
    ValueError
        If the readings do not fix the line.

    Notes
    -----
    travel = offset + (force − w s)/k, s = +1 rising, −1 falling. Travel is what carries the error,
    so it is fitted on force and not the other way round, which would tilt the line. Readings
    whose branch is unknown (s = 0: bounced until friction lets go) stand between both.

    Examples
    --------
    >>> rising, falling = Branch.RISING, Branch.FALLING
    >>> fit = fit_rubbing((1.0, 2.0, 1.0, 0.0), np.array([0.8, 1.8, 1.2, 0.2]),
    ...                   (rising, rising, falling, falling))
    >>> [round(float(x), 3) for x in fit.coefficients]
    [0.0, 1.0, 0.2]
    """
    columns = [np.ones(len(force)), np.asarray(force, dtype=float)]
    senses = np.array([branch.value for branch in branches], dtype=float)
    if len(set(branches)) > 1:
        columns.append(-senses)
    fit = least_squares(columns, travel, reading_error)
    if not force_error:
        return fit
    of_force = abs(float(fit.coefficients[1])) * force_error
    if reading_error is not None:
        return least_squares(columns, travel, float(np.hypot(reading_error, of_force)))
    return fit if float(fit.reading_error) > of_force else least_squares(columns, travel, of_force)


def rubbing(fit: Fit) -> Rubbing:
    """Stiffness and friction from a fit of one set of readings.

    Parameters
    ----------
    fit : Fit
        From `fit_rubbing`.

    Returns
    -------
    Rubbing
        With standard errors to first order [N/m, N, m]; friction is NaN where the readings are of
        one branch.

    Raises
    ------
    ValueError
        If travel does not grow with force.

    Notes
    -----
    k = 1/c, w = h/c with flexibility c and half width h.
    """
    offset, flexibility, *rest = (float(c) for c in fit.coefficients)
    if not flexibility > 0.0:
        raise ValueError("the readings do not grow with the load; check their order and signs")
    half = rest[0] if rest else np.nan
    padding = [0.0] * len(rest)

    def estimate(value: float, slopes: list[float]) -> Estimate:
        error = float(fit.combination(np.array(slopes))) if np.isfinite(value) else np.nan
        return Estimate(value, error, fit.degrees_of_freedom)

    friction = [0.0, -half / flexibility**2, 1.0 / flexibility] if rest else [0.0, 0.0]
    width = [0.0, 0.0, 1.0] if rest else [0.0, 0.0]
    return Rubbing(
        stiffness=estimate(1.0 / flexibility, [0.0, -1.0 / flexibility**2, *padding]),
        half_loop=estimate(half / flexibility, friction),
        half_width=estimate(half, width),
        offset=offset,
        reading_error=float(fit.reading_error),
        largest_residual=float(fit.largest_residual),
    )


def stated_reading_error(stated: float | None, tolerances: Sequence[float]) -> float | None:
    """Standard error of one reading.

    Parameters
    ----------
    stated : float or None
        Half the 90 % band of every reading, as a test states it [any unit].
    tolerances : sequence of float
        Of single readings, 0 where none is given [same unit].

    Returns
    -------
    float or None
        The greater of both as a standard error [same unit]; None where nothing is stated.
    """
    greatest = max((stated or 0.0, *tolerances))
    return greatest / coverage_factor(np.inf, BAND) if greatest > 0.0 else None


def stated_moment_error(masses: Sequence[Quantity], offsets: Sequence[Quantity]) -> float:
    """Greatest standard error of mass × offset [kg·m], from the tolerances of both."""
    bands = [
        float(np.hypot(m.tolerance * o.value, m.value * o.tolerance))
        for m, o in zip(masses, offsets, strict=True)
    ]
    return max(bands, default=0.0) / coverage_factor(np.inf, BAND)
