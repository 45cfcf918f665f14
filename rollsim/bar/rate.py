"""How stiff the bar is: at its link end, and in roll; and what force a roll moment puts on it."""

import numpy as np
from numpy.typing import ArrayLike

from rollsim.bar.geometry import BarShape, link_spacing, unit_load_integrals
from rollsim.bar.links import Installation
from rollsim.bar.steel import Steel


def link_end_rate(
    shape: BarShape,
    bush_spacing: float,
    second_moment: ArrayLike,
    *,
    steel: Steel,
    bush_rate: float | None = None,
    link_rate: float | None = None,
    installation: Installation | None = None,
) -> np.ndarray:
    """Vertical force at one link end per travel of that end, the two ends moving oppositely.

    Parameters
    ----------
    shape : BarShape
        Lengths in [m].
    bush_spacing : float
        Distance between the middles of the two bushes [m].
    second_moment : array_like, any shape
        Second moment of area of each section [m⁴].
    steel : Steel
        Moduli in [Pa].
    bush_rate : float or None
        Radial rate of one bush [N/m]; None: rigid.
    link_rate : float or None
        Rate of one link along itself, both its joints together [N/m]; None: rigid.
    installation : Installation or None
        Angles [rad]; None: arms level, links vertical.

    Returns
    -------
    ndarray, shape of `second_moment`
        Rate per end [N/m]; twice the rate that is measured from end to end.

    Raises
    ------
    ValueError
        If a rate is not positive, or the bushes lie outside the bar's centre section.

    Notes
    -----
    1/k = ∫ (M²/EI + T²/GJ) ds over one half, per unit end force, + (B/s)²/k_bush + 1/k_link,
    J = 2 I; then × cos² of the link inclination, since force and travel both act along the link.
    Valid below yield and for small travel; see `unit_load_integrals` for what is left out.
    Source: unit-load method, common practice. [unit-load]

    Examples
    --------
    >>> from rollsim.bar.geometry import straight_u
    >>> from rollsim.bar.steel import Section, find_steel
    >>> bar = straight_u(centre_length=0.94, lever=0.26, splay=0.2)
    >>> inertia = Section(0.022, None).second_moment
    >>> rate = link_end_rate(bar, 0.82, inertia, steel=find_steel("51CrV4 spring temper"))
    >>> round(float(rate) / 1e3, 1)  # N/mm
    47.7
    """
    installation = installation or Installation()
    for word, rate in (("bush rate", bush_rate), ("link rate", link_rate)):
        if rate is not None and not rate > 0.0:
            raise ValueError(f"{word} {rate / 1e3:g} N/mm: it must be above zero")
    bending, torsion = unit_load_integrals(shape, bush_spacing, arm_angle=installation.arm_angle)
    per_inertia = bending / steel.youngs_modulus + torsion / (2.0 * steel.shear_modulus)
    flexibility = per_inertia / np.asarray(second_moment, dtype=float)
    if bush_rate is not None:
        flexibility = flexibility + (link_spacing(shape) / bush_spacing) ** 2 / bush_rate
    if link_rate is not None:
        flexibility = flexibility + 1.0 / link_rate
    return np.cos(installation.link_inclination) ** 2 / flexibility


def roll_stiffness_solid_axle(link_end_rate: ArrayLike, link_spacing: ArrayLike) -> np.ndarray:
    """Roll stiffness of a bar across a solid axle, body against axle.

    Parameters
    ----------
    link_end_rate : array_like, any shape
        Force at one end per travel of that end [N/m].
    link_spacing : array_like, any shape
        Between the link ends [m].

    Returns
    -------
    ndarray
        [N·m/rad].

    Notes
    -----
    K = k B²/2, small angles. Follows from the definition of the rate.

    Examples
    --------
    >>> float(roll_stiffness_solid_axle(30e3, 1.0))
    15000.0
    """
    return np.asarray(link_end_rate) * np.asarray(link_spacing) ** 2 / 2.0


def roll_stiffness_independent(
    link_end_rate: ArrayLike, *, installation_ratio: float, track: float
) -> np.ndarray:
    """Roll stiffness of a bar on independent suspension, body against the line of the wheels.

    Parameters
    ----------
    link_end_rate : array_like, any shape
        Force at one end per travel of that end [N/m].
    installation_ratio : float
        Link travel per wheel travel [-].
    track : float
        [m].

    Returns
    -------
    ndarray
        [N·m/rad].

    Notes
    -----
    K = k r² t²/2, small angles. Follows from the definition of the rate.

    Examples
    --------
    >>> round(float(roll_stiffness_independent(30e3, installation_ratio=0.5, track=1.6)), 6)
    9600.0
    """
    return np.asarray(link_end_rate) * (installation_ratio * track) ** 2 / 2.0


def link_end_force_solid_axle(roll_moment: ArrayLike, link_spacing: ArrayLike) -> np.ndarray:
    """Vertical force at each link end of a bar across a solid axle.

    Parameters
    ----------
    roll_moment : array_like, any shape
        The bar's own: its roll stiffness × the roll of the body against the axle [N·m].
    link_spacing : array_like, any shape
        Between the link ends [m].

    Returns
    -------
    ndarray
        [N].

    Notes
    -----
    F = M / B: the two ends' forces are a couple.

    Examples
    --------
    >>> float(link_end_force_solid_axle(1050.0, 1.05))
    1000.0
    """
    return np.asarray(roll_moment) / np.asarray(link_spacing)


def link_end_force_independent(
    roll_moment: ArrayLike, *, installation_ratio: float, track: float
) -> np.ndarray:
    """Force at each link end of a bar on independent suspension, along the link's travel.

    Parameters
    ----------
    roll_moment : array_like, any shape
        The bar's own: its roll stiffness × the suspension roll [N·m].
    installation_ratio : float
        Link travel per wheel travel [-].
    track : float
        [m].

    Returns
    -------
    ndarray
        [N].

    Notes
    -----
    F = M / (r t), the same as k r t/2 × suspension roll.

    Examples
    --------
    >>> float(link_end_force_independent(800.0, installation_ratio=0.5, track=1.6))
    1000.0
    """
    return np.asarray(roll_moment) / (installation_ratio * track)
