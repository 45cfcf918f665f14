"""The line through the stretches: φ = φ₀ + c sgn(a) + G a, robust, with an interval that covers."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.estimates import Estimate
from rollsim.vehicle import STANDARD_GRAVITY

SOFTNESS = 2.0  # residual over scatter from which on a reading counts less
NORMAL = 1.4826  # standard deviation over median absolute deviation of a normal
LEAST_SCATTER = 1e-6  # rad
ROUNDS = 2  # of scatter and fit in turn
STEPS, CLOSE = 50, 1e-9  # of the fit to one scatter
ALL = 1.0 - 1e-9  # of what a coefficient is made of, in one group: it tells no scatter


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
    lateral: np.ndarray,
    roll: np.ndarray,
    group: np.ndarray,
    *,
    place: np.ndarray | None = None,
    shared: float = 1.0,
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
    shared : float
        Of an error of φ, times g, what is in a with the other sign [-].

    Returns
    -------
    LeanLine
        With 95 % intervals by what scatters from bend to bend.

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
    fitted on a + gφ, in which it cancels, and G = G'/(1 − gG'), c = c'/(1 − gG'), with the shared
    part of g for g. What the road itself sways the body is in both, and adds about half a per cent
    to G.

    Robust by least squares weighted anew with the loss soft_l1, whose scale is twice the median
    scatter; the coefficients then move as by least squares on ψ/ψ', the influence of each residual
    over its mean slope.
    """
    gravity = shared * STANDARD_GRAVITY
    reading = lateral + gravity * roll
    if place is None:
        place = (lateral < 0.0).astype(int)
    names, at = np.unique(place, return_inverse=True)
    columns = np.column_stack([np.eye(len(names))[at], reading])
    beta, residuals, slopes, weights = _robust(columns, roll)
    tilted, turning, mean = float(beta[-1]), *_contrasts(names, at)
    friction, offset = float(turning @ beta), float(mean @ beta)
    grown = 1.0 / (1.0 - gravity * tilted)
    if not grown > 0.0:
        raise ValueError("the lean grows faster than gravity allows")
    # c = c' / (1 − gG'): its slopes by c' and G'.
    slope_c = grown * turning
    slope_c[-1] = friction * gravity * grown**2
    influence = weights * residuals / slopes.mean()
    known = Known.by(columns, influence, group)
    return LeanLine(
        gradient=known.estimate(tilted * grown, grown**2 * _last(columns)),
        friction=known.estimate(friction * grown, slope_c),
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
    if len(set(group.tolist())) - plain.shape[1] < 3:
        return math.nan, False
    inside, *_ = np.linalg.lstsq(plain, curve, rcond=None)
    odd = curve - plain @ inside  # what of the curve no line can follow
    total = float((line.weights * odd**2).sum())
    if total <= 0.0:
        return math.nan, False
    amount = float((line.weights * odd * line.residuals).sum()) / total
    root = np.sqrt(line.weights)
    columns = np.column_stack([plain, odd])
    rest = root * (line.residuals - amount * odd)
    known = Known.by(root[:, None] * columns, rest, group)
    low, high = known.estimate(amount, _last(columns)).interval
    return float(np.ptp(amount * odd)), low > 0.0 or high < 0.0


def _last(columns: np.ndarray) -> np.ndarray:
    """The combination that is the last coefficient."""
    return np.eye(columns.shape[1])[-1]


def _robust(
    columns: np.ndarray, values: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Coefficients, residuals, slopes and weights of the influence of each residual."""
    scale = np.abs(columns).max(axis=0)
    scaled = columns / np.where(scale > 0.0, scale, 1.0)
    beta, _, rank, _ = np.linalg.lstsq(scaled, values, rcond=None)
    if rank < columns.shape[1]:
        raise ValueError("the stretches do not fix the line")
    count, unknowns = columns.shape
    grown = math.sqrt(count / max(count - unknowns, 1))  # what the fit has taken off the residuals
    for _ in range(ROUNDS):
        residuals = values - scaled @ beta
        scatter = grown * NORMAL * np.median(np.abs(residuals - np.median(residuals)))
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


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """How well the scatter of a linear fit says that its coefficients are known.

    Parameters
    ----------
    triangle : (p, p) array
        R of the columns' QR decomposition [units of the columns].
    inner : (k, p, p) array
        QᵀQ of each group [-].
    score : (k, p) array
        QᵀE of each group [unit of the residuals].
    variance : float
        Of a reading, where each is a group of its own; else NaN [unit of the residuals, squared].
    freedom : float
        Readings beyond the coefficients [-].
    """

    triangle: np.ndarray
    inner: np.ndarray
    score: np.ndarray
    variance: float
    freedom: float

    @classmethod
    def by(cls, columns: np.ndarray, residuals: np.ndarray, group: np.ndarray) -> "Known":
        """From the columns (n, p), the residuals (n,) and the group (n,) of each reading."""
        q, triangle = np.linalg.qr(columns)
        names, at = np.unique(group, return_inverse=True)
        inner = np.zeros((len(names), *triangle.shape))
        score = np.zeros((len(names), len(triangle)))
        np.add.at(inner, at, q[:, :, None] * q[:, None, :])
        np.add.at(score, at, q * residuals[:, None])
        freedom = float(len(residuals) - len(triangle))
        alone = len(names) == len(residuals) and freedom > 0.0
        variance = float(residuals @ residuals) / freedom if alone else math.nan
        return cls(triangle, inner, score, variance, freedom)

    def estimate(self, value: float, slopes: np.ndarray) -> Estimate:
        """A figure with its standard error and degrees of freedom.

        Parameters
        ----------
        value : float
            [any unit].
        slopes : (p,) array
            By coefficient [unit of the value over those of the coefficients].

        Returns
        -------
        Estimate
            NaN where the groups cannot tell.

        Notes
        -----
        Where each reading is a group of its own they have one scatter, with a degree of freedom for
        each reading beyond the coefficients [least-squares]. Else the residuals of a group,
        whatever they have in common, grow by (I − H)^(−1/2) of it, which makes the variance
        right on average where all scatter alike; the degrees of freedom are Satterthwaite's
        [bell-mccaffrey].
        """
        way = np.linalg.solve(self.triangle.T, slopes)
        if math.isfinite(self.variance):
            return Estimate(value, math.sqrt(self.variance * float(way @ way)), self.freedom)
        share, ways = np.linalg.eigh(self.inner)
        left = np.where(share < ALL, 1.0 - share, np.inf)
        reach = np.einsum("kij,kj->ki", ways, left**-0.5 * np.einsum("kij,i->kj", ways, way))
        held = np.einsum("kij,kj->ki", self.inner, reach)
        variance = ((reach * self.score).sum(axis=1) ** 2).sum()
        spread = np.diag((reach * held).sum(axis=1)) - held @ held.T
        total = float((spread**2).sum())
        freedom = float(np.trace(spread)) ** 2 / total if total > 0.0 else 0.0
        return Estimate(value, math.sqrt(variance), freedom)
