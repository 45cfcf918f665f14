"""The anti-roll bar: how stiff, how stressed and how heavy is it?

`steel` and `sections` say what it is made of, `geometry` how its centreline runs and is loaded,
`links` how it is hung, `rate` and `stress` what follows, `candidates` all of that in one batch.
"""

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
from rollsim.bar.sections import parse_section, parse_section_list, stock_from_list
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
    "BarShape",
    "CandidateBars",
    "Form",
    "Installation",
    "LinkAngles",
    "Mount",
    "RearBar",
    "Section",
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
    "parse_section",
    "parse_section_list",
    "peak_equivalent_moment",
    "roll_stiffness_independent",
    "roll_stiffness_solid_axle",
    "stations",
    "stock_from_list",
    "straight_u",
    "stress_along",
    "unit_load_integrals",
    "von_mises",
]
