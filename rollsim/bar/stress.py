"""What the bar's steel bears along its length, and what the bar weighs."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from rollsim.bar.geometry import BarShape, Stations, half_length, stations
from rollsim.bar.links import Installation
from rollsim.bar.steel import Section, Steel


@dataclass(frozen=True, slots=True, eq=False)
class StressAlong:
    """Stress at the outer fibre along one half of a bar, under a given end force.

    Parameters
    ----------
    stations : Stations
        Where; moments per end force [N·m/N].
    bending, torsion, von_mises : ndarray, shape (n,)
        Bending stress, torsional shear stress without its sign, and the two together [Pa].
    """

    stations: Stations
    bending: np.ndarray
    torsion: np.ndarray
    von_mises: np.ndarray


def von_mises(bending: ArrayLike, torsion: ArrayLike, section: Section) -> np.ndarray:
    """Stress at the outer fibre from bending and torsion together.

    Parameters
    ----------
    bending, torsion : array_like, same shape
        Moments [N·m].
    section : Section
        Sizes in [m].

    Returns
    -------
    ndarray, shape of `bending`
        [Pa].

    Notes
    -----
    √(σ² + 3 τ²) with σ = M R/I and τ = T R/J, J = 2 I, is R/I √(M² + ¾ T²). Below yield; at
    sharp corners, welds, holes and flattened bends the true stress is higher.
    Source: distortion-energy criterion, common practice. [distortion-energy]

    Examples
    --------
    >>> round(float(von_mises(0.0, 250.0, Section(0.030, None))) / 1e6, 1)
    81.7
    """
    equivalent = np.hypot(bending, math.sqrt(0.75) * np.asarray(torsion))
    return equivalent * (section.outer_diameter / 2.0 / section.second_moment)


def peak_equivalent_moment(
    shape: BarShape, bush_spacing: float, *, arm_angle: float = 0.0
) -> float:
    """Greatest √(M² + ¾ T²) along the bar per unit end force: the same for every section.

    Parameters
    ----------
    shape : BarShape
        Lengths in [m].
    bush_spacing : float
        Distance between the middles of the two bushes [m].
    arm_angle : float
        Angle by which the whole shape is turned about the bushes [rad].

    Returns
    -------
    float
        [N·m/N].

    Raises
    ------
    ValueError
        If the bushes lie outside the bar's centre section or on a bend.

    Notes
    -----
    Multiplied by R/I it is the peak von Mises stress per end force. See `stations`.

    Examples
    --------
    >>> from rollsim.bar.geometry import straight_u
    >>> bar = straight_u(centre_length=1.0, lever=0.2, splay=0.0)
    >>> round(peak_equivalent_moment(bar, 0.8), 6) == round(0.2, 6)
    True
    """
    return _peak(shape, bush_spacing, arm_angle)


@lru_cache(maxsize=1024)
def _peak(shape: BarShape, bush_spacing: float, arm_angle: float) -> float:
    along = stations(shape, bush_spacing, arm_angle=arm_angle)
    return float(np.max(np.hypot(along.bending, math.sqrt(0.75) * along.torsion)))


def stress_along(
    shape: BarShape,
    bush_spacing: float,
    section: Section,
    *,
    link_end_force: float,
    installation: Installation | None = None,
) -> StressAlong:
    """Stress along one half of a bar.

    Parameters
    ----------
    shape : BarShape
        Lengths in [m].
    bush_spacing : float
        Distance between the middles of the two bushes [m].
    section : Section
        Sizes in [m].
    link_end_force : float
        Vertical force at one link end, the other end's being opposite [N].
    installation : Installation or None
        Angles [rad]; None: arms level, links vertical.

    Returns
    -------
    StressAlong
        In [Pa].

    Raises
    ------
    ValueError
        If the bushes lie outside the bar's centre section or on a bend.

    Notes
    -----
    An inclined link carries force / cos(inclination) along itself, and that loads the bar.
    See `von_mises` and `stations`.

    Examples
    --------
    >>> from rollsim.bar.geometry import straight_u
    >>> bar = straight_u(centre_length=0.94, lever=0.26, splay=0.2)
    >>> along = stress_along(bar, 0.82, Section(0.022, None), link_end_force=1000.0)
    >>> round(float(along.von_mises.max()) / 1e6)
    254
    """
    installation = installation or Installation()
    along = stations(shape, bush_spacing, arm_angle=installation.arm_angle)
    force = abs(link_end_force) / math.cos(installation.link_inclination)
    bending, torsion = force * along.bending, force * np.abs(along.torsion)
    fibre = section.outer_diameter / 2.0 / section.second_moment
    return StressAlong(
        stations=along,
        bending=bending * fibre,
        torsion=torsion * fibre / 2.0,
        von_mises=von_mises(bending, torsion, section),
    )


def bar_mass(shape: BarShape, section: Section, steel: Steel) -> float:
    """Mass of the whole bar, both halves, without links, bushes and brackets.

    Parameters
    ----------
    shape : BarShape
        Lengths in [m].
    section : Section
        Sizes in [m].
    steel : Steel
        Density in [kg/m³].

    Returns
    -------
    float
        [kg].

    Examples
    --------
    >>> from rollsim.bar.geometry import straight_u
    >>> from rollsim.bar.steel import find_steel
    >>> bar = straight_u(centre_length=1.0, lever=0.25, splay=0.0)
    >>> round(bar_mass(bar, Section(0.022, None), find_steel("51CrV4 spring temper")), 3)
    4.476
    """
    return 2.0 * half_length(shape) * section.area * steel.density
