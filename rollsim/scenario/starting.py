"""A first scenario from what a workshop has in a minute: class, weights, what is on it now."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rollsim.scenario.keys import CLASS_DEFAULT
from rollsim.typical import BODIES, Body, Item, spot
from rollsim.vehicle import VehicleClass

_BAR = {  # lengths [mm], splay [deg]: invented shapes that fit under a vehicle of the class
    VehicleClass.CREW_CAB_TRUCK: (940, 820, (230, 260, 290, 320), 12),
    VehicleClass.WAGON: (900, 760, (250, 280, 310, 340), 10),
    VehicleClass.VAN: (980, 840, (210, 240, 270, 300), 8),
    VehicleClass.CAR: (960, 700, (185, 210, 235, 260), 10),
}
_SECTIONS = (14, 16, 18, 20, 21, 22, 23, 24, 25)  # mm, solid


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
    front_bar : bool
        It has an anti-roll bar in front.
    body : Body or None
        Its size; None: what the class usually has.
    """

    vehicle_class: VehicleClass
    masses: tuple[float, ...]
    items: tuple[Item, ...] = ()
    lift: float = 0.0
    front_bar: bool = True
    body: Body | None = None


def scenario_text(start: Start) -> str:
    """Write the scenario: what is known put in, all else a class default.

    Parameters
    ----------
    start : Start
        Class, weights [kg], what is on it.

    Returns
    -------
    str
        TOML of a provisional scenario, the guesses marked in comments and in its title.

    Raises
    ------
    ValueError
        If there are neither two nor four masses.

    Notes
    -----
    The front bar, the shape of the rear bar and where things stand are common practice, no source.

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
        f'title = "Provisional: {start.vehicle_class.value} from its weights"',
        "",
        "[vehicle]",
        f'name = "{start.vehicle_class.value.capitalize()}"',
        f'class = "{start.vehicle_class.value}"',
        f'wheelbase = "{_mm(body.wheelbase)}"  # usual: measure',
        *_masses(start.masses),
        f'cg_height = "{CLASS_DEFAULT}"',
        "",
        "[front]",
        *_axle("independent", body.front_track),
    ]
    if start.front_bar:
        stiffness = math.radians(body.front_bar_stiffness)
        lines.append(f'bar = {{ roll_stiffness = "{stiffness:.0f} N*m/deg" }}  # usual: measure it')
    independent = start.vehicle_class is VehicleClass.CAR
    lines += ["", "[rear]", *_axle("independent" if independent else "solid axle", body.rear_track)]
    for item in start.items:
        lines += _load(item, body)
    if start.lift:
        rise = _mm(start.lift)
        lines += ["", "[change]", f'suspension_lift_front = "{rise}"']
        lines += [f'suspension_lift_rear = "{rise}"', "on_when_weighed = true"]
    return "\n".join([*lines, *_rear_bar(start.vehicle_class, independent=independent), ""])


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
        "tyre",
        "auxiliary_roll_stiffness",
    ]
    if suspension == "solid axle":
        keys.insert(0, "spring_base")
    return [
        f'suspension = "{suspension}"',
        f'track = "{_mm(track)}"  # usual: measure',
        *(f'{key} = "{CLASS_DEFAULT}"' for key in keys),
    ]


def _load(item: Item, body: Body) -> list[str]:
    found = spot(item.where, item.middle, wheelbase=body.wheelbase, roof_height=body.roof_height)
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
