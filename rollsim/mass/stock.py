"""How much higher does the vehicle stand as weighed than it stood empty and stock, and its CG?

What was on it on the scales presses springs and tyres down, a lift or larger tyres raise it.
Nothing here knows where a value comes from: `rollsim.scenario` moves what it assumes by this.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from rollsim.vehicle import STANDARD_GRAVITY, Axle, Load, Stop

FURTHEST = 10.0  # m of travel, beyond anything that a vehicle has
BUMP, REBOUND = "bump_stop", "rebound_limit"


@dataclass(frozen=True, slots=True)
class AxleRise:
    """How an axle stands as weighed against empty and stock, up positive.

    Parameters
    ----------
    body : float
        Of the body over the axle: lift less settling [m].
    axle : float
        Of the axle over the ground: a larger tyre less what the tyres give [m].
    stop_force : float
        With which one side's stops push the body up as weighed [N]; its spring carries so much
        less of the load.
    """

    body: float
    axle: float
    stop_force: float

    @property
    def above_ground(self) -> float:
        """Of the body above the ground [m]."""
        return self.body + self.axle


STILL = AxleRise(0.0, 0.0, 0.0)


def axle_rise(
    axle: Axle,
    masses: tuple[float, float],
    *,
    lift: float = 0.0,
    tyre_radius: float = 0.0,
    stock_gaps: Collection[str] = (),
) -> AxleRise:
    """How far body and axle have risen from empty and stock to as weighed.

    Parameters
    ----------
    axle : Axle
        With the spring that it has without any change.
    masses : tuple of float
        On the axle, unsprung mass included: empty and stock, as weighed [kg].
    lift, tyre_radius : float
        What raised it in between [m].
    stock_gaps : collection of str
        Stops ("bump_stop", "rebound_limit") whose gap counts from empty and stock; that of the
        others counts from as weighed.

    Returns
    -------
    AxleRise
        [m], [N].

    Notes
    -----
    With the sag x = lift − rise, spring(x) + stops(x) = P_w − P_s, the loads of one side as weighed
    and stock; the tyre gives ΔN/k. All of them are straight lines with hinges, so the solution
    between two hinges is exact. The spring is the vehicle's own: lift is told at equal load.

    Examples
    --------
    >>> from rollsim.springs import LinearSpring
    >>> from rollsim.vehicle import Suspension, Tyre
    >>> axle = Axle(Suspension.SOLID_AXLE, 1.5, 1.0, 150.0, 0.37, 0.4, 0.5,
    ...             spring=LinearSpring(40e3), tyre=Tyre(250e3))
    >>> found = axle_rise(axle, (900.0, 1100.0), lift=0.05)
    >>> round(found.body, 4), round(found.axle, 4)
    (0.0255, -0.0039)
    """
    stock, weighed = masses
    more = 0.5 * STANDARD_GRAVITY * (weighed - stock)
    curve = axle.spring.curve(0.5 * STANDARD_GRAVITY * (weighed - axle.unsprung_mass))
    hinges = [lift + start for start in curve.starts]
    for word, sense in ((BUMP, -1.0), (REBOUND, 1.0)):
        stop: Stop | None = getattr(axle, word)
        if stop is not None:
            sense *= 1.0 if word in stock_gaps else -1.0
            hinges.append(sense * stop.gap / stop.motion_ratio)
    rise = np.array([-FURTHEST, *sorted(hinges), FURTHEST])
    of_spring = curve.force(np.zeros(rise.shape)) - curve.force(rise - lift)
    pushing = {True: np.zeros(rise.shape), False: np.zeros(rise.shape)}
    for word, sense in ((BUMP, -1.0), (REBOUND, 1.0)):
        stop, own = getattr(axle, word), word in stock_gaps
        if stop is not None:
            travel = sense * rise if own else -sense * rise
            pushing[own] -= sense * _push(stop, travel)
    carried = of_spring + pushing[True] - pushing[False]  # falls as the body rises
    body = float(np.interp(-more, -carried, rise))
    push = float(np.interp(body, rise, pushing[True]))
    return AxleRise(body, tyre_radius - more / axle.tyre.vertical_rate, push)


def _push(stop: Stop, travel: np.ndarray) -> np.ndarray:
    """Force at the wheel of a stop after `travel` of the wheel towards it, in N."""
    ratio = stop.motion_ratio
    return ratio * stop.rate * np.maximum(ratio * travel - stop.gap, 0.0)


def cg_as_weighed(
    stock_height: float,
    *,
    axles: tuple[Axle, Axle],
    stock_masses: tuple[float, float],
    rises: tuple[AxleRise, AxleRise],
    loads: Sequence[Load] = (),
    raised_moment: float = 0.0,
) -> float:
    """CG height of the whole vehicle as weighed, from that of it empty and stock.

    Parameters
    ----------
    stock_height : float
        Empty and stock [m].
    axles : tuple of Axle
        Front and rear [kg].
    stock_masses : tuple of float
        On them empty and stock [kg].
    rises : tuple of AxleRise
        Of front and rear since then.
    loads : sequence of Load
        What was on it on the scales, heights as weighed [m].
    raised_moment : float
        Mass of a lifted body times its lift [kg·m].

    Returns
    -------
    float
        [m].

    Notes
    -----
    The unsprung masses rise with the axles, the sprung mass by Σ w_i times the rise above ground,
    with w_i its share on axle i; then the loads add their first moments.
    """
    unsprung = [a.unsprung_mass for a in axles]
    sprung = [m - u for m, u in zip(stock_masses, unsprung, strict=True)]
    moment = sum(stock_masses) * stock_height + raised_moment
    for one, light, rise in zip(sprung, unsprung, rises, strict=True):
        moment += one * rise.above_ground + light * rise.axle
    moment += sum(load.mass * load.height for load in loads)
    return moment / (sum(stock_masses) + sum(load.mass for load in loads))
