"""What does each bar at hand do: roll, balance when empty, stress, and what it costs off road?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rollsim import mass
from rollsim.bar import CandidateBars, Mount, RearBar, candidates
from rollsim.equilibrium import concatenate
from rollsim.mass import FittedBar, State
from rollsim.roll import UNRESOLVED
from rollsim.sizing.acceptance import Wanted, objections, ranking
from rollsim.sizing.articulation import Twist, articulation_lost, full_twists
from rollsim.sizing.figures import Empty, Laden, accelerations, empty_of, laden_of
from rollsim.sizing.records import Candidate, Objection
from rollsim.sizing.strength import (
    Strength,
    bars_of_states,
    elsewhere,
    like,
    states_of_strength,
    stresses,
)
from rollsim.sizing.with_bars import WithBars, with_bars
from rollsim.vehicle import Job, Suspension


@dataclass(frozen=True, slots=True)
class Hung:
    """Every section in every hole on the vehicle, in every state that it must last in.

    Parameters
    ----------
    rear_bar : RearBar
        Shape and stock.
    bars : CandidateBars
        N of them.
    fitted : FittedBar
        The same as the vehicle takes them [N·m/rad].
    there : tuple of WithBars
        Every state that they must last in, like ones once; with few bars they are in all of them.
    twists : tuple of Twist
        Of the rear axle in each of those states [rad].
    empty : Empty
        The emptiest state with each bar.
    """

    rear_bar: RearBar
    bars: CandidateBars
    fitted: FittedBar
    there: tuple[WithBars, ...]
    twists: tuple[Twist, ...]
    empty: Empty

    @property
    def for_every_case(self) -> bool:
        """Every bar was followed in every state, whichever case it was hung for.

        Its stiffness is that at the track of a load case, and all of those have the same track.
        """
        return all(one.fitted is self.fitted for one in self.there)


def hang(job: Job, rear_bar: RearBar, case: State, emptiest: State) -> Hung:
    """Hang every section in every hole, and follow the vehicle with them, in one batch.

    Parameters
    ----------
    job : Job
        Vehicle, changes and limits.
    rear_bar : RearBar
        Shape and stock.
    case : State
        The case sized for.
    emptiest : State
        The state that the balance gate looks at.

    Returns
    -------
    Hung
        In SI [N·m/rad].
    """
    bars, fitted = rear_bars(job, rear_bar, case)
    states = states_of_strength(job)
    asked = bars_of_states(fitted, states, exact=(case, emptiest))
    there = tuple(with_bars(job, asked, accelerations(job)))
    bare = concatenate([one.bare[0] for one in there])
    return Hung(
        rear_bar,
        bars,
        fitted,
        there,
        twists=tuple(full_twists(job, states, fitted, bare)),
        empty=empty_of(job, like(there, emptiest)),
    )


def assess(job: Job, case: State, hung: Hung, wanted: Wanted) -> tuple[Candidate, ...]:
    """Every bar in a case sized for.

    Parameters
    ----------
    job : Job
        Vehicle, limits and where the target is measured.
    case : State
        The case sized for.
    hung : Hung
        The bars: hung for that case, unless for every one.
    wanted : Wanted
        Target and present roll gradient [rad/(m/s²)].

    Returns
    -------
    tuple of Candidate
        Ranked, accepted ones first.
    """
    states = states_of_strength(job, case)
    first, *others = (like(hung.there, state) for state in states)
    own = laden_of(job, first)
    moments = elsewhere(job, others, hung.fitted, least=own.moments[0])
    stress = stresses(
        job,
        hung.rear_bar,
        hung.bars,
        fitted=hung.fitted,
        states=states,
        moments=[own.moments[0], *moments],
        twists=[hung.twists[hung.there.index(one)] for one in (first, *others)],
    )
    track = mass.axles(job, case)[1].track
    columns = bar_columns(hung.bars, own, hung.empty, stress=stress) | axle_columns(
        hung.rear_bar, hung.bars, hung.fitted, twist=stress.full_twist, track=track
    )
    against = objections(columns, job.limits, wanted)
    found = as_candidates(columns, against)
    return tuple(found[n] for n in ranking(columns, against, wanted.target))


def rear_bars(job: Job, rear_bar: RearBar, case: State) -> tuple[CandidateBars, FittedBar]:
    """Every section in every hole, and the same as the vehicle takes them [N·m/rad].

    Parameters
    ----------
    job : Job
        The vehicle.
    rear_bar : RearBar
        Shape and stock.
    case : State
        The case sized for, whose track the bars are worked out at.

    Returns
    -------
    tuple of CandidateBars and FittedBar
        In SI [N·m/rad, kg, rad].
    """
    axle = mass.axles(job, case)[1]
    independent = axle.suspension is Suspension.INDEPENDENT
    bars = candidates(rear_bar, independent=independent, track=axle.track)
    fitted = FittedBar(
        bars.roll_stiffness,
        bars.mass,
        bars.lash_angle,
        on_axle=rear_bar.mount is Mount.AXLE,
        track=axle.track if independent else None,
    )
    return bars, fitted


def fitted(candidate: Candidate, rear_bar: RearBar) -> FittedBar:
    """The candidate as the vehicle model takes it [N·m/rad, kg, rad].

    Parameters
    ----------
    candidate : Candidate
        A rear one.
    rear_bar : RearBar
        How it is hung.

    Returns
    -------
    FittedBar
        In SI [N·m/rad].
    """
    return FittedBar(
        candidate.roll_stiffness,
        candidate.mass,
        candidate.lash_angle,
        on_axle=rear_bar.mount is Mount.AXLE,
        track=candidate.track,
    )


def bar_columns(bars: CandidateBars, laden: Laden, empty: Empty, *, stress: Strength) -> dict:
    """Lists of N figures by the names of `Candidate`'s fields, SI such as [Pa], but for the axle's.

    Parameters
    ----------
    bars : CandidateBars
        N of them.
    laden, empty : Laden and Empty
        With each of them.
    stress : Strength
        Of each [Pa].

    Returns
    -------
    dict
        A wheel lift that was not resolved is `UNRESOLVED`.
    """
    return {
        "section": bars.section,
        "steel": bars.steel,
        "hole": bars.hole.tolist(),
        "lever": bars.lever.tolist(),
        "link_end_rate": bars.link_end_rate.tolist(),
        "roll_stiffness": bars.roll_stiffness.tolist(),
        "lash_angle": bars.lash_angle.tolist(),
        "roll_gradient": laden.gradient.tolist(),
        "front_load_transfer_share": empty.share.tolist(),
        "front_share_drop": empty.share_drop.tolist(),
        "inner_rear_lift": empty.inner_rear_lift.tolist(),
        "understeer_change": laden.understeer_change.tolist(),
        "understeer_change_emptiest": empty.understeer_change.tolist(),
        "tyres_beyond_relation": (laden.beyond | empty.beyond).tolist(),
        "cornering_stress": stress.cornering.tolist(),
        "twist_stress": stress.twist.tolist(),
        "normal_stress": stress.normal.tolist(),
        "peak_stress": stress.peak.tolist(),
        "allowable_stress": bars.allowable_stress.tolist(),
        "governing_state": stress.state,
        "governing_case": stress.case,
        "mass": bars.mass.tolist(),
        "part": bars.part,
    }


def axle_columns(
    hung: RearBar, bars: CandidateBars, fitted: FittedBar, *, twist: Twist, track: float
) -> dict:
    """The other lists of N figures: what the bars do to one wheel and to flex [N/m, m].

    Parameters
    ----------
    hung : RearBar
        How the bars are hung.
    bars : CandidateBars
        N of them.
    fitted : FittedBar
        The same as their axle takes them.
    twist : Twist
        Of their axle in the case sized for [rad].
    track : float
        Of their axle there [m].

    Returns
    -------
    dict
        By the names of `Candidate`'s fields.
    """
    there = fitted.at(track).roll_stiffness
    return {
        "track": [fitted.track] * len(bars.section),
        "one_wheel_rate_increase": (there / track**2).tolist(),
        "articulation_lost": articulation_lost(hung, twist, track).tolist(),
    }


def as_candidates(columns: dict, against: Sequence[tuple[Objection, ...]]) -> tuple[Candidate, ...]:
    """Records of the N columns; a wheel lift that was not resolved becomes NaN."""
    lifts = [math.nan if x == UNRESOLVED else x for x in columns["inner_rear_lift"]]
    columns = columns | {"inner_rear_lift": lifts, "objections": against}
    return tuple(
        Candidate(**dict(zip(columns, row, strict=True)))
        for row in zip(*columns.values(), strict=True)
    )
