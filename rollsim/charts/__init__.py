"""Curves to be hovered: lean, springs, a road test."""

from rollsim.charts.lean import (
    FRONT_LIFTS,
    HEAD_ROOM,
    MARGIN,
    REAR_LIFTS,
    LeanCurve,
    Lift,
    lean_chart,
)
from rollsim.charts.road import DrivenPoint, residual_chart, road_chart
from rollsim.charts.springs import RateCurve, rate_chart

__all__ = [
    "FRONT_LIFTS",
    "HEAD_ROOM",
    "MARGIN",
    "REAR_LIFTS",
    "DrivenPoint",
    "LeanCurve",
    "Lift",
    "RateCurve",
    "lean_chart",
    "rate_chart",
    "residual_chart",
    "road_chart",
]
