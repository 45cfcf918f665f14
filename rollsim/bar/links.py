"""How a bar is hung: arm angle, links and lash, and where the links go over the travel."""

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Installation:
    """How the bar sits at the sized ride height.

    Parameters
    ----------
    arm_angle : float
        Angle of the arm from horizontal [rad], positive where the arm end lies towards the far
        end of its link: up for a bar on the axle with links up to the chassis. For a
        centreline of points it is counted from the position the points are given in.
    link_inclination : float
        Angle of the link from vertical [rad], positive where its far end lies farther back from
        the bushes than the arm end.
    link_length : float or None
        Between its two joints [m]; None: not known, so no check at full bump and droop.
    lash : float
        Free travel of one link end, from stop to stop [m]; the bar works after half of it.

    Raises
    ------
    ValueError
        If a value is not finite, a length is negative or an angle reaches 90 deg.
    """

    arm_angle: float = 0.0
    link_inclination: float = 0.0
    link_length: float | None = None
    lash: float = 0.0

    def __post_init__(self) -> None:
        for word, angle in (
            ("arm angle", self.arm_angle),
            ("link inclination", self.link_inclination),
        ):
            if not abs(angle) < math.pi / 2.0:
                raise ValueError(
                    f"{word} at {math.degrees(angle):g} deg: it must be between -90 and 90 deg; "
                    "the arm is measured from horizontal, the link from vertical"
                )
        if self.link_length is not None and not 0.0 < self.link_length < math.inf:
            raise ValueError(f"link length {self.link_length * 1e3:g} mm: it must be above zero")
        if not 0.0 <= self.lash < math.inf:
            raise ValueError(f"lash {self.lash * 1e3:g} mm: it must be zero or more")


@dataclass(frozen=True, slots=True)
class LinkAngles:
    """Where arm and link point over the travel.

    Parameters
    ----------
    arm_angle : tuple of three float
        At ride height, full bump and full droop [rad], signs as in `Installation`; NaN where the
        link length is not known or no such position exists.
    link_inclination : tuple of three float
        Likewise [rad].
    over_centre : bool
        Arm and link come in line, or cannot reach, somewhere on the way.
    """

    arm_angle: tuple[float, float, float]
    link_inclination: tuple[float, float, float]
    over_centre: bool


def link_angles(
    installation: Installation, lever: float, *, bump_travel: float, droop_travel: float
) -> LinkAngles:
    """Follow arm and link from full droop to full bump.

    Parameters
    ----------
    installation : Installation
        Angles at ride height [rad], link length [m].
    lever : float
        True length of the arm from the bush line to its link end, seen from the side [m].
    bump_travel, droop_travel : float
        Travel of the link's far end towards and away from the bushes, each zero or more [m].

    Returns
    -------
    LinkAngles
        In [rad].

    Raises
    ------
    ValueError
        If the lever is not positive or a travel is negative.

    Notes
    -----
    Side view. The arm end moves on a circle about the bushes, the far end of the link straight
    up and down; the two circles meet on the side they met on at ride height. The far end is
    d from the bushes; arm and link are in line where d = lever + length or |lever − length|.
    Common practice: a link that passes through that line snaps over and stays there.

    Examples
    --------
    >>> hung = Installation(link_length=0.10)
    >>> link_angles(hung, 0.25, bump_travel=0.05, droop_travel=0.05).over_centre
    False
    >>> link_angles(hung, 0.25, bump_travel=0.05, droop_travel=0.20).over_centre
    True
    """
    if not 0.0 < lever < math.inf:
        raise ValueError(f"lever {lever * 1e3:g} mm: it must be above zero")
    if not (bump_travel >= 0.0 and droop_travel >= 0.0):
        raise ValueError("bump and droop travel must be zero or more")
    arm, link = installation.arm_angle, installation.link_inclination
    in_line_at_rest = abs(arm + link) >= math.pi / 2.0
    if installation.link_length is None:
        unknown = (math.nan, math.nan)
        return LinkAngles((arm, *unknown), (link, *unknown), in_line_at_rest)
    length = installation.link_length
    back = lever * math.cos(arm) + length * math.sin(link)
    height = lever * math.sin(arm) + length * math.cos(link)
    low, high = height - bump_travel, height + droop_travel
    farthest = math.hypot(back, max(abs(low), abs(high)))
    nearest = math.hypot(back, 0.0 if low <= 0.0 <= high else min(abs(low), abs(high)))
    over_centre = in_line_at_rest or farthest >= lever + length or nearest <= abs(lever - length)
    bump = _arm_and_link(back, low, lever, length=length)
    droop = _arm_and_link(back, high, lever, length=length)
    return LinkAngles((arm, bump[0], droop[0]), (link, bump[1], droop[1]), over_centre)


def _arm_and_link(back: float, height: float, lever: float, *, length: float) -> tuple:
    """Both angles with the link's far end at (back, height); NaN beyond reach."""
    distance = math.hypot(back, height)
    if not abs(lever - length) <= distance <= lever + length or distance == 0.0:
        return math.nan, math.nan
    cosine = (lever**2 + distance**2 - length**2) / (2.0 * lever * distance)
    arm = math.atan2(height, back) - math.acos(max(-1.0, min(1.0, cosine)))
    link = math.atan2(back - lever * math.cos(arm), height - lever * math.sin(arm))
    return arm, link
