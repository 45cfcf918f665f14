"""Curves and marks to be hovered: lean, bars, springs, wheels, a road test, a range."""

from rollsim.charts.choice import CLICKED, choice_chart
from rollsim.charts.fits import fits_chart
from rollsim.charts.lean import lean_chart
from rollsim.charts.road import residual_chart, road_chart
from rollsim.charts.springs import RateCurve, rate_chart
from rollsim.charts.wheels import WheelCurve, WheelMark, wheel_chart

__all__ = [
    "CLICKED",
    "RateCurve",
    "WheelCurve",
    "WheelMark",
    "choice_chart",
    "fits_chart",
    "lean_chart",
    "rate_chart",
    "residual_chart",
    "road_chart",
    "wheel_chart",
]
