"""A bar that is on the vehicle by vernier and tape: rate, tolerance, lean; and how it is given."""

import copy
import json
import math
import tomllib
from dataclasses import replace

import pytest

from rollsim import mass, roll, scenario
from rollsim.bar import stress_along
from rollsim.cli import main
from rollsim.scenario import ScenarioError
from rollsim.sizing import size
from rollsim.sizing.choice import fitted
from rollsim.tolerance import band, lean_samples
from rollsim.vehicle import Suspension
from tests.builders import ROOT

TEXT = (ROOT / "tests" / "data" / "crew_cab.toml").read_text(encoding="utf-8")
OWN = 'bar = { link_end_rate = "28 N/mm", installation_ratio = 0.6 }'
SIZES = {
    "section": "26 mm solid",
    "centre_length": "800 mm",
    "bush_spacing": "700 mm",
    "arm_holes": ["250 mm"],
    "installation_ratio": 0.6,
}
E, G, TRACK = 206e9, 79.3e9, 1.56  # Pa, Pa, m: the steel of docs/method.md, the track of the file


def written(keys: dict) -> str:
    return ", ".join(f"{key} = {json.dumps(one)}" for key, one in keys.items())


def data_with(**changes) -> dict:
    """The crew-cab with its front bar by its dimensions, some of them otherwise or left out."""
    data = tomllib.loads(TEXT)
    keys = {**SIZES, **changes}
    data["front"]["bar"] = {key: one for key, one in keys.items() if one is not None}
    return data


def read(**changes) -> scenario.Scenario:
    return scenario.from_data(data_with(**changes), "bar.toml")


def stiffness(**changes) -> float:
    return read(**changes).job.vehicle.front.bar_roll_stiffness


def by_hand(diameter: float, bore: float = 0.0, *, lever: float, centre: float, bushes: float):
    """Rate at the link [N/m] of a square U, SAE HS-796 (from memory) with a = 0.

    P/δ = 3 E I / [l³ + (L/2) b² + 1.5 (E/G) l² L/2], b from bend to bush, L between the bends.
    """
    second_moment = math.pi / 64.0 * (diameter**4 - bore**4)
    over = 0.5 * (centre - bushes)
    bracket = lever**3 + 0.5 * centre * over**2 + 1.5 * E / G * lever**2 * 0.5 * centre
    return 3.0 * E * second_moment / bracket


def test_a_solid_bar_and_a_tube_by_hand():
    sizes = {"lever": 0.25, "centre": 0.8, "bushes": 0.7}
    for section, rate in (
        ("26 mm solid", by_hand(0.026, **sizes)),
        ("27 mm x 4 mm", by_hand(0.027, 0.019, **sizes)),
        ("1.25 in x 0.120 in", by_hand(1.25 * 0.0254, 1.01 * 0.0254, **sizes)),
    ):
        wanted = rate * 0.6**2 * TRACK**2 / 2.0
        assert stiffness(section=section) == pytest.approx(wanted, rel=1e-12)


def test_bushes_and_link_in_series_by_hand():
    plain = by_hand(0.026, lever=0.25, centre=0.8, bushes=0.7)
    rate = 1.0 / (1.0 / plain + (0.8 / 0.7) ** 2 / 5e6 + 1.0 / 12e6)
    found = read(bush_rate="rubber", link_rate="ball-jointed")
    wanted = rate * 0.6**2 * TRACK**2 / 2.0
    assert found.job.vehicle.front.bar_roll_stiffness == pytest.approx(wanted, rel=1e-12)
    assert "front.bar.bush_rate = 5 kN/mm ± 3 kN/mm (rubber, common practice)" in found.assumed


def test_across_a_solid_axle_by_hand():
    data = tomllib.loads(TEXT)
    keys = {key: one for key, one in SIZES.items() if key != "installation_ratio"}
    data["rear"]["bar"] = keys
    rate = by_hand(0.026, lever=0.25, centre=0.8, bushes=0.7)
    rear = scenario.from_data(data, "x").job.vehicle.rear
    assert rear.suspension is Suspension.SOLID_AXLE
    assert rear.bar_roll_stiffness == pytest.approx(rate * 0.8**2 / 2.0, rel=1e-12)
    assert rear.bar_place.link_spacing == pytest.approx(0.8)
    assert rear.bar_place.on_axle
    data["rear"]["bar"] = {**keys, "mount": "chassis"}
    assert not scenario.from_data(data, "x").job.vehicle.rear.bar_place.on_axle


def test_link_to_link_stands_for_the_splay():
    spacing = 800.0 + 2.0 * 250.0 * math.tan(math.radians(12.0))
    by_angle, by_links = stiffness(arm_splay="12 deg"), stiffness(link_spacing=f"{spacing!r} mm")
    assert by_links == pytest.approx(by_angle, rel=1e-12)
    assert by_angle < 0.97 * stiffness()


def test_a_centreline_is_the_straight_bar_that_it_draws():
    line = [["0 mm", "0 mm", "0 mm"], ["0 mm", "400 mm", "0 mm"], ["250 mm", "400 mm", "0 mm"]]
    found = stiffness(centre_length=None, arm_holes=None, centreline=line)
    assert found == pytest.approx(stiffness(), rel=1e-12)


def test_steel_of_ones_own_has_its_own_moduli():
    """Twice both moduli, twice the rate."""
    own = {"name": "x", "allowable_stress": "800 MPa"}
    own |= {"youngs_modulus": "103 GPa", "shear_modulus": "39.65 GPa"}
    assert stiffness(material=own) == pytest.approx(0.5 * stiffness(), rel=1e-12)
    assert stiffness(material="E355+N tube") == pytest.approx(stiffness(), rel=1e-12)


# Its tolerance

SURE = {
    "section": "26 mm ± 0.0001 mm solid",
    "centre_length": "800 mm ± 0.001 mm",
    "bush_spacing": "700 mm ± 0.001 mm",
    "arm_holes": ["250 mm ± 0.001 mm"],
}


def spread(**changes) -> float:
    """Half the band of the bar's roll stiffness, as a share of it."""
    found = read(**{**SURE, **changes})
    one = next(t for t in found.tolerances if t.key.startswith("front.bar"))
    assert one.key == "front.bar.roll_stiffness"
    assert sum(t.key.startswith("front.bar") for t in found.tolerances) == 1
    return one.tolerance / one.value


def test_a_verniers_tolerance_goes_with_the_fourth_power():
    assert spread(section="26 mm ± 0.13 mm solid") == pytest.approx(4.0 * 0.13 / 26.0, rel=1e-3)
    assert spread(section="26 mm ± 0.5 % solid") == pytest.approx(0.02, rel=1e-3)


@pytest.mark.parametrize(
    ("changes", "less", "more"),
    [
        (
            {"section": "27 mm ± 0.00001 mm x 4 mm ± 0.2 mm"},
            {"section": "27 mm x 3.8 mm"},
            {"section": "27 mm x 4.2 mm"},
        ),
        (
            {"arm_holes": ["250 mm ± 4 mm"]},
            {"arm_holes": ["246 mm"]},
            {"arm_holes": ["254 mm"]},
        ),
        (
            {"centre_length": "800 mm ± 6 mm"},
            {"centre_length": "794 mm"},
            {"centre_length": "806 mm"},
        ),
        (
            {"bush_rate": "5 kN/mm ± 0.3 kN/mm"},
            {"bush_rate": "4.7 kN/mm"},
            {"bush_rate": "5.3 kN/mm"},
        ),
        (
            {"installation_ratio": "0.6 ± 0.03"},
            {"installation_ratio": 0.57},
            {"installation_ratio": 0.63},
        ),
        ({"arm_splay": "12 deg ± 2 deg"}, {"arm_splay": "10 deg"}, {"arm_splay": "14 deg"}),
    ],
)
def test_every_reading_carries_its_tolerance(changes, less, more):
    """Against the file read again with the reading at either end of its band."""
    wanted = abs(stiffness(**more) - stiffness(**less)) / 2.0 / stiffness(**changes)
    assert spread(**changes) == pytest.approx(wanted, rel=0.02)


def test_readings_without_a_tolerance_are_as_good_as_vernier_and_tape():
    stated = {
        "section": "26 mm ± 0.1 mm solid",
        "centre_length": "800 mm ± 5 mm",
        "bush_spacing": "700 mm ± 5 mm",
        "arm_holes": ["250 mm ± 5 mm"],
    }
    assert spread(**SIZES) == pytest.approx(spread(**stated), rel=1e-9)


def test_a_bars_tolerance_reaches_the_band_of_the_lean():
    """The band's width against the lean with the bar at either end of its own."""
    found = read(section="26 mm ± 1 mm solid")
    own = [t for t in found.tolerances if t.key.startswith("front.bar")]
    known = band(lean_samples(found.job, own, "touring"))

    def lean(share: float) -> float:
        front = found.job.vehicle.front
        moved = replace(
            front, bar_roll_stiffness=front.bar_roll_stiffness + share * own[0].tolerance
        )
        job = replace(found.job, vehicle=replace(found.job.vehicle, front=moved))
        return lean_samples(job, [], "touring", count=1)[0]

    assert known.high - known.low == pytest.approx(lean(-1.0) - lean(1.0), rel=0.05)


# One bar, one lean


def put_back(data: dict, c) -> dict:
    """A bar to be fitted as the one that is on: the same keys with its section and its hole."""
    gone = ("sections", "stock", "material", "arm_holes", "link_length")
    keys = {key: one for key, one in data["rear_bar"].items() if key not in gone}
    keys |= {"section": c.section.label, "material": c.steel.name}
    found = copy.deepcopy(data)
    found["rear"]["bar"] = {**keys, "arm_holes": [f"{c.lever!r} m"]}
    return found


@pytest.mark.parametrize(
    ("stem", "offset"),
    [
        ("crew-cab-touring", None),
        ("crew-cab-touring", "25 mm"),
        ("independent-rear-with-bar", None),
        ("independent-rear-with-bar", "40 mm"),
        ("independent-rear-with-bar", "-20 mm"),
    ],
)
@pytest.mark.parametrize("weighed", [False, True])
def test_the_choice_put_back_as_the_bar_that_is_on_gives_the_same_lean(stem, offset, weighed):
    """In every state. The mass of a bar that is on was on the scales, so it is left out here."""
    data = tomllib.loads((ROOT / "scenarios" / f"{stem}.toml").read_text(encoding="utf-8"))
    change = data.setdefault("change", {})
    change["on_when_weighed"] = weighed
    if offset is not None:
        change["wheel_offset_rear"] = offset
    of = scenario.from_data(data, "sized")
    c = size(of.job, of.rear_bar).candidates[0]
    promised = roll.results(of.job, (), replace(fitted(c, of.rear_bar), mass=0.0))
    names = mass.names_with_bar(of.job)
    on = roll.results(scenario.from_data(put_back(data, c), "on").job, (), only=names)
    assert [r.name for r in promised] == [r.name for r in on]
    for one, other in zip(promised, on, strict=True):
        for name in ("roll_gradient", "secant_roll_gradient", "front_load_transfer_share"):
            assert getattr(other, name) == pytest.approx(getattr(one, name), rel=1e-9)


def test_stress_follows_the_link_where_the_states_have_other_tracks():
    """A bar's link force in each state by hand: k × r × track/2 × suspension roll.

    Empty, and with the wheels further out in the state sized for: it leans most without them.
    """
    path = ROOT / "scenarios" / "independent-rear-with-bar.toml"
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    data.pop("load")
    data["change"] = {"wheel_offset_front": "60 mm", "wheel_offset_rear": "60 mm"}
    data["target"] = {"roll_gradient": "3 deg/g"}
    of = scenario.from_data(data, "x")
    found = size(of.job, of.rear_bar)
    c = found.candidates[0]
    limit = of.job.limits.stress_acceleration
    forces = {}
    for state in mass.states(of.job):
        (r,) = roll.results(of.job, (limit,), fitted(c, of.rear_bar), only=(state.name,))
        (point,) = r.curve
        reach = of.rear_bar.installation_ratio * mass.axles(of.job, state)[1].track
        twist = point.roll_angle - point.axle_roll[1]
        forces[state.name] = c.link_end_rate * 0.5 * reach * twist
    assert forces["unladen"] > 1.02 * forces[found.case]
    along = stress_along(
        of.rear_bar.shapes[c.hole],
        of.rear_bar.bush_spacing,
        c.section,
        link_end_force=max(forces.values()),
        installation=of.rear_bar.installation,
    )
    assert float(along.von_mises.max()) == pytest.approx(c.cornering_stress, rel=1e-6)


# The three ways to come to it


def test_the_command_tells_what_the_file_gives_and_how_to_put_it_in(capsys):
    options = ["--section", "26 mm ± 0.1 mm solid", "--centre-length", "800 mm"]
    options += ["--bush-spacing", "700 mm", "--arm-hole", "250 mm", "--bush-rate", "rubber"]
    options += ["--installation-ratio", "0.6", "--track", "1560 mm"]
    assert main(["weigh", "bar", *options, "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    keys = tomllib.loads(record["scenario_keys"])["front"]["bar"]
    data = tomllib.loads(TEXT)
    data["front"]["bar"] = keys
    of = scenario.from_data(data, "pasted")
    found = math.radians(of.job.vehicle.front.bar_roll_stiffness)
    assert record["roll_stiffness_Nm_per_deg"] == pytest.approx(found, rel=1e-9)
    own = next(t for t in of.tolerances if t.key == "front.bar.roll_stiffness")
    error = math.radians(own.tolerance) / 1.6448536
    assert record["standard_error_roll_stiffness_Nm_per_deg"] == pytest.approx(error, rel=1e-6)
    rate = by_hand(0.026, lever=0.25, centre=0.8, bushes=0.7)
    soft = 1.0 / (1.0 / rate + (0.8 / 0.7) ** 2 / 5e6)
    assert record["link_end_rate_N_per_mm"] == pytest.approx(soft / 1e3, rel=1e-9)
    assert main(["weigh", "bar", *options, "--axle", "rear", "--units", "imperial"]) == 0
    told = capsys.readouterr().out
    assert "[rear.bar]\nsection = " in told
    assert "0.0039 in by vernier and 0.2 in by tape" in " ".join(told.split())


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"--section": "26 solid"}, "bar.section: section '26 solid' cannot be read"),
        ({"--arm-hole": "2500 mm"}, 'bar.arm_holes: found "2500 mm"'),
        ({"--bush-spacing": "900 mm"}, "bar.bush_spacing: bush spacing 900 mm: the bushes lie"),
        ({"--track": "1560 mm"}, "--installation-ratio, --track: give both, or none"),
        ({"--track": "15 mm", "--installation-ratio": "0.6"}, '--track: found "15 mm"'),
        (
            {"--link-spacing": "900 mm", "--arm-splay": "3 deg"},
            "bar.link_spacing: arm_splay says where the links are; remove one of the two",
        ),
    ],
)
def test_what_the_command_refuses(changes, said, capsys):
    options = {"--section": "26 mm solid", "--centre-length": "800 mm"}
    options |= {"--bush-spacing": "700 mm", "--arm-hole": "250 mm", **changes}
    assert main(["weigh", "bar", *(word for pair in options.items() for word in pair)]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert line.startswith(f"weigh: {said}")


def test_every_refused_reading_is_told_at_once(capsys):
    options = ["--section", "26 solid", "--centre-length", "8 mm", "--bush-spacing", "700 kg"]
    assert main(["weigh", "bar", *options, "--arm-hole", "250 mm"]) == 2
    lines = capsys.readouterr().err.strip().splitlines()
    assert sorted(line.split(": ")[1] for line in lines) == [
        "bar.bush_spacing",
        "bar.centre_length",
        "bar.section",
    ]


def test_json_says_which_bar_was_worked_out_and_its_rate(capsys, tmp_path):
    path = tmp_path / "bar.toml"
    path.write_text(TEXT.replace(OWN, f"bar = {{ {written(SIZES)} }}"), encoding="utf-8")
    assert main(["roll", str(path), "--json"]) == 0
    notes = json.loads(capsys.readouterr().out)["notes"]
    rate = by_hand(0.026, lever=0.25, centre=0.8, bushes=0.7) / 1e3
    (note,) = (one for one in notes if one.startswith("front.bar: "))
    assert note.startswith(
        "front.bar: worked out from its dimensions, 26 mm solid bar with 250 mm arms: "
        f"{rate:.4g} N/mm ± "
    )


# What is refused

WAYS = (
    "allowed link_end_rate with installation_ratio, or roll_stiffness, or its dimensions "
    "(section, centre_length, bush_spacing and arm_holes); give one"
)
STATED = {"link_end_rate": "28 N/mm"}


@pytest.mark.parametrize(
    ("changes", "lines"),
    [
        ({"roll_stiffness": "400 N*m/deg"}, [f": found roll_stiffness beside section; {WAYS}"]),
        (STATED, [f": found link_end_rate beside section; {WAYS}"]),
        (
            {**STATED, "roll_stiffness": "400 N*m/deg"},
            [f": found link_end_rate beside roll_stiffness beside section; {WAYS}"],
        ),
        (
            {"section": None, "roll_stiffness": "class default"},
            [f": found roll_stiffness beside centre_length; {WAYS}"],
        ),
        ({"section": None}, [".section: missing; a bar by its dimensions needs section"]),
        ({"bush_spacing": None}, [".bush_spacing: missing; a bar by its dimensions needs"]),
        (
            {"section": None, "bush_spacing": None, "arm_holes": None, "installation_ratio": None},
            [
                ".section: missing",
                ".bush_spacing: missing",
                ".arm_holes: missing; a bar needs centre_length and arm_holes, or a centreline",
                ".installation_ratio: missing; independent suspension needs it",
            ],
        ),
        ({"arm_holes": ["230 mm", "250 mm"]}, [".arm_holes: found 2 levers; allowed one, of the"]),
        ({"section": "26 mm"}, [".section: section '26 mm' cannot be read; write"]),
        ({"section": "26 mm ± 3 kg solid"}, [".section: found"]),
        ({"section": "26 mm ± 30 mm solid"}, [".section: section '26 mm ± 30 mm solid': the tol"]),
        ({"section": "27 mm x 14 mm"}, [".section: wall 14 mm in a tube of 27 mm"]),
        ({"section": 26}, [".section: found the number 26; write text in quotation marks"]),
        ({"section": ["26 mm solid"]}, [".section: found a list of 1; write text"]),
        ({"bush_spacing": "820 mm"}, [".bush_spacing: bush spacing 820 mm: the bushes lie outs"]),
        ({"bend_radius": "300 mm"}, [".bend_radius: bend radius 300 mm: the bends do not fit"]),
        ({"material": "some steel"}, [".material: no built-in steel 'some steel'"]),
        ({"bush_rate": "jelly"}, [".bush_rate: found"]),
        (
            {"arm_splay": "3 deg", "link_spacing": "830 mm"},
            [".link_spacing: arm_splay says where the links are; remove one of the two"],
        ),
        ({"link_spacing": "2400 mm"}, [".link_spacing: found 2400 mm, with which the arms would"]),
        (
            {"centreline": [["0 mm", "0 mm", "0 mm"], ["250 mm", "400 mm", "0 mm"]]},
            [
                ".centre_length: centreline replaces it; remove one of them",
                ".arm_holes: centreline replaces it; remove one of them",
            ],
        ),
        ({"lash": "1 mm"}, [".lash: unknown key"]),
        ({"sections": ["26 mm solid"]}, [".sections: unknown key"]),
    ],
)
def test_what_a_bar_by_its_dimensions_refuses(changes, lines):
    with pytest.raises(ScenarioError) as refused:
        read(**changes)
    told = refused.value.errors
    assert len(told) == len(lines), told
    for line in lines:
        assert any(one.startswith(f"bar.toml: front.bar{line}") for one in told), (line, told)


def test_a_ratio_on_a_solid_axle_is_refused():
    data = tomllib.loads(TEXT)
    data["rear"]["bar"] = SIZES
    with pytest.raises(ScenarioError, match=r"rear\.bar\.installation_ratio: a solid axle has non"):
        scenario.from_data(data, "x")


def test_a_new_front_bar_by_its_dimensions_acts_over_the_new_track():
    data = tomllib.loads(TEXT)
    data["change"] |= {"front_bar": SIZES, "wheel_offset_front": "20 mm"}
    job = scenario.from_data(data, "x").job
    last, _ = mass.axles(job, mass.states(job)[-1])
    rate = by_hand(0.026, lever=0.25, centre=0.8, bushes=0.7)
    wanted = rate * 0.6**2 * (TRACK + 0.04) ** 2 / 2.0
    assert last.bar_roll_stiffness == pytest.approx(wanted, rel=1e-12)


def test_an_assumed_bar_is_that_of_the_stock_wheels():
    """Wheels that were out on the scales come in for the unladen vehicle: the class's own bar."""
    data = tomllib.loads(TEXT)
    data["vehicle"]["class"] = "crew-cab truck"
    data["front"]["bar"] = {"roll_stiffness": "class default"}
    data["change"] = {"wheel_offset_front": "20 mm", "on_when_weighed": True}
    of = scenario.from_data(data, "x")
    unladen, weighed = (mass.axles(of.job, state)[0] for state in mass.states(of.job)[:2])
    assert math.radians(unladen.bar_roll_stiffness) == pytest.approx(420.0)
    out = TRACK / (TRACK - 0.04)
    assert weighed.bar_roll_stiffness == pytest.approx(unladen.bar_roll_stiffness * out**2)
    (own,) = (one for one in of.tolerances if one.key == "front.bar.roll_stiffness")
    assert own.tolerance / own.value == pytest.approx(0.5)
    (line,) = (one for one in of.assumed if one.startswith("front.bar.roll_stiffness"))
    assert "so empty and stock" in line
