"""How high is the CG of a vehicle of which roof height and track are known?

One law a class, fitted to vehicles that a laboratory measured; `python -m tests.fit_cg_law` fits
them again.
"""

import math
from dataclasses import dataclass

from rollsim.vehicle import VehicleClass

FEW_ROWS = 50  # with fewer the interval itself is not well known
LEAST_SHARE = 0.06  # of the height: no narrower then; this project's own


@dataclass(frozen=True, slots=True)
class CgLaw:
    """CG height over roof height and mean track, of a vehicle empty but for its driver, and stock.

    Parameters
    ----------
    rows : int
        Vehicles that it was fitted to [-].
    per_roof, per_track : float
        CG height per roof height and per track [-].
    scatter : float
        Standard deviation of the residuals, as a share of the roof height [-].
    covariance : tuple of float
        Of the two coefficients: first, both, second [-].
    quantile : float
        Student's t at 95 % for as many rows [-]: a 90 % interval.
    roofs : tuple of float
        Lowest and highest roof among the rows [m].
    stability_factors : tuple of float
        SSF at 5, 50 and 95 % of the same rows [-].
    """

    rows: int
    per_roof: float
    per_track: float
    scatter: float
    covariance: tuple[float, float, float]
    quantile: float
    roofs: tuple[float, float]
    stability_factors: tuple[float, float, float]

    def height(self, roof: float, track: float) -> float:
        """CG height above ground [m] under a bare roof [m] on a mean track [m], empty and stock.

        Notes
        -----
        h = a H + b T, least squares on h/H. [tse-2022]
        """
        return self.per_roof * roof + self.per_track * track

    def standard_error(self, roof: float, track: float) -> float:
        """Standard error of the height of one more vehicle [m].

        Notes
        -----
        s² H² + H² var a + 2 H T cov(a, b) + T² var b. [least-squares]
        """
        a, ab, b = self.covariance
        law = roof**2 * a + 2.0 * roof * track * ab + track**2 * b
        return math.sqrt((self.scatter * roof) ** 2 + law)

    def tolerance(self, roof: float, track: float) -> float:
        """Half the 90 % prediction interval [m], no narrower than 6 % where rows are few.

        Examples
        --------
        >>> law = LAWS[VehicleClass.CREW_CAB_TRUCK]
        >>> round(law.height(1.8, 1.56), 3), round(law.tolerance(1.8, 1.56), 3)
        (0.698, 0.028)
        """
        half = self.quantile * self.standard_error(roof, track)
        if self.rows >= FEW_ROWS:
            return half
        return max(half, LEAST_SHARE * self.height(roof, track))


LAWS = {
    VehicleClass.CREW_CAB_TRUCK: CgLaw(
        rows=83,
        per_roof=0.478694,
        per_track=-0.104699,
        scatter=0.00917112,
        covariance=(0.00162231, -0.00180729, 0.00201461),
        quantile=1.66388,
        roofs=(1.59, 2.061),
        stability_factors=(1.08396, 1.1694, 1.233),
    ),
    VehicleClass.WAGON: CgLaw(
        rows=313,
        per_roof=0.359468,
        per_track=0.0306124,
        scatter=0.00896095,
        covariance=(0.000135036, -0.000144413, 0.000154736),
        quantile=1.64977,
        roofs=(1.534, 1.936),
        stability_factors=(1.10108, 1.209, 1.28412),
    ),
    VehicleClass.VAN: CgLaw(
        rows=24,
        per_roof=0.258133,
        per_track=0.142353,
        scatter=0.0122344,
        covariance=(0.000529396, -0.000675832, 0.000873061),
        quantile=1.71714,
        roofs=(1.826, 2.835),
        stability_factors=(0.89112, 1.0807, 1.14314),
    ),
    VehicleClass.CAR: CgLaw(
        rows=245,
        per_roof=0.32841,
        per_track=0.0453167,
        scatter=0.0117041,
        covariance=(0.000210223, -0.000199356, 0.000189554),
        quantile=1.65115,
        roofs=(1.301, 1.809),
        stability_factors=(1.26392, 1.41, 1.4927),
    ),
}
"""By class: pickups, sport utilities, body vans, and cars of four body types. [tse-2022]"""
