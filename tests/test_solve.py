"""`rollsim solve`: the answer put back into the file, closed forms, what is said, what is refused.

What it is held against: `rollsim roll` of the written file, the textbook roll gradient of a vehicle
without travel, and a fine scan.
"""

import json
import math
import re
import shutil
from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass, scenario
from rollsim.cli import main
from rollsim.roll import results
from rollsim.sizing.amounts import Amount, AmountKind, Subject, amount_of, leaning_most
from rollsim.sizing.asked import ask
from rollsim.sizing.inverse import Goal, Kept, Outcome, Seek, solve
from tests.builders import EVERY, ROOT, SCENARIOS, job, rigid_vehicle
from tests.test_docs import keys_of

G = 9.80665
DEG_PER_G = math.degrees(1.0) * G
CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
LIFTED = ROOT / "scenarios" / "arrives-loaded-and-lifted.toml"
# Of a vehicle that comes in two units or twice with other loads, one is enough.
ALIKE = ("crew-cab-touring", "crew_cab", "wagon-roof-load", "balance-gate-binds")
UNLIKE = [path for path in SCENARIOS if path.stem not in ALIKE]
TENT = "load.roof rack and tent.mass"
QUESTIONS = (
    ("--most", "LOAD"),
    ("--least", "lift"),
    ("--least", "front lift"),
    ("--least", "rear spring rate"),
    ("--least", "front bar"),
)


def run(capsys, *words):
    """Exit code, stdout and stderr of the command."""
    code = main(["solve", *map(str, words)])
    told = capsys.readouterr()
    return code, told.out, told.err


def answer(capsys, *words):
    code, out, err = run(capsys, *words, "--json")
    assert (code, err) == (0, "")
    return json.loads(out)


def by_file(path, case):
    """What the file gives by `rollsim roll`: lean per g, mean of both bends, and tipping point."""
    found = next(r for r in results(scenario.load(path).job, ()) if r.name == case)
    both = (found.secant_roll_gradient, found.right_secant_roll_gradient)
    return DEG_PER_G * sum(both) / 2.0, found.tip_over_threshold / G


def beside_its_csv(path, folder):
    for csv in path.parent.glob("*.csv"):
        shutil.copy(csv, folder)
    return folder / "new.toml"


@pytest.mark.parametrize("path", SCENARIOS if EVERY else UNLIKE, ids=lambda path: path.stem)
def test_the_answer_put_back_into_the_file_meets_the_condition(path, capsys, tmp_path):
    of, new, written = job(path), beside_its_csv(path, tmp_path), 0
    case = leaning_most(replace(of, target=replace(of.target, at=0.4 * G)), mass.states(of)[2:])
    limit = 0.97 * by_file(path, case.name)[0]
    unladen = by_file(path, "unladen")
    for seek, what in QUESTIONS:
        what = f"load.{case.loads[-1].name}.mass" if what == "LOAD" else what
        new.unlink(missing_ok=True)
        asked = (path, seek, what, "--so-that", f"lean at 0.4 g <= {limit!r} deg/g")
        code, out, err = run(capsys, *asked, "--state", case.name, "-o", new, "--json")
        if code:
            assert "-o: " in err
            assert not new.exists()
            assert answer(capsys, *asked, "--state", case.name)["outcome"] == "found"
            continue
        found = json.loads(out)
        assert found["outcome"] == "found"
        lean, _ = by_file(new, case.name)
        if "lift" not in what:  # near full droop the lean falls to it in a jump
            assert lean == pytest.approx(limit, rel=1e-6)
        assert lean <= limit * (1.0 + 1e-6)
        assert lean == pytest.approx(found["conditions"][0]["with_answer_deg_per_g"], rel=1e-6)
        assert by_file(new, "unladen") == pytest.approx(unladen, rel=1e-9)
        written += 1
    assert written >= (1 if path == LIFTED else 3)


def test_the_tipping_point_put_back(capsys, tmp_path):
    new = tmp_path / "new.toml"
    condition = ("--so-that", "tipping point >= 0.83 g")
    found = answer(
        capsys, CREW_CAB, "--most", "roof load", *condition, "-o", new, "--units", "imperial"
    )
    assert "lb" in new.read_text(encoding="utf-8")
    assert found["written"] == str(new)
    assert by_file(new, "touring")[1] == pytest.approx(0.83, rel=1e-6)


def test_an_item_that_was_on_the_scales_stays_there(capsys, tmp_path):
    new = tmp_path / "new.toml"
    item = next(load for load in job(LIFTED).loads if load.on_when_weighed)
    lean, _ = by_file(LIFTED, "as_used")
    asked = ("--most", f"load.{item.name}.mass", "--so-that", f"lean <= {0.99 * lean} deg/g")
    found = answer(capsys, LIFTED, *asked, "--state", "as_used", "-o", new)
    assert by_file(new, "as_used")[0] == pytest.approx(0.99 * lean, rel=1e-6)
    assert by_file(new, "as_weighed") == pytest.approx(by_file(LIFTED, "as_weighed"), rel=1e-9)
    after = {load.name: load for load in scenario.load(new).job.loads}
    assert after[item.name].mass == pytest.approx(found["amount_kg"])
    assert after[f"{item.name}, on the scales"].mass == item.mass


# Small angles, rigid tyres, no travel: gradient = m h / (K - m g h), h the CG above the roll axis.
SPRUNG, ABOVE, STIFFNESS = 1900.0, 0.45, 50e3


def textbook(mass_kg, stiffness):
    return mass_kg * ABOVE / (stiffness - mass_kg * G * ABOVE)


def rigid(mass_kg, front):
    return rigid_vehicle(
        sprung_mass=mass_kg,
        cg_height=0.3 + ABOVE,
        rear_share=0.5,
        unsprung_mass=(100.0, 100.0),
        unsprung_cg_height=(0.35, 0.35),
        track=(1.5, 1.5),
        roll_centre_height=(0.3, 0.3),
        roll_stiffness=(front, 0.4 * STIFFNESS),
    )


def test_the_greatest_mass_by_the_textbook():
    limit = 1.2 * textbook(SPRUNG, STIFFNESS)
    by_hand = limit * STIFFNESS / (ABOVE * (1.0 + limit * G))
    grid = np.linspace(1500.0, 2600.0, 33)
    of = Amount(AmountKind.LOAD, SPRUNG, lambda m: rigid(m, 0.6 * STIFFNESS), grid)
    found = solve(of, Seek.MOST, (Goal(Kept.ROLL_GRADIENT, limit, at=None),))
    assert (found.outcome, found.again) == (Outcome.FOUND, False)
    assert found.amount == pytest.approx(by_hand, rel=1e-5)
    assert found.with_now[0] == pytest.approx(textbook(SPRUNG, STIFFNESS), rel=1e-5)


def test_the_least_front_bar_by_the_textbook():
    limit = 0.7 * textbook(SPRUNG, STIFFNESS)
    by_hand = SPRUNG * ABOVE * (1.0 / limit + G) - 0.4 * STIFFNESS
    of = Amount(
        AmountKind.FRONT_BAR, 0.6 * STIFFNESS, lambda k: rigid(SPRUNG, k), np.linspace(0, 2e5, 33)
    )
    found = solve(of, Seek.LEAST, (Goal(Kept.ROLL_GRADIENT, limit, at=None),))
    assert found.outcome is Outcome.FOUND
    assert found.amount == pytest.approx(by_hand, rel=1e-5)


def test_more_is_allowed_where_more_lean_is():
    of = job(CREW_CAB)
    case = mass.named(of, "touring")
    load = amount_of(of, case, Subject(AmountKind.LOAD, ("roof rack and tent",)))
    bar = amount_of(of, case, Subject(AmountKind.FRONT_BAR))
    limits = [Goal(Kept.ROLL_GRADIENT, deg / DEG_PER_G) for deg in (7.0, 7.5, 8.0, 8.5)]
    most = [solve(load, Seek.MOST, (goal,)).amount for goal in limits]
    least = [solve(bar, Seek.LEAST, (goal,)).amount for goal in limits]
    assert most == sorted(most)
    assert least == sorted(least, reverse=True)
    assert len({*most, *least}) == 8


def test_of_two_conditions_the_tighter_one_decides():
    of = job(CREW_CAB)
    case, tent = mass.named(of, "touring"), Subject(AmountKind.LOAD, ("roof rack and tent",))
    lean, tips = Goal(Kept.ROLL_GRADIENT, 8.0 / DEG_PER_G), Goal(Kept.TIP_OVER, 0.83 * G)
    alone = [ask(of, case, tent, seek=Seek.MOST, goals=(goal,)) for goal in (lean, tips)]
    both = ask(of, case, tent, seek=Seek.MOST, goals=(lean, tips))
    amounts = [one.answer.amount for one in alone]
    assert both.answer.amount == pytest.approx(min(amounts), rel=1e-7)
    assert both.answer.decides == tuple(amount == min(amounts) for amount in amounts)


def test_unladen_is_the_limit_by_its_name(capsys, tmp_path):
    new = tmp_path / "new.toml"
    answer(capsys, CREW_CAB, "--least", "front bar", "--so-that", "lean <= unladen", "-o", new)
    assert by_file(new, "touring")[0] == pytest.approx(by_file(CREW_CAB, "unladen")[0], rel=1e-6)


def test_a_lean_is_that_at_its_acceleration(capsys, tmp_path):
    new = tmp_path / "new.toml"
    answer(capsys, CREW_CAB, "--most", TENT, "--so-that", "lean at 0.3 g <= 2.4 deg", "-o", new)
    found = results(scenario.load(new).job, (0.3 * G,), only=("touring",))[0]
    assert math.degrees(found.curve[0].roll_angle) == pytest.approx(2.4, rel=1e-6)


@pytest.mark.parametrize("which", ["first", "front", "rear"])
def test_wheel_lifts(which, capsys, tmp_path):
    path, new = ROOT / "scenarios" / "beyond-a-bar.toml", tmp_path / "new.toml"

    def lift(of):
        found = next(r for r in results(of, ()) if r.name == case)
        tip, ends = found.tip_over_threshold, (found.inner_front_lift, found.inner_rear_lift)
        lifts = [tip if math.isnan(a) else a for a in ends]
        return {"first": min(lifts), "front": lifts[0], "rear": lifts[1]}[which] / G

    case = leaning_most(job(path), mass.states(job(path))[2:]).name
    limit = 0.98 * lift(job(path))
    asked = ("--most", "roof load", "--so-that", f"{which} wheel lift >= {limit} g")
    found = answer(capsys, path, *asked, "--state", case, "-o", new)
    assert found["outcome"] == "found"
    assert lift(scenario.load(new).job) == pytest.approx(limit, rel=1e-6)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("--most", TENT, "--so-that", "lean <= 8 deg/g"),
            'At most 90.7 kg of "roof rack and tent" keeps "touring" to a lean per g at 0.4 g of '
            "at most 8.00 deg/g; that is 28.7 kg more than now (62.0 kg).",
        ),
        (
            ("--most", TENT, "--so-that", "lean <= 6 deg/g"),
            'Already not met with none of "roof rack and tent", nor with any amount up to 500 kg',
        ),
        (("--most", TENT, "--so-that", "lean <= 25 deg/g"), "Even 500 kg of"),
        (
            ("--least", "rear spring rate", "--so-that", "lean <= 4 deg/g"),
            "Never met from 18.0 N/mm to 144.0 N/mm of rear spring rate, all that is looked at",
        ),
        (
            ("--least", "rear spring rate", "--so-that", "lean <= 9 deg/g"),
            "Even 18.0 N/mm of rear spring rate, the least that is looked at, keeps",
        ),
        (("--least", TENT, "--so-that", "lean <= 7 deg/g"), 'None of "roof rack and tent" is need'),
        (("--most", "lift", "--so-that", "lean <= 9 deg/g"), "would leave it standing at full dro"),
        (
            ("--most", "lift", "--so-that", "lean <= 7 deg/g"),
            "Only between 57 mm and 79 mm of lift",
        ),
        (("--most", "front bar", "--so-that", "lean <= 7 deg/g"), "the most that is looked at, ke"),
    ],
)
def test_what_is_said(words, told, capsys):
    code, out, err = run(capsys, CREW_CAB, *words)
    assert (code, err) == (0, "")
    assert told in " ".join(out.split())
    assert "nan" not in out.lower()
    assert answer(capsys, CREW_CAB, *words)["sentence"] in " ".join(out.split())


def test_a_mass_by_assumed_values_is_provisional_and_to_five_kilograms(capsys):
    van = ROOT / "scenarios" / "high-roof-van.toml"
    told = answer(capsys, van, "--most", "roof load", "--so-that", "lean <= 9.5 deg/g")
    whole, now = 5 * math.floor(told["amount_kg"] / 5.0), told["now_kg"]
    assert told["amount_kg"] - whole > 0.5
    said = told["sentence"]
    assert said.startswith(f"Provisional: At most {whole} kg of ")
    assert f"that is {whole - now:.0f} kg more than now" in said
    assert said.endswith(f"assumed; tables count with {told['amount_kg']:.1f} kg.")


def test_over_a_rating_is_said_with_the_answer(capsys):
    words = ("--most", TENT, "--so-that", "lean <= 9 deg/g")
    _, out, _ = run(capsys, CREW_CAB, *words, "--units", "imperial")
    assert out.count("OVER A RATING: touring: roof load, on road ") == 2
    assert "allowed 220 lb" in out  # 100 / 0.45359237
    (roof,) = [r for r in answer(capsys, CREW_CAB, *words)["ratings"] if r["name"] == "roof_load"]
    assert roof["over"] is True
    _, fine, _ = run(capsys, CREW_CAB, "--most", TENT, "--so-that", "lean <= 8 deg/g")
    assert "OVER" not in fine


@pytest.mark.parametrize(
    ("words", "null"),
    [
        (("--most", TENT, "--so-that", "lean <= 6 deg/g"), "amount_kg"),
        (("--most", "front lift", "--so-that", "lean <= 9 deg/g"), "rear_lift_mm"),
        (("--most", TENT, "--so-that", "tipping point >= 0.83 g"), "at_g"),
    ],
)
def test_every_null_has_its_reason(words, null, capsys):
    found = answer(capsys, CREW_CAB, *words)
    assert null in keys_of(found)
    holders = [found, *found["conditions"]]
    nulls = {key for one in holders for key, value in one.items() if value is None}
    assert null in nulls
    text = " ".join(found["notes"])
    for key in nulls:
        assert key in text or key.rsplit("_deg", 1)[0] in text, key


def test_nothing_is_written_where_nothing_is_decided(capsys, tmp_path):
    new = tmp_path / "new.toml"
    for condition in ("lean <= 6 deg/g", "lean <= 25 deg/g"):
        code, out, _ = run(capsys, CREW_CAB, "--most", TENT, "--so-that", condition, "-o", new)
        assert code == 0
        assert "Nothing was written" in out
        assert not new.exists()


MOST, SO = ("--most", TENT), ("--so-that", "lean <= 8 deg/g")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("--most", "rear sprng rate", *SO),
            '--most: found "rear sprng rate"; the nearest is "rear spring rate"; allowed load',
        ),
        (
            ("--least", "load.roof rack and tnt.mass", *SO),
            '--least: found the load item "roof rack and tnt"; the nearest is "roof rack and tent"',
        ),
        (
            ("--most", "load.tools and drawers.mass", *SO, "--state", "tourin"),
            '--state: found "tourin"; allowed the load cases that have it: work week',
        ),
        (
            (*MOST, "--so-that", "tiping point >= 0.8 g"),
            '--so-that: found "tiping point"; the nearest is "tipping point"; allowed lean',
        ),
        (
            (*MOST, "--so-that", "lean 8 deg/g"),
            'found "lean 8 deg/g"; allowed a quantity, <= or >=',
        ),
        ((*MOST, "--so-that", "lean >= 8 deg/g"), "of lean only a most can be asked; write <="),
        (
            (*MOST, "--so-that", "tipping point <= 0.8 g"),
            "of tipping point only a least can be asked; write >=",
        ),
        (
            (*MOST, "--so-that", "lean <= 8 kg"),
            'found "8 kg", whose unit is not one of roll gradient; write it like "5.2 deg/g"',
        ),
        ((*MOST, "--so-that", "lean <= 8"), 'found "8", without a unit; write it like "5.2 deg/g"'),
        ((*MOST, "--so-that", "lean <= -1 deg/g"), 'found "-1 deg/g"; allowed above 0; check it'),
        (
            (*MOST, "--so-that", "lean at 3 g <= 8 deg/g"),
            'found "3 g"; allowed above 0 and up to 2',
        ),
        ((*MOST, "--so-that", "lean at 2 g <= unladen"), 'found "unladen", which tips before that'),
        ((*MOST, "--so-that", "lean <= 8 deg/g ± 1 deg/g"), "a condition has no tolerance"),
        (
            (*MOST, "--so-that", "tipping point at 0.4 g >= 0.8 g"),
            'only "lean" is taken at an acceleration',
        ),
        ((*MOST, *SO, "-o", CREW_CAB), "-o: crew-cab-touring.toml exists already; name a new file"),
    ],
)
def test_bad_input(words, told, capsys):
    code, out, err = run(capsys, CREW_CAB, *words)
    assert (code, out) == (2, "")
    (line,) = err.splitlines()
    assert line.startswith("crew-cab-touring.toml: ")
    assert told in line


def test_all_that_is_wrong_is_told_at_once(capsys):
    words = ("--most", "roof lod", "--so-that", "lan <= 6 deg/g", "--so-that", "lean < 6 deg/g")
    code, _, err = run(capsys, CREW_CAB, *words, "--state", "x")
    assert code == 2
    assert len(err.splitlines()) == 4


def test_an_empty_roof(capsys, tmp_path):
    bare = tmp_path / "bare.toml"
    text = CREW_CAB.read_text(encoding="utf-8")
    bare.write_text(text.replace('place = "roof"', 'place = "tray"'), encoding="utf-8")
    code, _, err = run(capsys, bare, "--most", "roof load", *SO)
    assert (code, "nothing is on the roof" in err) == (2, True)


def test_a_lift_that_was_on_the_scales_is_told_and_not_written(capsys, tmp_path):
    asked = (LIFTED, "--most", "lift", "--so-that", "tipping point >= 0.8 g")
    found = answer(capsys, *asked)
    assert found["amount_mm"] > 0.0
    code, _, err = run(capsys, *asked, "-o", tmp_path / "new.toml")
    assert code == 2
    assert "-o: what stands under [change] was on the scales" in err


def test_a_measured_spring_is_not_written(capsys, tmp_path):
    path = ROOT / "tests" / "data" / "independent_rear.toml"
    lean = by_file(path, "work week")[0]
    asked = (
        "--least",
        "rear spring rate",
        "--so-that",
        f"lean <= {0.98 * lean} deg/g",
        "--state",
        "work week",
    )
    code, _, err = run(capsys, path, *asked, "-o", tmp_path / "new.toml")
    assert (code, "-o: the rear springs are not stated by a rate" in err) == (2, True)


def test_the_band_is_that_of_solving_again_with_every_draw(capsys, tmp_path):
    # One input alone has a tolerance, which is its own 90 % band: the ends are the answers of two
    # files with that input at either end; by the slope alone, hence 3 % of the answer.
    text = re.sub(r" ± [^\"]+", "", CREW_CAB.read_text(encoding="utf-8"))
    asked = ("--most", TENT, "--so-that", "lean <= 8 deg/g")
    path = tmp_path / "one.toml"
    ends = []
    for height in ("651 mm", "669 mm", "660 mm ± 9 mm"):
        other = text.replace('cg_height = "660 mm"', f'cg_height = "{height}"')
        path.write_text(other, encoding="utf-8")
        found = answer(capsys, path, *asked, "--tolerances")
        ends.append(found["amount_kg"])
    assert found["amount_band_kg"] == pytest.approx(sorted(ends[:2]), rel=0.03)
    _, out, _ = run(capsys, path, *asked, "--tolerances")
    assert "With the tolerances of the inputs, nine cases of ten: " in out


def test_the_unladen_lean_is_drawn_along(capsys):
    lean = by_file(CREW_CAB, "unladen")[0]
    bands = []
    for limit in ("unladen", f"{lean!r} deg/g"):
        asked = ("--least", "front bar", "--so-that", f"lean <= {limit}", "--tolerances")
        found = answer(capsys, CREW_CAB, *asked)
        low, high = found["amount_band_Nm_per_deg"]
        assert low < found["amount_Nm_per_deg"] < high
        bands.append(high - low)
    assert bands[0] < 0.8 * bands[1]


def test_why_there_is_no_band(capsys, tmp_path):
    bare = tmp_path / "bare.toml"
    text = re.sub(r" ± [^\"]+", "", CREW_CAB.read_text(encoding="utf-8"))
    bare.write_text(text, encoding="utf-8")
    lift = ("--most", "lift", "--so-that", "tipping point >= 0.8 g")
    for path, words, why in (
        (bare, (*MOST, *SO), "no input has a tolerance"),
        (CREW_CAB, (*MOST, "--so-that", "tipping point >= 0.83 g"), "only for a single condition"),
        (CREW_CAB, (*MOST, "--so-that", "lean <= 6 deg/g"), "the conditions do not decide it"),
        (LIFTED, lift, "was on the scales"),
    ):
        found = answer(capsys, path, *words, "--tolerances")
        (band,) = [value for key, value in found.items() if key.startswith("amount_band_")]
        assert band is None
        assert any("amount_band_" in note and why in note for note in found["notes"])
