"""What four corner masses tell, declared once: for the command, JSON and the page."""

from collections.abc import Callable

from rollsim.reader_units import ReaderUnits
from rollsim.tell.figures import Figure, by_name
from rollsim.tell.kinds import LENGTH, MASS, RATIO


def _percent(name: str) -> Callable[[object, ReaderUnits], str]:
    return lambda found, units: f"{100.0 * getattr(found, name):.1f} %"


CORNERS = by_name(
    Figure("total", "", "whole vehicle", MASS),
    Figure("front_axle", "", "front axle", MASS),
    Figure("rear_axle", "", "rear axle", MASS),
    *(
        Figure(name, key, words, RATIO, text=_percent(name))
        for name, key, words in (
            ("cross_weight", "cross_weight_share", "cross weight (front right + rear left)"),
            ("front_share", "front_share", "on the front axle"),
            ("left_share", "left_share", "on the left side"),
        )
    ),
    Figure("cg_behind_front_axle", "cg_behind_front_axle_mm", "CG behind the front axle", LENGTH),
    Figure("cg_left", "cg_left_mm", "CG left of the centreline", LENGTH),
)
