"""The keys of a roll centre by tape: one model a linkage, points as two lengths."""

from typing import Annotated

from rollsim.scenario.keys import About, Measured
from rollsim.scenario.table_base import Table
from rollsim.units import Dimension, Quantity

LENGTH = Dimension.LENGTH
Pair = tuple[Quantity, ...]


def _height(what: str) -> Measured:
    return Measured(f"tape: {what} above ground", LENGTH, 50, 1500, "mm")


def _point(what: str) -> Measured:
    return Measured(
        f"tape: {what}, [from the centreline, above ground]", LENGTH, -1500, 1500, "mm", many=True
    )


class LeafSpringsTable(Table):
    """A solid axle that leaf springs alone hold sideways."""

    front_eye_height: Annotated[Quantity, _height("middle of the front eye")]
    rear_eye_height: Annotated[Quantity, _height("middle of the rear eye, at the shackle")]
    seat_height: Annotated[Quantity, _height("middle of the main leaf over the axle")]
    front_eye_to_axle: Annotated[
        Quantity, Measured("tape: along the vehicle", LENGTH, 100, 2000, "mm")
    ]
    axle_to_rear_eye: Annotated[
        Quantity, Measured("tape: along the vehicle", LENGTH, 100, 2000, "mm")
    ]


class PanhardRodTable(Table):
    """A solid axle that one transverse rod holds sideways."""

    axle_end: Annotated[Pair, _point("middle of the joint on the axle, left positive")]
    body_end: Annotated[Pair, _point("middle of the joint on the body, left positive")]


class DoubleWishboneTable(Table):
    """An upper and a lower arm, one side."""

    upper_pivot: Annotated[Pair, _point("axis of the upper arm's bushes, at the axle")]
    upper_ball_joint: Annotated[Pair, _point("middle of the upper ball joint")]
    lower_pivot: Annotated[Pair, _point("axis of the lower arm's bushes, at the axle")]
    lower_ball_joint: Annotated[Pair, _point("middle of the lower ball joint")]


class StrutTable(Table):
    """A strut and a lower arm, one side."""

    top_mount: Annotated[Pair, _point("middle of the strut's top mount")]
    tube: Annotated[Pair, _point("middle of the strut's tube near the knuckle")]
    lower_pivot: Annotated[Pair, _point("axis of the lower arm's bushes, at the axle")]
    lower_ball_joint: Annotated[Pair, _point("middle of the lower ball joint")]


class RollCentreTable(Table):
    """A roll centre by tape: one linkage."""

    leaf_springs: Annotated[
        LeafSpringsTable | None, About("solid axle that leaf springs alone hold sideways")
    ] = None
    panhard_rod: Annotated[
        PanhardRodTable | None, About("solid axle that one transverse rod holds sideways")
    ] = None
    double_wishbone: Annotated[
        DoubleWishboneTable | None, About("independent: an upper and a lower arm")
    ] = None
    strut: Annotated[StrutTable | None, About("independent: a strut and a lower arm")] = None
