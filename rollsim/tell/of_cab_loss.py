"""What a twisting frame keeps from the cab of a bar's effect: figure and sentence, once."""

from rollsim.reader_units import plain
from rollsim.tell.figures import Figure
from rollsim.tell.kinds import RATIO
from rollsim.tolerance.cab_loss import CabLoss

CAB_LOSS = Figure("share", "lost_in_cab_share", "share of the bar's effect lost in the cab", RATIO)
"""Of the lean per g that the bar takes off on a rigid frame; below 0 the cab gains."""


def cab_loss_words(found: CabLoss | None) -> str:
    """How much of the bar does not reach the cab; empty where the frame does not twist."""
    if found is None:
        return ""
    within = found.within
    sure = "" if within is None else f" ({_part(within.low)} to {_part(within.high)})"
    return (
        "The frame twists: of what the rear bar would take off the lean on a stiff frame, "
        f"{_part(found.share)}{sure} is lost on the way to the cab; the lean told here is the "
        "cab's and counts that."
    )


def _part(share: float) -> str:
    """A share [-] as whole per cent."""
    text = plain(100.0 * max(share, 0.0), 0)
    return "nothing" if text == "0" else f"{text} %"
