"""Front and rear bar together: found as by hand, put back as promised, strong enough, refused."""

import copy
import json
import math
import re
import tomllib
from dataclasses import replace

import pytest
import tomlkit

from rollsim import mass, roll, scenario, sizing
from rollsim.bar import candidates, stress_along
from rollsim.cautions import STIFFER_FRONT
from rollsim.cli import main, size_records
from rollsim.pair_wording import FRONT_TITLE, HOW_TO_ASK_FOR_A_PAIR, WHY_NO_REAR, pair_words
from rollsim.reader_units import METRIC
from rollsim.remedies import pair_change
from rollsim.scenario import ScenarioError
from rollsim.scenario.bounds import LARGEST
from rollsim.scenario.pair_asked import ask_for_a_pair
from rollsim.scenario.pasting import pasted
from rollsim.sizing import NoPair, Pair
from rollsim.sizing.choice import fitted
from rollsim.sizing.pair import with_new_front
from rollsim.vehicle import Suspension, Target
from tests.builders import ROOT
from tests.fit_page import own, words
from tests.pairs import (
    SECTIONS,
    STEP,
    STRONG,
    WITH_BAR,
    ByHand,
    G,
    both_of,
    data_of,
    dense,
    rigid_vehicle,
    sized,
)
from tests.test_json_contract import check_candidate


@pytest.mark.parametrize("wanted", [0.72, 0.85])
def test_the_pair_among_dense_sections_stands_next_to_the_one_by_hand(wanted):
    job = rigid_vehicle()
    hand = ByHand(job)
    now = tuple(a.bar_roll_stiffness for a in hand.axles)
    state = roll.results(job)[2]
    assert state.roll_gradient == pytest.approx(hand.lean(now), rel=1e-4)
    assert state.front_load_transfer_share == pytest.approx(hand.share(now), rel=1e-4)
    target, share = wanted * hand.lean(now), hand.share(now)
    solved = hand.bars_for(target, share)
    assert hand.lean(solved) == pytest.approx(target, rel=1e-12)
    assert hand.share(solved) == pytest.approx(share, rel=1e-12)
    (front, front_size), (rear, rear_size) = dense(solved[0], most=1), dense(solved[1])
    limits = replace(job.limits, gradient_tolerance=0.02)  # no front bar alone comes so near
    job = replace(job, target=Target(roll_gradient=target, at=None), limits=limits)
    pair = sizing.size(job, rear, front).pair
    assert pair.share_now == pytest.approx(share, rel=1e-4)
    # A rank is a whole per cent of lean and a hundredth of share: half of each, of all the roll
    # stiffness, may be in one bar, which goes with D⁴; and one step of the sections.
    whole = sum(hand.springs) + sum(solved)
    near = [STEP + 0.01 * whole / one / 4.0 for one in solved]
    assert abs(pair.front.section.outer_diameter / front_size - 1.0) < near[0]
    assert abs(pair.rear.section.outer_diameter / rear_size - 1.0) < near[1]
    bars = pair.front.roll_stiffness, pair.rear.roll_stiffness
    assert pair.roll_gradient == pytest.approx(hand.lean(bars), rel=1e-4)
    assert pair.front_load_transfer_share == pytest.approx(hand.share(bars), rel=1e-4)
    assert pair.front_alone.roll_gradient == pytest.approx(hand.lean((bars[0], now[1])), rel=1e-4)
    assert pair.rear_alone.front_load_transfer_share == pytest.approx(
        hand.share((now[0], bars[1])), rel=1e-4
    )
    assert abs(pair.roll_gradient / target - 1.0) < 0.005
    assert share - 1e-9 <= pair.front_load_transfer_share < share + 0.01


# One file at a time


@pytest.mark.parametrize("stem", ["crew-cab-touring", "independent-rear-with-bar"])
def test_the_pair_is_the_one_that_sizing_each_front_bar_by_itself_finds(stem):
    """Every front bar put into the file as a change and sized alone, then ranked here."""
    data = both_of(stem, {"material": STRONG})
    of, found = sized(data)
    limits, best = of.job.limits, None
    share_now = next(
        r.front_load_transfer_share for r in roll.results(of.job, (), only=(found.emptiest,))
    )
    for section in SECTIONS:
        one = copy.deepcopy(data)
        one.pop("front_bar")
        bar = {**data["front"]["bar"], "section": section}
        one.setdefault("change", {})["front_bar"] = bar
        other, alone = sized(one)
        stiffness = other.job.change.front_bar_roll_stiffness
        for c in alone.candidates:
            miss = c.roll_gradient / found.target - 1.0
            gain = c.roll_gradient / found.present - 1.0
            if (
                miss > limits.gradient_tolerance
                or gain > -limits.least_gain
                or c.safety_factor < limits.safety_factor
                or c.inner_rear_lift < limits.inner_rear_lift
                or c.front_load_transfer_share < share_now
            ):
                continue
            drift = round(100.0 * (c.front_load_transfer_share - share_now))
            rank = round(100.0 * abs(miss)), drift, stiffness + c.roll_stiffness
            if best is None or rank < best[0]:
                best = rank, section, c
    assert best is not None
    _, section, c = best
    pair = found.pair
    assert (pair.front.section.label, pair.rear.section, pair.rear.lever) == (
        section,
        c.section,
        c.lever,
    )
    assert pair.roll_gradient == pytest.approx(c.roll_gradient, rel=1e-9)
    assert pair.rear.peak_stress == pytest.approx(c.peak_stress, rel=1e-6)
    assert pair.share_now == pytest.approx(share_now, rel=1e-9)


# A front bar alone


def with_front(data: dict, section: str) -> dict:
    """The same with that front bar among its changes, and none to choose."""
    one = copy.deepcopy(data)
    bar = {**one["front"]["bar"], "section": section, "material": STRONG}
    one.setdefault("change", {})["front_bar"] = bar
    del one["front_bar"]
    return one


@pytest.mark.parametrize("stem", ["crew-cab-touring", "wagon-roof-load", "high-roof-van"])
def test_a_front_bar_that_does_it_alone_is_the_answer(stem):
    """Each of the list as a change of the file, by results(); the rear keeps what it has."""
    data = data_of(stem, {"material": STRONG})
    of, found = sized(data)
    names, best = mass.names_with_bar(of.job), None
    (now,) = roll.results(of.job, only=(found.emptiest,))
    for section in SECTIONS:
        job = mass.with_parts(scenario.from_data(with_front(data, section), "one").job)
        case, empty = (
            next(r for r in roll.results(job, only=names) if r.name == name)
            for name in (found.case, found.emptiest)
        )
        lean = 0.5 * (case.secant_roll_gradient + case.right_secant_roll_gradient)
        assert empty.front_load_transfer_share > now.front_load_transfer_share or section < "29"
        miss, gain = lean / found.target - 1.0, 1.0 - lean / found.present
        if miss > of.job.limits.gradient_tolerance or gain < of.job.limits.least_gain:
            continue
        assert not empty.inner_rear_lift < of.job.limits.inner_rear_lift
        if best is None or round(100.0 * abs(miss)) < best[0]:
            best = round(100.0 * abs(miss)), section, lean, empty.front_load_transfer_share
    assert best is not None
    _, section, lean, share = best
    pair = found.pair
    assert (pair.front.section.label, pair.rear, pair.rear_alone) == (section, None, None)
    assert pair.roll_gradient == pytest.approx(lean, rel=1e-6)
    assert pair.front_load_transfer_share == pytest.approx(share, rel=1e-6)
    assert pair.share_now == pytest.approx(now.front_load_transfer_share, rel=1e-6)
    text = tomlkit.dumps(data)
    new = scenario.loads(pasted(text, pair_change(text, of, found)), "with.toml")
    again = sizing.size(new.job, new.rear_bar)
    assert again.nothing_to_bring_back
    assert again.present == pytest.approx(pair.roll_gradient, rel=1e-6)
    assert len(again.candidates) == len(found.candidates)
    record = size_records.size_record(of, found)["pair"]
    assert record["front_bar_is_enough"] is True
    assert (record["rear"], record["rear_alone"]) == (None, None)


def test_a_front_bar_alone_that_breaks_is_no_answer():
    data = data_of("crew-cab-touring", {"material": STRONG})
    alone = sized(data)[1].pair
    below = alone.front.peak_stress * 1.2 / 1e6
    for allowed, kept in ((below * 1.001, True), (below * 0.999, False)):
        data["front_bar"]["material"] = {**STRONG, "allowable_stress": f"{allowed} MPa"}
        pair = sized(data)[1].pair
        same = isinstance(pair, Pair) and pair.front.section == alone.front.section
        assert (same and pair.front_is_enough) is kept


def test_a_rear_bar_no_stiffer_than_the_one_that_is_on_is_paired_with_nothing():
    data = both_of("crew-cab-touring", {"material": STRONG})
    stiffest = max(c.roll_stiffness for c in sized(data)[1].candidates)
    for more, why in ((1.001, True), (0.5, False)):
        stiffness = f"{math.radians(stiffest) * more} N*m/deg"
        data["rear"]["bar"] = {"roll_stiffness": stiffness}
        pair = sized(data)[1].pair
        assert (pair is NoPair.NO_STIFFER_REAR) is why
        if isinstance(pair, Pair):
            assert pair.front_is_enough or pair.rear.roll_stiffness > 0.5 * stiffest


# Put back


def cases() -> list:
    """Scenarios as they are, and what might move the promise: tracks, lash, stocks, targets."""
    offset = {"change": {"wheel_offset_front": "30 mm", "wheel_offset_rear": "20 mm"}}
    return [
        *((stem, {}) for stem in WITH_BAR),
        ("independent-rear-with-bar", offset),
        ("crew-cab-touring", offset),
        ("crew-cab-touring", {"rear_bar": {"lash": "0.5 mm"}}),
        ("wagon-roof-load", {"rear_bar": {"mount": "chassis"}}),
    ]


NONE_EXPECTED = {"balance-gate-binds", "beyond-a-bar"}


@pytest.mark.parametrize(("stem", "more"), cases())
def test_put_into_the_file_lean_and_share_are_the_promised_ones(stem, more):
    data = both_of(stem, {"material": STRONG})
    for table, keys in more.items():
        data[table] = {**data.get(table, {}), **keys}
    of, found = sized(data)
    if stem in NONE_EXPECTED:
        assert isinstance(found.pair, NoPair)
        assert pair_change(tomlkit.dumps(data), of, found) == ""
        return
    pair = found.pair
    text = tomlkit.dumps(data)
    new = scenario.loads(pasted(text, pair_change(text, of, found)), "with.toml")
    again = sizing.size(new.job, new.rear_bar)
    (c,) = again.candidates
    assert again.target == pytest.approx(found.target, rel=1e-6)
    assert c.section == pair.rear.section
    assert c.roll_gradient == pytest.approx(pair.roll_gradient, rel=1e-6)
    share = pair.front_load_transfer_share
    assert c.front_load_transfer_share == pytest.approx(share, rel=1e-6)
    assert c.peak_stress == pytest.approx(pair.rear.peak_stress, rel=1e-6)


@pytest.mark.parametrize("stem", [stem for stem in WITH_BAR if stem not in NONE_EXPECTED])
def test_both_as_the_bars_that_are_on_give_the_same_lean(stem):
    """In [front.bar] and [rear.bar]; the mass of a bar that is on was on the scales."""
    data = both_of(stem, {"material": STRONG})
    of, found = sized(data)
    pair = found.pair
    bar = replace(fitted(pair.rear, of.rear_bar), mass=0.0)
    promised = roll.results(with_new_front(of.job, pair.front), (), bar)
    gone = ("sections", "stock", "material", "arm_holes", "link_length")
    on = copy.deepcopy(data)
    on["front"]["bar"] |= {"section": pair.front.section.label, "material": STRONG}
    on["rear"]["bar"] = {key: x for key, x in data["rear_bar"].items() if key not in gone} | {
        "section": pair.rear.section.label,
        "arm_holes": [f"{pair.rear.lever!r} m"],
    }
    del on["front_bar"]
    given = roll.results(scenario.from_data(on, "on").job, only=mass.names_with_bar(of.job))
    for one, other in zip(promised, given, strict=True):
        for name in ("roll_gradient", "secant_roll_gradient", "front_load_transfer_share"):
            assert getattr(other, name) == pytest.approx(getattr(one, name), rel=1e-6)
    case = next(r for r in promised if r.name == found.case)
    mean = 0.5 * (case.secant_roll_gradient + case.right_secant_roll_gradient)
    assert pair.roll_gradient == pytest.approx(mean, rel=2e-3)  # but for the rear bar's mass


# Strength of the front bar


@pytest.mark.parametrize(
    ("stem", "less", "sections", "alone"),
    [
        ("crew-cab-touring", 10, SECTIONS, True),
        ("independent-rear-with-bar", 14, ["30 mm solid"], False),
    ],
)
def test_stress_of_the_front_bar_in_every_state_by_hand(stem, less, sections, alone):
    """Link force k × r × track/2 × suspension roll, at 0.8 g and from stop to stop × 1.2.

    The gaps are such that both stops are met at once, before a wheel carries nothing.
    """
    data = both_of(stem, {"material": STRONG})
    data["front"]["bump_stop"]["gap"] = data["front"]["rebound_limit"]["gap"] = "30 mm"
    data["target"] = {"roll_gradient": f"{less} % less than now"}
    data["front_bar"]["sections"] = sections
    # Lifted, the empty vehicle would hang in a limit so near.
    data.setdefault("change", {}).pop("suspension_lift_front", None)
    data["change"]["wheel_offset_front"] = "30 mm"
    of, found = sized(data)
    pair, job = found.pair, mass.with_parts(with_new_front(of.job, found.pair.front))
    assert pair.front_is_enough is alone
    bar = None if alone else fitted(pair.rear, of.rear_bar)
    limit, cornering, twisted = job.limits.stress_acceleration, {}, {}
    for state in mass.states_with_bar(job):
        (r,) = roll.results(job, (limit,), bar, only=(state.name,))
        axle = mass.axles(job, state)[0]
        force = pair.front.link_end_rate * 0.62 * axle.track / 2.0
        if r.curve:
            (point,) = r.curve
            cornering[state.name] = force * (point.roll_angle - point.axle_roll[0])
        stops = axle.bump_stop, axle.rebound_limit
        travel = sum(stop.gap / stop.motion_ratio for stop in stops)
        base = sum(stop.base for stop in stops) / 2.0
        twisted[state.name] = force * job.limits.dynamic_factor * math.asin(travel / base)
    for forces, stress in (
        (cornering, pair.front.cornering_stress),
        (twisted, pair.front.twist_stress),
    ):
        along = stress_along(
            of.front_bar.shapes[0],
            of.front_bar.bush_spacing,
            pair.front.section,
            link_end_force=max(forces.values()),
            installation=of.front_bar.installation,
        )
        assert float(along.von_mises.max()) == pytest.approx(stress, rel=1e-6)
    one_wheel = pair.front.link_end_rate * 0.62**2 / 2.0  # K/t², whatever the track
    assert pair.front.one_wheel_rate_increase == pytest.approx(one_wheel, rel=1e-9)


def test_a_front_bar_without_stops_is_twisted_to_where_its_lower_wheel_lifts():
    """Bar and springs then carry half the front axle's weight over the track, by hand."""
    data = both_of("crew-cab-touring", {"material": STRONG})
    data["front"].pop("bump_stop")
    data["front"].pop("rebound_limit")
    of, found = sized(data)
    pair, job = found.pair, with_new_front(of.job, found.pair.front)
    most = 0.0
    for state in mass.states_with_bar(job):
        (r,) = roll.results(job, (), fitted(pair.rear, of.rear_bar), only=(state.name,))
        axle = mass.axles(job, state)[0]
        bar = pair.front.roll_stiffness * (axle.track / job.vehicle.front.track) ** 2
        springs = axle.spring.rate * axle.track**2 / 2.0 + axle.auxiliary_roll_stiffness
        lifting = 0.5 * axle.track * G * r.front_axle_mass / (springs + bar)
        most = max(most, bar * lifting * job.limits.dynamic_factor / (0.62 * axle.track))
    along = stress_along(
        of.front_bar.shapes[0], of.front_bar.bush_spacing, pair.front.section, link_end_force=most
    )
    assert float(along.von_mises.max()) == pytest.approx(pair.front.twist_stress, rel=1e-3)


def test_a_front_bar_that_breaks_is_no_part_of_a_pair():
    data = both_of("crew-cab-touring", {"material": STRONG})
    strong = sized(data)[1].pair
    below = strong.front.peak_stress * 1.2 / 1e6
    for allowed, kept in ((below * 1.001, True), (below * 0.999, False)):
        data["front_bar"]["material"] = {**STRONG, "allowable_stress": f"{allowed} MPa"}
        pair = sized(data)[1].pair
        same = isinstance(pair, Pair) and pair.front.section == strong.front.section
        assert same is kept


# None, and why


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lambda data: data["target"].update(roll_gradient="1 deg/g"), NoPair.LEAN),
        (lambda data: data["front_bar"].update(sections=["28 mm solid"]), NoPair.SHARE),
        (
            lambda data: data.setdefault("limits", {}).update(inner_rear_lift="2 g"),
            NoPair.WHEEL_LIFT,
        ),
        (
            lambda data: data["front_bar"].update(
                material={"name": "soft", "allowable_stress": "100 MPa"}
            ),
            NoPair.FRONT_STRENGTH,
        ),
        (
            lambda data: data["rear_bar"].update(
                material={"name": "soft", "allowable_stress": "100 MPa"}
            ),
            NoPair.REAR_STRENGTH,
        ),
        (
            lambda data: data["target"].update(roll_gradient="9 deg/g"),
            NoPair.NOTHING_TO_BRING_BACK,
        ),
        (lambda data: data.pop("front_bar"), NoPair.NOT_ASKED),
    ],
)
def test_where_there_is_none_the_reason_is_told(change, why):
    stem = "high-roof-van" if why is NoPair.WHEEL_LIFT else "crew-cab-touring"
    data = (both_of if why is NoPair.REAR_STRENGTH else data_of)(stem, {"material": STRONG})
    change(data)
    of, found = sized(data)
    assert found.pair is why
    record = size_records.size_record(of, found)
    assert record["pair"] is None
    (note,) = [note for note in record["notes"] if note.startswith("pair is null: ")]
    said = pair_words(found, METRIC)
    if why is not NoPair.NOT_ASKED:
        assert said == (f"No front and rear bar together: {note.removeprefix('pair is null: ')}.",)


def test_the_way_to_ask_is_told_where_balance_is_in_the_way():
    told = []
    for stem in WITH_BAR:
        data = data_of(stem)
        del data["front_bar"]
        found = sized(data)[1]
        told.append(found.balance_is_in_the_way)
        assert pair_words(found, METRIC) == ((HOW_TO_ASK_FOR_A_PAIR,) if told[-1] else ())
    assert any(told)
    assert not all(told)


# What is told


def test_the_command_tells_both_bars_and_what_each_does_alone(capsys, tmp_path):
    path = tmp_path / "pair.toml"
    data = both_of("crew-cab-touring")
    path.write_text(tomlkit.dumps(data), encoding="utf-8")
    found = sized(data)[1]
    assert main(["size", str(path)]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    pair = found.pair
    assert "Front and rear bar together" in printed
    assert f"In front {pair.front.section.label} of 51CrV4 spring temper" in printed
    for gradient in (
        pair.roll_gradient,
        pair.front_alone.roll_gradient,
        pair.rear_alone.roll_gradient,
    ):
        assert f"{math.degrees(gradient) * G:.2f} deg/g" in printed
    assert STIFFER_FRONT in printed
    assert main(["size", str(path), "--json"]) == 0
    whole = json.loads(capsys.readouterr().out)
    record, notes = whole["pair"], whole["notes"]
    for end, bar in (("front", pair.front), ("rear", pair.rear)):
        check_candidate(record[end], notes)
        assert record[end]["accepted"] is True
        assert record[end]["section"] == bar.section.label
        assert record[end]["safety_factor"] == pytest.approx(bar.safety_factor)
    assert record["front_load_transfer_share"] >= record["front_load_transfer_share_now"] - 1e-9
    assert (
        record["rear_alone"]["front_load_transfer_share"]
        < record["front_alone"]["front_load_transfer_share"]
    )
    assert record["front_bar_is_enough"] is False
    assert "front_bar" in tomllib.loads(record["change"])["change"]


def test_asking_for_a_pair_keeps_the_vehicle_and_what_is_known_of_it():
    """All that is read but the bar to choose, tolerances too; the guess is as stiff, in 5 mm."""
    for stem in WITH_BAR:
        text = (ROOT / "scenarios" / f"{stem}.toml").read_text(encoding="utf-8")
        before = scenario.loads(text, "now.toml")
        asked = scenario.loads(ask_for_a_pair(text, before.job), "asked.toml")
        assert asked.job == before.job
        assert asked.tolerances == before.tolerances
        assert asked.assumed_of_rear == before.assumed
        assert len(asked.front_bar.stocks[0].sections) == 5
        front = before.job.vehicle.front
        independent = front.suspension is Suspension.INDEPENDENT
        alike = candidates(asked.front_bar, independent=independent, track=front.track)
        assert alike.roll_stiffness[0] == pytest.approx(front.bar_roll_stiffness, rel=0.03)
        table = tomllib.loads(ask_for_a_pair(text, before.job))["front_bar"]["shape"]
        assert re.fullmatch(r"\d+[05] mm \(assumed\)", table["arm_holes"][0])
        assert any(line.startswith("front_bar.shape.section = ") for line in asked.assumed)
    none = replace(front, bar_roll_stiffness=0.0)
    job = replace(before.job, vehicle=replace(before.job.vehicle, front=none))
    with pytest.raises(ValueError, match="no front bar is on it"):
        ask_for_a_pair(text, job)


def test_fit_a_bar_takes_a_front_bar_from_a_button_and_puts_it_in():
    source = ROOT / "scenarios" / "crew-cab-touring.toml"
    text = source.read_text(encoding="utf-8")
    app = own(text)
    app.button(key="ask-pair").click().run()
    asked = scenario.loads(ask_for_a_pair(text, scenario.load(source).job), "asked.toml")
    found = sizing.size(asked.job, asked.rear_bar, asked.front_bar)
    told = words(app)
    assert not any(one.key == "ask-pair" for one in app.button)
    assert FRONT_TITLE in told
    assert f"Order a front bar alone, {found.pair.front.section.label}" in told
    assert WHY_NO_REAR in told
    assert STIFFER_FRONT in told
    assert "Provisional: Fit" not in told  # the rear bar hangs on nothing that was guessed
    assert any(".st-key-front-bar" in one.proto.body for one in app.get("html"))
    app.button(key="pair").click().run()
    again = words(app)
    lean = f"{math.degrees(found.pair.roll_gradient) * G:.2f} deg/g"
    assert f"Order the new front bar: {found.pair.front.section.label}" in again
    assert lean in again
    assert "no bar is ordered" not in again
    assert "What gets worse with the new front bar" in again
    assert any(".st-key-answer" in one.proto.body for one in app.get("html"))


def test_a_file_that_cannot_be_changed_says_so_at_the_button():
    """With its comments it is as long as a file may be: nothing more goes in."""
    text = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text(encoding="utf-8")
    full = f"{text}\n# {'x' * (LARGEST - len(text.encode()) - 100)}\n"
    app = own(full)
    app.button(key="ask-pair").click().run()
    assert not app.exception
    assert "A front bar cannot be chosen with it:" in words(app)
    assert not any(one.key == "pair" for one in app.button)


# Refused


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            lambda data: data["front"].update(bar={"roll_stiffness": "420 N*m/deg"}),
            "front_bar: found without the dimensions of the bar that is on; allowed beside "
            "[front.bar] with section, centre_length, bush_spacing and arm_holes; measure it, or "
            "remove [front_bar]",
        ),
        (
            lambda data: data["front"].pop("bar"),
            "front_bar: found without the dimensions of the bar that is on",
        ),
        (
            lambda data: data["front_bar"].update(sections=[]),
            "front_bar.sections: found a list of 0",
        ),
        (
            lambda data: data["front_bar"].pop("sections"),
            "front_bar.sections: missing",
        ),
        (
            lambda data: data["front_bar"].update(sections=["30 mm solid", "thick"]),
            "front_bar.sections[2]: section 'thick' cannot be read",
        ),
        (
            lambda data: data["front_bar"].update(sections="some bars"),
            "front_bar.sections: section list 'some bars' cannot be read",
        ),
        (
            lambda data: data["front_bar"].update(sections=["30 mm solid", "30 mm solid"]),
            "front_bar.sections[2]: 30 mm solid stands twice",
        ),
        (
            lambda data: data["front"]["bar"].pop("material"),
            "front_bar.material: missing, and [front.bar] names none; what a new front bar lasts "
            "hangs on its steel; add it",
        ),
        (
            lambda data: data["front_bar"].update(material="cheese"),
            "front_bar.material: no built-in steel 'cheese'",
        ),
        (
            lambda data: data["front_bar"].update(arm_holes=["250 mm"]),
            "front_bar.arm_holes: unknown key",
        ),
        (
            lambda data: data.pop("rear_bar"),
            "front_bar: found without [rear_bar]; a pair is chosen from the sections of both; add "
            "it, or remove [front_bar]",
        ),
        (
            lambda data: data["front_bar"].update(
                sections=[f"{20 + n / 10:g} mm solid" for n in range(150)]
            ),
            "front_bar.sections: 150 sections with 15 rear bars are 2250 pairs; allowed up to "
            "2000; keep a handful of sections",
        ),
        (
            lambda data: data["front"]["bar"].update(section="thick"),
            "front.bar.section: ",
        ),
    ],
)
def test_what_a_front_bar_to_choose_refuses(change, said):
    data = data_of("crew-cab-touring")
    change(data)
    with pytest.raises(ScenarioError) as error:
        scenario.from_data(data, "pair.toml")
    (line,) = error.value.errors
    assert line.startswith(f"pair.toml: {said}")
