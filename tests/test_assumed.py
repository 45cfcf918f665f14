"""What nobody measured is told apart in the file, and counted alike on every surface."""

import json
import re
from dataclasses import replace
from datetime import date

import pytest
from streamlit.testing.v1 import AppTest

from rollsim.bar import STEELS
from rollsim.cli import main
from rollsim.scenario import ScenarioError, loads
from rollsim.scenario.assumed import to_look_at
from rollsim.scenario.bounds import parsed
from rollsim.scenario.editing import changed, value
from rollsim.scenario.embedded import Source, extract
from rollsim.scenario.inputs import Kind, inputs
from rollsim.scenario.keys import ASSUMED, CLASS_DEFAULT, bare
from rollsim.scenario.packing import packed, unpacked
from rollsim.scenario.starting import Bars, Start, scenario_text
from rollsim.sheet import job_sheet, work_out
from rollsim.sheet.marked import groups
from rollsim.tolerance import Tolerance, band, lean_samples, shifting
from rollsim.typical import BAR_SPREAD, BODIES, ITEMS
from rollsim.vehicle import VehicleClass
from tests import owner_page
from tests.fit_page import ROOT, own, page, words

# What no start can presume: names, the class that was chosen, where a chosen thing counts, that it
# was on the scales, and the steel that a bar is offered in.
LABELS = ("title", "name", "class", "place", "on_when_weighed", "material", "sections")
KINDS = ("bush_rate", "link_rate")  # a word whose figure is assumed
WEIGHED = ("front_left_mass", "front_right_mass", "rear_left_mass", "rear_right_mass")
STARTS = {
    "nothing known": Start(
        VehicleClass.CREW_CAB_TRUCK, (1150.0, 880.0), ITEMS[:2], bars=Bars.UNKNOWN
    ),
    "weighed, roof taped": Start(
        VehicleClass.VAN,
        (610.0, 600.0, 520.0, 540.0),
        (ITEMS[0], ITEMS[8]),
        lift=0.04,
        bars=Bars.UNKNOWN,
        tyre_rated_load=1120.0,
        roof_height=2.4,
    ),
    "bars looked for": Start(
        VehicleClass.WAGON, (1120.0, 1090.0), bars=Bars.FRONT, wheelbase=2.795
    ),
    "independent, bars unknown": Start(
        VehicleClass.CAR, (850.0, 640.0), ITEMS[4:5], bars=Bars.UNKNOWN
    ),
    "bars read, own load": Start(
        VehicleClass.WAGON,
        (1120.0, 1090.0),
        (ITEMS[0], replace(ITEMS[13], mass=146.0, weighed=True)),
        bars=Bars.BOTH,
        front_bar={"section": "28 mm solid", "arm_holes": ["335 mm"], "bush_rate": "rubber"},
        rear_bar={"section": "22 mm solid", "link_spacing": "940 mm"},
    ),
    "share unknown": Start(VehicleClass.WAGON, (1300.0, 1200.0), bars=Bars.BOTH, weighed=False),
}
TYPED = {
    "nothing known": (),
    "weighed, roof taped": (
        *(f"vehicle.{name}" for name in WEIGHED),
        "vehicle.roof_height",
        "front.tyre.rated_load",
        "rear.tyre.rated_load",
        "change.suspension_lift_front",
        "change.suspension_lift_rear",
    ),
    "bars looked for": (
        "vehicle.front_axle_mass",
        "vehicle.rear_axle_mass",
        "vehicle.wheelbase",
        "rear.bar.roll_stiffness",
    ),
    "independent, bars unknown": ("vehicle.front_axle_mass", "vehicle.rear_axle_mass"),
    "bars read, own load": (
        "vehicle.front_axle_mass",
        "vehicle.rear_axle_mass",
        "front.bar.section",
        "front.bar.arm_holes",
        "rear.bar.section",
        "rear.bar.link_spacing",
        "load[2].mass",
    ),
    "share unknown": (),
}


def leaves(here: object, where: str = "") -> dict[str, object]:
    """Every value of a file by its key as errors name it."""
    if isinstance(here, dict):
        pairs = [(f"{where}.{key}".lstrip("."), inside) for key, inside in here.items()]
    elif isinstance(here, list) and isinstance(here[0], dict):
        pairs = [(f"{where}[{n}]", inside) for n, inside in enumerate(here, 1)]
    else:
        return {where: here}
    return {key: leaf for name, inside in pairs for key, leaf in leaves(inside, name).items()}


def keys_of(assumed: tuple[str, ...]) -> set[str]:
    return {line.partition(" = ")[0] for line in assumed}


@pytest.mark.parametrize("kind", list(VehicleClass))
def test_a_usual_bar_by_its_diameter_is_as_stiff_as_bars_of_the_class(kind):
    """A bar of the usual size in the usual shape: within what bars of one class differ by.

    Front bars of 23 mm on cars, of 28 mm on the others: common practice, no source.
    """
    size = "23 mm solid" if kind is VehicleClass.CAR else "28 mm solid"
    keys = {"section": size, "bush_rate": "rubber", "link_rate": "ball-jointed"}
    start = Start(kind, (1150.0, 880.0), front_bar=keys, roof_height=BODIES[kind].roof_height)
    found = loads(scenario_text(start), "first.toml")
    usual = BODIES[kind].front_bar_stiffness
    stiffness = found.job.vehicle.front.bar_roll_stiffness
    assert stiffness == pytest.approx(usual, rel=0.5 * BAR_SPREAD)
    (one,) = (one for one in found.tolerances if one.key == "front.bar.roll_stiffness")
    assert one.tolerance > BAR_SPREAD * stiffness  # the diameter alone tells no more than the class


@pytest.mark.parametrize("kind", [one for one in VehicleClass if one is not VehicleClass.CAR])
def test_across_a_solid_axle_a_bar_by_its_diameter_is_known_to_no_better_than_a_third(kind):
    """As the page says beside the boxes; the arm length by tape makes it twice as well known."""
    part = []
    for more in ({}, {"arm_holes": ["260 mm"]}):
        keys = {"section": "28 mm solid", "bush_rate": "rubber", "link_rate": "ball-jointed"} | more
        start = Start(
            kind,
            (1150.0, 880.0),
            bars=Bars.BOTH,
            rear_bar=keys,
            roof_height=BODIES[kind].roof_height,
        )
        found = loads(scenario_text(start), "first.toml")
        (one,) = (one for one in found.tolerances if one.key == "rear.bar.roll_stiffness")
        part.append(one.tolerance / found.job.vehicle.rear.bar_roll_stiffness)
    assert part[0] == pytest.approx(1 / 3, abs=0.05)
    assert part[1] < 0.5 * part[0]


def sheet_of(text: str) -> str:
    source = Source("first.toml", text, ())
    work = work_out(loads(text, "first.toml"), samples=8)
    return job_sheet(work, source, day=date(2026, 1, 2), version="0")


@pytest.mark.parametrize("name", STARTS)
def test_whatever_a_start_presumes_is_assumed_and_what_was_typed_is_not(name):
    text = scenario_text(STARTS[name])
    told = keys_of(loads(text, "first.toml").assumed)
    written = {
        key: leaf
        for key, leaf in leaves(parsed(text)).items()
        if re.split(r"[.\]]", key)[-1] not in LABELS
    }
    for key, leaf in written.items():
        under = any(one == key or one.startswith(f"{key}.") for one in told)
        assert under is (key not in TYPED[name]), key
        as_it_is = leaf == CLASS_DEFAULT or key.rpartition(".")[2] in KINDS
        marked = ASSUMED in (leaf[0] if isinstance(leaf, list) else str(leaf))
        assert marked is (under and not as_it_is), key
    assert set(TYPED[name]) <= set(written)
    assert value(text, "rear_bar.material") in {steel.name for steel in STEELS}


@pytest.mark.parametrize("name", STARTS)
def test_command_and_sheet_tell_and_count_the_same(name, tmp_path, capsys):
    text = scenario_text(STARTS[name])
    assumed = loads(text, "first.toml").assumed
    file = tmp_path / "first.toml"
    file.write_text(text, "utf-8")
    assert main(["size", str(file), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["assumed"] == list(assumed)
    assert told["sentence"].startswith("Provisional: ")
    assert main(["size", str(file)]) == 0
    out = capsys.readouterr().out
    assert told["sentence"] in " ".join(out.split())
    block = out.partition("Assumed, not measured")[2].partition("\n\n")[0]
    assert len(re.findall(r"^- \S+ = ", block, re.MULTILINE)) == len(assumed)
    html = sheet_of(text)
    assert len(re.findall("<i>A</i>", html)) == len(assumed)
    assert f"A assumed, not measured: {len(assumed)}<" in html
    assert ASSUMED not in re.sub(r"<script.*?</script>", "", html, flags=re.DOTALL)
    assert loads(extract(html).text, "first.toml").assumed == assumed
    assert loads(unpacked(packed(text)), "first.toml").assumed == assumed


def test_the_page_counts_the_same_and_says_what_to_look_at():
    text = scenario_text(STARTS["weighed, roof taped"])
    assumed = loads(text, "first.toml").assumed
    app = own(text)
    assert not app.exception
    assert f"Provisional: {len(assumed)} values are assumed, not measured" in words(app)
    assert f"Assumed, not measured: {len(assumed)}" in {e.label for e in app.expander}
    said = "That it has a front bar and no rear bar is assumed: look under the vehicle."
    assert said in words(app)
    assert said in sheet_of(text)
    assert "The shape of the new bar is assumed" in words(app)


def test_bars_that_were_looked_for_are_not_in_doubt():
    told = to_look_at(loads(scenario_text(STARTS["bars looked for"]), "first.toml").assumed)
    assert told == ("The shape of the new bar is assumed: lay it out before you order.",)


@pytest.mark.parametrize(
    ("key", "typed"),
    [
        ("front.track", "1610 mm"),
        ("vehicle.wheelbase", "3100 mm ± 5 mm"),
        ("rear.suspension", "solid axle"),
        ("rear.bar.roll_stiffness", "0 N*m/deg"),
        ("load[0].mass", "41 kg"),
        ("rear_bar.arm_holes", ["230 mm", "260 mm"]),
    ],
)
def test_a_value_typed_over_is_no_longer_assumed(key, typed):
    text = scenario_text(STARTS["nothing known"])
    before = loads(text, "first.toml").assumed
    told = key.replace("[0]", "[1]")
    after = loads(changed(text, {key: typed}), "first.toml").assumed
    assert told in keys_of(before)
    assert keys_of(after) == keys_of(before) - {told}
    assert len(after) == len(before) - 1


def test_a_field_of_the_page_vehicle_takes_the_mark_away():
    text = scenario_text(STARTS["nothing known"])
    count = len(loads(text, "first.toml").assumed)
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    app.query_params["scenario"] = packed(text)
    app.switch_page("rollsim/page/vehicle.py").run()
    app.radio(key="group").set_value("Front axle").run()
    field = app.text_input(key="vehicle:field:front.track")
    assert (field.label, field.value) == ("Track · assumed", "1560 mm ± 50 mm (assumed)")
    kind = app.selectbox(key="vehicle:field:front.suspension")
    assert (kind.label, kind.value) == ("Suspension · assumed", "independent (assumed)")
    field.set_value("1604 mm").run()
    app.selectbox(key="vehicle:field:front.suspension").set_value("independent").run()
    assert not app.error
    assert app.text_input(key="vehicle:field:front.track").label == "Track · given"
    assert len(loads(app.session_state["frame:text"], "x.toml").assumed) == count - 2


def test_a_mark_changes_no_figure():
    text = scenario_text(STARTS["independent, bars unknown"])
    marked, plain = loads(text, "a.toml"), loads(text.replace(f" {ASSUMED}", ""), "a.toml")
    assert marked.rear_bar == plain.rear_bar
    assert marked.tolerances == plain.tolerances
    assert marked.job.vehicle.rear.bar_description == "bar of about 250 N·m/deg, assumed"
    assert plain.job.vehicle.rear.bar_description == "bar of 250 N·m/deg"
    without_words = [
        replace(job.vehicle, **{end: replace(getattr(job.vehicle, end), bar_description="")})
        for job in (marked.job, plain.job)
        for end in ("front", "rear")
    ]
    assert [one.rear for one in without_words[1::2]] == [without_words[1].rear] * 2
    assert [one.front for one in without_words[::2]] == [without_words[0].front] * 2
    assert replace(marked.job, vehicle=plain.job.vehicle) == plain.job


def test_names_may_end_as_they_like():
    text = scenario_text(STARTS["bars looked for"])
    named = changed(text, {"title": "A guess (assumed)", "vehicle.name": "Old one (assumed)"})
    found = loads(named, "a.toml")
    assert found.title == "A guess (assumed)"
    assert found.assumed == loads(text, "a.toml").assumed


@pytest.mark.parametrize(
    ("key", "typed", "said"),
    [
        ("front.track", "1560 mm (presumed)", 'behind a value no word may stand but "(assumed)"'),
        ("front.track", "1560 mm assumed", 'behind a value no word may stand but "(assumed)"'),
        ("front.track", "(assumed)", 'found "(assumed)"; allowed 1000 mm'),
        ("front.track", "3 m (assumed)", "allowed 1000 mm to 2500 mm"),
        ("front.track", "class default (assumed)", "1000 mm to 2500 mm"),
        ("front.spring", "class default (assumed)", 'allowed a table or "class default"'),
        ("vehicle.cg_height", "class default (assumed)", "stands behind a figure alone"),
        ("rear_bar.bush_rate", "polyurethane (assumed)", "stands behind a figure alone"),
        ("rear.suspension", "beam (assumed)", 'allowed "independent" or "solid axle"'),
        ("vehicle.class", "wagon (assumed)", "write one of these words"),
        ("target.roll_gradient", "12 % less than now (assumed)", "roll_gradient"),
        ("rear_bar.arm_holes", ["230 mm (guess)"], "no word may stand"),
        ("presumed", ["front.track"], "unknown key"),
    ],
)
def test_what_is_no_mark_is_refused_in_words(key, typed, said):
    text = changed(scenario_text(STARTS["bars looked for"]), {key: typed})
    with pytest.raises(ScenarioError) as caught:
        loads(text, "a.toml")
    lines = [line for line in caught.value.errors if line.startswith(f"a.toml: {key}")]
    assert len(lines) == 1, caught.value.errors
    assert said in lines[0]
    shown = typed[0] if isinstance(typed, list) else typed
    assert key == "presumed" or bare(shown) in lines[0]


def test_a_bar_that_may_be_there_only_ever_takes_lean_away():
    """Below none there is no bar: a shift down changes nothing, one up adds itself."""
    text = scenario_text(STARTS["nothing known"])
    found = loads(text, "a.toml")
    assert found.job.vehicle.rear.bar_roll_stiffness == 0.0
    (one,) = [t for t in found.tolerances if t.key == "rear.bar.roll_stiffness"]
    assert one.tolerance == pytest.approx(BODIES[VehicleClass.CREW_CAB_TRUCK].rear_bar_stiffness)
    ((_, shift),) = shifting([one])
    assert shift(found.job, -4000.0) == found.job
    assert shift(found.job, 4000.0).vehicle.rear.bar_roll_stiffness == 4000.0
    leans = lean_samples(found.job, [one], "as_weighed", count=16)
    without = lean_samples(found.job, [Tolerance(one.key, 0.0, 1e-9)], "as_weighed", count=16)
    assert leans.max() == pytest.approx(without.max(), rel=1e-9)
    assert leans.min() < 0.99 * without.min()


def test_a_guessed_vehicle_has_a_wider_band_than_one_that_was_taped():
    text = scenario_text(STARTS["independent, bars unknown"])
    taped = {"front.track": "1540 mm", "rear.track": "1530 mm", "vehicle.wheelbase": "2680 mm"}
    bars = {"front.bar.roll_stiffness": "350 N*m/deg", "rear.bar.roll_stiffness": "250 N*m/deg"}
    widths = []
    for known in ({}, taped, taped | bars):
        found = loads(changed(text, known), "a.toml")
        ends = band(lean_samples(found.job, found.tolerances, "as_weighed"))
        widths.append(ends.high - ends.low)
    assert widths[0] > 1.05 * widths[2]
    assert widths[1] > 1.05 * widths[2]


def test_the_format_says_what_the_mark_is():
    words_ = " ".join((ROOT / "docs" / "scenario-format.md").read_text("utf-8").split())
    rule = words_.partition(f'**"{ASSUMED}"**')[2].partition(" - **")[0]
    assert rule
    seen = {
        one.key.rpartition(".")[2]
        for one in inputs()
        if one.kind in (Kind.CHOICE, Kind.TEXT) and one.takes_mark
    }
    assert seen == {"suspension", "mount", "section"}
    assert all(f"`{name}`" in rule for name in seen)


def test_the_form_closes_on_the_answer():
    app = page(mine="true")
    assert app.button(key="start")
    app.text_input(key="start_roof_mm").set_value("1800")
    app.button(key="start").click().run()
    assert not app.exception
    assert app.session_state["mine"] is False
    assert "start" not in {button.key for button in app.button}
    assert not any(ASSUMED in box.value for box in (*app.info, *app.warning))
    assert sum("st-key-answer" in one.proto.body for one in app.get("html")) == 1
    app.run()
    assert not any("st-key-answer" in one.proto.body for one in app.get("html"))


def test_a_form_with_an_error_stays_open():
    app = page(mine="true")
    key = next(one.key for one in app.text_input if one.key.startswith("start_front_left"))
    app.text_input(key=key).set_value("0")
    app.button(key="start").click().run()
    assert app.button(key="start")
    assert app.error


def test_what_an_owner_leaves_as_it_is_is_assumed_and_what_is_typed_is_not():
    for typed in ({}, {"own:wheelbase:wagon:mm": "2795", "own:share:2100": "53"}):
        app = owner_page.page()
        app.selectbox(key="own:class").select("wagon").run()
        for key, number in typed.items():
            app.text_input(key=key).set_value(number)
        app.button(key="own:start").click().run()
        assert not app.exception
        assumed = loads(app.session_state["frame:text"], "x.toml").assumed
        known = {"vehicle.wheelbase", "vehicle.front_axle_mass", "vehicle.rear_axle_mass"}
        assert keys_of(assumed) & known == (set() if typed else known)
        assert {"front.track", "rear.track", "rear.bar.roll_stiffness"} <= keys_of(assumed)
        assert f"Provisional: {len(assumed)} values are assumed" in words(app)


def test_what_the_file_leaves_open_is_on_the_sheet_as_well():
    """A cab's share that nobody typed counts as assumed, so it stands beside its frame."""
    of_frame = changed(
        (ROOT / "scenarios" / "crew-cab-touring.toml").read_text("utf-8"),
        {"vehicle.frame_torsional_stiffness": "2400 N*m/deg ± 200 N*m/deg"},
    )
    vehicle = groups(of_frame, loads(of_frame, "a.toml").assumed)[0]
    told = {one.name: (one.typed, one.letter) for one in vehicle.entries}
    assert told["frame torsional stiffness"] == ("2400 N*m/deg ± 200 N*m/deg", "M")
    assert told["cab share of twist"] == ("0.2 ± 0.2", "A")
