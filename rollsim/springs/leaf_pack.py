"""A leaf pack from its dimensions: rate, stress and nip, helper leaves, and its twist stiffness.

Semi-elliptic and symmetrical: eye to eye over the seat, half the spring's force at each eye.
"""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.springs.curve import NO_FRICTION, Curve, FrictionLoop, StatedLoad, anchored, geared

CONTACT_HINGES = 4
"""Hinges over the contact travel of a helper.

The rate rises in so many equal steps, each in the middle of its part of the travel, so that force
and energy are right at the ends of each part; in between the force is off by at most
rate × travel / (8 × 4²): 5 N for a helper of 60 N/mm over 10 mm.
"""


@dataclass(frozen=True, slots=True)
class Leaf:
    """One leaf of rectangular section: width and thickness [m]."""

    width: float
    thickness: float

    @property
    def second_moment(self) -> float:
        """Second moment of area in bending [m⁴]."""
        return self.width * self.thickness**3 / 12.0

    @property
    def torsion_constant(self) -> float:
        """Torsion constant of a flat strip [m⁴], b t³/3 (1 − 0.63 t/b) [thin-strip]."""
        flat = self.thickness / self.width
        return self.width * self.thickness**3 / 3.0 * (1.0 - 0.63 * flat)


@dataclass(frozen=True, slots=True)
class Leaves:
    """Leaves that bend together: a main stage, or helper leaves.

    Parameters
    ----------
    span : float
        Eye to eye, or between the points where the ends bear [m].
    full_length, graduated : tuple of Leaf
        Those that reach to the ends, at least one, and the shorter ones.
    inactive_length : float
        Held stiff by seat and U-bolts; it does not bend [m].
    youngs_modulus : float
        [Pa].

    Notes
    -----
    Each half is a cantilever of half the active span L = (span − inactive)/2. At its end a
    full-length leaf gives 3 E I/L³; graduated leaves, together a triangle in plan, 2 E I/L³ each
    [bhandari]. So rate = 2 E/L³ (3 ΣI_f + 2 ΣI_g), which for equal leaves is 32 E ΣI SF / l³ with
    SF = (3 n_f + 2 n_g)/(2 n). Camber, shackle angle and the stiffness of eye bushes are left out.

    Examples
    --------
    >>> leaf = Leaf(0.06, 0.007)
    >>> pack = Leaves(1.2, (leaf,), (leaf,) * 3, inactive_length=0.1)
    >>> round(pack.rate / 1e3, 2)
    38.22
    """

    span: float
    full_length: tuple[Leaf, ...]
    graduated: tuple[Leaf, ...] = ()
    inactive_length: float = 0.0
    youngs_modulus: float = 206e9

    @property
    def half_length(self) -> float:
        """Half the active span [m]."""
        return 0.5 * (self.span - self.inactive_length)

    @property
    def rate(self) -> float:
        """Rate at the seat [N/m]."""
        return 2.0 * self.youngs_modulus / self.half_length**3 * self._stiffness

    def stress(self, force: np.ndarray, preload: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
        """Bending stress at the seat of the thickest leaf of each kind.

        Parameters
        ----------
        force : float or array
            On these leaves, at the seat [N].
        preload : float
            Force of the centre bolt that closes a nip [N], from `nip_preload`.

        Returns
        -------
        tuple of two arrays
            Full-length and graduated leaves [Pa], of the shape of `force`; the second is 0 where
            there are none. Negative where a nip bends a leaf the other way.

        Notes
        -----
        Leaves share the force by their stiffness; nip takes half the preload at each end from the
        full-length leaves and gives it to the graduated ones. σ = M t/(2 I).
        """
        end = 0.5 * np.asarray(force, dtype=float)
        nipped = 0.5 * preload if self.graduated else 0.0
        full, graduated = _sum(self.full_length), _sum(self.graduated)
        on_full = end * 3.0 * full / self._stiffness - nipped
        on_graduated = end * 2.0 * graduated / self._stiffness + nipped
        return (
            on_full * self._stress_per_force(self.full_length),
            on_graduated * self._stress_per_force(self.graduated),
        )

    def nip_preload(self, nip: float) -> float:
        """Force of the centre bolt that closes a `nip` [m], in N; 0 without graduated leaves."""
        both = 3.0 * _sum(self.full_length) * 2.0 * _sum(self.graduated)
        per_end = nip * self.youngs_modulus / self.half_length**3 * both / self._stiffness
        return 2.0 * per_end

    def twist_stiffness(self, shear_modulus: float) -> float:
        """Roll stiffness that the leaves of both sides add by their own twist.

        Parameters
        ----------
        shear_modulus : float
            [Pa].

        Returns
        -------
        float
            Per axle [N·m/rad], to be offered as auxiliary roll stiffness; an upper bound.

        Notes
        -----
        As the axle rolls under the body the seat turns against the eyes, and both halves of both
        springs twist: 4 T/θ with T/θ = G ΣJ_g / [L ln(1 + ΣJ_g/ΣJ_f)] of one half, G ΣJ_f / L
        without graduated leaves. Derived, not from a source: graduated leaves thin out evenly
        towards the ends and twist with the full-length ones, J of a flat strip [thin-strip]. Bushes
        in the eyes give way, and clips let leaves slide: what is left may be half of it or less.

        Examples
        --------
        >>> leaf = Leaf(0.06, 0.007)
        >>> pack = Leaves(1.2, (leaf,), (leaf,) * 3, inactive_length=0.1)
        >>> round(math.radians(pack.twist_stiffness(79.3e9)))
        138
        """
        full = sum(leaf.torsion_constant for leaf in self.full_length)
        graduated = sum(leaf.torsion_constant for leaf in self.graduated)
        # The limit of graduated / log1p(graduated / full) where there are none is full itself.
        mean = graduated / math.log1p(graduated / full) if graduated else full
        return 4.0 * shear_modulus * mean / self.half_length

    @property
    def _stiffness(self) -> float:
        """3 ΣI_f + 2 ΣI_g [m⁴]."""
        return 3.0 * _sum(self.full_length) + 2.0 * _sum(self.graduated)

    def _stress_per_force(self, leaves: tuple[Leaf, ...]) -> float:
        """Stress of the thickest of these leaves per force that they carry at one end [1/m²]."""
        if not leaves:
            return 0.0
        thickest = max(leaf.thickness for leaf in leaves)
        return self.half_length * thickest / (2.0 * _sum(leaves))


@dataclass(frozen=True, slots=True)
class Helper:
    """Helper leaves: a second stage with dimensions of its own.

    Parameters
    ----------
    leaves : Leaves
        Theirs.
    start : float
        Compression of the pack beyond as-weighed height at which they begin to touch [m]; zero or
        less means that they work already as weighed.
    contact_travel : float
        Travel from the first touch to full contact [m], over which their rate comes in.
    """

    leaves: Leaves
    start: float
    contact_travel: float = 0.0

    def hinges(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Where their rate comes in [m], and how much of it at each place [N/m]."""
        count = CONTACT_HINGES if self.contact_travel else 1
        part = self.contact_travel / count
        starts = tuple(self.start + (n + 0.5) * part for n in range(count))
        return starts, (self.leaves.rate / count,) * count


@dataclass(frozen=True, slots=True)
class PackState:
    """What a leaf pack does at given compressions, all at the spring itself; arrays of one shape.

    Parameters
    ----------
    rate : array
        Tangent rate of the whole pack [N/m].
    main_load, helper_load : array
        Force on each stage [N].
    helper_share : array
        Part of the helper's rate that works [-]: 0 idle, 1 fully in.
    full_length_stress, graduated_stress : array
        Of the main stage, at the thickest leaf of each kind [Pa]; 0 where there is none.
    helper_stress : array
        The greater of both kinds in the helper [Pa]; 0 where there is none.
    """

    rate: np.ndarray
    main_load: np.ndarray
    helper_load: np.ndarray
    helper_share: np.ndarray
    full_length_stress: np.ndarray
    graduated_stress: np.ndarray
    helper_stress: np.ndarray


@dataclass(frozen=True, slots=True)
class LeafPack:
    """A leaf spring of one side, with or without helper leaves.

    Parameters
    ----------
    main : Leaves
        The stage that always works.
    helper : Helper or None
        The second stage.
    nip : float
        Gap between full-length and graduated leaves before they are bolted together [m]. It moves
        stress from one kind to the other and leaves the rate alone.
    motion_ratio : float
        Spring travel per wheel travel [-]; 1 on a solid axle.
    stated_load : StatedLoad or None
        The spring's own load at a height, taken to the wheel; None takes the as-weighed load at
        as-weighed height.
    loop : FrictionLoop
        Its friction, taken to the wheel.
    """

    main: Leaves
    helper: Helper | None = None
    nip: float = 0.0
    motion_ratio: float = 1.0
    stated_load: StatedLoad | None = None
    loop: FrictionLoop = NO_FRICTION

    def curve(self, load: float) -> Curve:
        """Curve with `load` [N] at as-weighed height, unless the spring states its own."""
        starts, steps = ((), ()) if self.helper is None else self.helper.hinges()
        own = Curve(load / self.motion_ratio, self.main.rate, starts, steps)
        return anchored(geared(own, self.motion_ratio), self.stated_load)

    def friction(self, force: np.ndarray) -> np.ndarray:
        """Half the width of the friction loop at `force` [N, any shape], in N."""
        return self.loop.half(force)

    def at(self, compression: np.ndarray, load: float) -> PackState:
        """Load, rate and stress of each stage.

        Parameters
        ----------
        compression : float or array
            From as-weighed height, at the wheel (independent) or at the spring (solid axle) [m].
        load : float
            Force as weighed, at the same place [N].

        Returns
        -------
        PackState
            At the spring itself.

        Examples
        --------
        >>> leaf, thick = Leaf(0.06, 0.007), Leaf(0.06, 0.011)
        >>> pack = LeafPack(
        ...     Leaves(1.2, (leaf,), (leaf,) * 5, inactive_length=0.1),
        ...     Helper(Leaves(0.9, (thick,), inactive_length=0.1), 0.05, 0.01),
        ... )
        >>> found = pack.at(np.array([0.0, 0.065]), 4000.0)
        >>> [round(float(x)) for x in found.helper_load]
        [0, 1285]
        >>> [round(float(x) / 1e6) for x in found.full_length_stress]
        [518, 983]
        """
        curve = self.curve(load)
        own = np.asarray(compression, dtype=float) * self.motion_ratio
        helper_load, helper_rate = np.zeros_like(own), np.zeros_like(own)
        share, helper_stress = np.zeros_like(own), np.zeros_like(own)
        if self.helper is not None:
            for start, step in zip(*self.helper.hinges(), strict=True):
                helper_load = helper_load + step * np.maximum(own - start, 0.0)
                helper_rate = helper_rate + step * (own > start)
            share = helper_rate / self.helper.leaves.rate
            helper_stress = np.maximum(*self.helper.leaves.stress(helper_load))
        main_load = curve.force(compression) / self.motion_ratio - helper_load
        full, graduated = self.main.stress(main_load, self.main.nip_preload(self.nip))
        return PackState(
            rate=self.main.rate + helper_rate,
            main_load=main_load,
            helper_load=helper_load,
            helper_share=share,
            full_length_stress=full,
            graduated_stress=graduated,
            helper_stress=helper_stress,
        )


def _sum(leaves: tuple[Leaf, ...]) -> float:
    """Second moment of area of all [m⁴]."""
    return sum(leaf.second_moment for leaf in leaves)
