"""The shop's shelf: the same figures as from the file, prices as they are, every bad row named."""

import copy
import json
from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import pytest
import tomlkit

from rollsim import scenario, sizing
from rollsim.cli import main
from rollsim.reader_units import METRIC
from rollsim.remedies import RemedyKind, pair_change, what_else_helps
from rollsim.remedies.measures import measures
from rollsim.remedy_wording import remedy_words
from rollsim.scenario import ScenarioError, loads
from rollsim.scenario.bounds import parsed
from rollsim.scenario.embedded import Source, embed, extract, with_tables
from rollsim.scenario.packing import unpacked
from rollsim.scenario.shelf import read_shelf, self_contained, with_shelf
from rollsim.scenario.table import MORE_CELLS
from rollsim.sheet import order
from rollsim.sizing.choice import decide
from rollsim.wording import choice_words
from tests.builders import ROOT
from tests.fit_page import TOURING, page, words
from tests.pairs import both_of

CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
STEEL = "52CrMoV4 hardened and tempered"
HEAD = (
    "part,section,material,centre_length_mm,arm_holes_mm,arm_splay_deg,bend_radius_mm,"
    "link_rate_kN_per_mm,mass_kg,price,currency,weeks\n"
)
SIZES = (18, 20, 22, 24, 25)
AS_THE_FILE = HEAD + "".join(
    f"SB-{d},{d} mm solid,{STEEL},940,260/290/320,12,50,12,,{100 + d},EUR,{d % 3}\n" for d in SIZES
)
MIXED = AS_THE_FILE.replace("\n", ",,,\n").replace(",,,\n", ",kind,axle,rate_N_per_mm\n", 1) + (
    "R-40,,,,,,,,,180,EUR,0,coil,rear,40\n"
)


def text() -> str:
    return CREW_CAB.read_text(encoding="utf-8")


def on_shelf(csv: str) -> scenario.Scenario:
    return loads(with_shelf(text(), csv), "job.toml")


@cache
def sized(csv: str) -> sizing.Sizing:
    found = on_shelf(csv)
    return sizing.size(found.job, found.rear_bar)


def test_bars_of_a_shelf_are_those_of_the_file():
    # The same steel in the same shape by the other way of saying it: every figure to the digit.
    plain = scenario.load(CREW_CAB)
    own = sizing.size(plain.job, plain.rear_bar)
    shelf = sized(AS_THE_FILE)
    bare = [replace(c, part=None) for c in shelf.candidates]
    assert bare == list(own.candidates)
    assert {c.part.part for c in shelf.candidates} == {f"SB-{d}" for d in SIZES}
    assert [c.hole_number for c in shelf.candidates] == [c.hole + 1 for c in own.candidates]


def test_a_bar_brings_its_own_shape_links_and_mass():
    # By the file with that shape and those links; the mass alone is stated.
    csv = HEAD + f"A,25 mm solid,{STEEL},900,280 310,5,40,3,7.5,,,\n"
    changed = text()
    for old, new in (
        ('"940 mm"', '"900 mm"'),
        ('["260 mm", "290 mm", "320 mm"]', '["280 mm", "310 mm"]'),
        ('"12 deg"', '"5 deg"'),
        ('bend_radius = "50 mm"', 'bend_radius = "40 mm"'),
        ('link_rate = "12 kN/mm"', 'link_rate = "3 kN/mm"'),
    ):
        assert old in changed
        changed = changed.replace(old, new)
    alone = loads(changed, "job.toml")
    want = {
        c.lever: c.link_end_rate
        for c in sizing.size(alone.job, alone.rear_bar).candidates
        if c.section.outer_diameter == pytest.approx(0.025)
    }
    got = {c.lever: c.link_end_rate for c in sized(csv).candidates}
    assert got == pytest.approx(want, rel=1e-12)
    assert {c.mass for c in sized(csv).candidates} == {7.5}


def test_prices_stay_in_their_currency_and_missing_ones_are_null(tmp_path, capsys):
    csv = HEAD + (
        f"E,25 mm solid,{STEEL},940,320,12,50,12,,340,eur,0\n"
        f"U,25 mm solid,{STEEL},940,320,12,50,12,,295.5,USD,1\n"
        f"N,25 mm solid,{STEEL},940,320,12,50,12,,,,\n"
    )
    path = tmp_path / "shelf.csv"
    path.write_text(csv, encoding="utf-8")
    assert main(["size", str(CREW_CAB), "--shelf", str(path), "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    parts = {c["part"]["number"]: c["part"] for c in record["candidates"]}
    assert parts == {
        "E": {"number": "E", "price": 340.0, "weeks_to_get": 0.0, "currency": "EUR"},
        "U": {"number": "U", "price": 295.5, "weeks_to_get": 1.0, "currency": "USD"},
        "N": {"number": "N", "price": None, "weeks_to_get": None, "currency": ""},
    }
    assert "price of a part is null: not on the shelf's list" in record["notes"]
    assert record["sentence"].endswith("Part E: 340.00 EUR, on the shelf.")
    assert main(["size", str(CREW_CAB), "--shelf", str(path)]) == 0
    told = capsys.readouterr().out
    assert "295.50 USD" in told
    assert "635.50" not in told  # nothing is added across currencies


def test_every_bad_row_is_named_at_once():
    csv = HEAD + (
        f"A,25 mm,{STEEL},940,320,12,50,12,,340,EUR,0\n"
        f"B,25 mm solid,no such steel,940,320,12,50,12,,340,EUR,0\n"
        f"C,25 mm solid,{STEEL},94,320,12,50,12,,340,EUR,0\n"
        f"D,25 mm solid,{STEEL},940,,12,50,12,,340,EUR,0\n"
        f"E,25 mm solid,{STEEL},940,320,12,50,12,,340,,0\n"
        f'F,25 mm solid,{STEEL},940,320,12,50,12,,"1,340",EUR,soon\n'
        f"G,25 mm solid,{STEEL},940,320 320,12,50,12,,340,EUR,0\n"
        f"G,25 mm solid,{STEEL},940,320,12,50,12,,340,EUR,0\n"
        f",25 mm solid,{STEEL},940,320,12,50,12,,340,EUR,0\n"
        f"H,30 mm solid,{STEEL},940,320,12,50,12,,340,EUR,0\n"
    )
    wrong = read_shelf({"shelf.csv": csv}, "shelf.csv").wrong
    told = [line.partition(": ")[0] for line in wrong]
    named = "ABCDEFFGG"
    assert told[:9] == [
        f'"shelf.csv" row {n} ({p})'
        for n, p in zip([2, 3, 4, 5, 6, 7, 7, 8, 9], named, strict=True)
    ]
    assert told[9] == '"shelf.csv" row 10'
    for said in (
        "section '25 mm' cannot be read",
        "no built-in steel 'no such steel'",
        "; or write what it stands under allowable_stress_MPa",
        'centre_length: found "94 mm" (read as 94 mm); allowed 200 mm to 2200 mm',
        "arm_holes: missing beside centre_length",
        'currency: found "" beside a price; allowed three letters such as EUR',
        'price: found "1,340"; allowed 0 to 1e+09',
        'weeks: found "soon"',
        "a hole stands twice",
        "this part stands twice",
        "its strength is known up to 25 mm outer diameter, found 30 mm",
    ):
        assert any(said in line for line in wrong), said


@pytest.mark.parametrize(
    ("csv", "words"),
    [
        ("part,section\nA,25 mm solid", "no heading material"),
        ("part,section,material,arm_holes\nA,25 mm solid,x,1", "write arm_holes_mm"),
        ("part,section,material,centre_lenght_mm\nA,,,\n", "did you mean centre_length_mm?"),
        ("part,section,material,mass_mm\nA,,,\n", "write mass_kg"),
        ("part,part,section,material\nA,A,,\n", 'the heading "part" stands twice'),
        ("part,section,material\n\n", "has 0 parts; allowed 1 to 500"),
        # A quotation mark that is never closed would swallow every row below it.
        (
            'part,section,material,note\nA,x,y,"rack 1\nB,x,y,\nC,x,y,\n',
            "close each quotation mark",
        ),
        ("part,section,material,weeks\nA,25 mm solid,51CrV4 spring temper,1,5\n", MORE_CELLS),
    ],
)
def test_a_heading_that_is_none_says_what_to_write(csv, words):
    held = read_shelf({"s.csv": csv}, "s.csv")
    rows, wrong = held.bars, list(held.wrong)
    assert rows == ()
    assert len(wrong) == 1
    assert words in wrong[0]


def test_semicolons_inches_and_own_columns_are_read():
    csv = (
        "part;section;material;allowable_stress_ksi;centre_length_in;arm_holes_in;note\n"
        "A;1 in solid;our own steel;150;37;10.5/12;rack 3, left\n"
    )
    held = read_shelf({"s.csv": csv}, "s.csv")
    (row,), wrong = held.bars, list(held.wrong)
    assert wrong == []
    assert [shape.lever for shape in row.shapes] == pytest.approx([0.2667, 0.3048])
    assert row.steel.allowable_stress(0.0254) == pytest.approx(1034.2e6, rel=1e-4)  # 6.8948 MPa/ksi


def test_what_does_not_fit_this_vehicle_is_left_out_and_named():
    short = AS_THE_FILE + (
        f"S1,25 mm solid,{STEEL},700,320,12,50,12,,,,\n"
        f"W1,25 mm solid,{STEEL},1400,320,30,50,12,,,,\n"
    )
    found = on_shelf(short)
    assert {bar.part for bar in found.rear_bar.shelf} == {f"SB-{d}" for d in SIZES}
    (note,) = (one for one in found.notes if one.startswith("shelf"))
    assert note.startswith("shelf: 2 of 7 bars do not fit this vehicle: S1 (")
    assert "W1 (link ends 1770 mm apart, track 1550 mm)" in note
    with pytest.raises(ScenarioError, match="no bar fits this vehicle: S1"):
        on_shelf(HEAD + f"S1,25 mm solid,{STEEL},700,320,12,50,12,,,,\n")


def test_a_hole_that_does_not_fit_keeps_its_number_for_the_others():
    # The first hole's link goes over centre here: the fitter counts from it all the same.
    gate = (ROOT / "scenarios" / "balance-gate-binds.toml").read_text("utf-8")
    csv = HEAD.replace("price", "link_length_mm,price") + (
        f"A,25 mm solid,{STEEL},940,120/290/320,12,50,12,,90,,,\n"
    )
    found = loads(with_shelf(gate, csv), "job.toml")
    (note,) = (one for one in found.notes if one.startswith("shelf"))
    assert note.startswith("shelf: 1 hole does not fit this vehicle: A hole 1 of 3 (the link goes")
    best = sizing.size(found.job, found.rear_bar)
    assert {round(c.lever * 1e3): c.hole_number for c in best.candidates} == {290: 2, 320: 3}
    work = SimpleNamespace(
        scenario=found, sizing=best, bar=best.candidates[0], pair=None, new_front=None
    )
    words = dict(order.rows(work, METRIC))["hole, both sides"]
    assert words.endswith(f"hole {work.bar.hole_number} of 3")


def test_a_shelf_stands_beside_no_sections_and_travels_with_the_sheet():
    both = text().replace('mount = "axle"', 'mount = "axle"\nshelf = "shelf.csv"')
    with pytest.raises(ScenarioError) as wrong:
        loads(both, "job.toml", {"shelf.csv": AS_THE_FILE})
    assert any("rear_bar.sections: shelf replaces it" in line for line in wrong.value.errors)
    named = with_shelf(text(), AS_THE_FILE)
    assert parsed(named)["rear_bar"]["shelf"] == AS_THE_FILE
    assert "sections" not in parsed(named)["rear_bar"]
    by_name = '[rear_bar]\nshelf = "shelf.csv"\n'
    source = with_tables("job.toml", by_name, {"shelf.csv": AS_THE_FILE})
    held = extract(embed(source))
    assert held.tables == (("shelf.csv", AS_THE_FILE),)
    # A page has the text alone: what a sheet brings is put into it.
    whole = self_contained(held.text, dict(held.tables))
    assert parsed(whole)["rear_bar"]["shelf"] == AS_THE_FILE
    assert self_contained(text(), {}) == text()


def test_without_a_fit_it_says_what_to_buy(monkeypatch):
    monkeypatch.setattr("rollsim.remedies.measures.SOLIDS", range(24, 28))
    thin = HEAD + f"SB-18,18 mm solid,{STEEL},940,260/290/320,12,50,12,,118,EUR,0\n"
    found, source = on_shelf(thin), with_shelf(text(), thin)
    # With a centreline in [rear_bar] as well, the shape of the part to buy takes its place.
    bent, straight = copy.deepcopy(parsed(source)), ("centre_length", "arm_holes", "arm_splay")
    bent["rear_bar"] = {k: v for k, v in bent["rear_bar"].items() if k not in straight}
    bent["rear_bar"]["centreline"] = [["0 mm", "0 mm", "0 mm"], ["320 mm", "500 mm", "0 mm"]]
    none = sized(thin)
    assert none.choice is None
    offered, by_line = (
        {one.kind: one for one in measures(data, found, none)} for data in (parsed(source), bent)
    )
    # To buy stands in place of the shelf: steel, sections and arms by name, which size to a bar.
    for kind in (RemedyKind.SECTION, RemedyKind.ARM):
        data = copy.deepcopy(parsed(source))
        offered[kind].put(data, offered[kind].amounts[0])
        assert "shelf" not in data["rear_bar"]
        again = scenario.from_data(data, "job.toml")
        put = copy.deepcopy(bent)
        by_line[kind].put(put, by_line[kind].amounts[0])
        assert put["rear_bar"] == data["rear_bar"]
        bars = decide(again.job, again.rear_bar)
        assert (bars.choice is not None) is (kind is RemedyKind.SECTION)
    shape = again.rear_bar.shapes[0]
    assert shape.half_centreline[-1] == pytest.approx(found.rear_bar.shapes[0].half_centreline[-1])


def test_a_shelf_of_weak_steel_is_told_which_section_of_which_steel(monkeypatch):
    weak = "part,section,material,allowable_stress_MPa\nXX,18 mm solid,forge steel X,900\n"
    found, source, none = on_shelf(weak), with_shelf(text(), weak), sized(weak)
    monkeypatch.setattr(
        "rollsim.remedies.search.measures",  # the others take seconds
        lambda *of: [one for one in measures(*of) if one.kind is RemedyKind.SECTION],
    )
    monkeypatch.setattr("rollsim.remedies.measures.SOLIDS", range(24, 28))
    (to_buy,) = what_else_helps(Source("job.toml", source), found, none)
    assert (none.choice, to_buy.accepted, to_buy.to_buy) == (None, True, True)
    told = remedy_words(to_buy, METRIC)
    assert told.startswith("another section, with ")
    assert " mm solid of 51CrV4 spring temper in the 320 mm hole, to be bought: " in told
    of_the_shelf = replace(to_buy, bar=none.candidates[0], to_buy=False)
    assert " hole (part XX): " in remedy_words(of_the_shelf, METRIC)
    # What is told is one bar, and that is the answer where it is pasted.
    bought = scenario.from_data({**parsed(source), **parsed(to_buy.change)}, "job.toml")
    choice = decide(bought.job, bought.rear_bar).choice
    assert (choice.section, choice.steel) == (to_buy.bar.section, to_buy.bar.steel)
    # Where the shelf has tubes alone, any steel for round bars is looked at.
    tubes = "part,section,material\nXX,20 mm x 3 mm,E355+N tube\n"
    data = parsed(with_shelf(text(), tubes))
    offered = {one.kind: one for one in measures(data, on_shelf(tubes), none)}
    offered[RemedyKind.SECTION].put(data, 0.0)
    assert data["rear_bar"]["stock"][0]["material"] == "51CrV4 quenched and tempered"


def test_the_demo_shelf_is_read_beside_the_demo_scenarios():
    csv = (ROOT / "scenarios" / "shelf-demo.csv").read_text("utf-8")
    held = read_shelf({"s.csv": csv}, "s.csv")
    rows, wrong = held.bars, list(held.wrong)
    assert wrong == []
    assert len(rows) == 6


def test_the_page_opens_a_shelf_once_and_carries_it():
    app = page(TOURING, job="true")
    app.file_uploader[0].upload("shelf.csv", MIXED.encode(), "text/csv").run()
    told = words(app)
    assert "(part SB-25)" in told
    assert "Part SB-25: 125.00 EUR, 1 week to get it." in told
    link = "".join(app.query_params["scenario"])
    assert parsed(unpacked(link))["rear_bar"]["shelf"] == MIXED
    assert not [one for one in app.text_input if one.label == "Sections"]
    app.button("shelf:leave").click().run()
    assert "part SB-" not in words(app)
    app.button("shelf:use").click().run()  # the session has kept it
    assert "(part SB-25)" in words(app)
    bad = AS_THE_FILE + "SB-30,30 mm,no steel,,,,,,,,,\n"
    app.file_uploader[0].upload("bad.csv", bad.encode(), "text/csv").run()
    assert "row 7 (SB-30): section: section '30 mm' cannot be read" in words(app)
    # Its springs stand side by side where springs are chosen.
    app.switch_page(str(ROOT / "rollsim" / "page" / "springs_weights.py"))
    app.session_state["part"] = "Spring options"
    app.run()
    app.button("shelf:springs").click().run()
    assert "Part R-40: 180.00 EUR, on the shelf." in words(app)


def test_a_pair_from_the_shelf_is_pasted_as_its_rear_bar_alone():
    data = both_of("crew-cab-touring")
    for name in ("material", "sections"):
        del data["rear_bar"][name]
    data["rear_bar"]["shelf"] = AS_THE_FILE
    found = scenario.from_data(copy.deepcopy(data), "job.toml")
    both = sizing.size(found.job, found.rear_bar, found.front_bar)
    assert isinstance(both.pair, sizing.Pair)
    change = parsed(pair_change(tomlkit.dumps(data), found, both))
    again = scenario.from_data({**data, **copy.deepcopy(change)}, "job.toml")
    (bar,) = sizing.size(again.job, again.rear_bar).candidates
    assert (bar.section, bar.steel) == (both.pair.rear.section, both.pair.rear.steel)
    assert bar.link_end_rate == pytest.approx(both.pair.rear.link_end_rate, rel=1e-6)


def test_the_sheet_orders_by_part_number():
    found = on_shelf(AS_THE_FILE)
    best = sized(AS_THE_FILE)
    work = SimpleNamespace(scenario=found, sizing=best, bar=best.choice, pair=None, new_front=None)
    rows, part = dict(order.rows(work, METRIC)), best.choice.part
    assert rows["part number"] == part.part
    assert rows["price"] == f"{part.price:.2f} EUR"
    assert rows["hole, both sides"].endswith(f"hole {work.bar.hole_number} of 3")
    assert f"Part {part.part}: " in choice_words(work.sizing, METRIC)
