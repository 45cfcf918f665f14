"""Springs as force-travel curves: a straight line plus changes of rate at given compressions.

Force, tangent rate and energy follow in closed form, for arrays of any shape.
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

    def friction(self, force: np.ndarray) -> np.ndarray:
        """Half the width of the friction loop at `force` [N, any shape], in N."""
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

    Notes
    -----
    A spring of a known free height carries nothing there: its force is 0.
    """

    force: float
    extension: float = 0.0

    @property
    def is_free_height(self) -> bool:
        """Whether it says at which height the spring carries nothing [-]."""
        return self.force == 0.0


@dataclass(frozen=True, slots=True)
class FrictionLoop:
    """Dry friction of a spring: loading it takes more force than it gives back.

    Parameters
    ----------
    fraction : float
        Half the loop's width as a share of the spring's force [-].
    half_width : float
        Half the loop's width whatever the force, where the spring's force is stated [N].

    Notes
    -----
    A rate test measures F + w going in and F − w coming out; w = fraction |F| + half_width. For
    leaf packs a fraction of 0.05 to 0.10 is common practice (from memory).

    Examples
    --------
    >>> float(FrictionLoop(fraction=0.07).half(4000.0))
    280.0
    """

    fraction: float = 0.0
    half_width: float = 0.0

    def half(self, force: np.ndarray) -> np.ndarray:
        """Half the width at `force` [N, any shape], in N and of the same shape."""
        return self.fraction * np.abs(np.asarray(force, dtype=float)) + self.half_width


NO_FRICTION = FrictionLoop()


def anchored(curve: Curve, stated: StatedLoad | None) -> Curve:
    """Shift a curve in force so that it passes through a stated load at its height.

    Parameters
    ----------
    curve : Curve
        Of the spring.
    stated : StatedLoad or None
        Force [N] and height [m]; None leaves the curve as it is.

    Returns
    -------
    Curve
        Of the same shape.
    """
    if stated is None:
        return curve
    surplus = float(curve.force(np.array(-stated.extension))) - stated.force
    return Curve(curve.load - surplus, curve.rate, curve.starts, curve.steps)


def compression_at(curve: Curve, force: float) -> float:
    """Compression at which a curve has a force.

    Parameters
    ----------
    curve : Curve
        Whose rate is above zero throughout.
    force : float
        [N].

    Returns
    -------
    float
        From as weighed [m].

    Examples
    --------
    >>> compression_at(Curve(0.0, 20e3, (0.05,), (30e3,)), 2000.0)
    0.07
    """
    rate, at, reached = curve.rate, 0.0, float(curve.force(np.array(0.0)))
    hinges = sorted(zip(curve.starts, curve.steps, strict=True))
    if hinges:
        at = hinges[0][0]
        reached = float(curve.force(np.array(at)))
    for start, step in hinges:
        there = float(curve.force(np.array(start)))
        if there >= force:
            break
        rate, at, reached = rate + step, start, there
    return at + (force - reached) / rate


def geared(curve: Curve, motion_ratio: float) -> Curve:
    """Take the curve of a spring to the wheel.

    Parameters
    ----------
    curve : Curve
        At the spring.
    motion_ratio : float
        Spring travel per wheel travel [-].

    Returns
    -------
    Curve
        At the wheel.

    Notes
    -----
    Virtual work with a constant ratio r: force × r, travel / r, rate × r².

    Examples
    --------
    >>> geared(Curve(4000.0, 80e3, (0.05,), (40e3,)), 0.5)
    Curve(load=2000.0, rate=20000.0, starts=(0.1,), steps=(10000.0,))
    """
    return Curve(
        curve.load * motion_ratio,
        curve.rate * motion_ratio**2,
        tuple(start / motion_ratio for start in curve.starts),
        tuple(step * motion_ratio**2 for step in curve.steps),
    )
