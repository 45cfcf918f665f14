"""The keys of bars: the one that is on an axle, by one of three ways, and the one to be sized."""

from typing import Annotated, Any

from pydantic import WrapValidator

from rollsim.bar import Mount
from rollsim.scenario.keys import CLASS_DEFAULT, About, Csv, Flag, Measured, OneOf, Points, Text
from rollsim.scenario.table_base import Table
from rollsim.units import Dimension, Quantity

LENGTH, RATE = Dimension.LENGTH, Dimension.RATE


def _or_text(found: Any, handler: Any) -> Any:
    """Take a text as it is where a table is the longer way to say it."""
    return Text("").read(found) if isinstance(found, str) else handler(found)


_STRESS = (Dimension.STRESS, 20, 4000, "MPa")


class MaterialTable(Table):
    """A steel of the user's own."""

    name: Annotated[str, Text("steel and heat treatment")]
    youngs_modulus: Annotated[
        Quantity | None, Measured("data sheet", Dimension.STRESS, 20, 300, "GPa")
    ] = None
    shear_modulus: Annotated[
        Quantity | None, Measured("data sheet", Dimension.STRESS, 8, 120, "GPa")
    ] = None
    density: Annotated[
        Quantity | None, Measured("data sheet", Dimension.DENSITY, 1000, 12000, "kg/m^3")
    ] = None
    allowable_stress: Annotated[Quantity, Measured("data sheet: yield or proof stress", *_STRESS)]
    fatigue_allowable: Annotated[
        Quantity | None, Measured("data sheet: stress amplitude", *_STRESS)
    ] = None


class StockTable(Table):
    """Sections that one steel is at hand in."""

    material: Annotated[
        MaterialTable,
        WrapValidator(_or_text),
        About("a built-in steel's name, or a table of your own"),
    ]
    sections: Annotated[
        tuple[str, ...] | str,
        Text("outer diameter x wall, or a built-in list", many=True, either=True),
    ]


_COUPLING = (RATE, 0.05, 1000, "kN/mm")


class BarShapeTable(Table):
    """What a bar's rate follows from, but its section: on the vehicle or to be sized."""

    mount: Annotated[Mount | None, OneOf("what carries the bushes", Mount, seen=True)] = None
    installation_ratio: Annotated[
        Quantity | None,
        Measured("independent only: link travel per wheel travel", Dimension.RATIO, 0.05, 2.0, ""),
    ] = None
    centre_length: Annotated[
        Quantity | None, Measured("tape: between the bends' corners", LENGTH, 200, 2200, "mm")
    ] = None
    bush_spacing: Annotated[
        Quantity | None, Measured("tape: bush to bush", LENGTH, 100, 2200, "mm")
    ] = None
    arm_holes: Annotated[
        tuple[Quantity, ...] | None,
        Measured("tape: levers, square to the centre section", LENGTH, 30, 1000, "mm", many=True),
    ] = None
    arm_splay: Annotated[
        Quantity | None,
        Measured("arms outward from square", Dimension.ANGLE, -45, 60, "deg"),
    ] = None
    centreline: Annotated[
        tuple[tuple[float, float, float], ...] | None,
        Points("middle to link end: [back, out, up]; instead of the three keys above"),
    ] = None
    bend_radius: Annotated[Quantity | None, Measured("at the bar's axis", LENGTH, 0, 300, "mm")] = (
        None
    )
    bush_rate: Annotated[
        Quantity | str | None,
        Measured("one bush, radial", *_COUPLING, ("rubber", "polyurethane")),
    ] = None
    link_rate: Annotated[
        Quantity | str | None,
        Measured("one link, axial", *_COUPLING, ("rubber-ended", "ball-jointed")),
    ] = None
    arm_angle: Annotated[
        Quantity | None,
        Measured("arm from horizontal at the sized height", Dimension.ANGLE, -75, 75, "deg"),
    ] = None
    link_inclination: Annotated[
        Quantity | None,
        Measured("link from vertical at the sized height", Dimension.ANGLE, -75, 75, "deg"),
    ] = None


class StatedBarTable(Table):
    """A bar on the vehicle by its rate or its roll stiffness."""

    link_end_rate: Annotated[
        Quantity | None,
        Measured(
            "force at one end per its travel, the ends moving oppositely", RATE, 0.5, 1000, "N/mm"
        ),
    ] = None
    link_spacing: Annotated[
        Quantity | None, Measured("tape: left link to right", LENGTH, 200, 2500, "mm")
    ] = None
    roll_stiffness: Annotated[
        Quantity | str | None,
        Measured(
            "maker or bench, per axle",
            Dimension.ROLL_STIFFNESS,
            0,
            10000,
            "N*m/deg",
            (CLASS_DEFAULT,),
        ),
    ] = None
    section: Annotated[
        str | None,
        Text("vernier, bare metal: outer diameter, solid or x wall; ± may stand behind", seen=True),
    ] = None
    material: Annotated[
        MaterialTable | None,
        WrapValidator(_or_text),
        About("a built-in steel's name, or a table of your own"),
    ] = None


class BarTable(BarShapeTable, StatedBarTable):
    """The anti-roll bar on the vehicle, stated in one of three ways."""


class FrontBarTable(Table):
    """What a front bar may be made of, in the shape of the one that is on."""

    shape: Annotated[
        BarTable | None, About("the bar that is on by its dimensions, where [front.bar] has a rate")
    ] = None
    material: Annotated[
        MaterialTable | None,
        WrapValidator(_or_text),
        About("a built-in steel's name, or a table of your own"),
    ] = None
    sections: Annotated[
        tuple[str, ...] | str,
        Text("outer diameter x wall, or a built-in list", many=True, either=True),
    ]


class RearBarTable(BarShapeTable):
    """The rear bar to be sized."""

    mount: Annotated[Mount, OneOf("what carries the bushes", Mount, seen=True)]
    bush_spacing: Annotated[Quantity, Measured("tape: bush to bush", LENGTH, 100, 2200, "mm")]
    link_length: Annotated[
        Quantity | None, Measured("tape: pivot to pivot", LENGTH, 20, 1500, "mm")
    ] = None
    lash: Annotated[Quantity | None, Measured("free travel of a link end", LENGTH, 0, 50, "mm")] = (
        None
    )
    links_disconnected_off_road: Annotated[
        bool, Flag("the links come off before the vehicle leaves the road")
    ] = False
    material: Annotated[
        MaterialTable | None,
        WrapValidator(_or_text),
        About("a built-in steel's name, or a table of your own"),
    ] = None
    sections: Annotated[
        tuple[str, ...] | str | None,
        Text("outer diameter x wall, or a built-in list", many=True, either=True),
    ] = None
    stock: Annotated[
        tuple[StockTable, ...] | None, About("[[rear_bar.stock]] instead of material and sections")
    ] = None
    shelf: Annotated[
        str | None, Csv("the shop's own bars, instead of material, sections and stock")
    ] = None
