"""The figures of a job in the shop's record, each declared once."""

from rollsim.tell.figures import Figure, by_name
from rollsim.tell.kinds import Kind

_LEAN = Kind("deg", decimals=1)
_NOT_KEPT = "the sheet has none"

JOB = by_name(
    Figure("before", "lean_before_deg", "before", _LEAN, why=_NOT_KEPT),
    Figure("predicted", "lean_predicted_deg", "predicted", _LEAN, why=_NOT_KEPT),
    Figure("band_low", "lean_predicted_band_low_deg", "band from", _LEAN, why=_NOT_KEPT),
    Figure("band_high", "lean_predicted_band_high_deg", "to", _LEAN, why=_NOT_KEPT),
    Figure("measured", "lean_measured_deg", "measured", _LEAN, why=_NOT_KEPT),
    Figure(
        "measured_tolerance",
        "lean_measured_tolerance_deg",
        "known to within",
        _LEAN,
        why=_NOT_KEPT,
    ),
    Figure("unladen", "unladen_lean_deg", "empty", _LEAN, why=_NOT_KEPT),
)
"""Leans at 0.3 g, the mean of both bends."""
LISTED = ("before", "predicted", "measured")
