"""`rollsim weigh bar`: a bar that is on a vehicle, by vernier and tape.

What an answer does not need is not imported: the parser of every command passes through here.
"""

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rollsim.cli.weigh_reports import Answer

_OPTIONS = {  # keys of [front.bar] and [rear.bar]: unit, help
    "section": ("SECTION", 'vernier, bare metal: "26 mm ± 0.1 mm solid", or a tube "27 mm x 4 mm"'),
    "centre_length": ("LENGTH", "between the corners of the bends"),
    "bush_spacing": ("LENGTH", "middle of bush to middle of bush"),
    "arm_hole": ("LENGTH", "arm, square to the centre section, to the link's hole"),
    "arm_splay": ("ANGLE", "of the arms outward from square; default 0 deg"),
    "link_spacing": ("LENGTH", "link end to link end, in place of --arm-splay"),
    "bend_radius": ("LENGTH", "of the bar's axis; default 0 mm"),
    "bush_rate": ("RATE", 'one bush, radial, or "rubber", "polyurethane"; default rigid'),
    "link_rate": ("RATE", 'one link, axial, or "rubber-ended", "ball-jointed"; default rigid'),
    "installation_ratio": ("RATIO", "independent: link travel per wheel travel; with --track"),
}
_NEEDED = ("section", "centre_length", "bush_spacing", "arm_hole")


def bar_parser(test: argparse.ArgumentParser) -> None:
    """Add the readings of a bar to its test."""
    for name, (unit, about) in _OPTIONS.items():
        option = f"--{name.replace('_', '-')}"
        test.add_argument(option, metavar=unit, help=about, required=name in _NEEDED)
    test.add_argument("--track", metavar="LENGTH", help="independent: for the roll stiffness")
    test.add_argument("--axle", choices=("front", "rear"), default="front", help="that it is on")


def bar_answer(arguments: argparse.Namespace) -> "Answer":
    """Rate and roll stiffness of a bar, and the keys that give them in a file."""
    from rollsim.bar import rate_by_dimensions, stiffness_by_dimensions
    from rollsim.cli.weigh_keys import TRACK
    from rollsim.cli.weigh_reports import measured_bar_answer
    from rollsim.reader_units import READER_UNITS, UnitSystem
    from rollsim.scenario import ScenarioError
    from rollsim.scenario.vehicle_bar import dimensions_of

    given = {name: getattr(arguments, name) for name in _OPTIONS}
    given = {name: text for name, text in given.items() if text is not None}
    keys = {
        "arm_holes" if name == "arm_hole" else name: [text] if name == "arm_hole" else text
        for name, text in given.items()
    }
    ratio = keys.get("installation_ratio")
    if (ratio is None) != (arguments.track is None):
        raise ScenarioError(("weigh: --installation-ratio, --track: give both, or none",))
    readings, more = dimensions_of(keys, "weigh")
    track = 0.0
    if arguments.track is not None:
        try:
            track = TRACK.read(arguments.track).value
        except ValueError as wrong:
            raise ScenarioError((f"weigh: --track: {wrong}",)) from None
    rate = rate_by_dimensions(readings)
    stiffness = stiffness_by_dimensions(
        readings, installation_ratio=more.installation_ratio, track=track
    )
    return measured_bar_answer(
        (rate, stiffness),
        READER_UNITS[UnitSystem("metric" if arguments.json else arguments.units)],
        independent=ratio is not None,
        axle=arguments.axle,
        keys=keys,
    )
