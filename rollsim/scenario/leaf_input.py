"""A leaf spring with its shackle from the file's tables."""

import math

from rollsim.roll_centre import READING_ERROR
from rollsim.scenario.errors import Problems
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.lift_tables import (
    GREATEST_ANGLE,
    LEAST_ANGLE,
    LeafAndShackleTable,
    Middle,
    Shackle,
)
from rollsim.scenario.table_base import missing as missing_words
from rollsim.scenario.vehicle_tables import AxleTable
from rollsim.vehicle import Suspension
from rollsim.wheel_travel import LeafSeat, leaf_pose, under_eyes

_LEAF_PLACES = (
    *("fixed_eye_height", "shackle_eye_height", "seat_height"),
    *("fixed_eye_to_axle", "axle_to_shackle_eye"),
)


def taped_height(table: AxleTable) -> float | None:
    """How far the main leaf is under the line of its eyes [m]; None where a place is missing."""
    places = _leaf_places(Ledger(Problems("")), "", table.leaf_and_shackle, table)
    return None if places is None else under_eyes(*places)


def build_leaves(ledger: Ledger, axle: str, table: AxleTable) -> LeafSeat | None:
    """The leaf spring and shackle of an axle; None where it has none or it was refused."""
    own, key = table.leaf_and_shackle, f"{axle}.leaf_and_shackle"
    if own is None:
        return None
    if table.suspension is Suspension.INDEPENDENT:
        ledger.problems.add(
            key, "found on independent suspension; allowed on a solid axle; remove it"
        )
        return None
    places = _leaf_places(ledger, key, own, table)
    given = {
        name: getattr(own, name) is not None or ledger.problems.has(f"{key}.{name}")
        for name in ("shackle_angle", "hanger_height", "axle_to_hanger")
    }
    by_tape = given["hanger_height"] or given["axle_to_hanger"]
    if given["shackle_angle"] == by_tape:
        came = "beside hanger_height and axle_to_hanger" if by_tape else "missing"
        ledger.problems.add(
            f"{key}.shackle_angle",
            f"{came}; allowed shackle_angle alone (the better one), or both of the others; give "
            "one of the two ways",
        )
    elif by_tape and not (given["hanger_height"] and given["axle_to_hanger"]):
        name = "axle_to_hanger" if given["hanger_height"] else "hanger_height"
        ledger.problems.add(
            f"{key}.{name}", "missing; hanger_height and axle_to_hanger belong together; add it"
        )
    if places is None or ledger.problems.found:
        return None
    fixed, shackle, seat, ahead, behind = places
    angle = own.shackle_angle
    leaf = LeafSeat(
        *(fixed, shackle, seat, ahead, behind, own.shackle_length.value),
        shackle_angle=_taped_angle(ledger, key, own, eye=(behind, shackle))
        if angle is None
        else angle.value,
        eye_offset=0.0 if own.eye_offset is None else own.eye_offset.value,
        angle_is_measured=angle is not None,
        shackle_at_rear=own.shackle_end is not Shackle.FRONT,
        gaps=None if own.leaves_at_mid_length is None else own.leaves_at_mid_length is Middle.GAPS,
    )
    if ledger.problems.found:
        return None
    # The four-bar is closed with its eye under the line from the fixed eye to the hanger.
    along, height = leaf.hanger
    if (shackle - fixed) * along >= (height - fixed) * (ahead + behind):
        ledger.problems.add(
            key,
            "found the spring's eye above the line from the fixed eye to the shackle's bolt on the "
            "frame; allowed below it; measure their heights and the shackle again",
        )
        return None
    try:
        leaf_pose(leaf, 0.0)
    except (ValueError, ZeroDivisionError) as wrong:
        ledger.problems.add(key, str(wrong))
        return None
    return leaf


def _taped_angle(
    ledger: Ledger, key: str, own: LeafAndShackleTable, *, eye: tuple[float, float]
) -> float:
    """The shackle's angle from where its bolt and the spring's eye are [rad], where they fit it."""
    length, across = own.shackle_length, eye[0] - own.axle_to_hanger.value
    up = own.hanger_height.value - eye[1]
    read = (length, own.hanger_height, own.axle_to_hanger)
    error = 2.0 * max(one.tolerance or READING_ERROR for one in read)
    if abs(math.hypot(across, up) - length.value) > error:
        ledger.problems.add(
            f"{key}.hanger_height",
            f"found with axle_to_hanger the bolt {math.hypot(across, up) * 1e3:.0f} mm from the "
            f"spring's eye; allowed shackle_length, {length.value * 1e3:.5g} mm, within "
            f"{error * 1e3:.3g} mm; measure both places again",
        )
    low, high = LEAST_ANGLE, GREATEST_ANGLE
    angle = math.degrees(math.atan2(across, up))
    if not low <= angle <= high:
        ledger.problems.add(
            f"{key}.hanger_height",
            f"found with axle_to_hanger the shackle at {angle:.0f} deg from square to the frame; "
            f"allowed {low} deg to {high} deg: it hangs from the frame; measure both places again",
        )
    return math.radians(angle)


def _leaf_places(
    ledger: Ledger, key: str, own: LeafAndShackleTable, table: AxleTable
) -> tuple[float, ...] | None:
    """Heights and lengths along [m], from the table or from the roll centre's leaf springs."""
    missing = [name for name in _LEAF_PLACES if getattr(own, name) is None]
    taped = getattr(table.roll_centre, "leaf_springs", None)
    if len(missing) == len(_LEAF_PLACES) and taped is not None:
        front, rear, seat, ahead, behind = (
            getattr(taped, name).value for name in type(taped).model_fields
        )
        if own.shackle_end is Shackle.FRONT:
            return rear, front, seat, behind, ahead
        return front, rear, seat, ahead, behind
    for name in missing:
        if not ledger.problems.has(f"{key}.{name}"):
            ledger.problems.add(
                f"{key}.{name}",
                missing_words(LeafAndShackleTable, name, "roll_centre.leaf_springs for all five"),
            )
    return None if missing else tuple(getattr(own, name).value for name in _LEAF_PLACES)
