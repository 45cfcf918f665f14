"""The bands that tolerances make of the lean, as keys of JSON and as rows of a table."""

import math
from collections.abc import Sequence

from rollsim.reader_units import METRIC, figure
from rollsim.tell.figures import Row
from rollsim.tell.kinds import LEAN_PER_G
from rollsim.tell.of_states import STATE
from rollsim.tolerance import Band, LeanBands

NO_TOLERANCE = "no input has a tolerance, so there is no band of the lean"
_TIPS = "{state}: a band of the lean is null: with the tolerances it may tip first"


def band_keys(bands: LeanBands) -> dict[str, object]:
    """Bands of one state for JSON.

    Low and high end in [deg/g], from SI; null where that many tip.
    """
    return {
        "roll_gradient_band_deg_per_g": _ends(bands.linear),
        "secant_roll_gradient_band_deg_per_g": _ends(bands.secant),
    }


def band_notes(bands: Sequence[LeanBands]) -> list[str]:
    """Why there is no band, or no figure in one.

    No bands at all: nothing has a tolerance.
    """
    if not bands:
        return [NO_TOLERANCE]
    return [_TIPS.format(state=one.state) for one in bands if not math.isfinite(one.secant.high)]


def band_rows(bands: Sequence[LeanBands]) -> list[Row]:
    """Bands of the lean per g, a row each and a column for each state; none without bands."""
    if not bands:
        return []
    return [
        Row(STATE[name].label(METRIC), tuple(_words(getattr(one, band)) for one in bands))
        for name, band in (("roll_gradient", "linear"), ("secant_roll_gradient", "secant"))
    ]


def _ends(band: Band) -> list[float] | None:
    if not math.isfinite(band.high):
        return None
    return [LEAN_PER_G.number(end) for end in (band.low, band.high)]


def _words(band: Band) -> str:
    if not math.isfinite(band.high):
        return "may tip"
    return f"{figure(band.low, 'deg/g')}–{figure(band.high, 'deg/g')}"
