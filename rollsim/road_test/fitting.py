"""The line through the stretches: φ = φ₀ + c sgn(a) + G a, robust, with an interval that covers."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.estimates import Estimate, coverage_factor
from rollsim.vehicle import STANDARD_GRAVITY

SOFTNESS = 2.0  # residual over scatter from which on a reading counts less
NORMAL = 1.4826  # standard deviation over median absolute deviation of a normal
LEAST_SCATTER = 1e-6  # rad
ROUNDS = 2  # of scatter and fit in turn
STEPS, CLOSE = 50, 1e-9  # of the fit to one scatter


@dataclass(frozen=True, slots=True, eq=False)
class LeanLine:
    """A line through lean against lateral acceleration, both ways.

    Parameters
    ----------
    gradient : Estimate
        Roll gradient [rad/(m/s²)].
    friction : Estimate
        c: friction, lash and bank [rad].
    offset : float
        φ₀ [rad].
    residuals : (n,) array
        Of the stretches [rad].
    weights : (n,) array
        How much each counts, 1 for all of it [-].
    scatter : float
        Standard deviation of a stretch about the line [rad].
    """

    gradient: Estimate
    friction: Estimate
    offset: float
    residuals: np.ndarray
    weights: np.ndarray
    scatter: float


def fit_line(
    lateral: np.ndarray, roll: np.ndarray, group: np.ndarray, place: np.ndarray | None = None
) -> LeanLine:
    """Fit the lean of steady stretches.

    Parameters
    ----------
    lateral : (n,) array
        Lateral acceleration along the level, corrected with this very roll [m/s²].
    roll : (n,) array
        [rad].
    group : (n,) array of int
        Bend of each: stretches of one bend share their errors.
    place : (n,) array of int or None
        Place of each, even to the left and odd to the right; None: all are one.

    Returns
    -------
    LeanLine
        With 95 % intervals from leaving each bend out in turn.

    Raises
    ------
    ValueError
        If the stretches do not fix the line.

    Notes
    -----
    φ = φ₀ + c sgn(a) + G a with c for friction, lash and bank, which turn with the bend
    [iso-4138]; φ₀ and c are those of the place, so that its bank, which is another in each
    direction, is in them and not in G. Their mean over the places is returned.

    The error of φ is in a = (a_body − g sin φ)/cos φ as well, and would bias the line; so φ is
    fitted on a + gφ, in which it cancels, and G = G'/(1 − gG'), c = c'/(1 − gG'). What the road
    itself sways the body is in both, and adds about half a per cent to G.

    Robust by least squares weighted anew with the loss soft_l1, whose scale is twice the median
    scatter. Standard errors by the jackknife over bends to first order, Student's t with as many
    degrees of freedom as there are bends beyond the coefficients: this allows for errors that last
    through a bend, as those of a gyro do.
    """
    reading = lateral + STANDARD_GRAVITY * roll
    if place is None:
        place = (lateral < 0.0).astype(int)
    names, at = np.unique(place, return_inverse=True)
    columns = np.column_stack([np.eye(len(names))[at], reading])
    beta, residuals, slopes, weights = _robust(columns, roll)
    covariance, bends = _jackknife(columns, slopes, weights * residuals, group=group)
    freedom = float(bends - columns.shape[1])
    tilted, turning, mean = float(beta[-1]), *_contrasts(names, at)
    friction, offset = float(turning @ beta), float(mean @ beta)
    grown = 1.0 / (1.0 - STANDARD_GRAVITY * tilted)
    if not grown > 0.0:
        raise ValueError("the lean grows faster than gravity allows")
    # c = c' / (1 − gG'): its slopes by c' and G'.
    slope_c = grown * turning
    slope_c[-1] = friction * STANDARD_GRAVITY * grown**2
    error = math.sqrt(covariance[-1, -1]) * grown**2
    error_c = math.sqrt(float(slope_c @ covariance @ slope_c))
    return LeanLine(
        gradient=Estimate(tilted * grown, error, freedom),
        friction=Estimate(friction * grown, error_c, freedom),
        offset=offset * grown,
        residuals=residuals * grown,
        weights=weights,
        scatter=_scatter(residuals, weights, columns.shape[1]) * grown,
    )


def _scatter(residuals: np.ndarray, weights: np.ndarray, unknowns: int) -> float:
    freedom = max(len(residuals) - unknowns, 1)
    return float(np.sqrt((residuals**2 * weights).sum() / freedom))


def _contrasts(names: np.ndarray, at: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """How friction and offset come from the coefficients: over the places driven both ways."""
    both = [n for n, name in enumerate(names) if name ^ 1 in names]
    both = both or list(range(len(names)))
    left = np.array([name % 2 == 0 for name in names])
    share = np.zeros(len(names))
    share[both] = np.bincount(at, minlength=len(names))[both]
    lefts, rights = share * left, share * ~left
    lefts, rights = (one / max(one.sum(), 1.0) for one in (lefts, rights))
    return np.append(lefts - rights, 0.0) / 2.0, np.append(lefts + rights, 0.0) / 2.0


def bend_of_the_line(
    line: LeanLine, lateral: np.ndarray, group: np.ndarray, place: np.ndarray | None = None
) -> tuple[float, bool]:
    """Does the lean bend away from the line?

    Parameters
    ----------
    line : LeanLine
        The fit.
    lateral : (n,) array
        Of the stretches [m/s²].
    group : (n,) array of int
        Bend of each.
    place : (n,) array of int or None
        As for `fit_line`.

    Returns
    -------
    tuple of float and bool
        Largest change of lean over the range that a term a |a| makes [rad], and whether that
        term is beyond its 95 % interval.
    """
    curve = lateral * np.abs(lateral)
    if place is None:
        place = (lateral < 0.0).astype(int)
    _, at = np.unique(place, return_inverse=True)
    plain = np.column_stack([np.eye(at.max() + 1)[at], lateral])
    freedom = len(set(group.tolist())) - plain.shape[1] - 1.0
    if freedom < 2.0:
        return math.nan, False
    inside, *_ = np.linalg.lstsq(plain, curve, rcond=None)
    odd = curve - plain @ inside  # what of the curve no line can follow
    total = float((line.weights * odd**2).sum())
    if total <= 0.0:
        return math.nan, False
    amount = float((line.weights * odd * line.residuals).sum()) / total
    rest = line.residuals - amount * odd
    columns = np.column_stack([plain, odd])
    covariance, _ = _jackknife(columns, line.weights, line.weights * rest, group=group)
    reach = coverage_factor(freedom) * math.sqrt(covariance[-1, -1])
    return float(np.ptp(amount * odd)), abs(amount) > reach


def _robust(
    columns: np.ndarray, values: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Coefficients, residuals, slopes and weights of the influence of each residual."""
    scale = np.abs(columns).max(axis=0)
    scaled = columns / np.where(scale > 0.0, scale, 1.0)
    beta, _, rank, _ = np.linalg.lstsq(scaled, values, rcond=None)
    if rank < columns.shape[1]:
        raise ValueError("the stretches do not fix the line")
    for _ in range(ROUNDS):
        residuals = values - scaled @ beta
        scatter = NORMAL * np.median(np.abs(residuals - np.median(residuals)))
        width = SOFTNESS * max(float(scatter), LEAST_SCATTER)
        for _ in range(STEPS):
            weights = (1.0 + ((values - scaled @ beta) / width) ** 2) ** -0.5
            step, beta = beta, _weighted(scaled, values, weights)
            if np.abs(beta - step).max() < CLOSE * np.abs(beta).max():
                break
    residuals = values - scaled @ beta
    inner = 1.0 + (residuals / width) ** 2
    return beta / scale, residuals, inner**-1.5, inner**-0.5


def _weighted(columns: np.ndarray, values: np.ndarray, weights: np.ndarray) -> np.ndarray:
    return np.linalg.solve(columns.T @ (weights[:, None] * columns), columns.T @ (weights * values))


def _jackknife(
    columns: np.ndarray, slopes: np.ndarray, influence: np.ndarray, *, group: np.ndarray
) -> tuple[np.ndarray, int]:
    """Covariance of the coefficients by leaving out a bend at a time, and the number of bends."""
    names, index = np.unique(group, return_inverse=True)
    count, unknowns = len(names), columns.shape[1]
    scale = np.abs(columns).max(axis=0)
    scaled = columns / scale
    inner = np.zeros((count, unknowns, unknowns))
    score = np.zeros((count, unknowns))
    np.add.at(inner, index, slopes[:, None, None] * scaled[:, :, None] * scaled[:, None, :])
    np.add.at(score, index, influence[:, None] * scaled)
    without = inner.sum(axis=0) - inner
    moved = -np.einsum("gij,gj->gi", np.linalg.pinv(without), score)
    moved -= moved.mean(axis=0)
    covariance = (count - 1.0) / count * moved.T @ moved
    return covariance / np.outer(scale, scale), count
