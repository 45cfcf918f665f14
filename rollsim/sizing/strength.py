"""Does a bar last? Its stress in the bend and at full axle twist, in every state of the file."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from rollsim import mass
from rollsim.bar import (
    CandidateBars,
    RearBar,
    link_end_force_independent,
    link_end_force_solid_axle,
)
from rollsim.equilibrium import end_rolls
from rollsim.mass import FittedBar, State
from rollsim.roll import SECANT_AT
from rollsim.sizing.articulation import FRONT, REAR, Twist
from rollsim.sizing.records import StressCase
from rollsim.sizing.with_bars import BARS, WithBars, with_bars
from rollsim.vehicle import Job

FEW = 48  # bars: so many are worked out in every state
SPREAD = 24  # bars from the softest to the stiffest that stand for all others
NEAR = 0.97  # of the greatest moment so far: a bar that may come to it is worked out
SAME = 1e-6  # share by which another state's stress must be greater to govern


@dataclass(frozen=True, slots=True)
class BarMoments:
    """Moments of N bars in one state, (N,) arrays [N·m].

    Parameters
    ----------
    cornering : (N,) array
        At 0.8 g or tip-over, the worse of both turns.
    normal : (N,) array
        At 0.4 g.
    """

    cornering: np.ndarray
    normal: np.ndarray

    def take(self, rows: np.ndarray) -> "BarMoments":
        """Of some of the bars.

        Parameters
        ----------
        rows : (M,) array of int
            Their places [-].

        Returns
        -------
        BarMoments
            Of M.
        """
        return BarMoments(self.cornering[rows], self.normal[rows])


@dataclass(frozen=True, slots=True)
class Strength:
    """Peak von Mises stress of N bars, each in the state where it is greatest [Pa].

    Parameters
    ----------
    cornering, twist, normal : (N,) arrays
        (a) in the bend, (b) at full axle twist with the dynamic factor, (c) amplitude at 0.4 g.
    peak : (N,) array
        The greatest of (a) and (b); NaN where a path was not resolved.
    state : tuple of str, length N
        Where the peak stands; the case sized for where several have it.
    case : tuple of StressCase, length N
        Whether it stands there in the bend or at full twist.
    full_twist : Twist
        Of the axle in the case sized for, links connected [rad].
    """

    cornering: np.ndarray
    twist: np.ndarray
    normal: np.ndarray
    peak: np.ndarray
    state: tuple[str, ...]
    case: tuple[StressCase, ...]
    full_twist: Twist


def states_of_strength(job: Job, first: State | None = None) -> tuple[State, ...]:
    """The states that a bar must last in, like ones once.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes; masses in [kg].
    first : State or None
        The one to begin with: the case sized for.

    Returns
    -------
    tuple of State
        Unladen among them.
    """
    found = [] if first is None else [first]
    for state in mass.states_with_bar(job):
        if not any(_alike(state, other) for other in found):
            found.append(state)
    return tuple(found)


def like(there: Sequence[WithBars], state: State) -> WithBars:
    """The one that stands for a state.

    Parameters
    ----------
    there : sequence of WithBars
        Of `states_of_strength`.
    state : State
        Any of the job's [kg].

    Returns
    -------
    WithBars
        Loaded and changed as that state is.
    """
    return next(one for one in there if _alike(one.state, state))


def _alike(one: State, other: State) -> bool:
    return one.loads == other.loads and one.changed == other.changed


def stresses(
    job: Job,
    hung: RearBar,
    bars: CandidateBars,
    *,
    fitted: FittedBar,
    states: Sequence[State],
    moments: Sequence[BarMoments],
    twists: Sequence[Twist],
    end: int = REAR,
) -> Strength:
    """Stress of every bar from its moments in every state.

    Parameters
    ----------
    job : Job
        Vehicle, loads and limits.
    hung : RearBar
        How the bars are hung.
    bars : CandidateBars
        N of them.
    fitted : FittedBar
        The same as their axle takes them.
    states : sequence of State
        The first is the one sized for.
    moments : sequence of BarMoments
        Of each state, as force on the link in the first [N·m].
    twists : sequence of Twist
        Of their axle in each state [rad].
    end : int
        The axle of the bars, 0 front, 1 rear [-].

    Returns
    -------
    Strength
        [Pa].
    """

    def stress(moment: np.ndarray) -> np.ndarray:
        return np.abs(_end_force(hung, bars, fitted, moment)) * bars.stress_per_force

    cornering = stress(np.stack([one.cornering for one in moments]))
    normal = stress(np.stack([one.normal for one in moments]))
    pairs = zip(states, twists, strict=True)
    twist = stress(np.stack([_twist_moment(job, hung, *pair, fitted, end) for pair in pairs]))
    peaks = np.where(np.isnan(cornering), np.nan, np.fmax(cornering, twist))
    peak = peaks.max(axis=0)
    first = np.argmax(peaks >= peak * (1.0 - SAME), axis=0)
    each = np.arange(peak.size)
    by_twist = twist[first, each] >= cornering[first, each]
    return Strength(
        cornering=cornering.max(axis=0),
        twist=twist.max(axis=0),
        normal=normal.max(axis=0),
        peak=peak,
        state=tuple(states[n].name for n in first),
        case=tuple(StressCase.TWIST if b else StressCase.CORNERING for b in by_twist),
        full_twist=twists[0],
    )


def moments_of(job: Job, there: WithBars, front: FittedBar | None = None) -> list[BarMoments]:
    """Moments of the rear bars, and of the front ones that come with them.

    Parameters
    ----------
    job : Job
        Its limits say where stress is taken.
    there : WithBars
        A state with N bars, 0.4 g and the acceleration of the stress case among its points [m/s²].
    front : FittedBar or None
        Those front bars as their own axle takes them, where their moments are wanted too.

    Returns
    -------
    list of BarMoments
        The worse of the turns, as force on the link at the bars' own track [N·m].
    """
    ends = [(there.fitted, REAR), *([] if front is None else [(front, FRONT)])]
    return [bar_moments(job, there, *one) for one in ends]


def bar_moments(job: Job, there: WithBars, fitted: FittedBar, end: int) -> BarMoments:
    """Moments of the bars of one axle, from points on the paths of one or both turns.

    Parameters
    ----------
    job : Job
        Its limits say where stress is taken.
    there : WithBars
        A state with them, followed as for `moments_of` [m/s²].
    fitted : FittedBar
        The bars as their axle takes them [N·m/rad].
    end : int
        Their axle, 0 front, 1 rear [-].

    Returns
    -------
    BarMoments
        The worse of the turns, as force on the link at the bars' own track [N·m].
    """
    own, to_case = _there(job, there.state, fitted, end)
    cornering, normal = [], []
    for turn in there.turns:
        limit = turn.points[job.limits.stress_acceleration]
        x = np.where(limit.converged, limit.x, turn.tipping)[:, BARS]
        cornering.append(_moment_at(end_rolls(x)[end] - x[4 + end], own))
        x = turn.points[SECANT_AT].x[:, BARS]
        normal.append(_moment_at(end_rolls(x)[end] - x[4 + end], own))
    return BarMoments(np.max(cornering, axis=0) * to_case, np.max(normal, axis=0) * to_case)


def _there(job: Job, state: State, fitted: FittedBar, end: int) -> tuple[FittedBar, float]:
    """The bars at a state's track, and what takes their moments there to those of the bars' own.

    That is one that puts as much force on the link [-].
    """
    own = fitted.at(mass.axles(job, state)[end].track)
    return own, 1.0 if fitted.track is None else fitted.track / own.track


def _twist_moment(
    job: Job, hung: RearBar, state: State, twist: Twist, fitted: FittedBar, end: int
) -> np.ndarray:
    """Moment of each bar at full axle twist, the dynamic factor in it [N·m]."""
    angle = twist.with_bar
    if hung.disconnected_off_road:
        angle = np.fmin(angle, job.limits.road_twist)
    own, to_case = _there(job, state, fitted, end)
    return _moment_at(job.limits.dynamic_factor * angle, own) * to_case


def bars_of_states(
    fitted: FittedBar, states: Sequence[State], exact: Sequence[State]
) -> list[tuple[State, FittedBar]]:
    """The bars to follow in each state: all of them, or, of many, some that stand for all.

    Parameters
    ----------
    fitted : FittedBar
        N bars.
    states : sequence of State
        From `states_of_strength`.
    exact : sequence of State
        Where every bar is wanted in any case.

    Returns
    -------
    list of (State, FittedBar)
        Those that stand for all go from the softest to the stiffest [N·m/rad].
    """
    stiffness, some = fitted.roll_stiffness, fitted
    if stiffness.size > FEW and not np.any(fitted.lash_angle):
        spread = np.geomspace(stiffness.min(), stiffness.max(), SPREAD)
        alike = {"mass": np.full(SPREAD, fitted.mass.mean()), "lash_angle": np.zeros(SPREAD)}
        some = replace(fitted, roll_stiffness=spread, **alike)
    return [
        (state, fitted if any(_alike(state, one) for one in exact) else some) for state in states
    ]


def elsewhere(
    job: Job, there: Sequence[WithBars], fitted: FittedBar, *, least: BarMoments
) -> list[BarMoments]:
    """Moments in other states than the one sized for.

    Parameters
    ----------
    job : Job
        Vehicle, loads and limits.
    there : sequence of WithBars
        With the bars of `bars_of_states`.
    fitted : FittedBar
        All N bars.
    least : BarMoments
        In the case sized for [N·m].

    Returns
    -------
    list of BarMoments
        Of all bars in each state [N·m].

    Notes
    -----
    Where some bars stand for all, a bar that may come within 3 % of what it has in the case sized
    for is worked out itself. So a governing stress is never interpolated.
    """
    found = []
    for one in there:
        (own,) = moments_of(job, one)
        found.append(
            own if one.fitted is fitted else _between(job, one, own, fitted=fitted, least=least)
        )
    return found


def _between(
    job: Job, there: WithBars, own: BarMoments, *, fitted: FittedBar, least: BarMoments
) -> BarMoments:
    """Moments of all bars from those of some; estimates only where they do not govern."""
    at, known = np.log(fitted.roll_stiffness), np.log(there.fitted.roll_stiffness)
    cornering, normal = (np.interp(at, known, values) for values in (own.cornering, own.normal))
    sure = (cornering < NEAR * least.cornering) & (normal < NEAR * least.normal)
    rows = np.flatnonzero(~sure)
    if rows.size:
        ((near,),) = worked_out(job, (there.state,), _some(fitted, rows))
        cornering[rows], normal[rows] = near.cornering, near.normal
    return BarMoments(cornering, normal)


def _some(fitted: FittedBar, rows: np.ndarray) -> FittedBar:
    return replace(
        fitted,
        roll_stiffness=fitted.roll_stiffness[rows],
        mass=fitted.mass[rows],
        lash_angle=fitted.lash_angle[rows],
    )


def worked_out(
    job: Job, states: Sequence[State], fitted: FittedBar, front: FittedBar | None = None
) -> list[list[BarMoments]]:
    """Moments of every bar in every state on the full model, in one batch.

    Parameters
    ----------
    job : Job
        Vehicle, loads and limits.
    states : sequence of State
        At least one.
    fitted : FittedBar
        N rear bars, each with the front bar that comes with it.
    front : FittedBar or None
        Those front bars as their own axle takes them, where their moments are wanted too.

    Returns
    -------
    list of list of BarMoments
        Of each state, of the rear bars and then of the front ones [N·m].
    """
    wanted = (SECANT_AT, job.limits.stress_acceleration)
    asked = [(state, fitted) for state in states]
    return [moments_of(job, there, front) for there in with_bars(job, asked, wanted)]


def _moment_at(twist: np.ndarray, fitted: FittedBar) -> np.ndarray:
    return fitted.roll_stiffness * np.maximum(np.abs(twist) - fitted.lash_angle, 0.0)


def _end_force(
    hung: RearBar, bars: CandidateBars, fitted: FittedBar, moment: np.ndarray
) -> np.ndarray:
    """Force at a link end that each bar's moment makes [N]."""
    if fitted.track is not None:
        ratio = hung.installation_ratio
        return link_end_force_independent(moment, installation_ratio=ratio, track=fitted.track)
    return link_end_force_solid_axle(moment, bars.link_spacing)
