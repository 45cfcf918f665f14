"""The formula of the blackboard: roll gradient and weight transfer of one state, by hand."""

import math
from dataclasses import dataclass, replace

from rollsim import mass
from rollsim.mass import State
from rollsim.springs import Curve
from rollsim.teaching import stages
from rollsim.teaching.stages import Sits
from rollsim.vehicle import STANDARD_GRAVITY, Axle, Job, Suspension

TURNS = 50  # of Newton's iteration, which needs about five
CLOSE = 1e-13  # rad


@dataclass(frozen=True, slots=True)
class HandAxle:
    """What the hand formula takes of one axle.

    Parameters
    ----------
    solid : bool
        A solid axle, where the springs stand closer than the wheels.
    track, spring_base : float
        [m]; the same on independent suspension.
    spring_rate : float
        Of one side where it stands, at the spring or the wheel [N/m]; mean height of both sides.
    bar_stiffness, auxiliary_stiffness : float
        Roll stiffness of the anti-roll bar, and of bushes and leaf twist [N·m/rad].
    tyre_rate : float
        Vertical rate of one tyre [N/m]; inf: rigid.
    roll_centre_height : float
        Above ground [m].
    unsprung_mass, unsprung_cg_height : float
        [kg], above ground [m].
    share : float
        Of the sprung mass [-].
    one_sided : tuple of float or None
        Rates of the left and the right spring [N/m] where a stage works on one side alone.
    sits : Sits or None
        None where their rate is the one as weighed whatever they carry.
    centre_raised, radius_raised : float
        What lift and larger tyres have put on the height of the roll centre, and on the unsprung
        CG's [m].
    """

    solid: bool
    track: float
    spring_base: float
    spring_rate: float
    bar_stiffness: float
    auxiliary_stiffness: float
    tyre_rate: float
    roll_centre_height: float
    unsprung_mass: float
    unsprung_cg_height: float
    share: float
    one_sided: tuple[float, float] | None = None
    sits: Sits | None = None
    centre_raised: float = 0.0
    radius_raised: float = 0.0

    @property
    def rate_as_weighed(self) -> float:
        """Of one side at its height on the scales [N/m]."""
        return self.spring_rate if self.sits is None else self.sits.rate_as_weighed

    def with_springs(self, factor: float) -> "HandAxle":
        """The same with springs that are stiffer by a factor [-]."""
        sides = self.one_sided and tuple(factor * rate for rate in self.one_sided)
        return replace(self, spring_rate=factor * self.spring_rate, one_sided=sides)


@dataclass(frozen=True, slots=True)
class HandNumbers:
    """What the hand formula takes of a vehicle.

    Sprung mass [kg], its CG above ground and left of the centreline [m], and gravity [m/s²];
    `cg_raised` is what lift, body lift and larger tyres have put on the height of the CG [m].
    """

    sprung_mass: float
    cg_height: float
    front: HandAxle
    rear: HandAxle
    gravity: float = STANDARD_GRAVITY
    cg_left: float = 0.0
    cg_raised: float = 0.0

    @property
    def axles(self) -> tuple[HandAxle, HandAxle]:
        """Front and rear."""
        return self.front, self.rear

    @property
    def alike(self) -> "HandNumbers":
        """The same with both springs of an axle at their mean height and its rate."""
        front, rear = (replace(axle, one_sided=None) for axle in self.axles)
        return replace(self, front=front, rear=rear)

    @property
    def mass(self) -> float:
        """Of the whole vehicle [kg]."""
        return self.sprung_mass + sum(axle.unsprung_mass for axle in self.axles)

    @property
    def whole_cg_height(self) -> float:
        """Of the whole vehicle, above ground [m]."""
        own = sum(axle.unsprung_mass * axle.unsprung_cg_height for axle in self.axles)
        return (self.sprung_mass * self.cg_height + own) / self.mass

    @property
    def not_raised(self) -> "HandNumbers":
        """The same at the heights on the scales: no lift, no larger tyres."""
        front, rear = (
            replace(
                axle,
                roll_centre_height=axle.roll_centre_height - axle.centre_raised,
                unsprung_cg_height=axle.unsprung_cg_height - axle.radius_raised,
                centre_raised=0.0,
                radius_raised=0.0,
            )
            for axle in self.axles
        )
        height = self.cg_height - self.cg_raised
        return replace(self, cg_height=height, cg_raised=0.0, front=front, rear=rear)


@dataclass(frozen=True, slots=True)
class AxleByHand:
    """One axle, worked out by hand.

    Parameters
    ----------
    springs, suspension, tyres, stiffness : float
        Roll stiffness of the springs alone, of all between body and axle, of the tyres (inf:
        rigid), and of suspension and tyres in series [N·m/rad].
    overturning : float
        Moment per g with which the loads at roll centre and unsprung CG lean the axle on its tyres
        [N·m].
    passed_on : float
        What of it the suspension passes on to the body, per g [N·m].
    elastic, geometric, unsprung : float
        Lateral load transfer [N].
    """

    springs: float
    suspension: float
    tyres: float
    stiffness: float
    overturning: float
    passed_on: float
    elastic: float
    geometric: float
    unsprung: float

    @property
    def transfer(self) -> float:
        """All three parts [N]."""
        return self.elastic + self.geometric + self.unsprung


@dataclass(frozen=True, slots=True)
class ByHand:
    """A vehicle, worked out by hand.

    Parameters
    ----------
    roll_axis_height, arm : float
        Roll axis under the sprung CG, and the CG above it [m].
    weight : float
        Of the sprung mass [N].
    moment : float
        Weight times arm: per g of cornering, and again per radian of lean [N·m].
    stiffness, net_stiffness : float
        Of both axles, and less the gravity term [N·m/rad].
    passed_on : float
        Moment per g from the axles' own lean on their tyres [N·m].
    lean_at_rest : float
        From a CG off centre, to the left positive [rad]; NaN where the body topples.
    roll_gradient : float
        [rad/(m/s²)]; NaN where the body topples.
    lateral_acceleration : float
        Of what follows [m/s²].
    small_lean, lean : float
        Roll gradient times acceleration, and with the angle not taken as small [rad].
    front, rear : AxleByHand
        The axles.
    """

    roll_axis_height: float
    arm: float
    weight: float
    moment: float
    stiffness: float
    net_stiffness: float
    passed_on: float
    lean_at_rest: float
    roll_gradient: float
    lateral_acceleration: float
    small_lean: float
    lean: float
    front: AxleByHand
    rear: AxleByHand

    @property
    def front_share(self) -> float:
        """Front part of the lateral load transfer [-]."""
        return self.front.transfer / (self.front.transfer + self.rear.transfer)


def find_state(job: Job, name: str) -> State:
    """The state of a job that goes by a name.

    `name` is "unladen", "as_weighed" or a load case. Raises ValueError if there is none of that
    name.
    """
    states = mass.states(job)
    found = next((state for state in states if state.name == name), None)
    if found is None:
        allowed = ", ".join(state.name for state in states)
        raise ValueError(f"state: found {name!r}; allowed {allowed}")
    return found


def lifts(job: Job, state: State) -> tuple[float, float]:
    """Suspension lift of a state against as weighed, front and rear [m]."""
    front, rear = mass.model(job, state).lift[:, 0]
    return float(front), float(rear)


def numbers_of(job: Job, name: str) -> HandNumbers:
    """What the hand formula takes of one state of a job.

    The name is as for `find_state`. Heights are as weighed plus any lift, before the springs settle
    under a load.

    Notes
    -----
    A suspension lift raises the CG by its mean over the axle shares, and each roll centre by its
    travel ratio. A spring counts with its rate where it stands under its load: see `stages`.
    """
    return numbers_in(job, find_state(job, name))


def numbers_in(job: Job, state: State) -> HandNumbers:
    """What the hand formula takes of a vehicle in any state of loading."""
    body, up = mass.sprung_mass(job, state), lifts(job, state)
    rear = body.behind_front_axle / job.vehicle.wheelbase
    shares = (1.0 - rear, rear)
    curves = [
        spring.curve(load)
        for spring, load in zip(mass.springs(job, state), mass.sprung_load(job), strict=True)
    ]
    radius = mass.raised(job, state)
    load = 0.5 * STANDARD_GRAVITY * body.mass
    front, back = (
        _axle(axle, stages.sits(curve, load * share), share, lift=lift, radius=radius)
        for axle, curve, share, lift in zip(mass.axles(job, state), curves, shares, up, strict=True)
    )
    height = body.height + shares[0] * up[0] + shares[1] * up[1]
    on_scales = replace(state, changed=job.change.on_when_weighed)
    rise = height - mass.sprung_mass(job, on_scales).height
    alike = HandNumbers(body.mass, height, front, back, cg_left=body.left, cg_raised=rise)
    front, back = (
        _leaning(axle, curve, by_side)
        for axle, curve, by_side in zip(alike.axles, curves, _apart(alike), strict=True)
    )
    return replace(alike, front=front, rear=back)


def _apart(numbers: HandNumbers) -> tuple[float, ...]:
    """What of b/2 φ₀ the suspension takes: the left springs stand deeper by that [m]."""
    found = solve(numbers)
    if not numbers.cg_left or not found.net_stiffness > 0.0:
        return 0.0, 0.0
    return tuple(
        0.5 * axle.spring_base * found.lean_at_rest * by_hand.stiffness / by_hand.suspension
        for axle, by_hand in zip(numbers.axles, (found.front, found.rear), strict=True)
    )


def _leaning(axle: HandAxle, curve: Curve, by_side: float) -> HandAxle:
    """The axle where the vehicle leans at rest; forgets a spring that has nothing to tell."""
    found = stages.leaning(axle.sits, curve, by_side)
    return replace(axle, one_sided=found.one_sided, sits=found if found.counts else None)


def _axle(axle: Axle, found: Sits, share: float, *, lift: float, radius: float) -> HandAxle:
    rise = radius + axle.roll_centre_travel_ratio * lift
    return HandAxle(
        solid=axle.suspension is Suspension.SOLID_AXLE,
        track=axle.track,
        spring_base=axle.spring_base,
        spring_rate=found.rate,
        bar_stiffness=axle.bar_roll_stiffness,
        auxiliary_stiffness=axle.auxiliary_roll_stiffness,
        tyre_rate=axle.tyre.vertical_rate,
        roll_centre_height=axle.roll_centre_height + rise,
        unsprung_mass=axle.unsprung_mass,
        unsprung_cg_height=axle.unsprung_cg_height + radius,
        share=share,
        sits=found,
        centre_raised=rise,
        radius_raised=radius,
    )


def solve(numbers: HandNumbers, lateral: float = 0.4 * STANDARD_GRAVITY) -> ByHand:
    """Work the hand formula through.

    `lateral` is the lateral acceleration of the lean and the load transfer [m/s²].

    Notes
    -----
    φ/a = (m_s d + N/g)/(K − m_s g d), K the springs k b²/2, bar and auxiliary stiffness of each
    axle in series with its tyres k t²/2, and N what the axles' own lean on their tyres passes on,
    K_s/(K_s + K_t) g (m_s w h + m_u h_u). The lean solves K φ = m_s d (a cos φ + g sin φ) + N a/g.
    Valid for linear springs and tyres at the given heights [barton-fieldhouse]. Unlike springs have
    k_l k_r b²/(k_l + k_r), as their load stays. A CG off centre leans it at rest by W y/(K − W d).

    Examples
    --------
    >>> axle = HandAxle(True, 1.5, 1.0, 40e3, 0.0, 0.0, math.inf, 0.3, 150.0, 0.35, 0.5)
    >>> found = solve(HandNumbers(1500.0, 0.8, axle, axle))
    >>> round(found.stiffness), round(math.degrees(found.roll_gradient * STANDARD_GRAVITY), 2)
    (40000, 12.91)
    """
    g, axles = numbers.gravity, numbers.axles
    axis = sum(axle.share * axle.roll_centre_height for axle in axles)
    arm, weight = numbers.cg_height - axis, numbers.sprung_mass * g
    stiff = [_stiffness(numbers, axle) for axle in axles]
    stiffness, passed_on = sum(s[3] for s in stiff), sum(s[5] for s in stiff)
    moment, in_g = weight * arm, lateral / g
    net = stiffness - moment
    gradient = (moment + passed_on) / net / g if net > 0.0 else math.nan
    lean = _balanced(stiffness, moment, passed_on, in_g=in_g, start=gradient * lateral)
    front, rear = (
        AxleByHand(
            *s,
            elastic=(s[3] * lean - s[5] * in_g) / axle.track,
            geometric=weight * axle.share * axle.roll_centre_height * in_g / axle.track,
            unsprung=axle.unsprung_mass * axle.unsprung_cg_height * lateral / axle.track,
        )
        for s, axle in zip(stiff, axles, strict=True)
    )
    return ByHand(
        roll_axis_height=axis,
        arm=arm,
        weight=weight,
        moment=moment,
        stiffness=stiffness,
        net_stiffness=net,
        passed_on=passed_on,
        lean_at_rest=weight * numbers.cg_left / net if net > 0.0 else math.nan,
        roll_gradient=gradient,
        lateral_acceleration=lateral,
        small_lean=gradient * lateral,
        lean=lean,
        front=front,
        rear=rear,
    )


def _stiffness(
    numbers: HandNumbers, axle: HandAxle
) -> tuple[float, float, float, float, float, float]:
    """The first six fields of `AxleByHand`."""
    rate = 0.5 * axle.spring_rate
    if axle.one_sided:
        left, right = axle.one_sided
        rate = left * right / (left + right)
    springs = rate * axle.spring_base**2
    suspension = springs + axle.bar_stiffness + axle.auxiliary_stiffness
    tyres = 0.5 * axle.tyre_rate * axle.track**2
    rigid = math.isinf(tyres)
    series = suspension if rigid else suspension * tyres / (suspension + tyres)
    sprung = numbers.sprung_mass * axle.share * axle.roll_centre_height
    overturning = numbers.gravity * (sprung + axle.unsprung_mass * axle.unsprung_cg_height)
    passed_on = 0.0 if rigid else overturning * suspension / (suspension + tyres)
    return springs, suspension, tyres, series, overturning, passed_on


def _balanced(
    stiffness: float, moment: float, passed_on: float, *, in_g: float, start: float
) -> float:
    """Lean where stiffness and moments balance, the angle not taken as small [rad]."""
    lean = start
    for _ in range(TURNS):
        cos, sin = math.cos(lean), math.sin(lean)
        surplus = stiffness * lean - moment * (in_g * cos + sin) - passed_on * in_g
        step = surplus / (stiffness - moment * (cos - in_g * sin))
        lean -= step
        if abs(step) < CLOSE:
            return lean
    return math.nan
