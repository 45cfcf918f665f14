"""The vehicle, the bar and the figures as SVG: what does it look like?

`records` say what a picture from behind is made of, `from_job` takes it from a result, `rear` draws
it with `bodies` and `running_gear`; `side` and `side_from_job` do the same from the side, with
`side_bodies` and the gauges of `travel`; `bar_shape`, `bend` and `gauges` are pictures of their
own; `bar_order` and `lean_lines` are for paper; `mounting` shows a sensor from above; `corner` is a
wheel on its linkage and `damper_reach` a damper's stroke, both from `lift_from_job`;
`which_springs` are spring options in every state; `export` makes files of them. Colours follow the
page's light or dark theme without a rerun.
"""

from rollsim.drawing.bar_order import BarDimensions, bar_order
from rollsim.drawing.bar_shape import bar_plan, bar_plan_of
from rollsim.drawing.bend import Standing, roundabout, standing
from rollsim.drawing.export import png, standalone
from rollsim.drawing.from_job import bar_in_place, body_pose, rear_view_of, standing_still
from rollsim.drawing.gauges import (
    LoadRow,
    TransferRow,
    WaterfallStep,
    load_bars,
    transfer_bars,
    waterfall,
)
from rollsim.drawing.lean_lines import LeanLine, lean_lines
from rollsim.drawing.mounting import mounting_view
from rollsim.drawing.rear import ABOVE, BELOW, PALE, rear_view, side_by_side
from rollsim.drawing.records import BarInPlace, Cargo, Pose, RearAxle, RearView, roof_height
from rollsim.drawing.running_gear import MIDDLE, PIXELS_PER_METRE
from rollsim.drawing.side import SideAxle, SideCargo, SideView, side_view
from rollsim.drawing.side_from_job import side_view_of
from rollsim.drawing.travel import Travel

__all__ = [
    "ABOVE",
    "BELOW",
    "MIDDLE",
    "PALE",
    "PIXELS_PER_METRE",
    "BarDimensions",
    "BarInPlace",
    "Cargo",
    "LeanLine",
    "LoadRow",
    "Pose",
    "RearAxle",
    "RearView",
    "SideAxle",
    "SideCargo",
    "SideView",
    "Standing",
    "TransferRow",
    "Travel",
    "WaterfallStep",
    "bar_in_place",
    "bar_order",
    "bar_plan",
    "bar_plan_of",
    "body_pose",
    "lean_lines",
    "load_bars",
    "mounting_view",
    "png",
    "rear_view",
    "rear_view_of",
    "roof_height",
    "roundabout",
    "side_by_side",
    "side_view",
    "side_view_of",
    "standalone",
    "standing",
    "standing_still",
    "transfer_bars",
    "waterfall",
]
