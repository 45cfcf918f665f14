"""Springs that are stated: a rate with an optional second stage, or a measured table."""

from dataclasses import dataclass

import numpy as np

from rollsim.springs.curve import NO_FRICTION, Curve, FrictionLoop, StatedLoad, anchored


@dataclass(frozen=True, slots=True)
class LinearSpring:
    """One rate, with an optional second stage that adds its own.

    Parameters
    ----------
    rate : float
        Rate on one side, at the wheel (independent) or at the spring (solid axle) [N/m].
    stage_start : float or None
        Compression beyond as-weighed height at which the second stage begins to work [m];
        zero or less means that it works already as weighed. None: no second stage.
    stage_rate : float
        Rate that the second stage adds [N/m].
    stated_load : StatedLoad or None
        The spring's own load at a height; None takes the as-weighed load at as-weighed height.
    loop : FrictionLoop
        Its friction.
    motion_ratio : float
        Spring travel per wheel travel [-] by which rates, travel and load have been taken to the
        wheel; 1 on a solid axle, and where stated at the wheel. The curve is at the wheel already.
    """

    rate: float
    stage_start: float | None = None
    stage_rate: float = 0.0
    stated_load: StatedLoad | None = None
    loop: FrictionLoop = NO_FRICTION
    motion_ratio: float = 1.0

    def curve(self, load: float) -> Curve:
        """Curve with `load` [N] at as-weighed height, unless the spring states its own."""
        starts, steps = (), ()
        if self.stage_start is not None:
            starts, steps = (self.stage_start,), (self.stage_rate,)
        return anchored(Curve(load, self.rate, starts, steps), self.stated_load)

    def friction(self, force: np.ndarray) -> np.ndarray:
        """Half the width of the friction loop at `force` [N, any shape], in N."""
        return self.loop.half(force)


@dataclass(frozen=True, slots=True)
class TableSpring:
    """A measured spring: straight lines between points, the end slopes carried on.

    Parameters
    ----------
    travel : tuple of float
        Compression of each point from any datum, strictly rising [m].
    force : tuple of float
        Force at each point, strictly rising [N]; with two branches measured, their mean.
    stated_load : StatedLoad or None
        The spring's own load at a height; None takes the as-weighed load at as-weighed height.
    loop : FrictionLoop
        Its friction, where it was not measured point by point.
    half_widths : tuple of float
        Half of loading less unloading force at each point [N]; empty where one branch was measured.
    motion_ratio : float
        Spring travel per wheel travel [-] by which all of it has been taken to the wheel.
    """

    travel: tuple[float, ...]
    force: tuple[float, ...]
    stated_load: StatedLoad | None = None
    loop: FrictionLoop = NO_FRICTION
    half_widths: tuple[float, ...] = ()
    motion_ratio: float = 1.0

    def curve(self, load: float) -> Curve:
        """Curve with as-weighed height where the table's force equals `load` [N].

        Raises
        ------
        ValueError
            If `load` lies outside the table's forces.
        """
        anchor = load if self.stated_load is None else self.stated_load.force
        if not self.force[0] <= anchor <= self.force[-1]:
            raise ValueError(
                f"the spring table reaches from {self.force[0]:.0f} N to {self.force[-1]:.0f} N, "
                f"but the spring carries {anchor:.0f} N; measure it over a wider range"
            )
        travel, force = np.array(self.travel), np.array(self.force)
        slopes = np.diff(force) / np.diff(travel)
        zero = float(np.interp(anchor, force, travel))
        if self.stated_load is not None:
            zero += self.stated_load.extension
        starts = tuple(float(x) for x in travel[1:-1] - zero)
        steps = tuple(float(x) for x in np.diff(slopes))
        line = Curve(0.0, float(slopes[0]), starts, steps)
        offset = float(force[0] - line.force(travel[0] - zero))
        return Curve(offset, line.rate, starts, steps)

    def friction(self, force: np.ndarray) -> np.ndarray:
        """Half the width of the friction loop at `force` [N, any shape], in N."""
        stated = self.loop.half(force)
        if not self.half_widths:
            return stated
        return stated + np.interp(force, self.force, self.half_widths)
