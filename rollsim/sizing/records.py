"""What stands against a bar, and what one section in one hole does: records, nothing computed."""

import math
from dataclasses import dataclass
from enum import Enum

from rollsim.bar import Section, ShelfBar, Steel


class ObjectionKind(Enum):
    """What may stand against a candidate."""

    NOTHING_TO_BRING_BACK = "nothing to bring back"
    TIPS = "tips"
    UNRESOLVED = "unresolved"
    LEAN = "lean"
    GAIN = "gain"
    STRENGTH = "strength"
    WHEEL_LIFT = "wheel lift"
    FRONT_SHARE = "front share"


ABOUT_LEAN = frozenset(
    {
        ObjectionKind.NOTHING_TO_BRING_BACK,
        ObjectionKind.TIPS,
        ObjectionKind.LEAN,
        ObjectionKind.GAIN,
    }
)
"""Objections to what a bar does for the lean; the others are to strength and balance."""


class StressCase(Enum):
    """Which load of a bar the safety factor counts."""

    CORNERING = "in the bend"
    TWIST = "at full axle twist"


@dataclass(frozen=True, slots=True)
class Objection:
    """One reason against a candidate.

    Parameters
    ----------
    kind : ObjectionKind
        Which limit.
    value : float
        What the candidate has [-] or [m/s²]; the lean as a share of the target above it, the gain
        as a share of the lean now above that.
    limit : float
        What is allowed, in the same unit [-] or [m/s²].
    """

    kind: ObjectionKind
    value: float
    limit: float


@dataclass(frozen=True, slots=True)
class Candidate:
    """One section in one hole. NaN marks what has no value.

    Parameters
    ----------
    section : Section
        Outer diameter and wall.
    steel : Steel
        What it is made of.
    hole : int
        Position of the hole in the file, from 0.
    lever : float
        Arm length square to the centre section [m].
    link_end_rate : float
        Force at one end per travel of that end [N/m].
    roll_stiffness : float
        Per axle, in the case sized for [N·m/rad].
    lash_angle : float
        Dead band to either side [rad].
    track : float or None
        That both hold at, on independent suspension [m]; None across a solid axle.
    roll_gradient : float
        As the target measures it, in the case sized for, the mean of both turns [rad/(m/s²)].
    front_load_transfer_share, front_share_drop : float
        In the emptiest state with this bar at work, lash taken up, and how much it falls there [-].
    inner_rear_lift : float
        In the emptiest state [m/s²].
    understeer_change, understeer_change_emptiest : float
        From load transfer alone at 0.4 g, in the case sized for and in the emptiest state, the
        worse of both turns [rad/(m/s²)].
    tyres_beyond_relation : bool
        A wheel load there leaves the range that these two figures are good for.
    one_wheel_rate_increase : float
        That the bar adds when one wheel alone moves [N/m].
    articulation_lost : float
        Height between the wheels at full axle twist, without any rear bar less with this one [m].
    cornering_stress, twist_stress, normal_stress : float
        Peak von Mises, each in the state where it is greatest: (a) at 0.8 g or tip-over, (b) at
        full axle twist with the dynamic factor, (c) amplitude at 0.4 g [Pa].
    peak_stress, allowable_stress : float
        The larger of (a) and (b), and what the steel allows [Pa].
    governing_state : str
        Name of the state in which the peak stress stands.
    governing_case : StressCase
        Whether it stands there in the bend or at full axle twist.
    mass : float
        [kg].
    objections : tuple of Objection
        Why it is not accepted; empty where it is.
    part : ShelfBar or None
        Which bar of the shop's shelf it is [SI]; None without a shelf.
    """

    section: Section
    steel: Steel
    hole: int
    lever: float
    link_end_rate: float
    roll_stiffness: float
    lash_angle: float
    track: float | None
    roll_gradient: float
    front_load_transfer_share: float
    front_share_drop: float
    inner_rear_lift: float
    understeer_change: float
    understeer_change_emptiest: float
    tyres_beyond_relation: bool
    one_wheel_rate_increase: float
    articulation_lost: float
    cornering_stress: float
    twist_stress: float
    normal_stress: float
    peak_stress: float
    allowable_stress: float
    governing_state: str
    governing_case: StressCase
    mass: float
    objections: tuple[Objection, ...]
    part: ShelfBar | None = None

    @property
    def hole_number(self) -> int:
        """Which hole of its own it is, counted from 1 [-]."""
        if self.part is None:
            return self.hole + 1
        return self.part.numbers[self.part.holes.index(self.hole)]

    @property
    def safety_factor(self) -> float:
        """Allowable over peak stress [-]; infinite where the bar never takes load."""
        return self.allowable_stress / self.peak_stress if self.peak_stress else math.inf

    @property
    def accepted(self) -> bool:
        """No limit stands against it."""
        return not self.objections

    @property
    def lasts_in_balance(self) -> bool:
        """Strength and balance allow it, whatever it does for the lean."""
        return all(objection.kind in ABOUT_LEAN for objection in self.objections)


@dataclass(frozen=True, slots=True)
class ComesOff:
    """What the bar that a new one replaces does, as `Candidate` has it; zeros where there is none.

    Parameters
    ----------
    one_wheel_rate : float
        That it adds when one wheel alone moves [N/m].
    articulation_lost : float
        Height between the wheels at full axle twist that it takes [m].
    """

    one_wheel_rate: float
    articulation_lost: float
