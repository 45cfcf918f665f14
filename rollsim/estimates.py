"""How well does a set of readings fix a figure? Least squares, standard errors, intervals."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

CONFIDENCE = 0.95
BAND = 0.90  # of a tolerance as a scenario file states it
_NORMAL = {CONFIDENCE: 1.959963984540054, BAND: 1.6448536269514722}
_HALF_STEP = 0.5  # of a standard error, to either side


@dataclass(frozen=True, slots=True)
class Estimate:
    """A measured figure with its standard error.

    Parameters
    ----------
    value, standard_error : float
        [any unit, the same].
    degrees_of_freedom : float
        Readings beyond those that the fit needs [-]; infinite where the error of a reading is
        stated, not found from the scatter.
    """

    value: float
    standard_error: float
    degrees_of_freedom: float = math.inf

    @property
    def interval(self) -> tuple[float, float]:
        """The 95 % interval [unit of the value]; NaN where the readings cannot tell."""
        reach = coverage_factor(self.degrees_of_freedom) * self.standard_error
        return self.value - reach, self.value + reach

    def scaled(self, factor: float) -> "Estimate":
        """The same figure, known worse by a factor [-]."""
        return replace(self, standard_error=factor * self.standard_error)

    @property
    def tolerance(self) -> float:
        """Half the 90 % band, as a file states it [unit of the value]; NaN as above."""
        return coverage_factor(self.degrees_of_freedom, BAND) * self.standard_error


@dataclass(frozen=True, slots=True)
class Lopsided(Estimate):
    """A figure that reaches further to one side than to the other.

    Parameters
    ----------
    ends : tuple of float
        The 95 % interval [unit of the value].
    """

    ends: tuple[float, float] = (math.nan, math.nan)

    @property
    def interval(self) -> tuple[float, float]:
        """The 95 % interval [unit of the value]."""
        return self.ends

    def scaled(self, factor: float) -> "Lopsided":
        """The same figure, known worse by a factor [-] to either side."""
        low, high = (self.value + factor * (end - self.value) for end in self.ends)
        return replace(self, standard_error=factor * self.standard_error, ends=(low, high))


@dataclass(frozen=True, slots=True)
class Fit:
    """Coefficients of a linear fit.

    Parameters
    ----------
    coefficients : (K,) or (K, M) array
        One column a set of readings [unit of the readings per unit of each column].
    covariance : (K, K) array
        Of the coefficients, for readings with a standard error of one [same units, squared].
    reading_error : float or (M,) array
        Standard error of one reading, stated or found from the scatter [unit of the readings].
    degrees_of_freedom : float
        [-].
    largest_residual : float or (M,) array
        Of the readings about the fit [unit of the readings].
    """

    coefficients: np.ndarray
    covariance: np.ndarray
    reading_error: np.ndarray
    degrees_of_freedom: float
    largest_residual: np.ndarray

    def combination(self, slopes: np.ndarray) -> np.ndarray:
        """Standard error of a figure that has these `slopes` (K,) or (K, M) by coefficient [-]."""
        variance = np.einsum("i...,ij,j...->...", slopes, self.covariance, slopes)
        return self.reading_error * np.sqrt(variance)


def coverage_factor(degrees_of_freedom: float, share: float = CONFIDENCE) -> float:
    """Half an interval over the standard error.

    Parameters
    ----------
    degrees_of_freedom : float
        [-].
    share : float
        That lies inside the interval: 0.95 or 0.90 [-].

    Returns
    -------
    float
        Student's t [-]; NaN without a degree of freedom.

    Examples
    --------
    >>> round(coverage_factor(math.inf), 3), round(coverage_factor(4.0), 3)
    (1.96, 2.776)
    """
    if not degrees_of_freedom > 0.0:
        return math.nan
    if math.isinf(degrees_of_freedom):
        return _NORMAL[share]
    from scipy.special import stdtrit  # late: a fifth of a second that few answers need

    return float(stdtrit(degrees_of_freedom, 0.5 * (1.0 + share)))


def least_squares(
    columns: Sequence[Sequence[float]], readings: np.ndarray, reading_error: float | None = None
) -> Fit:
    """Fit readings as a sum of columns.

    Parameters
    ----------
    columns : K sequences of length n
        What each reading depends on [any unit].
    readings : (n,) or (n, M) array
        One set of readings, or M sets taken at the same columns [any unit].
    reading_error : float or None
        Standard error of one reading [unit of the readings]; None: from the scatter.

    Returns
    -------
    Fit
        With an infinite or NaN error where n leaves no scatter to find it from.

    Raises
    ------
    ValueError
        If the readings do not fix every coefficient.

    Notes
    -----
    β = (XᵀX)⁻¹Xᵀy, cov β = σ²(XᵀX)⁻¹, σ² from the residuals over n − K degrees of freedom.
    Any textbook on statistics. [least-squares]

    Examples
    --------
    >>> fit = least_squares(([1, 1, 1, 1], [0, 1, 2, 3]), np.array([0.1, 1.9, 4.1, 5.9]))
    >>> [round(float(x), 2) for x in fit.coefficients], fit.degrees_of_freedom
    ([0.06, 1.96], 2.0)
    """
    design = np.array(columns, dtype=float).T
    readings = np.asarray(readings, dtype=float)
    count, unknowns = design.shape
    scale = np.linalg.norm(design, axis=0)
    scaled = design / np.where(scale > 0.0, scale, 1.0)
    if np.linalg.matrix_rank(scaled) < unknowns:
        raise ValueError(
            f"{count} readings do not fix {unknowns} unknowns; take them at more, different loads"
        )
    inverse = np.linalg.pinv(scaled)
    coefficients = (inverse @ readings).T / scale
    residuals = readings - design @ coefficients.T
    freedom = float(count - unknowns)
    if reading_error is None:
        squares = (residuals**2).sum(axis=0)
        found = np.sqrt(squares / freedom) if freedom > 0.0 else np.full(squares.shape, np.nan)
    else:
        found = np.full(readings.shape[1:], reading_error)
    return Fit(
        coefficients=coefficients.T,
        covariance=inverse @ inverse.T / np.outer(scale, scale),
        reading_error=found,
        degrees_of_freedom=math.inf if reading_error is not None else freedom,
        largest_residual=np.abs(residuals).max(axis=0),
    )


def propagated(
    figure: Callable[[np.ndarray], float], readings: Sequence[float], errors: Sequence[float]
) -> Estimate:
    """Carry the standard errors of readings through to a figure.

    Parameters
    ----------
    figure : callable
        From the readings (n,) to the figure [any unit].
    readings, errors : sequences of n floats
        Readings and their standard errors [any unit].

    Returns
    -------
    Estimate
        The figure and the root of the summed squares of what each reading moves it [unit of the
        figure].

    Notes
    -----
    First order, readings independent; the slope by half a standard error to either side.
    [gum]

    Examples
    --------
    >>> found = propagated(lambda x: x[0] * x[1], (3.0, 4.0), (0.1, 0.1))
    >>> round(found.value, 6), round(found.standard_error, 6)
    (12.0, 0.5)
    """
    at = np.array(readings, dtype=float)
    moves = []
    for number, error in enumerate(errors):
        if error == 0.0:
            continue
        step = np.zeros_like(at)
        step[number] = _HALF_STEP * error
        moves.append(figure(at + step) - figure(at - step))
    return Estimate(float(figure(at)), float(np.sqrt(np.square(moves).sum())))
