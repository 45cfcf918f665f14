"""A first scenario from what a workshop has in a minute: class, weights, what is on it now."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from rollsim.reader_units import figure
from rollsim.scenario.cg_height import NEEDS_ROOF
from rollsim.scenario.keys import CLASS_DEFAULT
from rollsim.typical import BODIES, Body, Item, spot
from rollsim.vehicle import VehicleClass

_BAR = {  # lengths [mm], splay [deg]: invented shapes that fit under a vehicle of the class
    VehicleClass.CREW_CAB_TRUCK: (940, 820, (230, 260, 290, 320), 12),
    VehicleClass.WAGON: (900, 760, (250, 280, 310, 340), 10),
    VehicleClass.VAN: (980, 840, (210, 240, 270, 300), 8),
    VehicleClass.CAR: (960, 700, (185, 210, 235, 260), 10),
}
# What a typing error gives and no vehicle has; project defaults, no source.
LIGHTEST_WHEEL, HEAVIEST_WHEEL = 100.0, 2500.0  # kg
MOST_APART = 1.5  # times: one wheel of an axle against the other
LEAST_IN_FRONT, MOST_IN_FRONT = 0.25, 0.75  # of the weight
WHEELS = ("front left", "front right", "rear left", "rear right")
ROOF_HELP = (
    "The roof itself, no rack, with the vehicle as it stood on the scales. The CG height is worked "
    "out from it, and what is on the roof stands on it. Lay a straight edge across and tape down."
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
        What is on it now and was on it on the scales.
    lift : float
        Suspension lift that it already has, both axles [m].
    bars : Bars
        Which are on it; not known: what the class usually has.
    body : Body or None
        Its size; None: what the class usually has.
    tyre_rated_load : float or None
        That one tyre is rated for [kg]; None: not known.
    roof_height : float or None
        Bare roof above ground as it stood on the scales, by tape [m]; None: not known, and where
        things on the roof are is then what the class usually has.
    """

    vehicle_class: VehicleClass
    masses: tuple[float, ...]
    items: tuple[Item, ...] = ()
    lift: float = 0.0
    bars: Bars = Bars.FRONT
    body: Body | None = None
    tyre_rated_load: float | None = None
    roof_height: float | None = None


def scenario_text(start: Start) -> str:
    """Write the scenario: what is known put in, all else a class default.

    It is provisional (TOML), the guesses marked in comments and in its title. Raises ValueError
    where there are neither two nor four masses.

    Notes
    -----
    The shape of the rear bar to be sized and where things stand are common practice, no source; the
    stiffness of bars that are on it is a class default, so it is marked as assumed.

    Examples
    --------
    >>> text = scenario_text(Start(VehicleClass.WAGON, (1080.0, 1120.0)))
    >>> text.splitlines()[2]
    'title = "Provisional: wagon from its weights"'
    """
    body = start.body or BODIES[start.vehicle_class]
    lines = [
        "# Provisional: what was not measured is a class default or usual for the class (common",
        "# practice, no source). Replace what is marked usual by your own before you order steel.",
        f'title = "Provisional: {start.vehicle_class.value} {_whose_weights(start, body)}"',
        "",
        "[vehicle]",
        f'name = "{start.vehicle_class.value.capitalize()}"',
        f'class = "{start.vehicle_class.value}"',
        f'wheelbase = "{_mm(body.wheelbase)}"  # usual: measure',
        *_masses(start.masses),
        f'cg_height = "{CLASS_DEFAULT}"',
        *([] if start.roof_height is None else [f'roof_height = "{_mm(start.roof_height)}"']),
        "",
        "[front]",
        *_axle("independent", body.front_track),
        *_tyre(start.tyre_rated_load),
        *_bar(start.bars is not Bars.NONE, start.bars),
    ]
    independent = start.vehicle_class is VehicleClass.CAR
    lines += ["", "[rear]", *_axle("independent" if independent else "solid axle", body.rear_track)]
    lines += _tyre(start.tyre_rated_load)
    rear_bar = start.bars is Bars.BOTH or (start.bars is Bars.UNKNOWN and body.rear_bar)
    lines += _bar(rear_bar, start.bars) if rear_bar else []
    for item in start.items:
        lines += _load(item, start, body)
    if start.lift:
        rise = _mm(start.lift)
        lines += ["", "[change]", f'suspension_lift_front = "{rise}"']
        lines += [f'suspension_lift_rear = "{rise}"', "on_when_weighed = true"]
    return "\n".join([*lines, *_rear_bar(start.vehicle_class, independent=independent), ""])


def _whose_weights(start: Start, body: Body) -> str:
    """Weights that nobody touched are those of the class, and the title says so."""
    half = len(start.masses) // 2
    ends = (sum(start.masses[:half]), sum(start.masses[half:]))
    usual = (body.front_axle_mass, body.rear_axle_mass)
    same = all(abs(one - other) < 2.0 for one, other in zip(ends, usual, strict=True))
    return "with typical weights, not weighed" if same else "from its weights"


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


def _masses(masses: Sequence[float]) -> list[str]:
    names = {
        2: ("front_axle_mass", "rear_axle_mass"),
        4: ("front_left_mass", "front_right_mass", "rear_left_mass", "rear_right_mass"),
    }.get(len(masses))
    if names is None:
        raise ValueError(f"found {len(masses)} masses; give two axles or four corners")
    return [f'{name} = "{mass:.6g} kg"' for name, mass in zip(names, masses, strict=True)]


def _axle(suspension: str, track: float) -> list[str]:
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
        f'suspension = "{suspension}"',
        f'track = "{_mm(track)}"  # usual: measure',
        *(f'{key} = "{CLASS_DEFAULT}"' for key in keys),
    ]


def _tyre(rated_load: float | None) -> list[str]:
    if rated_load is None:
        return [f'tyre = "{CLASS_DEFAULT}"']
    return [f'tyre = {{ vertical_rate = "{CLASS_DEFAULT}", rated_load = "{rated_load:.6g} kg" }}']


def _bar(there: bool, bars: Bars) -> list[str]:
    """The anti-roll bar of an axle; the front axle says that there is none."""
    stiffness = CLASS_DEFAULT if there else "0 N*m/deg"
    seen = "  # not known: look under the vehicle" if bars is Bars.UNKNOWN else ""
    return [f'bar = {{ roll_stiffness = "{stiffness}" }}{seen}']


def _load(item: Item, start: Start, body: Body) -> list[str]:
    found = spot(
        item.where,
        item.middle,
        wheelbase=body.wheelbase,
        roof_height=start.roof_height or body.roof_height + start.lift,
        raised=start.lift,
    )
    return [
        "",
        "[[load]]",
        f'name = "{item.name}"',
        f'mass = "{item.mass:.6g} kg"  # usual: weigh it',
        f'behind_front_axle = "{_mm(found.behind_front_axle)}"',
        f'height = "{_mm(found.height)}"',
        f'place = "{found.place.value}"',
        "on_when_weighed = true",
    ]


def _rear_bar(vehicle_class: VehicleClass, *, independent: bool) -> list[str]:
    centre, bushes, holes, splay = _BAR[vehicle_class]
    mount = ['mount = "chassis"', "installation_ratio = 0.6"] if independent else ['mount = "axle"']
    levers = ", ".join(f'"{hole} mm"' for hole in holes)
    sections = ", ".join(f'"{diameter} mm solid"' for diameter in _SECTIONS)
    return [
        "",
        "[rear_bar]  # an invented shape: replace it by one that fits",
        *mount,
        f'centre_length = "{centre} mm"',
        f'bush_spacing = "{bushes} mm"',
        f"arm_holes = [{levers}]",
        f'arm_splay = "{splay} deg"',
        'bend_radius = "50 mm"',
        'bush_rate = "polyurethane"',
        'link_rate = "ball-jointed"',
        'material = "52CrMoV4 hardened and tempered"',
        f"sections = [{sections}]",
    ]
