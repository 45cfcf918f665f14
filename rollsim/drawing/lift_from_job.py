"""Wheels, dampers and leaf packs as pictures, taken from a job's lift check."""

import math
from collections.abc import Mapping

from rollsim import mass
from rollsim.drawing.corner import CornerPose, CornerView, corner_view
from rollsim.drawing.damper_reach import DamperRow, damper_rails
from rollsim.drawing.leaf import LeafView, leaf_view
from rollsim.lift_check import LeafStand, LiftCheck, WheelStand, corner_in_state
from rollsim.reader_units import ReaderUnits
from rollsim.spring_check import AXLES
from rollsim.tell.names import state_words
from rollsim.tell.of_lift import damper_verdict
from rollsim.vehicle import Job
from rollsim.wheel_travel import pose


def mean_camber(stand: WheelStand) -> float:
    """Mean of both wheels where they were read, else the change from as weighed [rad]."""
    mean = 0.5 * (stand.left_camber + stand.right_camber)
    return stand.camber_change if math.isnan(mean) else mean


def corner_of(job: Job, end: str, states: Mapping[str, WheelStand], shown: str) -> str:
    """A wheel, "front" or "rear", unladen and in the state shown; empty without a linkage."""
    poses = []
    for name in (mass.UNLADEN, shown):
        stand, corner = states[name], corner_in_state(job, AXLES.index(end), name)
        if corner is None or math.isnan(stand.camber_change):
            return ""
        moved = pose(corner, stand.ride_height_change)
        poses.append(CornerPose(state_words(name), moved.linkage, mean_camber(stand)))
    axle = getattr(job.vehicle, end)
    return corner_view(CornerView(end, *poses, radius=axle.unsprung_cg_height))


def leaf_of(
    job: Job, end: str, states: Mapping[str, LeafStand], shown: str, units: ReaderUnits
) -> str:
    """A leaf pack, "front" or "rear", unladen and in the state shown; empty where one has none."""
    poses = [(state_words(name), states[name].pose) for name in (mass.UNLADEN, shown)]
    leaf = getattr(job.vehicle, end).leaves
    if leaf is None or any(pose is None for _, pose in poses):
        return ""
    return leaf_view(LeafView(end, leaf, *poses), units.length)


def dampers_of(lift: LiftCheck, shown: str, units: ReaderUnits) -> str:
    """Every damper that is given, in the state shown; empty without one."""
    rails = []
    for end, states in lift.dampers:
        one = dict(states)[shown]
        rails.append(
            DamperRow(
                name=f"{end}, {state_words(shown)}",
                verdict=damper_verdict(one),
                closed=one.closed_length,
                open=one.open_length,
                at_bump=one.shortest,
                at_droop=one.longest,
                now=one.length,
            )
        )
    return damper_rails(rails, units.length) if rails else ""
