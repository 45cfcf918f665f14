"""One potential energy of weight and elastic parts, one lateral field: their balance and its slope.

Freedoms q (8, N): roll φ of the body's front end; travel s, axle roll p and axle rise z, each front
then rear; twist τ, by which the rear end leans further than the front one. The ends meet only in
the frame between them. Within an end rows and columns are roll, travel, axle roll.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import partial

import numpy as np

from rollsim.equilibrium.model import SIDES, Model
from rollsim.equilibrium.suspension import Suspension, suspension, suspension_slopes

TINY = 1e-9  # N/m: stands for the vertical rate of an axle in the air


@dataclass(frozen=True, slots=True)
class Slopes:
    """The exact derivative of a residual, each axle's rise eliminated, for N vehicles.

    Parameters
    ----------
    block : (3, 3, 2, N) array
        Jacobian of each end by its roll, travel and axle roll: row, column [N·m/rad, N, N/m].
    rise_rise, uneven : (2, N) arrays
        Vertical rate of both tyres of an axle [N/m], and that of the left less that of the right
        as a share of it [-].
    by_rise : (3, 2, N) array
        Column of the rise in those rows, over `rise_rise` [m/rad, -, m/rad].
    """

    block: np.ndarray
    rise_rise: np.ndarray
    uneven: np.ndarray
    by_rise: np.ndarray

    def take(self, index: np.ndarray) -> "Slopes":
        """The members at `index` along the batch axis [N·m/rad, N, N/m]."""
        return Slopes(*(getattr(self, f.name)[..., index] for f in fields(self)))


@dataclass(frozen=True, slots=True)
class Balance:
    """Residual ∂V/∂q − aQ at q, and what its derivative takes, for N vehicles.

    Parameters
    ----------
    residual : (8, N) array
        [N·m] for angles, [N] for lengths.
    spread : (3, 2, N) array
        How far roll, travel and axle roll of an end make its tyres go down unevenly, to either side
        [m/rad, -, m/rad].
    frame : (2, N) array or None
        Rate and compliance of the frame [N·m/rad, rad/(N·m)], both 0 where it is rigid; None where
        it is in all of them.
    suspension_moment, linkage_moment : (2, N) arrays
        On each axle, roll positive [N·m]: of springs, stops, bar and auxiliary stiffness; and of
        the tyres' forces through the linkage of an independent one, or of a body that a track bar
        takes aside, over what the pin passes on.
    contact_shift, half_track : (2, N) arrays
        Contact patches inward under the wheels; half the track of the wheels as they stand [m].
    tyre_reach : (2, 2, N) array
        Tyre force as if a tyre could pull: left, right; front, rear [N].
    slopes, d_lateral, d_normal : callables
        Its Jacobian, and its derivatives by the lateral and by the normal field, (8, N) [kg·m, kg]:
        worked out when asked for, since a point that balances needs none of them.
    """

    residual: np.ndarray
    spread: np.ndarray
    frame: np.ndarray | None
    suspension_moment: np.ndarray
    linkage_moment: np.ndarray
    contact_shift: np.ndarray
    half_track: np.ndarray
    tyre_reach: np.ndarray
    slopes: Callable[[], Slopes]
    d_lateral: Callable[[], np.ndarray]
    d_normal: Callable[[], np.ndarray]

    def take(self, index: np.ndarray) -> "Balance":
        """The members at `index` along the batch axis."""
        *arrays, slopes, lateral, normal = (getattr(self, f.name) for f in fields(self))
        return Balance(
            *(None if array is None else array[..., index] for array in arrays),
            slopes=lambda: slopes().take(index),
            d_lateral=lambda: lateral()[..., index],
            d_normal=lambda: normal()[..., index],
        )

    @property
    def wheel_loads(self) -> np.ndarray:
        """Vertical tyre forces [N], (2, 2, N): left, right; front, rear."""
        return np.maximum(self.tyre_reach, 0.0)


def end_rolls(x: np.ndarray) -> np.ndarray:
    """Roll of the body's front and rear end at the points `x` (9, N), (2, N) [rad]."""
    return np.stack([x[1], x[1] + x[8]])


def half_track(model: Model, x: np.ndarray) -> np.ndarray:
    """Half the track of the wheels as they stand at the points `x` (9, N), (2, N) [m]."""
    if not model.constants.jacking:
        return model.constants.half_track
    theta = end_rolls(x) - x[4:6]
    return model.constants.half_track + _patches(model, x[2:4], np.sin(theta), np.cos(theta)).out


@dataclass(slots=True)
class _Patches:
    """How far an axle's contact patches stand further out, mean of both, and its slopes, (2, N)."""

    out: np.ndarray
    s: np.ndarray
    t: np.ndarray  # by θ


def _patches(model: Model, s: np.ndarray, sin_t: np.ndarray, cos_t: np.ndarray) -> _Patches:
    c = model.constants
    turned, by_s = c.patch_turn * sin_t, -c.patch_drop - c.patch_slope * s
    return _Patches(
        out=0.5 * s * (by_s - c.patch_drop) + turned * sin_t - c.patch_rest,
        s=by_s,
        t=2.0 * turned * cos_t,
    )


@dataclass(slots=True)
class _Tyres:
    """Vertical tyre forces, (2, N) but for the first two, which are (2, 2, N)."""

    reach: np.ndarray  # as if a tyre could pull
    pressed: np.ndarray
    rise: np.ndarray  # dV/dz
    difference: np.ndarray  # right less left


def _tyres(model: Model, z: np.ndarray, lean: np.ndarray) -> _Tyres:
    reach = model.tyre_load - model.tyre_rate * (z + SIDES * lean)
    load = np.maximum(reach, model.least_tyre_force)
    return _Tyres(reach, reach > model.least_tyre_force, -load[0] - load[1], load[1] - load[0])


def _ways(
    arm: np.ndarray, sin_p: np.ndarray, patches: _Patches | None
) -> tuple[np.ndarray, np.ndarray | None]:
    """By each freedom: how far the tyres go down unevenly, and their contact patches outward."""
    spread = np.zeros((3, *arm.shape))
    spread[2] = arm
    if patches is None:
        return spread, None
    out = np.empty_like(spread)
    out[0], out[1], out[2] = patches.t, patches.s, -patches.t
    spread += sin_p * out
    return spread, out


def _weight(
    model: Model,
    s: np.ndarray,
    body: tuple[np.ndarray, np.ndarray],
    axle: tuple[np.ndarray, np.ndarray],
) -> tuple[np.ndarray, np.ndarray]:
    """Weight w with ∂V/∂q = normal w, and lateral force Q but for the axle's rise, (3, 2, N).

    `body` and `axle`: sine and cosine of their roll.
    """
    c, (sin_f, cos_f), (sin_p, cos_p) = model.constants, body, axle
    above, below = c.above + c.body * s, c.below + c.pin * s
    w, q = np.empty((2, 3, *s.shape))
    w[0], q[0] = c.offset * cos_f - above * sin_f, c.offset * sin_f + above * cos_f
    w[1], q[1] = c.pin * cos_p + c.body * cos_f, c.pin * sin_p + c.body * sin_f
    w[2], q[2] = -below * sin_p, below * cos_p
    return w, q


def _whole(
    ends: np.ndarray,
    rise: np.ndarray | float,
    frame: np.ndarray | None,
    twist: np.ndarray | float = 0.0,
) -> np.ndarray:
    """From the rows of each end (3, 2, N) to those of the freedoms, (8, N).

    A rigid frame passes on whatever it takes: its row is 0.
    """
    found = np.empty((8, ends.shape[-1]))
    found[0] = ends[0, 0] + ends[0, 1]
    found[1:3], found[3:5], found[5:7] = ends[1], ends[2], rise
    found[7] = 0.0
    if frame is not None:
        found[7] = np.where(frame[0] > 0.0, ends[0, 1] + frame[0] * twist, 0.0)
    return found


@dataclass(slots=True)
class _Aside:
    """A body that its track bars take to the left: first moment and its slopes, (2, N)."""

    moment: np.ndarray
    s: np.ndarray
    t: np.ndarray  # by θ


def _aside(bars: np.ndarray, s: np.ndarray, theta: np.ndarray) -> _Aside:
    slope, bend, turn = bars
    by_s, by_t = -slope - bend * s, turn * theta
    return _Aside(0.5 * (s * (by_s - slope) + theta * by_t), by_s, by_t)


def _add_aside(w: np.ndarray, d: np.ndarray, aside: _Aside, axle: tuple) -> None:
    """Its weight, which stands beside the axle's centreline, and its lateral force."""
    for rows, (along, across) in ((w, axle), (d, (axle[1], -axle[0]))):
        rows[0] += aside.t * along
        rows[1] += aside.s * along
        rows[2] += aside.moment * across - aside.t * along


def _add_aside_slopes(block: np.ndarray, bars: np.ndarray, at: "_Point") -> None:
    aside, (sin_p, cos_p), (_, bend, turn) = at.aside, at.axle, bars
    along = at.normal * sin_p + at.lateral * cos_p
    across = at.normal * cos_p - at.lateral * sin_p
    turned = turn * along
    mixed = aside.t * across - turned
    block[0, 0] += turned
    block[0, 2] += mixed
    block[2, 0] += mixed
    block[1, 1] -= bend * along
    block[1, 2] += aside.s * across
    block[2, 1] += aside.s * across
    block[2, 2] += turned - 2.0 * aside.t * across - aside.moment * along


@dataclass(slots=True)
class _Point:
    """What a balance is made of, kept for its derivatives."""

    normal: np.ndarray
    lateral: np.ndarray
    body: tuple[np.ndarray, np.ndarray]  # sine and cosine of roll
    axle: tuple[np.ndarray, np.ndarray]
    over: tuple[np.ndarray, np.ndarray]  # of the body over the axle
    sus: Suspension
    patches: _Patches | None
    tyres: _Tyres
    lean: np.ndarray  # by which the tyres go down unevenly
    spread: np.ndarray  # the same by each freedom
    out: np.ndarray | None  # contact patches outward by each freedom
    pushed: np.ndarray  # both, the second times side force over load
    weight: np.ndarray
    pull: np.ndarray
    aside: _Aside | None


def _slopes(model: Model, at: _Point) -> Slopes:
    c, normal, lateral, difference = model.constants, at.normal, at.lateral, at.tyres.difference
    (sin_f, cos_f), (sin_p, cos_p), (sin_t, cos_t) = at.body, at.axle, at.over
    k = model.tyre_rate * at.tyres.pressed
    rate, odd = np.maximum(k[0] + k[1], TINY), k[0] - k[1]
    uneven = odd / rate

    # The column of an axle's rise: uneven tyres, and the height at which side force acts.
    field = lateral * c.axle
    held, by_rise = (rate - odd * uneven) * at.pushed, uneven * at.pushed
    held[2] += field * uneven
    by_rise[2] -= field / rate
    if at.patches is None:
        block = np.zeros((3, 3, *sin_p.shape))
        block[2, 2] = held[2] * at.spread[2]
    else:
        block = held[:, None] * at.spread
        _add_bends(block, model, at, difference)
    ss, st, tt = suspension_slopes(model, at.sus, sin_t, cos_t)
    roll_travel = st - c.body * (normal * sin_f + lateral * cos_f)
    travel_axle = -st - c.pin * (normal * sin_p + lateral * cos_p)
    own = normal * at.pull + lateral * at.weight
    block[0, 0] += tt - own[0]
    block[0, 1] += roll_travel
    block[1, 0] += roll_travel
    block[0, 2] -= tt
    block[2, 0] -= tt
    block[1, 1] += ss
    block[1, 2] += travel_axle
    block[2, 1] += travel_axle
    block[2, 2] += tt - own[2] - difference * at.lean
    if at.aside is not None:
        _add_aside_slopes(block, c.track_bar, at)
    return Slopes(block, rate, uneven, by_rise)


def _add_bends(block: np.ndarray, model: Model, at: _Point, difference: np.ndarray) -> None:
    """How the ways of an independent axle's tyres bend; side force counts across."""
    c, patches, (sin_p, cos_p), (sin_t, cos_t) = model.constants, at.patches, at.axle, at.over
    along, across = difference * cos_p, difference * (sin_p + at.lateral / at.normal)
    turn, drop = along * patches.t, along * patches.s
    bend = 2.0 * across * c.patch_turn * (cos_t * cos_t - sin_t * sin_t)
    mixed = turn - bend
    block[0, 0] += bend
    block[0, 2] += mixed
    block[2, 0] += mixed
    block[1, 1] -= across * c.patch_slope
    block[1, 2] += drop
    block[2, 1] += drop
    block[2, 2] += bend - 2.0 * turn


def _by_lateral(model: Model, at: _Point, d: np.ndarray) -> np.ndarray:
    """Derivative of the residual by the lateral field; `d` is that of weight and contact shift."""
    if at.out is not None:
        d = d + (at.tyres.difference / at.normal) * at.out
    return _whole(d, 0.0, model.constants.frame)


def _by_normal(model: Model, at: _Point, push: np.ndarray) -> np.ndarray:
    """Derivative of the residual by the normal field; `push` is the moment of contact shift."""
    w = at.weight.copy()
    if at.aside is not None:
        _add_aside(w, np.zeros_like(w), at.aside, at.axle)
    w[2] -= at.lateral * push
    if at.out is not None:
        w -= (at.tyres.difference * at.lateral / at.normal**2) * at.out
    return _whole(w, model.constants.axle, model.constants.frame)


def evaluate(model: Model, q: np.ndarray, normal: np.ndarray, *, lateral: np.ndarray) -> Balance:
    """Balance of docs/method.md §1 at the freedoms `q`.

    Parameters
    ----------
    model : Model
        N vehicles.
    q : (8, N) array
        φ, s front, s rear, p front, p rear [rad, m], z front, z rear [m], τ [rad].
    normal, lateral : (N,) arrays
        Field normal to the ground (g on the level) and lateral acceleration, left turn
        positive [m/s²].

    Returns
    -------
    Balance
        Residual, derivatives and forces.

    Notes
    -----
    On a tilt table at an angle t the fields are (g cos t, g sin t). The tyres of an axle share its
    side force by load: of what a tyre carries, it holds lateral / normal across.
    """
    s, p, z = q[1:3], q[3:5], q[5:7]
    c = model.constants
    phi = q[:1] if c.frame is None else np.stack([q[0], q[0] + q[7]])
    body, axle = (np.sin(phi), np.cos(phi)), (np.sin(p), np.cos(p))
    sin_t = body[0] * axle[1] - body[1] * axle[0]
    cos_t = body[1] * axle[1] + body[0] * axle[0]
    sus = suspension(model, s, phi - p, sin_t, cos_t)
    patches = _patches(model, s, sin_t, cos_t) if c.jacking else None
    half = c.half_track if patches is None else c.half_track + patches.out
    lean, arm = half * axle[0], half * axle[1]
    tyres = _tyres(model, z, lean)
    spread, out = _ways(arm, axle[0], patches)
    pushed = spread if out is None else spread + (lateral / normal) * out
    w, pull = _weight(model, s, body, axle)

    # By contact shift: half of it while both tyres are on the ground.
    shift = c.shift * np.where(tyres.pressed[0] & tyres.pressed[1], 0.5, 1.0)
    push = c.axle * shift  # its moment, per normal and lateral field
    d, aside, whole = -pull, None, w
    linkage = tyres.difference * (arm - pushed[2])
    d[2] -= c.axle * z + normal * push
    if c.track_bar is not None:
        aside, whole = _aside(c.track_bar, s, phi - p), w.copy()
        _add_aside(whole, d, aside, axle)
        linkage += aside.t * (normal * axle[0] + lateral * axle[1])
        linkage -= aside.moment * (normal * axle[1] - lateral * axle[0])
    ends, part = normal * whole, lateral * d
    ends += part
    ends += np.multiply(tyres.difference, pushed, out=part)
    ends[0] += sus.moment
    ends[1] += sus.force
    ends[2] -= sus.moment
    at = _Point(
        *(normal, lateral, body, axle, (sin_t, cos_t), sus, patches, tyres),
        *(lean, spread, out, pushed, w, pull, aside),
    )
    return Balance(
        residual=_whole(ends, normal * c.axle + tyres.rise, c.frame, q[7]),
        spread=spread,
        frame=c.frame,
        suspension_moment=sus.moment,
        linkage_moment=linkage,
        contact_shift=shift * lateral,
        half_track=half,
        tyre_reach=tyres.reach,
        slopes=partial(_slopes, model, at),
        d_lateral=partial(_by_lateral, model, at, d),
        d_normal=partial(_by_normal, model, at, push),
    )
