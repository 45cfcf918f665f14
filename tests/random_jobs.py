"""Plausible vehicles at random, as the tables of a scenario file; all invented, seeds fixed."""

import numpy as np

STEELS = (
    "52CrMoV4 hardened and tempered",
    "51CrV4 spring temper",
    "51CrV4 quenched and tempered",
)


def tables(seed: int) -> dict:
    """One vehicle with loads, lift, bar and target.

    Two in three stand on a solid rear axle; loads are off centre in every third; stops, a bar on
    the vehicle, load cases, lifts and targets come and go; every third frame twists.
    """
    rng = np.random.default_rng(seed)

    def number(low: float, high: float, unit: str, digits: int = 0) -> str:
        return f"{rng.uniform(low, high):.{digits}f} {unit}"

    solid = rng.random() < 0.67
    front_solid = solid and rng.random() < 0.3
    track = rng.uniform(1450, 1750)
    wheelbase = rng.uniform(2500, 3700)
    found = {
        "title": f"random {seed}",
        "vehicle": {
            "name": f"Demo {seed}",
            "wheelbase": f"{wheelbase:.0f} mm",
            "front_axle_mass": number(850, 1400, "kg"),
            "rear_axle_mass": number(700, 1500, "kg"),
            "cg_height": number(600, 900, "mm"),
        },
        "front": _axle(rng, track, solid=front_solid, front=True),
        "rear": _axle(rng, track, solid=solid, front=False),
        "load": _loads(rng, wheelbase),
        "rear_bar": _rear_bar(rng, solid=solid),
    }
    if seed % 3 == 2:
        stiffness = 10.0 ** np.random.default_rng((seed, 16)).uniform(3.0, 3.7)
        found["vehicle"] |= {
            "frame_torsional_stiffness": f"{stiffness:.0f} N*m/deg",
            "cab_share_of_twist": "0.2",
        }
    if rng.random() < 0.6:
        found["change"] = {
            "suspension_lift_front": number(20, 60, "mm"),
            "suspension_lift_rear": number(20, 60, "mm"),
        }
        if rng.random() < 0.3:
            found["change"]["tyre_radius"] = "15 mm"
    kind = rng.random()
    if kind < 0.15:
        found["target"] = {"roll_gradient": f"{rng.integers(3, 40)} % less than now"}
    elif kind < 0.3:
        found["target"] = {"roll_gradient": number(3.5, 7, "deg/g", 2)}
    elif kind < 0.4:
        found["target"] = {"at": "linear"}
    return found


def _axle(rng: np.random.Generator, track: float, *, solid: bool, front: bool) -> dict:
    rate = rng.uniform(22, 45)
    found = {
        "suspension": "solid axle" if solid else "independent",
        "track": f"{track:.0f} mm",
        "unsprung_mass": f"{rng.uniform(140, 210) if solid else rng.uniform(80, 120):.0f} kg",
        "unsprung_cg_height": f"{rng.uniform(320, 390):.0f} mm",
        "roll_centre_height": f"{rng.uniform(350, 480) if solid else rng.uniform(30, 130):.0f} mm",
        "roll_centre_travel_ratio": round(rng.uniform(0.0, 1.0) if solid else 1.0, 2),
        "auxiliary_roll_stiffness": f"{rng.uniform(20, 120):.0f} N*m/deg",
        "tyre": {
            "vertical_rate": f"{rng.uniform(210, 290):.0f} N/mm",
            "lateral_rate": "150 N/mm",
            "rated_load": f"{rng.uniform(800, 1200):.0f} kg",
        },
        "spring": {("rate" if solid else "wheel_rate"): f"{rate:.1f} N/mm"},
    }
    if solid:
        found["spring_base"] = f"{rng.uniform(900, 1120):.0f} mm"
    if rng.random() < 0.8:
        found["bump_stop"] = {"gap": f"{rng.uniform(50, 100):.0f} mm", "rate": "180 N/mm"}
        found["rebound_limit"] = {"gap": f"{rng.uniform(70, 130):.0f} mm", "rate": "400 N/mm"}
    if rng.random() < (0.9 if front else 0.4):
        found["bar"] = {"roll_stiffness": f"{rng.uniform(150, 700):.0f} N*m/deg"}
    if not front and rng.random() < 0.3:
        found["spring"]["second_stage"] = {
            "after": f"{rng.uniform(10, 60):.0f} mm",
            "rate": f"{rng.uniform(20, 60):.0f} N/mm",
        }
    return found


def _loads(rng: np.random.Generator, wheelbase: float) -> list[dict]:
    cases = [None, ["weekday"], ["weekend"], ["weekday", "weekend"]]
    found = []
    for number in range(int(rng.integers(0, 5))):
        roof = rng.random() < 0.5
        item = {
            "name": f"item {number}",
            "mass": f"{rng.uniform(20, 120):.0f} kg",
            "behind_front_axle": f"{rng.uniform(0.3, 1.1) * wheelbase:.0f} mm",
            "height": f"{rng.uniform(1800, 2200) if roof else rng.uniform(800, 1300):.0f} mm",
            "place": "roof" if roof else "tray",
        }
        if rng.random() < 0.15:
            item["left_of_centreline"] = f"{rng.uniform(-300, 300):.0f} mm"
        belongs = cases[int(rng.integers(0, len(cases)))]
        if belongs is not None:
            item["cases"] = belongs
        found.append(item)
    return found


def _rear_bar(rng: np.random.Generator, *, solid: bool) -> dict:
    first = int(rng.integers(200, 300))
    found = {
        "mount": "axle" if solid else "chassis",
        "centre_length": "940 mm",
        "bush_spacing": "820 mm",
        "arm_holes": [f"{first + 30 * n} mm" for n in range(int(rng.integers(1, 5)))],
        "arm_splay": "12 deg",
        "bend_radius": "50 mm",
        "bush_rate": "9 kN/mm",
        "link_rate": "12 kN/mm",
        "material": STEELS[int(rng.integers(0, len(STEELS)))],
        "sections": [f"{size} mm solid" for size in range(16, 26, int(rng.integers(1, 4)))],
    }
    if not solid:
        found["installation_ratio"] = 0.6
    return found
