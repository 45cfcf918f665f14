"""Where does a spring stand under its load, which of its stages work there, and on which side?"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from rollsim.springs import Curve

STILL = 1e-3  # N: less is rounding, and moves no spring
NUDGE = 1e-9  # m: a spring on a kink goes in on the right and out on the left, as in a left bend


@dataclass(frozen=True, slots=True)
class Stage:
    """A change of rate of one spring: helper leaves, or a bend of a measured spring.

    `start` is the compression from the height as weighed, below which it works [m], and `step` the
    rate that it adds there [N/m].
    """

    start: float
    step: float


@dataclass(frozen=True, slots=True)
class Sits:
    """How the springs of one axle stand in a state; down is positive.

    Parameters
    ----------
    rate_as_weighed : float
        Of one spring at its height on the scales [N/m].
    own_load : float
        Its force at that height [N].
    more_load : float
        What it carries above that [N].
    down : float
        Compression from that height, mean of both sides [m].
    stages : tuple of Stage
        That came in on the way down, or let go on the way up.
    following : Stage or None
        The next one.
    left, right : tuple of Stage
        That come in on one side, or let go with a step turned round, where the vehicle leans at
        rest.
    apart : float
        By how much the left spring stands deeper than the mean [m].
    """

    rate_as_weighed: float
    own_load: float
    more_load: float
    down: float
    stages: tuple[Stage, ...]
    following: Stage | None
    left: tuple[Stage, ...] = ()
    right: tuple[Stage, ...] = ()
    apart: float = 0.0

    @property
    def sense(self) -> float:
        """1 where the spring went down since the scales, −1 where it came up [-]."""
        return -1.0 if self.more_load < 0.0 else 1.0

    @property
    def rate(self) -> float:
        """Of one spring at the mean of both sides [N/m]."""
        return self.rate_as_weighed + self.sense * _sum(self.stages)

    @property
    def rates(self) -> tuple[float, float]:
        """Of the left and the right spring [N/m]."""
        return self.rate + _sum(self.left), self.rate + _sum(self.right)

    @property
    def one_sided(self) -> tuple[float, float] | None:
        """Both rates [N/m] where a stage works on one side alone."""
        return self.rates if self.left or self.right else None

    @property
    def counts(self) -> bool:
        """Whether a stage is at work, or has to be looked for."""
        on_the_way = self.more_load != 0.0 and (self.stages or self.following)
        return bool(on_the_way or self.left or self.right)

    @property
    def told(self) -> tuple[Stage, ...]:
        """Every stage that a working needs, each once and as it adds below its start."""
        deeper, higher = self.left, self.right
        if self.apart <= 0.0:  # where it stands upright, a left bend decides
            deeper, higher = self.right, self.left
        let_go = (Stage(s.start, -s.step) for s in higher)
        following = (self.following,) if self.following else ()
        return tuple(dict.fromkeys((*self.stages, *deeper, *let_go, *following)))


def sits(curve: Curve, load: float) -> Sits:
    """Where a spring stands under a load, both sides alike.

    `load` is on one spring [N]; the curve is from its height as weighed.

    Notes
    -----
    δ = (ΔF ± Σ k₂ c)/(k ± Σ k₂) over the stages passed, plus on the way down. Those of one sign are
    told as one stage of their whole rate at their mean start, which gives the same δ.

    Examples
    --------
    >>> found = sits(Curve(4000.0, 36e3, (0.055,), (60e3,)), 4000.0 + 3147.0)
    >>> round(found.down, 4), found.rate
    (0.0672, 96000.0)
    """
    more = load - float(curve.force(0.0))
    more = more if abs(more) > STILL else 0.0
    rate = float(curve.tangent_rate(0.0))
    sense = -1.0 if more < 0.0 else 1.0
    ways = sorted(_stages(curve), key=lambda s: sense * s.start)
    ahead = [s for s in ways if (s.start < 0.0) == (sense < 0.0)]
    passed, push, stiff = 0, more, rate
    for stage in ahead:
        down = push / stiff
        if down > stage.start if sense < 0.0 else down <= stage.start:
            break
        push += sense * stage.step * stage.start
        stiff += sense * stage.step
        passed += 1
    following = ahead[passed] if passed < len(ahead) else None
    own = load - more
    return Sits(rate, own, more, push / stiff, _as_one(ahead[:passed]), following)


def leaning(found: Sits, curve: Curve, apart: float) -> Sits:
    """The same where the vehicle leans at rest.

    `found` has both sides alike; `apart` is by how much the left spring stands deeper than the mean
    [m]. With one axle that has a stage at work on one side alone, the stages found are the right
    ones: their load is between what no spring and what both springs on the stage would carry.
    """
    left, right = (
        _between(curve, found.down, found.down + way) for way in (apart - NUDGE, NUDGE - apart)
    )
    return replace(found, left=left, right=right, apart=apart)


def _between(curve: Curve, start: float, end: float) -> tuple[Stage, ...]:
    """Stages that come in from one compression to the other; those that let go count minus."""
    came = [s for s in _stages(curve) if start <= s.start < end]
    went = [Stage(s.start, -s.step) for s in _stages(curve) if end <= s.start < start]
    return _as_one([*came, *went])


def _stages(curve: Curve) -> list[Stage]:
    return [Stage(*both) for both in zip(curve.starts, curve.steps, strict=True) if both[1]]


def _as_one(stages: Iterable[Stage]) -> tuple[Stage, ...]:
    """Those that stiffen as one, those that soften as another."""
    many = list(stages)
    kinds = ([s for s in many if s.step > 0.0], [s for s in many if s.step < 0.0])
    return tuple(
        Stage(sum(s.start * s.step for s in kind) / _sum(kind), _sum(kind))
        for kind in kinds
        if kind
    )


def _sum(stages: Iterable[Stage]) -> float:
    return sum(s.step for s in stages)
