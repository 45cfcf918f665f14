"""Curves to be hovered: lean, springs, a road test."""

from rollsim.charts.lean import lean_chart
from rollsim.charts.road import residual_chart, road_chart
from rollsim.charts.springs import RateCurve, rate_chart

__all__ = ["RateCurve", "lean_chart", "rate_chart", "residual_chart", "road_chart"]
