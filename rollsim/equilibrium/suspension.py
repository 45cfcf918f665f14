"""What springs, stops and bars between body and axle push, and how that grows, for N vehicles."""

from dataclasses import dataclass

import numpy as np

from rollsim.equilibrium.model import SIDES, Model


@dataclass(slots=True)
class _Elastic:
    """Sums over left and right of elements at the body: f = dU/de, k = d²U/de², B half base."""

    f: np.ndarray  # Σ f
    bf: np.ndarray  # Σ ± B f
    k: np.ndarray  # Σ k
    bk: np.ndarray  # Σ ± B k
    bbk: np.ndarray  # Σ B² k


def _both(pair: np.ndarray) -> np.ndarray:
    """Sum over a first axis of two: quicker than a reduction."""
    return pair[0] + pair[1]


def _springs(model: Model, centre: np.ndarray, sin_t: np.ndarray) -> _Elastic:
    half = model.constants.half_base
    compression = -SIDES * (half * sin_t) - centre
    force = model.constants.spring_load + model.spring_rate * compression
    rate = np.empty_like(compression)
    rate[...] = model.spring_rate
    for start, step in zip(model.hinge_start, model.hinge_step, strict=True):
        beyond = compression - start
        force += step * np.maximum(beyond, 0.0)
        rate += step * (beyond > 0.0)
    total = rate[0] + rate[1]
    return _Elastic(
        f=-force[0] - force[1],
        bf=half * (force[1] - force[0]),
        k=total,
        bk=half * (rate[0] - rate[1]),
        bbk=half * half * total,
    )


def _add_stops(elastic: _Elastic, model: Model, extension: np.ndarray, sin_t: np.ndarray) -> None:
    c = model.constants
    travel = extension + SIDES[..., None] * (c.half_stop_base * sin_t)
    beyond = np.maximum(c.stop_sense * travel - model.stop_gap, 0.0)
    if not beyond.any():
        return
    k = c.stop_stiffness * (beyond > 0.0)
    force = c.stop_pull * beyond
    k_sum = k[0] + k[1]
    elastic.f += _both(force[0] + force[1])
    elastic.bf += _both(c.half_stop_base * (force[0] - force[1]))
    elastic.k += _both(k_sum)
    elastic.bk += _both(c.half_stop_base * (k[0] - k[1]))
    elastic.bbk += _both(c.half_stop_base * c.half_stop_base * k_sum)


def _torsion(model: Model, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Moment and stiffness of bar and auxiliary stiffness at body roll over the axle θ."""
    moment, stiffness = model.roll_stiffness * theta, model.roll_stiffness
    if model.constants.lash:
        beyond = theta - np.clip(theta, -model.bar_lash, model.bar_lash)
        moment = moment + model.bar_stiffness * beyond
        stiffness = stiffness + model.bar_stiffness * (beyond != 0.0)
    return moment, stiffness


@dataclass(slots=True)
class Suspension:
    """Springs, stops, bars between body and axle: forces, and what their slopes take.

    Parameters
    ----------
    force, moment : (2, N) arrays
        ∂V/∂s [N] and ∂V/∂θ [N·m], θ the roll of the body over the axle.
    elastic : sums over left and right
        Of what springs and stops push at the body, and how that grows [N, N·m, N/m].
    torsion : (2, N) array
        Rate of bar and auxiliary stiffness [N·m/rad].
    travel, kappa, kappa1 : (2, N) arrays
        Travel since the lift [m]; how much of it the spring seats see, and its slope by θ [-].
    """

    force: np.ndarray
    moment: np.ndarray
    elastic: _Elastic
    torsion: np.ndarray
    travel: np.ndarray
    kappa: np.ndarray
    kappa1: np.ndarray


def suspension(
    model: Model, s: np.ndarray, theta: np.ndarray, sin_t: np.ndarray, cos_t: np.ndarray
) -> Suspension:
    """What stands between body and axle at a travel and a roll over the axle.

    Parameters
    ----------
    model : Model
        N vehicles.
    s, theta : (2, N) arrays
        Travel [m] and roll of the body over the axle [rad].
    sin_t, cos_t : (2, N) arrays
        Of that roll [-].

    Returns
    -------
    Suspension
        In SI [N, N·m].
    """
    sigma = model.constants.sigma
    travel = s - model.lift
    kappa = model.travel_ratio + sigma * cos_t
    kappa1 = -sigma * sin_t
    centre = travel * kappa
    el = _springs(model, centre, sin_t)
    if model.constants.stops:
        _add_stops(el, model, model.lift + centre, sin_t)
    torque, torsion = _torsion(model, theta)
    moment = travel * kappa1 * el.f + cos_t * el.bf + torque
    return Suspension(kappa * el.f, moment, el, torsion, travel, kappa, kappa1)


def suspension_slopes(
    model: Model, sus: Suspension, sin_t: np.ndarray, cos_t: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """How its forces grow.

    Parameters
    ----------
    model : Model
        N vehicles.
    sus : Suspension
        From `suspension`.
    sin_t, cos_t : (2, N) arrays
        Of the body's roll over the axle [-].

    Returns
    -------
    tuple of three (2, N) arrays
        ∂²V by ss, sθ, θθ [N/m, N/rad, N·m/rad].
    """
    el, kappa, u = sus.elastic, sus.kappa, sus.travel * sus.kappa1
    turned = cos_t * el.bk
    of_turn = cos_t * (cos_t * el.bbk - sus.travel * model.constants.sigma * el.f)
    return (
        kappa * kappa * el.k,
        kappa * (u * el.k + turned) + sus.kappa1 * el.f,
        u * (u * el.k + 2.0 * turned) + of_turn - sin_t * el.bf + sus.torsion,
    )
