"""Where body, axles and wheels are at the equilibria of a curve: records, nothing solved here."""

from dataclasses import dataclass

import numpy as np

from rollsim.equilibrium import Model, Solution, half_track
from rollsim.roll.figures import TURN, arch_rise, cab_roll, cg_height, spring_travel, tray_roll


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """One equilibrium of a left turn.

    Parameters
    ----------
    lateral_acceleration : float
        [m/s²].
    roll_angle, tray_roll_angle : float
        Body against the road, static lean included [rad]: the cab, and the rear end, which leans
        by another angle where the frame twists.
    heave : float
        Rise of the sprung CG from as weighed [m].
    wheel_loads : tuple of float
        Front left, front right, rear left, rear right [N]; left is inner.
    spring_travel : tuple of float
        Extension at each spring from as weighed, in the same order [m]; at the wheel on
        independent suspension.
    arch_rise : tuple of float
        Rise of the body above the ground over each wheel, from as weighed, in the same order [m].
    axle_roll, axle_rise : tuple of float
        Roll [rad] and rise of the wheel centres [m] of the front and the rear axle.
    wheels_out : tuple of float
        How far each wheel of the front and the rear axle stands further out than as weighed: an
        independent one moves across as it travels [m].
    """

    lateral_acceleration: float
    roll_angle: float
    heave: float
    wheel_loads: tuple[float, float, float, float]
    spring_travel: tuple[float, float, float, float]
    arch_rise: tuple[float, float, float, float]
    axle_roll: tuple[float, float]
    axle_rise: tuple[float, float]
    tray_roll_angle: float
    wheels_out: tuple[float, float]


def curve_points(
    model: Model,
    points: dict[float, Solution],
    lateral: tuple[float, ...],
    *,
    limit: np.ndarray,
    raised: np.ndarray,
) -> list[tuple[CurvePoint, ...]]:
    """The points at `lateral` of every vehicle, those that there are; all in one batch.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    points : dict
        From lateral acceleration [m/s²] to the equilibria there.
    lateral : tuple of float
        Those wanted [m/s²].
    limit : (N,) array
        Greatest lateral acceleration of each vehicle [m/s²].
    raised : (N,) array
        By larger tyres since it was weighed [m].

    Returns
    -------
    list of tuple of CurvePoint
        One tuple a vehicle.
    """
    size = model.size
    if not lateral:
        return [()] * size
    many = model.take(np.tile(np.arange(size), len(lateral)))
    x = np.concatenate([points[a].x for a in lateral], axis=1)
    raised = np.tile(raised, len(lateral))
    loads = TURN.balance(many, x).wheel_loads
    heave = cg_height(many, x)[0] - many.cg_height + raised
    springs, arches = spring_travel(many, x), arch_rise(many, x) + raised
    out = half_track(many, x) - 0.5 * many.track
    roll, rise, cab, tray = x[4:6], x[6:8] + raised, cab_roll(many, x), tray_roll(x)

    def point(k: int, lateral: float) -> CurvePoint:
        return CurvePoint(
            lateral,
            float(cab[k]),
            float(heave[k]),
            wheel_loads=_corners(loads[..., k]),
            spring_travel=_corners(springs[..., k]),
            arch_rise=_corners(arches[..., k]),
            axle_roll=(float(roll[0, k]), float(roll[1, k])),
            axle_rise=(float(rise[0, k]), float(rise[1, k])),
            tray_roll_angle=float(tray[k]),
            wheels_out=(float(out[0, k]), float(out[1, k])),
        )

    return [
        tuple(
            point(number * size + n, a)
            for number, a in enumerate(lateral)
            if points[a].converged[n] and a <= limit[n]
        )
        for n in range(size)
    ]


def _corners(values: np.ndarray) -> tuple[float, float, float, float]:
    """From (left, right; front, rear) to front left, front right, rear left, rear right."""
    return tuple(float(values[side, axle]) for axle in (0, 1) for side in (0, 1))
