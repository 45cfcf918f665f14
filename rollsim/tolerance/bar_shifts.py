"""How a bar to be fitted changes when what holds it is shifted: bushes, links, lash, geometry."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from rollsim.bar import RearBar, link_spacing
from rollsim.mass import FittedBar
from rollsim.sizing import Candidate
from rollsim.sizing.choice import fitted
from rollsim.tolerance.shifts import Tolerance

AS_ORDERED = "shape, section and steel of the bar are taken as ordered"


@dataclass(frozen=True, slots=True)
class OrderedBar:
    """A bar to be fitted, with what its rate is in series with.

    Parameters
    ----------
    fitted : FittedBar
        As the vehicle takes it; of one bar.
    rear_bar : RearBar
        Bushes, links and how it is hung.
    hole : int
        Position of its shape in the rear bar's.
    link_end_rate : float
        Force at one end per travel of that end [N/m].
    """

    fitted: FittedBar
    rear_bar: RearBar
    hole: int
    link_end_rate: float


BarShift = Callable[[OrderedBar, float], OrderedBar]


def ordered(candidate: Candidate, rear_bar: RearBar) -> OrderedBar:
    """A candidate as the bar to be fitted.

    Parameters
    ----------
    candidate : Candidate
        Section, hole and rate.
    rear_bar : RearBar
        That it was sized for.

    Returns
    -------
    OrderedBar
        In SI.
    """
    hung = rear_bar.hung_with(candidate.part)
    return OrderedBar(fitted(candidate, hung), hung, candidate.hole, candidate.link_end_rate)


def bar_shifting(tolerances: Sequence[Tolerance]) -> list[tuple[Tolerance, BarShift]]:
    """The tolerances that move a bar to be fitted, each with how it does.

    Parameters
    ----------
    tolerances : sequence of Tolerance
        Of a scenario [SI].

    Returns
    -------
    list of (Tolerance, callable)
        The callable takes a bar and a shift of the value in SI.

    Notes
    -----
    Bushes and links are in series with the bar: 1/k = elastic + (B/s)²/k_bush + 1/k_link
    [unit-load]; roll stiffness goes with k, with the square of an installation ratio, and lash
    with its angle.
    """
    return [(one, _SHIFTS[one.key]) for one in tolerances if one.key in _SHIFTS]


def _in_series(word: str, bar: OrderedBar, shift: float) -> OrderedBar:
    hung = bar.rear_bar
    now = getattr(hung, word)
    if now is None:
        return bar
    weight = math.cos(hung.installation.link_inclination) ** -2
    if word == "bush_rate":
        weight *= (link_spacing(hung.shapes[bar.hole]) / hung.bush_spacing) ** 2
    flexibility = 1.0 / bar.link_end_rate + weight * (1.0 / (now + shift) - 1.0 / now)
    times = 1.0 / flexibility / bar.link_end_rate
    return OrderedBar(
        replace(bar.fitted, roll_stiffness=bar.fitted.roll_stiffness * times),
        replace(hung, **{word: now + shift}),
        bar.hole,
        bar.link_end_rate * times,
    )


def _ratio(bar: OrderedBar, shift: float) -> OrderedBar:
    times = 1.0 + shift / bar.rear_bar.installation_ratio
    moved = replace(
        bar.fitted,
        roll_stiffness=bar.fitted.roll_stiffness * times**2,
        lash_angle=bar.fitted.lash_angle / times,
    )
    hung = replace(bar.rear_bar, installation_ratio=bar.rear_bar.installation_ratio + shift)
    return replace(bar, fitted=moved, rear_bar=hung)


def _lash(bar: OrderedBar, shift: float) -> OrderedBar:
    installation = bar.rear_bar.installation
    lash = max(installation.lash + shift, 0.0)
    # K = k (reach)²/2, with the link spacing as reach, or r t on independent suspension.
    reach = math.sqrt(2.0 * bar.fitted.roll_stiffness / bar.link_end_rate)
    hung = replace(bar.rear_bar, installation=replace(installation, lash=lash))
    return replace(bar, fitted=replace(bar.fitted, lash_angle=lash / reach), rear_bar=hung)


_SHIFTS: dict[str, BarShift] = {
    "rear_bar.bush_rate": partial(_in_series, "bush_rate"),
    "rear_bar.link_rate": partial(_in_series, "link_rate"),
    "rear_bar.installation_ratio": _ratio,
    "rear_bar.lash": _lash,
}
