"""One potential energy of weight and elastic parts, one lateral field: their balance and its slope.

Freedoms q (7, N): body roll φ; travel s, axle roll p and axle rise z, each front then rear.
The two axles meet only in φ, and on an axle s and z meet only in p, so the Jacobian is an arrow
that a few divisions eliminate.
"""

from dataclasses import dataclass, fields

import numpy as np

from rollsim.equilibrium.model import Model

TINY = 1e-9  # N/m: stands for the vertical rate of an axle in the air


@dataclass(frozen=True, slots=True)
class Balance:
    """Residual ∂V/∂q − aQ and its exact derivative at q, for N vehicles.

    Parameters
    ----------
    residual : (7, N) array
        [N·m] for angles, [N] for lengths.
    d_lateral : (7, N) array
        Derivative of the residual by the lateral field [kg·m, kg].
    w_roll, w_travel, w_axle, w_rise : (N,), (2, N), (2, N), (2, N) arrays
        Its derivative by the normal field, freedom by freedom [kg·m, kg].
    roll_roll, roll_travel, roll_axle : (N,), (2, N), (2, N) arrays
        Jacobian: φφ, φs = sφ, φp = pφ.
    travel_travel, travel_axle, axle_axle, axle_rise, rise_axle, rise_rise : (2, N) arrays
        Jacobian on one axle: ss, sp = ps, pp, pz, zp, zz.
    suspension_moment : (2, N) array
        Moment of springs, stops, bar and auxiliary stiffness on each axle, roll positive [N·m].
    contact_shift : (2, N) array
        Contact patches inward under the wheels [m].
    tyre_reach : (2, 2, N) array
        Tyre force as if a tyre could pull: left, right; front, rear [N].
    """

    residual: np.ndarray
    d_lateral: np.ndarray
    w_roll: np.ndarray
    w_travel: np.ndarray
    w_axle: np.ndarray
    w_rise: np.ndarray
    roll_roll: np.ndarray
    roll_travel: np.ndarray
    roll_axle: np.ndarray
    travel_travel: np.ndarray
    travel_axle: np.ndarray
    axle_axle: np.ndarray
    axle_rise: np.ndarray
    rise_axle: np.ndarray
    rise_rise: np.ndarray
    suspension_moment: np.ndarray
    contact_shift: np.ndarray
    tyre_reach: np.ndarray

    def take(self, index: np.ndarray) -> "Balance":
        """The members at `index` along the batch axis."""
        return Balance(*(getattr(self, f.name)[..., index] for f in fields(self)))

    @property
    def d_normal(self) -> np.ndarray:
        """Derivative of the residual by the normal field [kg·m, kg], (7, N)."""
        return np.concatenate([self.w_roll[None], self.w_travel, self.w_axle, self.w_rise])

    @property
    def wheel_loads(self) -> np.ndarray:
        """Vertical tyre forces [N], (2, 2, N): left, right; front, rear."""
        return np.maximum(self.tyre_reach, 0.0)


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
    arm = half * sin_t
    compression = np.empty((2, *centre.shape))
    compression[0] = -centre - arm
    compression[1] = arm - centre
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
    arm = c.half_stop_base * sin_t
    travel = np.empty((2, *arm.shape))
    travel[0] = extension + arm
    travel[1] = extension - arm
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
class _Suspension:
    """Springs, stops, bars between body and axle: forces and second derivatives, (2, N)."""

    force: np.ndarray  # dV/ds
    moment: np.ndarray  # dV/dθ
    ss: np.ndarray
    st: np.ndarray
    tt: np.ndarray


def _suspension(
    model: Model, s: np.ndarray, theta: np.ndarray, sin_t: np.ndarray, cos_t: np.ndarray
) -> _Suspension:
    sigma = model.constants.sigma
    travel = s - model.lift
    kappa = model.travel_ratio + sigma * cos_t
    kappa1 = -sigma * sin_t
    centre = travel * kappa
    el = _springs(model, centre, sin_t)
    if model.constants.stops:
        _add_stops(el, model, model.lift + centre, sin_t)
    torque, torsion = _torsion(model, theta)
    u = travel * kappa1
    return _Suspension(
        force=kappa * el.f,
        moment=u * el.f + cos_t * el.bf + torque,
        ss=kappa * kappa * el.k,
        st=kappa * (u * el.k + cos_t * el.bk) + kappa1 * el.f,
        tt=u * (u * el.k + 2.0 * cos_t * el.bk)
        + cos_t * (cos_t * el.bbk - travel * sigma * el.f)
        - sin_t * el.bf
        + torsion,
    )


@dataclass(slots=True)
class _Tyres:
    """Vertical tyre forces: generalised forces and second derivatives of the energy, (2, N)."""

    reach: np.ndarray  # (2, 2, N), as if a tyre could pull
    both: np.ndarray  # on the ground
    rise: np.ndarray  # dV/dz
    roll: np.ndarray  # dV/dp
    zz: np.ndarray
    zp: np.ndarray
    pp: np.ndarray


def _tyres(model: Model, z: np.ndarray, sin_p: np.ndarray, cos_p: np.ndarray) -> _Tyres:
    half = model.constants.half_track
    lean, arm = half * sin_p, half * cos_p
    reach = np.empty((2, *lean.shape))
    reach[0] = model.tyre_load - model.tyre_rate * (z + lean)
    reach[1] = model.tyre_load - model.tyre_rate * (z - lean)
    load = np.maximum(reach, model.least_tyre_force)
    pressed = reach > model.least_tyre_force
    k = model.tyre_rate * pressed
    k_sum, difference = k[0] + k[1], load[1] - load[0]
    return _Tyres(
        reach=reach,
        both=pressed[0] & pressed[1],
        rise=-load[0] - load[1],
        roll=arm * difference,
        zz=k_sum,
        zp=arm * (k[0] - k[1]),
        pp=arm * arm * k_sum - lean * difference,
    )


def evaluate(model: Model, q: np.ndarray, normal: np.ndarray, *, lateral: np.ndarray) -> Balance:
    """Balance of docs/method.md §1 at the freedoms `q`.

    Parameters
    ----------
    model : Model
        N vehicles.
    q : (7, N) array
        φ, s front, s rear, p front, p rear [rad, m], z front, z rear [m].
    normal, lateral : (N,) arrays
        Field normal to the ground (g on the level) and lateral acceleration, left turn
        positive [m/s²].

    Returns
    -------
    Balance
        Residual, derivatives and forces.

    Notes
    -----
    On a tilt table at τ the fields are (g cos τ, g sin τ).
    """
    phi, s, p, z = q[0], q[1:3], q[3:5], q[5:7]
    sin_f, cos_f, sin_p, cos_p = np.sin(phi), np.cos(phi), np.sin(p), np.cos(p)
    sin_t = sin_f * cos_p - cos_f * sin_p
    cos_t = cos_f * cos_p + sin_f * sin_p
    sus = _suspension(model, s, phi - p, sin_t, cos_t)
    tyres = _tyres(model, z, sin_p, cos_p)

    # Weight w and lateral force q, each by freedom: ∂V/∂q = normal w, and Q.
    c = model.constants
    above = c.above + _both(c.body * s)
    below = c.below + c.pin * s
    w_f, q_f = c.offset * cos_f - above * sin_f, c.offset * sin_f + above * cos_f
    w_p, b_p = -below * sin_p, below * cos_p
    w_s, q_s = c.pin * cos_p + c.body * cos_f, c.pin * sin_p + c.body * sin_f
    q_p = c.axle * z + b_p

    # By contact shift: half of it while both tyres are on the ground.
    shift = c.shift * np.where(tyres.both, 0.5, 1.0)
    push = c.axle * shift  # its moment, per normal and lateral field
    d_lateral = np.zeros_like(q)
    d_lateral[0] = -q_f
    d_lateral[1:3] = -q_s
    d_lateral[3:5] = -q_p - normal * push
    residual = d_lateral * lateral
    residual[0] += normal * w_f + _both(sus.moment)
    residual[1:3] += normal * w_s + sus.force
    residual[3:5] += normal * w_p - sus.moment + tyres.roll
    residual[5:7] += normal * c.axle + tyres.rise
    return Balance(
        residual=residual,
        d_lateral=d_lateral,
        w_roll=w_f,
        w_travel=w_s,
        w_axle=w_p - lateral * push,
        w_rise=c.axle,
        roll_roll=_both(sus.tt) - normal * q_f - lateral * w_f,
        roll_travel=sus.st - c.body * (normal * sin_f + lateral * cos_f),
        roll_axle=-sus.tt,
        travel_travel=sus.ss,
        travel_axle=-sus.st - c.pin * (normal * sin_p + lateral * cos_p),
        axle_axle=sus.tt + tyres.pp - normal * b_p - lateral * w_p,
        axle_rise=tyres.zp - lateral * c.axle,
        rise_axle=tyres.zp,
        rise_rise=tyres.zz,
        suspension_moment=sus.moment,
        contact_shift=shift * lateral,
        tyre_reach=tyres.reach,
    )


def solve_arrow(balance: Balance, rhs: np.ndarray) -> np.ndarray:
    """Solve J x = rhs.

    Parameters
    ----------
    balance : Balance
        Holds the Jacobian.
    rhs : (7, N) array
        Right-hand side, [N·m] for angles and [N] for lengths.

    Returns
    -------
    (7, N) array
        x [rad, m].

    Notes
    -----
    On each axle s and z are eliminated into p, then p into φ.
    """
    b = balance
    rise = np.where(b.rise_rise > TINY, b.rise_rise, TINY)
    up, across = b.axle_rise / rise, b.travel_axle / b.travel_travel
    pivot = b.axle_axle - up * b.rise_axle - across * b.travel_axle

    # What each axle does alone, and how it follows body roll.
    p = (rhs[3:5] - up * rhs[5:7] - across * rhs[1:3]) / pivot
    s = (rhs[1:3] - b.travel_axle * p) / b.travel_travel
    p_roll = (b.roll_axle - across * b.roll_travel) / pivot
    s_roll = (b.roll_travel - b.travel_axle * p_roll) / b.travel_travel
    x = np.empty_like(rhs)
    x[0] = (rhs[0] - _both(b.roll_travel * s + b.roll_axle * p)) / (
        b.roll_roll - _both(b.roll_travel * s_roll + b.roll_axle * p_roll)
    )
    x[1:3] = s - s_roll * x[0]
    x[3:5] = p - p_roll * x[0]
    x[5:7] = (rhs[5:7] - b.rise_axle * x[3:5]) / rise
    return x


def roll_pivot(balance: Balance) -> np.ndarray:
    """Roll stiffness left after the other freedoms give way [N·m/rad], (N,); ≤ 0 topples."""
    zero = np.zeros_like(balance.residual)
    zero[0] = 1.0
    return 1.0 / solve_arrow(balance, zero)[0]
