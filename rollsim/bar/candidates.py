"""Every bar that a rear bar's shape and stock allow, in one batch."""

import itertools
import math
from dataclasses import dataclass, fields, replace
from enum import Enum

import numpy as np

from rollsim.bar.geometry import BarShape, half_length, link_spacing
from rollsim.bar.links import Installation
from rollsim.bar.rate import (
    link_end_rate,
    roll_stiffness_independent,
    roll_stiffness_solid_axle,
)
from rollsim.bar.shelf import ShelfBar
from rollsim.bar.steel import Section, Steel, Stock
from rollsim.bar.stress import peak_equivalent_moment


class Mount(Enum):
    """What carries the bar, which decides whether its mass is unsprung."""

    AXLE = "axle"
    CHASSIS = "chassis"


@dataclass(frozen=True, slots=True)
class RearBar:
    """The rear bar to be sized, or the front bar of a pair: its shape and stock.

    Parameters
    ----------
    mount : Mount
        What carries the bushes.
    installation_ratio : float
        Link travel per wheel travel on independent suspension [-]; ignored on a solid axle.
    bush_spacing : float
        Distance between the middles of the two bushes [m].
    shapes : tuple of BarShape
        One for each hole, lengths in [m].
    bush_rate, link_rate : float or None
        Of one bush, radially, and of one link, along itself [N/m]; None: rigid.
    installation : Installation
        Angles [rad], lash and link length [m].
    stocks : tuple of Stock
        Steels with the sections at hand; sizes in [m].
    disconnected_off_road : bool
        Its links are taken off for ground that twists the axle more than a road.
    shelf : tuple of ShelfBar
        The bars that there are, where the shop has a shelf: then no other section in no other
        shape is a candidate, and `shapes` and `stocks` hold what they are made of.

    Raises
    ------
    ValueError
        If there is no shape or stock, a number is not positive, or the bushes lie outside
        the centre section or on a bend of one of the shapes.
    """

    mount: Mount
    installation_ratio: float
    bush_spacing: float
    shapes: tuple[BarShape, ...]
    bush_rate: float | None
    link_rate: float | None
    installation: Installation
    stocks: tuple[Stock, ...]
    disconnected_off_road: bool = False
    shelf: tuple[ShelfBar, ...] = ()

    def __post_init__(self) -> None:
        if not self.shapes:
            raise ValueError("rear bar: no arm hole; give at least one")
        if not self.stocks:
            raise ValueError("rear bar: no section; give at least one")
        if not 0.0 < self.installation_ratio < math.inf:
            raise ValueError(
                f"installation ratio {self.installation_ratio:g}: it must be above zero; it is "
                "link travel per wheel travel"
            )
        # Sizing is no place to find out that a hole cannot be built: one trial rate each.
        for shape in self.shapes:
            link_end_rate(
                shape,
                self.bush_spacing,
                self.stocks[0].sections[0].second_moment,
                steel=self.stocks[0].steel,
                bush_rate=self.bush_rate,
                link_rate=self.link_rate,
                installation=self.installation,
            )

    @property
    def count(self) -> int:
        """How many candidates there are [-]."""
        if self.shelf:
            return sum(len(part.holes) for part in self.shelf)
        return sum(len(stock.sections) for stock in self.stocks) * len(self.shapes)

    def hung_with(self, part: ShelfBar | None) -> "RearBar":
        """As it hangs with the links that come with a bar of the shelf.

        Parameters
        ----------
        part : ShelfBar or None
            Rates in [N/m], lengths in [m]; None: no bar of a shelf.

        Returns
        -------
        RearBar
            Of the same shapes, so that holes keep their places.
        """
        if part is None or (part.link_rate is None and part.link_length is None):
            return self
        rate = self.link_rate if part.link_rate is None else part.link_rate
        hung = self.installation
        if part.link_length is not None:
            hung = replace(hung, link_length=part.link_length)
        return replace(self, link_rate=rate, installation=hung)


@dataclass(frozen=True, slots=True, eq=False)
class CandidateBars:
    """All candidates: stock by stock, in each section by section, in each hole by hole.

    Parameters
    ----------
    stock : ndarray of int, shape (n,)
        Position of its stock in the rear bar's.
    hole : ndarray of int, shape (n,)
        Position of its shape in the rear bar's.
    section : tuple of Section, length n
        Sizes in [m].
    steel : tuple of Steel, length n
        Stresses in [Pa].
    shape : tuple of BarShape, length n
        Lengths in [m].
    lever, link_spacing : ndarray, shape (n,)
        [m].
    link_end_rate : ndarray, shape (n,)
        Vertical force at one end per travel of that end [N/m].
    roll_stiffness : ndarray, shape (n,)
        Body against axle, or suspension roll on independent suspension [N·m/rad].
    mass : ndarray, shape (n,)
        Of the whole bar [kg].
    stress_per_force : ndarray, shape (n,)
        Peak von Mises stress over the whole bar per vertical force at one link end [Pa/N].
    allowable_stress : ndarray, shape (n,)
        [Pa].
    lash_angle : ndarray, shape (n,)
        Roll to either side before the bar works [rad].
    part : tuple of (ShelfBar or None), length n
        Which bar of the shelf it is; prices in their own currency [-].
    """

    stock: np.ndarray
    hole: np.ndarray
    section: tuple[Section, ...]
    steel: tuple[Steel, ...]
    shape: tuple[BarShape, ...]
    lever: np.ndarray
    link_spacing: np.ndarray
    link_end_rate: np.ndarray
    roll_stiffness: np.ndarray
    mass: np.ndarray
    stress_per_force: np.ndarray
    allowable_stress: np.ndarray
    lash_angle: np.ndarray
    part: tuple[ShelfBar | None, ...]

    def take(self, rows: np.ndarray) -> "CandidateBars":
        """Some of them, in the order of `rows`.

        Parameters
        ----------
        rows : (M,) array of int
            Their places [-].

        Returns
        -------
        CandidateBars
            Of M.
        """
        own = [getattr(self, one.name) for one in fields(self)]
        return CandidateBars(
            *(
                each[rows] if isinstance(each, np.ndarray) else tuple(each[n] for n in rows)
                for each in own
            )
        )


def candidates(rear_bar: RearBar, *, independent: bool, track: float) -> CandidateBars:
    """Work every stock × section × hole out at once, or every hole of every bar on the shelf.

    Parameters
    ----------
    rear_bar : RearBar
        Lengths in [m], rates in [N/m].
    independent : bool
        The axle has independent suspension.
    track : float
        Of that axle [m]; used on independent suspension alone.

    Returns
    -------
    CandidateBars
        Arrays of length n in SI units, such as [N·m/rad] for the roll stiffness; the hole
        changes fastest.

    Notes
    -----
    Bending and torsion are integrated once for each shape; sections come in by 1/I.
    Roll that the lash takes up to either side: half the lash over half the link spacing, or over
    r t/2 on independent suspension.

    Examples
    --------
    >>> from rollsim.bar.geometry import straight_u
    >>> from rollsim.bar.steel import find_steel
    >>> shapes = tuple(straight_u(centre_length=0.94, lever=x, splay=0.2) for x in (0.23, 0.26))
    >>> stock = Stock(find_steel("51CrV4 spring temper"), (Section(0.022, None),))
    >>> bar = RearBar(Mount.AXLE, 1.0, 0.82, shapes, None, None, Installation(), (stock,))
    >>> candidates(bar, independent=False, track=1.55).roll_stiffness.round(-2).tolist()
    [32800.0, 26100.0]
    """
    if rear_bar.shelf:
        return _of_the_shelf(rear_bar, independent=independent, track=track)
    holes = len(rear_bar.shapes)
    sections = tuple(section for stock in rear_bar.stocks for section in stock.sections)
    steels = tuple(stock.steel for stock in rear_bar.stocks for _ in stock.sections)
    inertia = np.array([section.second_moment for section in sections])
    rate = _rates(rear_bar, inertia)
    spacing = np.tile([link_spacing(shape) for shape in rear_bar.shapes], len(sections))
    ratio = rear_bar.installation_ratio
    if independent:
        stiffness = roll_stiffness_independent(rate, installation_ratio=ratio, track=track)
        lash_angle = np.full(len(rate), rear_bar.installation.lash / (ratio * track))
    else:
        stiffness = roll_stiffness_solid_axle(rate, spacing)
        lash_angle = rear_bar.installation.lash / spacing
    per_stock = [len(stock.sections) * holes for stock in rear_bar.stocks]
    return CandidateBars(
        stock=np.repeat(np.arange(len(per_stock)), per_stock),
        hole=np.tile(np.arange(holes), len(sections)),
        section=tuple(section for section in sections for _ in range(holes)),
        steel=tuple(steel for steel in steels for _ in range(holes)),
        shape=rear_bar.shapes * len(sections),
        lever=np.tile([shape.lever for shape in rear_bar.shapes], len(sections)),
        link_spacing=spacing,
        link_end_rate=rate,
        roll_stiffness=stiffness,
        mass=_masses(rear_bar, sections, steels),
        stress_per_force=_stresses_per_force(rear_bar, sections, inertia),
        allowable_stress=np.repeat(
            [
                steel.allowable_stress(section.outer_diameter)
                for section, steel in zip(sections, steels, strict=True)
            ],
            holes,
        ),
        lash_angle=lash_angle,
        part=(None,) * len(rate),
    )


def _of_the_shelf(rear_bar: RearBar, *, independent: bool, track: float) -> CandidateBars:
    """Every hole of every bar on the shelf, bar by bar."""
    each = []
    for part in rear_bar.shelf:
        links = rear_bar.link_rate if part.link_rate is None else part.link_rate
        alone = replace(
            rear_bar,
            link_rate=links,
            shapes=tuple(rear_bar.shapes[hole] for hole in part.holes),
            stocks=(Stock(part.steel, (part.section,)),),
            shelf=(),
        )
        found = candidates(alone, independent=independent, track=track)
        mass = found.mass if part.mass is None else np.full(len(part.holes), part.mass)
        own = {"hole": np.array(part.holes), "part": (part,) * len(part.holes), "mass": mass}
        each.append(replace(found, **own))
    return CandidateBars(
        *(
            np.concatenate(column)
            if isinstance(column[0], np.ndarray)
            else tuple(itertools.chain.from_iterable(column))
            for column in zip(*([getattr(o, f.name) for f in fields(o)] for o in each), strict=True)
        )
    )


def _rates(rear_bar: RearBar, inertia: np.ndarray) -> np.ndarray:
    """Link-end rate of every candidate [N/m], shape (n,)."""
    rates = []
    ends = np.cumsum([len(stock.sections) for stock in rear_bar.stocks])
    for stock, own in zip(rear_bar.stocks, np.split(inertia, ends[:-1]), strict=True):
        by_hole = [
            link_end_rate(
                shape,
                rear_bar.bush_spacing,
                own,
                steel=stock.steel,
                bush_rate=rear_bar.bush_rate,
                link_rate=rear_bar.link_rate,
                installation=rear_bar.installation,
            )
            for shape in rear_bar.shapes
        ]
        rates.append(np.column_stack(by_hole).ravel())
    return np.concatenate(rates)


def _masses(
    rear_bar: RearBar, sections: tuple[Section, ...], steels: tuple[Steel, ...]
) -> np.ndarray:
    """Mass of every candidate [kg], shape (n,)."""
    per_length = [
        section.area * steel.density for section, steel in zip(sections, steels, strict=True)
    ]
    return np.outer(per_length, [2.0 * half_length(s) for s in rear_bar.shapes]).ravel()


def _stresses_per_force(
    rear_bar: RearBar, sections: tuple[Section, ...], inertia: np.ndarray
) -> np.ndarray:
    """Peak von Mises stress of every candidate per vertical link-end force [Pa/N], shape (n,)."""
    fibre = np.array([section.outer_diameter for section in sections]) / 2.0 / inertia
    arm_angle = rear_bar.installation.arm_angle
    peaks = [
        peak_equivalent_moment(shape, rear_bar.bush_spacing, arm_angle=arm_angle)
        for shape in rear_bar.shapes
    ]
    return np.outer(fibre, peaks).ravel() / math.cos(rear_bar.installation.link_inclination)
