"""The anti-roll bar: how stiff, how stressed and how heavy is it?

`steel` and `sections` say what it is made of, `geometry` how its centreline runs and is loaded,
`links` how it is hung, `rate` and `stress` what follows, `candidates` all of that in one batch,
`shelf` a bar of the shop's own, `by_dimensions` what a bar that is on a vehicle has by vernier and
tape.
"""

from rollsim.bar.by_dimensions import (
    TAPE_ERROR,
    VERNIER_ERROR,
    BarReadings,
    rate_by_dimensions,
    shape_of,
    splay_of,
    stiffness_by_dimensions,
)
from rollsim.bar.candidates import CandidateBars, Mount, RearBar, candidates
from rollsim.bar.geometry import (
    BarShape,
    Stations,
    half_length,
    link_spacing,
    stations,
    straight_u,
    unit_load_integrals,
)
from rollsim.bar.links import Installation, LinkAngles, link_angles
from rollsim.bar.rate import (
    link_end_force_independent,
    link_end_force_solid_axle,
    link_end_rate,
    roll_stiffness_independent,
    roll_stiffness_solid_axle,
)
from rollsim.bar.sections import (
    MeasuredSection,
    parse_measured_section,
    parse_section,
    parse_section_list,
    stock_from_list,
)
from rollsim.bar.shelf import ShelfBar, ShelfPart
from rollsim.bar.steel import (
    BUSH_RATES,
    LINK_RATES,
    STEELS,
    Form,
    Section,
    Steel,
    Stock,
    find_steel,
)
from rollsim.bar.stress import (
    StressAlong,
    bar_mass,
    peak_equivalent_moment,
    stress_along,
    von_mises,
)

__all__ = [
    "BUSH_RATES",
    "LINK_RATES",
    "STEELS",
    "TAPE_ERROR",
    "VERNIER_ERROR",
    "BarReadings",
    "BarShape",
    "CandidateBars",
    "Form",
    "Installation",
    "LinkAngles",
    "MeasuredSection",
    "Mount",
    "RearBar",
    "Section",
    "ShelfBar",
    "ShelfPart",
    "Stations",
    "Steel",
    "Stock",
    "StressAlong",
    "bar_mass",
    "candidates",
    "find_steel",
    "half_length",
    "link_angles",
    "link_end_force_independent",
    "link_end_force_solid_axle",
    "link_end_rate",
    "link_spacing",
    "parse_measured_section",
    "parse_section",
    "parse_section_list",
    "peak_equivalent_moment",
    "rate_by_dimensions",
    "roll_stiffness_independent",
    "roll_stiffness_solid_axle",
    "shape_of",
    "splay_of",
    "stations",
    "stiffness_by_dimensions",
    "stock_from_list",
    "straight_u",
    "stress_along",
    "unit_load_integrals",
    "von_mises",
]
