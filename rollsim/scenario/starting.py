"""A first scenario from what a workshop has in a minute: class, weights, what is on it now.

What nobody measured is a class default or marked as assumed, so that every output counts it.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum

from rollsim.reader_units import figure
from rollsim.scenario.cg_height import NEEDS_ROOF
from rollsim.scenario.defaults import LADDER_FRAMES
from rollsim.scenario.editing import Value
from rollsim.scenario.frame_input import SHARE_BAND
from rollsim.scenario.keys import ASSUMED, CLASS_DEFAULT
from rollsim.tell.names import WHEELS
from rollsim.typical import (
    AXLE_MASS_SPREAD,
    BODIES,
    ITEM_ALONG_SPREAD,
    ITEM_HEIGHT_SPREAD,
    ITEM_MASS_SPREAD,
    ROOF_SPREAD,
    UNSEEN_BAR_SPREAD,
    Body,
    Item,
    Spot,
    Where,
    spot,
)
from rollsim.units import Dimension, parse
from rollsim.vehicle import VehicleClass

_BAR = {  # lengths [mm], splay [deg]: invented shapes that fit under a vehicle of the class
    VehicleClass.CREW_CAB_TRUCK: (940, 820, (230, 260, 290, 320), 12),
    VehicleClass.WAGON: (900, 760, (250, 280, 310, 340), 10),
    VehicleClass.VAN: (980, 840, (210, 240, 270, 300), 8),
    VehicleClass.CAR: (960, 700, (185, 210, 235, 260), 10),
}
# Usual for a bar that is on it and was not measured all over, the longest arm of its class: in
# front, with a 28 mm bar (car 23 mm), as stiff as the bars of `BODIES`; across a solid axle, where
# no ratio softens it, such a bar is three to five times as stiff. Common practice, no source.
_BAR_SPREAD = {"centre_length": 0.1, "bush_spacing": 0.1, "arm_holes": 0.15}  # of the length
_SPLAY_SPREAD = "8 deg"
_RATIO = ("0.5", "0.2")  # link travel per wheel travel
USUAL_COUPLING = {"bush_rate": "rubber", "link_rate": "ball-jointed"}
# What a typing error gives and no vehicle has; project defaults, no source.
LIGHTEST_WHEEL, HEAVIEST_WHEEL = 100.0, 2500.0  # kg
MOST_APART = 1.5  # times: one wheel of an axle against the other
LEAST_IN_FRONT, MOST_IN_FRONT = 0.25, 0.75  # of the weight
ROOF_HELP = (
    "The roof itself, no rack, with the vehicle as it stood on the scales. The CG height is worked "
    "out from it, and what is on the roof stands on it. Lay a straight edge across and tape down."
)
TYPED_IS_WEIGHED = (
    "A weight that you type counts as weighed and exact: put what may be wrong with a guess, such "
    "as ± 30 %, behind it on the page Vehicle."
)
_SECTIONS = (14, 16, 18, 20, 21, 22, 23, 24, 25)  # mm, solid


class Bars(Enum):
    """Which anti-roll bars are on it."""

    NONE = "no bar"
    FRONT = "front bar"
    BOTH = "front and rear bar"
    UNKNOWN = "don't know"


@dataclass(frozen=True, slots=True)
class Start:
    """What is known of a vehicle in the first minute.

    Parameters
    ----------
    vehicle_class : VehicleClass
        Body type.
    masses : tuple of float
        Front and rear axle, or front left, front right, rear left, rear right [kg].
    items : tuple of Item
        What is on it now and was on it on the scales; a mass other than that of `ITEMS` was
        weighed.
    lift : float
        Suspension lift that it already has, both axles [m].
    bars : Bars
        Which are on it; not known: what the class usually has.
    weighed : bool
        False: at least the share of each axle is only what the class usually has.
    wheelbase : float or None
        By tape [m]; None: what the class usually has.
    tyre_rated_load : float or None
        That one tyre is rated for [kg]; None: not known.
    roof_height : float or None
        Bare roof above ground as it stood on the scales, by tape [m]; None: not known, and where
        things on the roof are is then what the class usually has.
    front_bar, rear_bar : mapping of str to value
        What was read of the bar that is on an axle, as keys of its table: its section, what holds
        it, and what else is known of its shape; empty: nothing was.
    """

    vehicle_class: VehicleClass
    masses: tuple[float, ...]
    items: tuple[Item, ...] = ()
    lift: float = 0.0
    bars: Bars = Bars.FRONT
    weighed: bool = True
    wheelbase: float | None = None
    tyre_rated_load: float | None = None
    roof_height: float | None = None
    front_bar: Mapping[str, Value] = field(default_factory=dict)
    rear_bar: Mapping[str, Value] = field(default_factory=dict)


def scenario_text(start: Start) -> str:
    """Write the scenario: what is known put in, all else a class default or marked as assumed.

    It is provisional (TOML), and its title says so. Raises ValueError where there are neither two
    nor four masses.

    Notes
    -----
    What is usual, and how far it differs, is common practice, no source. The shape of the rear bar
    to be sized has no spread, which would read as a tolerance of making; its steel and sections are
    what it may be ordered in, not a guess about the vehicle, and stay as given.

    Examples
    --------
    >>> text = scenario_text(Start(VehicleClass.WAGON, (1080.0, 1120.0)))
    >>> text.splitlines()[2]
    'title = "Provisional: wagon from its weights"'
    """
    body = BODIES[start.vehicle_class]
    rear = rear_suspension(start.vehicle_class)
    independent = rear == "independent"
    lines = [
        "# Provisional: what nobody measured is a class default, or usual for the class and marked",
        f"# {ASSUMED} (common practice, no source). Type your own over it before you order steel.",
        f'title = "Provisional: {start.vehicle_class.value} {_whose_weights(start, body)}"',
        "",
        "[vehicle]",
        f'name = "{start.vehicle_class.value.capitalize()}"',
        f'class = "{start.vehicle_class.value}"',
        f'wheelbase = "{_wheelbase(start, body)}"',
        *_masses(start, body),
        f'cg_height = "{CLASS_DEFAULT}"',
        *([] if start.roof_height is None else [f'roof_height = "{_mm(start.roof_height)}"']),
        *_frame(start.vehicle_class),
        "",
        "[front]",
        *_axle("independent", body.front_track, body),
        *_tyre(start.tyre_rated_load),
        *(
            _bar_read(start.front_bar, start.vehicle_class, independent=True)
            or _bar(start.bars, body.front_bar_stiffness, has=start.bars is not Bars.NONE)
        ),
    ]
    lines += ["", "[rear]", *_axle(rear, body.rear_track, body), *_tyre(start.tyre_rated_load)]
    has = body.rear_bar if start.bars is Bars.UNKNOWN else start.bars is Bars.BOTH
    lines += _bar_read(start.rear_bar, start.vehicle_class, independent=independent) or _bar(
        start.bars, body.rear_bar_stiffness, has=has
    )
    for item in start.items:
        lines += _load(item, start, body)
    if start.lift:
        rise = _mm(start.lift)
        lines += ["", "[change]", f'suspension_lift_front = "{rise}"']
        lines += [f'suspension_lift_rear = "{rise}"', "on_when_weighed = true"]
    return "\n".join([*lines, "", rear_bar_text(start.vehicle_class, independent=independent)])


def _frame(vehicle_class: VehicleClass) -> list[str]:
    """A ladder frame twists; a body of its own counts as rigid without a word."""
    if vehicle_class not in LADDER_FRAMES:
        return []
    share, spread = SHARE_BAND
    return [
        f'frame_torsional_stiffness = "{CLASS_DEFAULT}"',
        f'cab_share_of_twist = "{share:g} ± {spread:g} {ASSUMED}"',
    ]


def rear_suspension(vehicle_class: VehicleClass) -> str:
    """The rear axle that a class usually has, as the file says it."""
    return "independent" if vehicle_class is VehicleClass.CAR else "solid axle"


def _whose_weights(start: Start, body: Body) -> str:
    """Weights that nobody touched are those of the class, and the title says so."""
    usual = _are_usual(start, body)
    return "with typical weights, not weighed" if usual else "from its weights"


def _are_usual(start: Start, body: Body) -> bool:
    usual = (body.front_axle_mass, body.rear_axle_mass)
    pairs = zip(_axle_masses(start.masses), usual, strict=True)
    return all(abs(one - other) < 2.0 for one, other in pairs)


def _axle_masses(masses: Sequence[float]) -> tuple[float, float]:
    half = len(masses) // 2
    return sum(masses[:half]), sum(masses[half:])


def lacking(start: Start) -> tuple[str, ...]:
    """Say what has to be measured before this vehicle can be worked out.

    A sentence each, with what to measure and how; empty where nothing is missing.

    Examples
    --------
    >>> lacking(Start(VehicleClass.VAN, (1150.0, 900.0)))[0][:46]
    'Roof height: missing; a van needs it, low and '
    >>> lacking(Start(VehicleClass.VAN, (1150.0, 900.0), roof_height=2.3))
    ()
    """
    if start.roof_height is not None or start.vehicle_class not in NEEDS_ROOF:
        return ()
    return (
        f"Roof height: missing; a {start.vehicle_class.value} needs it, low and high roofs are too "
        "far apart to guess its CG height; measure the bare roof above ground by tape, as it stood "
        "on the scales.",
    )


def implausible(masses: Sequence[float], unit: str = "kg") -> tuple[str, ...]:
    """Say which wheel loads no such vehicle has: what is typed wrong must not size a bar.

    A sentence each, with the wheel, what came and what is allowed; empty where all may be. Masses
    [kg] front left, front right, rear left, rear right; `unit` is that of the sentences.

    Examples
    --------
    >>> implausible((560.0, 570.0, 0.0, 430.0))
    ('Rear left: found 0 kg; allowed 100 to 2500 kg; read that scale again.',)
    >>> implausible((560.0, 570.0, 450.0, 430.0))
    ()
    """
    found = [
        f"{name.capitalize()}: found {figure(mass, unit)} {unit}; allowed "
        f"{figure(LIGHTEST_WHEEL, unit)} to {figure(HEAVIEST_WHEEL, unit)} {unit}; read that "
        "scale again."
        for name, mass in zip(WHEELS, masses, strict=True)
        if not LIGHTEST_WHEEL <= mass <= HEAVIEST_WHEEL
    ]
    if found:
        return tuple(found)
    for n in (0, 2):
        pair = masses[n : n + 2]
        if max(pair) > MOST_APART * min(pair):
            both = " and ".join(figure(mass, unit) for mass in pair)
            found.append(
                f"{WHEELS[n].capitalize()} and {WHEELS[n + 1]}: found {both} {unit}; allowed one "
                f"at most {MOST_APART:g} times the other; weigh both on level ground, nothing "
                "shifted to one side."
            )
    share = sum(masses[:2]) / sum(masses)
    if not LEAST_IN_FRONT <= share <= MOST_IN_FRONT:
        found.append(
            f"Front and rear: found {100 * share:.0f} % of the weight in front; allowed "
            f"{100 * LEAST_IN_FRONT:.0f} to {100 * MOST_IN_FRONT:.0f} %; read the scales again."
        )
    return tuple(found)


def _mm(metres: float) -> str:
    return f"{metres * 1e3:.0f} mm"


def _deg(stiffness: float) -> str:
    """A roll stiffness [N·m/rad] as the file takes it."""
    return f"{math.radians(stiffness):.0f} N*m/deg"


def _assumed(value: str, spread: str = "") -> str:
    return f"{value} ± {spread} {ASSUMED}" if spread else f"{value} {ASSUMED}"


def _wheelbase(start: Start, body: Body) -> str:
    if start.wheelbase is not None:
        return _mm(start.wheelbase)
    return _assumed(_mm(body.wheelbase), _mm(body.wheelbase_spread))


def _masses(start: Start, body: Body) -> list[str]:
    """What the scales said, or what an axle usually carries, which no corner is known of."""
    masses, spread = start.masses, ""
    if not start.weighed or _are_usual(start, body):
        masses, spread = _axle_masses(masses), f" ± {100.0 * AXLE_MASS_SPREAD:g} % {ASSUMED}"
    names = {
        2: ("front_axle_mass", "rear_axle_mass"),
        4: ("front_left_mass", "front_right_mass", "rear_left_mass", "rear_right_mass"),
    }.get(len(masses))
    if names is None:
        raise ValueError(f"found {len(masses)} masses; give two axles or four corners")
    pairs = zip(names, masses, strict=True)
    return [f'{name} = "{mass:.6g} kg{spread}"' for name, mass in pairs]


def _axle(suspension: str, track: float, body: Body) -> list[str]:
    keys = [
        "unsprung_mass",
        "unsprung_cg_height",
        "roll_centre_height",
        "roll_centre_travel_ratio",
        "spring",
        "bump_stop",
        "rebound_limit",
        "auxiliary_roll_stiffness",
    ]
    if suspension == "solid axle":
        keys.insert(0, "spring_base")
    return [
        f'suspension = "{_assumed(suspension)}"',
        f'track = "{_assumed(_mm(track), _mm(body.track_spread))}"',
        *(f'{key} = "{CLASS_DEFAULT}"' for key in keys),
    ]


def _tyre(rated_load: float | None) -> list[str]:
    if rated_load is None:
        return [f'tyre = "{CLASS_DEFAULT}"']
    return [f'tyre = {{ vertical_rate = "{CLASS_DEFAULT}", rated_load = "{rated_load:.6g} kg" }}']


def _bar(bars: Bars, usual: float, *, has: bool) -> list[str]:
    """The anti-roll bar of an axle, or that it has none; `usual` is one's stiffness [N·m/rad]."""
    stiffness = CLASS_DEFAULT if has else _deg(0.0)
    if bars is Bars.UNKNOWN and has:
        stiffness = _assumed(_deg(usual), _deg(UNSEEN_BAR_SPREAD * usual))
    elif bars is Bars.UNKNOWN:
        stiffness = _assumed(_deg(0.0), _deg(usual))
    return [f'bar = {{ roll_stiffness = "{stiffness}" }}']


def _bar_read(
    read: Mapping[str, Value], vehicle_class: VehicleClass, *, independent: bool
) -> list[str]:
    """A bar by what was read of it, the rest of its shape usual for the class; empty: nothing."""
    if not read:
        return []
    ratio = {"installation_ratio": _assumed(*_RATIO)} if independent else {}
    keys = _usual_shape(read, vehicle_class) | ratio
    if "link_spacing" in read:
        del keys["arm_splay"]
    told = ", ".join(f"{key} = {_toml(found)}" for key, found in (keys | dict(read)).items())
    return [f"bar = {{ {told} }}"]


def usual_front_bar(vehicle_class: VehicleClass, *, independent: bool) -> dict[str, Value]:
    """The usual shape of a front bar of the class, as keys of its table marked as assumed."""
    ratio = {"installation_ratio": _assumed(*_RATIO)} if independent else {}
    return _usual_shape({}, vehicle_class) | ratio


def _usual_shape(read: Mapping[str, Value], vehicle_class: VehicleClass) -> dict[str, Value]:
    """The usual shape of a bar of the class, its middle as long as what was read of it asks for."""
    centre, bushes, holes, splay = _BAR[vehicle_class]
    lengths = {"centre_length": centre, "bush_spacing": bushes}
    scales = [
        parse(str(read[key]), Dimension.LENGTH).value * 1e3 / usual
        for key, usual in lengths.items()
        if key in read
    ]
    scale = scales[0] if scales else 1.0
    usual = {key: length * scale for key, length in lengths.items()} | {"arm_holes": holes[-1]}
    found: dict[str, Value] = {
        key: _assumed(f"{length:.0f} mm", f"{_BAR_SPREAD[key] * length:.0f} mm")
        for key, length in usual.items()
    }
    found["arm_holes"] = [found["arm_holes"]]
    return found | {"arm_splay": _assumed(f"{splay} deg", _SPLAY_SPREAD)}


def _toml(found: Value) -> str:
    """A text, a number or a list of texts as TOML."""
    return json.dumps(found, ensure_ascii=False)


def _load(item: Item, start: Start, body: Body) -> list[str]:
    found = spot(
        item.where,
        item.middle,
        wheelbase=start.wheelbase or body.wheelbase,
        roof_height=start.roof_height or body.roof_height + start.lift,
        raised=start.lift,
    )
    table = load_table(item, found, roof_taped=start.roof_height is not None)
    lines = [f"{key} = {_toml(text)}" for key, text in table.items()]
    return ["", "[[load]]", *lines, "on_when_weighed = true"]


def load_table(item: Item, place: Spot, *, roof_taped: bool) -> dict[str, str]:
    """A thing that is carried, as the file has it: place and usual weight marked as assumed.

    A roof that nobody taped makes the height of what
    stands on it as uncertain as its own.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from rollsim.typical import ITEMS
    >>> rack = ITEMS[0]
    >>> place = spot(rack.where, rack.middle, wheelbase=3.0, roof_height=1.8)
    >>> load_table(rack, place, roof_taped=True)["mass"]
    '35 kg ± 30 % (assumed)'
    >>> load_table(replace(rack, mass=35.0, weighed=True), place, roof_taped=True)["mass"]
    '35 kg'
    """
    not_taped = item.where is Where.ROOF and not roof_taped
    usual = f" ± {100.0 * ITEM_MASS_SPREAD:g} % {ASSUMED}" if not item.weighed else ""
    return {
        "name": item.name,
        "mass": f"{item.mass:.6g} kg{usual}",
        "behind_front_axle": _assumed(_mm(place.behind_front_axle), _mm(ITEM_ALONG_SPREAD)),
        "height": _assumed(
            _mm(place.height), _mm(ROOF_SPREAD if not_taped else ITEM_HEIGHT_SPREAD)
        ),
        "place": place.place.value,
    }


def rear_bar_text(vehicle_class: VehicleClass, *, independent: bool) -> str:
    """Write the table of a rear bar to be sized (TOML): an invented shape that fits the class."""
    centre, bushes, holes, splay = _BAR[vehicle_class]
    mount = [f'mount = "{_assumed("chassis" if independent else "axle")}"']
    if independent:
        mount.append(f'installation_ratio = "{_assumed("0.6", "0.15")}"')
    levers = ", ".join(f'"{_assumed(f"{hole} mm")}"' for hole in holes)
    sections = ", ".join(f'"{diameter} mm solid"' for diameter in _SECTIONS)
    lines = [
        "[rear_bar]  # an invented shape: replace it by one that fits",
        *mount,
        f'centre_length = "{_assumed(f"{centre} mm")}"',
        f'bush_spacing = "{_assumed(f"{bushes} mm")}"',
        f"arm_holes = [{levers}]",
        f'arm_splay = "{_assumed(f"{splay} deg")}"',
        f'bend_radius = "{_assumed("50 mm")}"',
        'bush_rate = "polyurethane"',
        'link_rate = "ball-jointed"',
        'material = "52CrMoV4 hardened and tempered"',
        f"sections = [{sections}]",
    ]
    return "\n".join([*lines, ""])
