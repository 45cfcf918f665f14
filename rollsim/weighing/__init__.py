"""What do the scales say: how heavy, where is the centre of gravity, what may still go on?

`scales` reads four corners and two axles, `axle_lift` finds the height of the centre of gravity,
`items` turns tow balls, tanks and a weighing before and after into load items.
"""

from rollsim.weighing.axle_lift import (
    AxleLift,
    AxleLiftErrors,
    CgHeight,
    Lift,
    RaisedAxle,
    cg_height,
    cg_height_of_lifts,
    implausible,
    lift_notes,
    lift_tangent,
)
from rollsim.weighing.items import (
    Tank,
    WeighedItem,
    added_load,
    tank_load,
    tow_ball_load,
    weighed_item,
)
from rollsim.weighing.scales import CornerMasses, Payload, Weighed, corner_weights, payload_left

__all__ = [
    "AxleLift",
    "AxleLiftErrors",
    "CgHeight",
    "CornerMasses",
    "Lift",
    "Payload",
    "RaisedAxle",
    "Tank",
    "Weighed",
    "WeighedItem",
    "added_load",
    "cg_height",
    "cg_height_of_lifts",
    "corner_weights",
    "implausible",
    "lift_notes",
    "lift_tangent",
    "payload_left",
    "tank_load",
    "tow_ball_load",
    "weighed_item",
]
