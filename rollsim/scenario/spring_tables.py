"""The keys of a spring: stated, measured, or known by its dimensions."""

from typing import Annotated

from rollsim.scenario.bay_tables import LoadTestTable
from rollsim.scenario.keys import CLASS_DEFAULT, About, Measured, Text
from rollsim.scenario.table_base import Table
from rollsim.units import Dimension, Quantity

LENGTH, RATE, RATIO = Dimension.LENGTH, Dimension.RATE, Dimension.RATIO
_WHOLE = f'for the whole spring of [front] or [rear] write spring = "{CLASS_DEFAULT}"'


class SecondStage(Table):
    """Helper leaves or a helper spring, by its rate."""

    after: Annotated[
        Quantity,
        Measured("tape: gap before the helper touches, as weighed", LENGTH, -300, 500, "mm"),
    ]
    rate: Annotated[
        Quantity, Measured("the rate it adds, at the spring: press or maker", RATE, 1, 2000, "N/mm")
    ]


class HelicalTable(Table):
    """A coil spring by its dimensions."""

    wire_diameter: Annotated[
        Quantity, Measured("vernier, on bare wire: paint off", LENGTH, 4, 40, "mm")
    ]
    mean_coil_diameter: Annotated[
        Quantity, Measured("outer coil diameter less one wire", LENGTH, 20, 400, "mm")
    ]
    active_coils: Annotated[
        Quantity, Measured("count: all coils less those that lie on the seats", RATIO, 1, 30, "")
    ]
    free_length: Annotated[Quantity, Measured("tape: spring off, unloaded", LENGTH, 50, 1000, "mm")]
    block_length: Annotated[
        Quantity,
        Measured("all coils closed: coils counted times wire diameter", LENGTH, 20, 900, "mm"),
    ]
    shear_modulus: Annotated[
        Quantity | None, Measured("data sheet of the wire", Dimension.STRESS, 8, 120, "GPa")
    ] = None


class LeavesTable(Table):
    """Leaves that bend together."""

    span: Annotated[
        Quantity, Measured("tape: eye to eye, or where the ends bear", LENGTH, 300, 2500, "mm")
    ]
    inactive_length: Annotated[
        Quantity | None,
        Measured("tape: held stiff by seat and U-bolts", LENGTH, 0, 600, "mm"),
    ] = None
    full_length_thickness: Annotated[
        tuple[Quantity, ...],
        Measured("vernier: leaves that reach to the ends", LENGTH, 2, 40, "mm", many=True),
    ]
    full_length_width: Annotated[
        tuple[Quantity, ...],
        Measured("vernier: one for all or one each", LENGTH, 20, 200, "mm", many=True),
    ]
    graduated_thickness: Annotated[
        tuple[Quantity, ...] | None,
        Measured("vernier: the shorter leaves", LENGTH, 2, 40, "mm", many=True),
    ] = None
    graduated_width: Annotated[
        tuple[Quantity, ...] | None,
        Measured("vernier: one for all or one each", LENGTH, 20, 200, "mm", many=True),
    ] = None


class HelperTable(LeavesTable):
    """Helper leaves by their dimensions."""

    after: Annotated[
        Quantity,
        Measured("tape: gap before the helper touches, as weighed", LENGTH, -300, 500, "mm"),
    ]
    contact_travel: Annotated[
        Quantity | None,
        Measured("tape: travel from first touch to full contact", LENGTH, 0, 200, "mm"),
    ] = None


class LeafPackTable(LeavesTable):
    """A leaf pack by its dimensions."""

    youngs_modulus: Annotated[
        Quantity | None, Measured("data sheet of the leaves", Dimension.STRESS, 20, 300, "GPa")
    ] = None
    nip: Annotated[
        Quantity | None,
        Measured("gap of the graduated leaves before the bolt is drawn", LENGTH, 0, 100, "mm"),
    ] = None
    helper: Annotated[HelperTable | None, About("helper leaves: after and dimensions")] = None


class SpringTable(Table):
    """The spring of one side, stated in one of several ways."""

    rate: Annotated[
        Quantity | None,
        Measured(
            "the spring's own: press, dimensions or maker", RATE, 2, 1000, "N/mm", instead=_WHOLE
        ),
    ] = None
    wheel_rate: Annotated[
        Quantity | None,
        Measured(
            "independent only: scale under the wheel at two heights",
            RATE,
            2,
            1000,
            "N/mm",
            instead=_WHOLE,
        ),
    ] = None
    motion_ratio: Annotated[
        Quantity | None,
        Measured("independent only: tape, spring travel per wheel travel", RATIO, 0.1, 2.0, ""),
    ] = None
    second_stage: Annotated[SecondStage | None, About("helper leaves: after and rate")] = None
    table: Annotated[
        str | None, Text("CSV of travel and force beside the file, compression positive")
    ] = None
    load: Annotated[
        Quantity | None,
        Measured(
            "replaced spring only: force on one side, at the spring",
            Dimension.FORCE,
            10,
            5000,
            "kg",
        ),
    ] = None
    at: Annotated[
        Quantity | None,
        Measured(
            "height of that load above as weighed, at the spring",
            LENGTH,
            -500,
            500,
            "mm",
        ),
    ] = None
    free_height: Annotated[
        Quantity | None,
        Measured(
            "replaced spring only, off the vehicle and unloaded: coil, its length; leaf pack, from "
            "the line through its eyes down to the main leaf",
            *(LENGTH, 10, 1000, "mm"),
        ),
    ] = None
    helical: Annotated[HelicalTable | None, About("coil spring by its dimensions")] = None
    leaf_pack: Annotated[LeafPackTable | None, About("leaf spring by its dimensions")] = None
    friction: Annotated[
        Quantity | None,
        Measured("half the friction loop as a share of the spring's force", RATIO, 0, 0.5, ""),
    ] = None
    loop_width: Annotated[
        Quantity | None,
        Measured(
            "press: loading less unloading force at one travel", Dimension.FORCE, 0, 20000, "N"
        ),
    ] = None
    load_test: Annotated[
        LoadTestTable | None, About("its rate and friction by loading the axle")
    ] = None
