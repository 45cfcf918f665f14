"""A bar on the vehicle, measured by vernier and tape: its link-end rate with its error."""

from dataclasses import dataclass

import numpy as np

from rollsim.bar import Section, Steel, find_steel, link_end_rate, straight_u
from rollsim.estimates import Estimate, propagated

STEEL = "51CrV4 spring temper"


@dataclass(frozen=True, slots=True)
class BarReadings:
    """Dimensions of a straight U bar [m], with their standard errors.

    Parameters
    ----------
    diameter : float
        Outer, by vernier on bare metal: paint adds 0.2 to 0.3 mm [m].
    bore : float
        Of a tube; 0 for solid [m].
    lever : float
        Square to the centre section, to the link hole [m].
    centre_length : float
        Between the bends [m].
    bush_spacing : float
        Between the middles of the bushes [m].
    splay : float
        Of the arms from square [rad].
    diameter_error, length_error : float
        Standard errors of the vernier and of the tape [m].
    """

    diameter: float
    lever: float
    centre_length: float
    bush_spacing: float
    bore: float = 0.0
    splay: float = 0.0
    diameter_error: float = 0.00005
    length_error: float = 0.003


def bar_by_vernier(
    readings: BarReadings,
    *,
    bush_rate: float | None = None,
    link_rate: float | None = None,
) -> Estimate:
    """Link-end rate of a bar from its dimensions.

    Parameters
    ----------
    readings : BarReadings
        [m].
    bush_rate, link_rate : float or None
        In series [N/m]; None: rigid.

    Returns
    -------
    Estimate
        Force at one end per travel of that end, the ends moving oppositely [N/m].

    Raises
    ------
    ValueError
        If the shape cannot be.

    Notes
    -----
    The rate grows with the fourth power of the diameter: 0.1 mm on 28 mm is 1.4 %. All spring
    steels have the same moduli. [unit-load]

    Examples
    --------
    >>> found = bar_by_vernier(BarReadings(0.028, 0.26, 0.94, 0.82))
    >>> round(found.value / 1e3, 1), round(found.standard_error / found.value, 3)
    (130.3, 0.025)
    """
    steel = find_steel(STEEL)
    lengths = (readings.lever, readings.centre_length, readings.bush_spacing)

    def rate(values: np.ndarray) -> float:
        diameter, *rest = (float(v) for v in values)
        return _rate(readings, steel, (diameter, *rest), bush_rate=bush_rate, link_rate=link_rate)

    errors = (readings.diameter_error, *(readings.length_error,) * 3)
    return propagated(rate, (readings.diameter, *lengths), errors)


def _rate(
    readings: BarReadings,
    steel: Steel,
    sizes: tuple[float, ...],
    *,
    bush_rate: float | None,
    link_rate: float | None,
) -> float:
    diameter, lever, centre, bushes = sizes
    wall = 0.5 * (diameter - readings.bore) if readings.bore else None
    shape = straight_u(centre_length=centre, lever=lever, splay=readings.splay)
    found = link_end_rate(
        shape,
        bushes,
        Section(diameter, wall).second_moment,
        steel=steel,
        bush_rate=bush_rate,
        link_rate=link_rate,
    )
    return float(found)
