"""Which bars are accepted, in what order, and what is in the way where none is?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from rollsim.roll import UNRESOLVED
from rollsim.sizing.records import Candidate, Objection, ObjectionKind
from rollsim.vehicle import Limits

CLOSE = 2.0  # per cent behind the nearest: so far a softer bar comes before a nearer one
_EXACT = 1e-9  # a bar on the limit itself is within it
_Check = tuple[ObjectionKind, np.ndarray, np.ndarray, float]
"""Which limit, who fails it, what each has, what is allowed."""


class Obstacle(Enum):
    """What keeps every bar at hand from being accepted."""

    STRENGTH = "strength"
    BALANCE = "balance"
    WHEEL_LIFT = "wheel lift"
    STIFFNESS = "stiffness"


_OBJECTION_OF = {
    Obstacle.STRENGTH: ObjectionKind.STRENGTH,
    Obstacle.BALANCE: ObjectionKind.FRONT_SHARE,
    Obstacle.WHEEL_LIFT: ObjectionKind.WHEEL_LIFT,
}


@dataclass(frozen=True, slots=True)
class Wanted:
    """Roll gradients, all measured alike [rad/(m/s²)].

    Parameters
    ----------
    target : float
        That a bar is to bring.
    present : float
        Of the case sized for as it is; infinite where it tips before.
    less_than_now : bool
        The target is stated as so much less than the present one.
    """

    target: float
    present: float
    less_than_now: bool

    def nothing_to_bring_back(self, limits: Limits) -> bool:
        """The case as it is lies within what is allowed above the target."""
        allowed = self.target * (1.0 + limits.gradient_tolerance)
        return not self.less_than_now and self.present <= allowed * (1.0 + _EXACT)

    def gap_closed(self, roll_gradient: float) -> float:
        """Share of the way from now to the target [-], 0 to 1; NaN where there is no way."""
        gap = self.present - self.target
        if not gap > 0.0:
            return math.nan
        if math.isinf(gap):
            return 1.0 if roll_gradient <= self.target else math.nan
        return min(1.0, max(0.0, (self.present - roll_gradient) / gap))


def objections(columns: dict, limits: Limits, wanted: Wanted) -> list[tuple[Objection, ...]]:
    """What stands against each candidate.

    Parameters
    ----------
    columns : dict
        Lists of N figures by the names of `Candidate`'s fields, SI; a wheel lift that was not
        resolved is `UNRESOLVED`.
    limits : Limits
        Of acceptance.
    wanted : Wanted
        Target and present [rad/(m/s²)].

    Returns
    -------
    list of tuple of Objection
        N of them, the weightiest first; empty where the candidate is accepted.
    """
    gradient, peak = np.array(columns["roll_gradient"]), np.array(columns["peak_stress"])
    with np.errstate(invalid="ignore"):
        miss = gradient / wanted.target - 1.0
        gain = gradient / wanted.present - 1.0
    safety = np.array(columns["allowable_stress"]) / np.where(peak > 0.0, peak, np.nan)
    lift, drop = np.array(columns["inner_rear_lift"]), np.array(columns["front_share_drop"])
    stands = np.isfinite(gradient)
    above, less = limits.gradient_tolerance, -limits.least_gain
    needless = wanted.nothing_to_bring_back(limits)
    kind = ObjectionKind
    checks = (
        (kind.NOTHING_TO_BRING_BACK, np.full(gradient.shape, needless), miss, above),
        (kind.TIPS, ~stands, gradient, wanted.target),
        (kind.STRENGTH, safety < limits.safety_factor, safety, limits.safety_factor),
        (kind.LEAN, stands & (miss > above + _EXACT) & ~needless, miss, above),
        (kind.GAIN, stands & (gain > less + _EXACT) & ~needless, gain, less),
        (kind.UNRESOLVED, (lift == UNRESOLVED) | np.isnan(peak), lift, limits.inner_rear_lift),
        *_of_balance(lift, drop, limits),
    )
    return _failing(checks, gradient.size)


def balance_objections(
    lift: np.ndarray, drop: np.ndarray, limits: Limits
) -> list[tuple[Objection, ...]]:
    """What stands against the balance of each candidate, in a state that is not gone by.

    Parameters
    ----------
    lift : array
        Where the inner rear wheel lifts, (N,) [m/s²].
    drop : array
        Fall of the front share of load transfer, (N,) [-].
    limits : Limits
        Of acceptance.

    Returns
    -------
    list of tuple of Objection
        N of them, empty where both limits are kept.
    """
    return _failing(_of_balance(lift, drop, limits), lift.size)


def _of_balance(lift: np.ndarray, drop: np.ndarray, limits: Limits) -> tuple[_Check, ...]:
    early = (lift != UNRESOLVED) & (lift < limits.inner_rear_lift)
    return (
        (ObjectionKind.WHEEL_LIFT, early, lift, limits.inner_rear_lift),
        (ObjectionKind.FRONT_SHARE, drop > limits.front_share_drop, drop, limits.front_share_drop),
    )


def _failing(checks: Sequence[_Check], count: int) -> list[tuple[Objection, ...]]:
    found: list[list[Objection]] = [[] for _ in range(count)]
    for which, fails, values, limit in checks:
        for n in np.flatnonzero(fails):
            found[n].append(Objection(which, float(values[n]), limit))
    return [tuple(against) for against in found]


def ranking(columns: dict, against: Sequence[Sequence[Objection]], target: float) -> list[int]:
    """The order of the candidates.

    Parameters
    ----------
    columns : dict
        As for `objections`.
    against : sequence of sequence of Objection
        From `objections`.
    target : float
        Roll gradient wanted [rad/(m/s²)].

    Returns
    -------
    list of int
        Positions: accepted ones first; among them, and among the others, by distance from the
        target in whole per cent, but of those at most 2 behind the nearest first a bar with
        accepted holes on both sides of its own, then the softer one.
    """
    miss = np.abs(np.array(columns["roll_gradient"]) / target - 1.0)
    near = np.where(np.isfinite(miss), np.round(100.0 * miss), np.inf)
    count = np.array([len(why) for why in against])
    refused = count > 0
    least = np.where(refused, _least(near[refused]), _least(near[~refused]))
    close = near <= least + CLOSE
    one_sided = ~_between_accepted(columns, ~refused)
    keys = (
        np.array(columns["mass"]),
        count,
        np.array(columns["roll_stiffness"]),
        one_sided,
        np.where(close, 0.0, near),
        ~close,
        refused,
    )
    return np.lexsort(keys).tolist()


def _least(near: np.ndarray) -> float:
    return float(near.min()) if near.size else math.inf


def _between_accepted(columns: dict, accepted: np.ndarray) -> np.ndarray:
    """Accepted bars with an accepted hole nearer to the centre and one further out."""
    arms: dict[tuple, list[float]] = {}
    names = ("steel", "section", "part", "lever")
    bars = [
        ((steel.name, section, part and part.part), lever)
        for steel, section, part, lever in zip(*(columns[name] for name in names), strict=True)
    ]
    for n in np.flatnonzero(accepted):
        bar, lever = bars[n]
        arms.setdefault(bar, []).append(lever)
    found = np.zeros(accepted.size, dtype=bool)
    for n in np.flatnonzero(accepted):
        bar, lever = bars[n]
        found[n] = min(arms[bar]) < lever < max(arms[bar])
    return found


def only_in_its_softest_hole(chosen: Candidate, ranked: Sequence[Candidate]) -> bool:
    """The bar is accepted in its longest arm alone, of several: a drive cannot make it softer."""
    own = _same_bar(chosen, ranked)
    once = sum(c.accepted for c in own) == 1
    return len(own) > 1 and once and in_its_softest_hole(chosen, ranked)


def softest_accepted_hole(chosen: Candidate, ranked: Sequence[Candidate]) -> Candidate | None:
    """The bar in the longest of its accepted arms; None where none is accepted."""
    accepted = (c for c in _same_bar(chosen, ranked) if c.accepted)
    return max(accepted, key=lambda c: c.lever, default=None)


def in_its_softest_hole(chosen: Candidate, ranked: Sequence[Candidate]) -> bool:
    """The bar has no longer arm than this."""
    return all(c.lever <= chosen.lever for c in _same_bar(chosen, ranked))


def _same_bar(chosen: Candidate, ranked: Sequence[Candidate]) -> list[Candidate]:
    bar = (chosen.section, chosen.steel, chosen.part)
    return [c for c in ranked if (c.section, c.steel, c.part) == bar]


def best(ranked: Sequence[Candidate]) -> Candidate | None:
    """The least lean among those that pass strength and balance and lean visibly less than now.

    Parameters
    ----------
    ranked : sequence of Candidate
        With their objections; masses in [kg].

    Returns
    -------
    Candidate or None
        None where there is no such bar, or nothing to bring back.
    """
    return min(filter(worth_fitting, ranked), key=lambda c: c.roll_gradient, default=None)


def worth_fitting(c: Candidate) -> bool:
    """Strength and balance allow it, and it leans less than now by what is worth a bar."""
    return c.lasts_in_balance and all(o.kind is ObjectionKind.LEAN for o in c.objections)


def stiffest_keeping_share(ranked: Sequence[Candidate], weight_share: float) -> Candidate | None:
    """The stiffest bar worth fitting that leaves the front its share of the weight.

    Parameters
    ----------
    ranked : sequence of Candidate
        With their objections.
    weight_share : float
        Front share of the weight in the emptiest state [-].

    Returns
    -------
    Candidate or None
        None where there is no such bar.
    """
    keeping = (
        c for c in ranked if worth_fitting(c) and c.front_load_transfer_share >= weight_share
    )
    return max(keeping, key=lambda c: c.roll_stiffness, default=None)


def in_the_way(ranked: Sequence[Candidate]) -> tuple[Obstacle, ...]:
    """What keeps the bars that lean little enough from being accepted.

    Parameters
    ----------
    ranked : sequence of Candidate
        None of them accepted; masses in [kg].

    Returns
    -------
    tuple of Obstacle
        What all of them fail; where no single limit stops all, what any of them fails. Stiffness
        where none comes down to the target: then those count that lean less than the best one.
    """
    met = [c for c in ranked if not _any_of(c, *_NOT_MET)]
    found: list[Obstacle] = []
    stopped = met
    if not met:
        found.append(Obstacle.STIFFNESS)
        fits = best(ranked)
        most = math.inf if fits is None else fits.roll_gradient
        standing = (c for c in ranked if not _any_of(c, ObjectionKind.TIPS, ObjectionKind.GAIN))
        stopped = [c for c in standing if c.roll_gradient < most]
    if stopped:
        failed = {
            obstacle: [_any_of(c, kind) for c in stopped]
            for obstacle, kind in _OBJECTION_OF.items()
        }
        by_all = [obstacle for obstacle, fails in failed.items() if all(fails)]
        by_any = [obstacle for obstacle, fails in failed.items() if any(fails)]
        found = (by_all or by_any) + found
    return tuple(found)


_NOT_MET = (ObjectionKind.TIPS, ObjectionKind.LEAN, ObjectionKind.GAIN)


def _any_of(c: Candidate, *kinds: ObjectionKind) -> bool:
    return any(objection.kind in kinds for objection in c.objections)


def stopped_by(ranked: Sequence[Candidate], obstacle: Obstacle, target: float) -> Candidate | None:
    """The bar that shows an obstacle: of those that fail it the nearest to the target.

    Parameters
    ----------
    ranked : sequence of Candidate
        With their objections.
    obstacle : Obstacle
        From `in_the_way`; for stiffness it is the bar that leans least.
    target : float
        Roll gradient wanted [rad/(m/s²)].

    Returns
    -------
    Candidate or None
        None where no bar stands at all.
    """
    standing = [c for c in ranked if math.isfinite(c.roll_gradient)]
    if obstacle is Obstacle.STIFFNESS:
        return min(standing, key=lambda c: c.roll_gradient, default=None)
    failing = (c for c in standing if _any_of(c, _OBJECTION_OF[obstacle]))
    return min(failing, key=lambda c: abs(c.roll_gradient - target), default=None)
