"""A helical spring from its dimensions: rate, stress, and the travel at which its coils close."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.springs.curve import NO_FRICTION, Curve, FrictionLoop, StatedLoad

BIND_RATE = 5e6
"""Rate that closed coils add, at the spring [N/m].

Coils that touch are as good as solid. What stands in series with them is a tyre of some 250 N/mm,
so twenty times that leaves the tyre to give: on the test vehicle four times as much moves lean past
bind by 0.02° and the tipping point by 0.0004 g.
"""


@dataclass(frozen=True, slots=True)
class HelicalSpring:
    """A cylindrical compression spring of round wire.

    Parameters
    ----------
    wire_diameter, coil_diameter : float
        Of the wire, and of the coil at the middle of the wire [m].
    active_coils : float
        Coils that twist: all but those that lie on the seats [-].
    free_length, block_length : float
        Unloaded, and with all coils closed [m].
    shear_modulus : float
        [Pa].
    motion_ratio : float
        Spring travel per wheel travel [-]; 1 on a solid axle.
    stated_load : StatedLoad or None
        The spring's own load at a height, taken to the wheel; None takes the as-weighed load at
        as-weighed height.
    loop : FrictionLoop
        Its friction, taken to the wheel.

    Notes
    -----
    R = G d⁴ / (8 D³ n) [en-13906-1]. Linear until the coils close; a spring that sheds coils on
    its seats one by one (progressive) is measured instead. Seated throughout: what holds a spring
    that hangs loose is the rebound limit.

    Examples
    --------
    >>> coil = HelicalSpring(0.011, 0.055, 5.0, free_length=0.09, block_length=0.077,
    ...                      shear_modulus=81370e6)
    >>> round(coil.rate / 1e3, 3), round(coil.closing_force)
    (179.014, 2327)
    """

    wire_diameter: float
    coil_diameter: float
    active_coils: float
    free_length: float
    block_length: float
    shear_modulus: float
    motion_ratio: float = 1.0
    stated_load: StatedLoad | None = None
    loop: FrictionLoop = NO_FRICTION

    @property
    def rate(self) -> float:
        """Rate at the spring itself [N/m]."""
        wire, coil = self.wire_diameter, self.coil_diameter
        return self.shear_modulus * wire**4 / (8.0 * coil**3 * self.active_coils)

    @property
    def closing_force(self) -> float:
        """Force at the spring itself that closes the coils [N]."""
        return self.rate * (self.free_length - self.block_length)

    def curve(self, load: float) -> Curve:
        """Curve with `load` [N] at as-weighed height, unless the spring states its own.

        Raises
        ------
        ValueError
            If the load closes the coils.
        """
        ratio, start = self.motion_ratio, self.travel_to_bind(load)
        force, height = self._anchor(load)
        carried = force / ratio
        if not carried < self.closing_force:
            raise ValueError(
                f"the coils close at {self.closing_force:.0f} N, but the spring carries "
                f"{carried:.0f} N; check its dimensions"
            )
        rate, step = self.rate * ratio**2, BIND_RATE * ratio**2
        at_zero = force + rate * height + step * max(-start, 0.0)
        return Curve(at_zero, rate, (start,), (step,))

    def friction(self, force: np.ndarray) -> np.ndarray:
        """Half the width of the friction loop at `force` [N, any shape], in N."""
        return self.loop.half(force)

    def travel_to_bind(self, load: float) -> float:
        """Compression [m] from as-weighed height at which the coils close, `load` [N] as there."""
        force, height = self._anchor(load)
        left = (self.closing_force - force / self.motion_ratio) / self.rate
        return left / self.motion_ratio - height

    def stress(self, force: np.ndarray) -> np.ndarray:
        """Shear stress at the inside of the coil.

        Parameters
        ----------
        force : float or array
            As the curve gives it, at the wheel or at the spring [N].

        Returns
        -------
        float or array
            Of the same shape [Pa]; once the coils are closed it rises no further.

        Notes
        -----
        τ = K 8 F D / (π d³) with Wahl's factor K = (4w − 1)/(4w − 4) + 0.615/w, w = D/d [wahl].
        The factor of [en-13906-1], (w + 0.5)/(w − 0.75), is about 1 % lower.

        Examples
        --------
        >>> coil = HelicalSpring(0.011, 0.055, 5.0, free_length=0.1, block_length=0.077,
        ...                      shear_modulus=81370e6)
        >>> round(float(coil.stress(3500.0)) / 1e6, 1)
        482.6
        """
        index = self.coil_diameter / self.wire_diameter
        wahl = (4.0 * index - 1.0) / (4.0 * index - 4.0) + 0.615 / index
        own = np.minimum(np.asarray(force, dtype=float) / self.motion_ratio, self.closing_force)
        return wahl * 8.0 * own * self.coil_diameter / (math.pi * self.wire_diameter**3)

    def _anchor(self, load: float) -> tuple[float, float]:
        """A force [N] and the height above as weighed at which the spring carries it [m]."""
        if self.stated_load is None:
            return load, 0.0
        return self.stated_load.force, self.stated_load.extension
