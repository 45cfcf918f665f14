"""Springs as force-travel curves: how much does it push, and how stiff is it, at any travel?

Every kind of spring becomes one `Curve`: a straight line plus changes of rate ("hinges") at given
compressions. Force, tangent rate and energy follow in closed form, for arrays of any shape.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np


@dataclass(frozen=True, slots=True)
class Curve:
    """Force against compression of one spring, anchored at as-weighed height.

    Parameters
    ----------
    load : float
        Force at zero compression, that is at as-weighed height [N].
    rate : float
        Rate of the straight line that stands before any hinge [N/m].
    starts : tuple of float
        Compression at which each hinge begins [m].
    steps : tuple of float
        Change of rate at each hinge [N/m], same length as `starts`.

    Notes
    -----
    F(δ) = load + rate δ + Σ step [max(δ − start, 0) − max(−start, 0)], δ compression positive.

    Examples
    --------
    >>> curve = Curve(load=4000.0, rate=36e3, starts=(0.055,), steps=(60e3,))
    >>> [round(float(f)) for f in curve.force(np.array([0.0, 0.055, 0.065]))]
    [4000, 5980, 6940]
    """

    load: float
    rate: float
    starts: tuple[float, ...] = ()
    steps: tuple[float, ...] = ()

    def force(self, compression: np.ndarray) -> np.ndarray:
        """Force at `compression` [m, any shape], in N and of the same shape."""
        compression = np.asarray(compression, dtype=float)
        force = self.load + self.rate * compression
        for start, step in zip(self.starts, self.steps, strict=True):
            force = force + step * (np.maximum(compression - start, 0.0) - max(-start, 0.0))
        return force

    def tangent_rate(self, compression: np.ndarray) -> np.ndarray:
        """Rate at `compression` [m, any shape], in N/m and of the same shape."""
        compression = np.asarray(compression, dtype=float)
        rate = np.full(compression.shape, float(self.rate))
        for start, step in zip(self.starts, self.steps, strict=True):
            rate = rate + step * (compression > start)
        return rate


class Spring(Protocol):
    """Whatever turns the load it carries as weighed into a `Curve`."""

    def curve(self, load: float) -> Curve:
        """Curve with `load` [N] at as-weighed height, unless the spring states its own."""
        ...


@dataclass(frozen=True, slots=True)
class StatedLoad:
    """A spring's own load, where it is not the as-weighed one.

    Parameters
    ----------
    force : float
        Force on one side, at the wheel (independent) or at the spring (solid axle) [N].
    extension : float
        Ride height at which it carries that force, from as-weighed height, up positive [m].
    """

    force: float
    extension: float = 0.0


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
    """

    rate: float
    stage_start: float | None = None
    stage_rate: float = 0.0
    stated_load: StatedLoad | None = None

    def curve(self, load: float) -> Curve:
        """Curve with `load` [N] at as-weighed height, unless the spring states its own."""
        starts, steps = (), ()
        if self.stage_start is not None:
            starts, steps = (self.stage_start,), (self.stage_rate,)
        return _anchored(Curve(load, self.rate, starts, steps), self.stated_load)


@dataclass(frozen=True, slots=True)
class TableSpring:
    """A measured spring: straight lines between points, the end slopes carried on.

    Parameters
    ----------
    travel : tuple of float
        Compression of each point from any datum, strictly rising [m].
    force : tuple of float
        Force at each point, strictly rising [N].
    stated_load : StatedLoad or None
        The spring's own load at a height; None takes the as-weighed load at as-weighed height.
    """

    travel: tuple[float, ...]
    force: tuple[float, ...]
    stated_load: StatedLoad | None = None

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


def _anchored(curve: Curve, stated: StatedLoad | None) -> Curve:
    """Shift `curve` in force so that it passes through the stated load at its height."""
    if stated is None:
        return curve
    surplus = float(curve.force(np.array(-stated.extension))) - stated.force
    return Curve(curve.load - surplus, curve.rate, curve.starts, curve.steps)
