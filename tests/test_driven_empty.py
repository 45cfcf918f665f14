"""Driven empty: load off, lift and springs on, the bar on: which state is it, by hand, shown."""

import dataclasses
import json
import math
import tomllib
from dataclasses import replace

import pytest

from rollsim import mass, roll, scenario, sizing
from rollsim.cli import main
from rollsim.cost_wording import worse_words
from rollsim.reader_units import METRIC
from rollsim.sheet import work_out
from rollsim.sheet.facts import leans, states_named
from rollsim.sizing.candidates import fitted
from rollsim.sizing.figures import empty_with
from rollsim.springs import LinearSpring
from rollsim.tell.names import driven_empty_words
from rollsim.vehicle import Axle, Change, Job, Load, Stop
from rollsim.wording import driven_empty_warning, warning_words
from tests.builders import ROOT
from tests.pairs import ByHand, dense, rigid_vehicle

G = 9.80665
LIFT = 0.06
CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
ARRIVES = ROOT / "scenarios" / "arrives-loaded-and-lifted.toml"
ROOF = Load("tent", 120.0, 1.6, 1.95)
ON_SCALES = replace(ROOF, on_when_weighed=True)
LIFTED = Change(suspension_lift_front=LIFT, suspension_lift_rear=LIFT)


def lifted_by_hand(job: Job) -> ByHand:
    """The body is LIFT higher; a roll centre rises with it by its travel ratio."""
    v = job.vehicle
    sprung = v.front_axle_mass + v.rear_axle_mass - v.front.unsprung_mass - v.rear.unsprung_mass
    total = v.front_axle_mass + v.rear_axle_mass

    def axle(one: Axle) -> Axle:
        rise = one.roll_centre_travel_ratio * LIFT
        return replace(one, roll_centre_height=one.roll_centre_height + rise)

    rear = replace(axle(v.rear), spring=job.change.rear_spring)
    height = v.cg_height + sprung / total * LIFT
    return ByHand(Job(replace(v, cg_height=height, front=axle(v.front), rear=rear)))


@pytest.mark.parametrize("new_front_bar", [None, 20e3])
def test_the_balance_of_the_lifted_empty_vehicle_is_as_by_hand(new_front_bar):
    """ΔF t = K_i φ + m_i h_i + m_u z with the body higher: textbook, from memory."""
    plain = rigid_vehicle()
    rear = replace(plain.vehicle.rear, roll_centre_travel_ratio=0.5)
    job = replace(
        plain,
        vehicle=replace(plain.vehicle, rear=rear),
        loads=(ROOF,),
        change=replace(
            LIFTED, rear_spring=LinearSpring(46e3), front_bar_roll_stiffness=new_front_bar
        ),
    )
    hand, (rear_bar, _) = lifted_by_hand(job), dense(9e3)
    now = tuple(axle.bar_roll_stiffness for axle in hand.axles)
    found = sizing.size(job, rear_bar)
    assert (found.emptiest, found.driven_empty) == ("unladen", "driven_empty")
    for c in (found.candidates[0], found.candidates[-1]):
        share = hand.share((new_front_bar or now[0], c.roll_stiffness))
        empty = empty_with(job, mass.driven_empty(job), fitted(c, rear_bar))
        assert empty.share[0] == pytest.approx(share, rel=1e-4)
        # From what was on before anything was ordered: a new front bar counts for the rear one.
        assert empty.share_drop[0] == pytest.approx(hand.share(now) - share, abs=1e-4)


def test_a_limit_that_breaks_driven_empty_alone_is_told_in_the_answer():
    """Limits between what the unladen and the lifted empty vehicle have; the bar stays chosen."""
    data = tomllib.loads(ARRIVES.read_text(encoding="utf-8"))
    data["rear_bar"]["arm_holes"] = ["260 mm", "290 mm"]
    found = scenario.from_data(data, "plain")
    chosen = sizing.size(found.job, found.rear_bar)
    assert chosen.against_driven_empty == ()
    assert driven_empty_warning(chosen) == ""
    (empty,) = (one for one in chosen.states if one.name == "driven_empty")
    between = 0.5 * (empty.inner_rear_lift + chosen.choice.inner_rear_lift) / G
    assert empty.inner_rear_lift / G < between - 1e-3
    data["limits"] = {"inner_rear_lift": f"{between!r} g"}
    found = scenario.from_data(data, "near")
    near = sizing.size(found.job, found.rear_bar)
    assert near.choice == chosen.choice
    words = driven_empty_warning(near)
    lifts = f"lifts at {empty.inner_rear_lift / G:.3f} g, below {between:.3f} g"
    assert f"the inner rear wheel {lifts}" in words
    # It is in its softest hole, so nobody is sent to a softer one.
    assert near.choice.lever == max(one.lever for one in near.candidates)
    assert words.endswith("there is no softer hole, so take a softer bar.")
    stiffer = next(c for c in near.candidates if c.lever < near.choice.lever)
    assert driven_empty_warning(replace(near, choice=stiffer)).endswith("try a softer hole first.")
    assert words in warning_words(near, METRIC)


@pytest.mark.parametrize(
    ("change", "loads", "expected"),
    [
        (Change(), (ROOF,), "unladen"),
        (LIFTED, (ROOF,), "driven_empty"),
        (LIFTED, (), "as_used"),
        (Change(rear_spring=LinearSpring(40e3)), (ROOF,), "driven_empty"),
        (Change(wheel_offset_rear=0.02), (ROOF,), "driven_empty"),
        (replace(LIFTED, on_when_weighed=True), (ROOF,), "as_weighed"),
        (replace(LIFTED, on_when_weighed=True), (ON_SCALES,), "driven_empty"),
        # What comes with a rear bar is on in every state that has one.
        (Change(front_bar_roll_stiffness=2e4, front_bar_description="new"), (ROOF,), "unladen"),
        (Change(rear_rebound_limit=Stop(0.05, 4e5, 1.0, 1.0)), (ROOF,), "unladen"),
    ],
)  # fmt: skip
def test_which_state_is_driven_empty(change, loads, expected):
    job = replace(rigid_vehicle(), loads=loads, change=change)
    names = mass.names_with_bar(job)
    assert mass.driven_empty(job).name == expected
    assert (names[-1] == "driven_empty") == (expected == "driven_empty")
    assert names[:3] == ("unladen", "as_weighed", "as_used")


def test_every_change_but_front_bar_and_straps_makes_it_a_state_of_its_own():
    other = {"front_spring", "rear_spring"}
    with_the_bar = {"front_bar_roll_stiffness", "front_bar_description", "rear_rebound_limit"}
    for one in dataclasses.fields(Change):
        if one.name in with_the_bar | {"on_when_weighed"}:
            continue
        value = LinearSpring(4e4) if one.name in other else 0.03
        job = replace(rigid_vehicle(), loads=(ROOF,), change=replace(Change(), **{one.name: value}))
        assert mass.driven_empty(job).name == "driven_empty", one.name


def test_it_stands_with_and_without_the_bar_on_command_and_sheet(capsys):
    assert main(["size", str(CREW_CAB)]) == 0
    text = capsys.readouterr().out
    assert driven_empty_words(["driven_empty"]).split(",")[0] in " ".join(text.split())
    assert main(["size", str(CREW_CAB), "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert "driven_empty" not in record["choice"]["states"]
    found = scenario.load(CREW_CAB)
    known = sizing.size(found.job, found.rear_bar)
    on = fitted(known.choice, found.rear_bar)
    (state,) = roll.results(found.job, (0.4 * G,), on, only=("driven_empty",))
    shown = record["driven_empty"]["secant_roll_gradient_deg_per_g"]
    assert shown == pytest.approx(math.degrees(state.secant_roll_gradient) * G)
    work = work_out(found, samples=8)
    assert "driven empty" in states_named(work, figures=True)
    assert [line.name for line in leans(work)] == ["touring", "driven empty"]
    worse = worse_words(work.sizing, work.before, METRIC)
    assert not any("unladen" in one for one in worse if "understeer" not in one)
    was, now = (
        next(s.front_load_transfer_share for s in of if s.name == "driven_empty")
        for of in (work.before, work.after)
    )
    assert (
        f"driven empty: front share of weight transfer falls from {was:.2f} to {now:.2f}" in worse
    )


def test_its_name_cannot_be_a_case():
    text = CREW_CAB.read_text(encoding="utf-8").replace("work week", "Driven empty")
    with pytest.raises(scenario.ScenarioError, match="a reserved name"):
        scenario.loads(text, "case.toml")


def test_it_is_asked_for_by_name_and_left_out_without_a_bar():
    job = scenario.load(CREW_CAB).job
    (found,) = roll.results(job, (), only=("driven_empty",))
    assert found.total_mass == pytest.approx(1990.0)
    assert "driven_empty" not in {one.name for one in roll.results(job, ())}
