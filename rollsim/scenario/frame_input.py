"""How stiff is the frame from axle to axle, and how much of its twist reaches the cab?"""

from collections.abc import Sequence
from dataclasses import replace

from rollsim.mass import AxleRise
from rollsim.scenario.defaults import frame_default
from rollsim.scenario.keys import CLASS_DEFAULT
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.vehicle_tables import VehicleTable
from rollsim.units import Dimension
from rollsim.vehicle import Vehicle

KEY, SHARE = "vehicle.frame_torsional_stiffness", "vehicle.cab_share_of_twist"
SHARE_BAND = (0.2, 0.2)
"""An estimate: a cab on mounts of its own leans nearly with the frame below it."""


def with_frame(
    ledger: Ledger, table: VehicleTable, vehicle: Vehicle, rises: Sequence[AxleRise]
) -> Vehicle:
    """The vehicle on the frame that the file states; without one it is rigid.

    `rises` tells how far each axle's body has risen since it was empty and stock, when the frame
    stood at the height of the wheel centres.
    """
    stated = table.frame_torsional_stiffness
    if stated is None:
        for word in ("frame_height", "cab_share_of_twist"):
            key = f"vehicle.{word}"
            refused = ledger.problems.has(KEY) or ledger.problems.has(key)
            if getattr(table, word) is not None and not refused:
                ledger.problems.add(
                    key,
                    "found without vehicle.frame_torsional_stiffness, and a rigid frame does not "
                    "twist; add that, or remove this",
                )
        return vehicle
    stiffness = frame_default(ledger, KEY) if stated == CLASS_DEFAULT else ledger.take(KEY, stated)
    if stiffness is None:
        return vehicle
    share = table.cab_share_of_twist
    centres = (vehicle.front.unsprung_cg_height, vehicle.rear.unsprung_cg_height)
    usual = 0.5 * (sum(centres) + sum(rise.body for rise in rises))
    return replace(
        vehicle,
        frame_torsional_stiffness=stiffness,
        frame_height=ledger.take("vehicle.frame_height", table.frame_height, usual),
        cab_share_of_twist=(
            ledger.assume(SHARE, SHARE_BAND, "", dimension=Dimension.RATIO, why="estimate")
            if share is None
            else ledger.take(SHARE, share)
        ),
    )
