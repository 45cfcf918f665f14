"""Scenario text: values in and out, comments kept, links, all inputs, first scenarios."""

import tomllib
import zlib
from base64 import urlsafe_b64encode
from dataclasses import replace

import pytest

from rollsim.scenario import ScenarioError, load, loads
from rollsim.scenario.assumed import to_look_at
from rollsim.scenario.editing import added, changed, removed, value
from rollsim.scenario.emptied import Emptied, put_back
from rollsim.scenario.inputs import Kind, Mark, inputs, mark
from rollsim.scenario.packing import packed, unpacked
from rollsim.scenario.starting import Bars, Start, implausible, scenario_text
from rollsim.sizing import size
from rollsim.typical import BODIES, ITEMS, Where
from rollsim.vehicle import STANDARD_GRAVITY, VehicleClass
from tests.builders import ROOT

FILES = sorted((ROOT / "scenarios").glob("*.toml"))
TOURING = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text("utf-8")


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_nothing_changed_is_the_same_text(path):
    text = path.read_text("utf-8")
    same = {one.key: value(text, one.key) for one in inputs() if "[]" not in one.key}
    assert changed(text, {key: v for key, v in same.items() if v is not None}) == text
    assert unpacked(packed(text)) == text


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_one_value_changes_one_line(path):
    text = path.read_text("utf-8")
    new = changed(text, {"front.track": "1512 mm"})
    differing = [
        pair for pair in zip(text.split("\n"), new.split("\n"), strict=True) if pair[0] != pair[1]
    ]
    assert len(differing) == 1
    assert "1512 mm" in differing[0][1]
    assert value(new, "front.track") == "1512 mm"
    comment = differing[0][0].partition("#")[2]
    assert comment == differing[0][1].partition("#")[2]


def test_tables_are_made_taken_out_and_replaced():
    text = changed(TOURING, {"limits.safety_factor": 1.5, "rear.bar.roll_stiffness": "90 N*m/deg"})
    data = tomllib.loads(text)
    assert data["limits"] == {"safety_factor": 1.5}
    assert data["rear"]["bar"] == {"roll_stiffness": "90 N*m/deg"}
    back = changed(text, {"limits.safety_factor": None})
    assert tomllib.loads(back)["limits"] == {}
    worded = changed(TOURING, {"front.tyre": "class default"})
    assert tomllib.loads(worded)["front"]["tyre"] == "class default"
    again = changed(worded, {"front.tyre.vertical_rate": "240 N/mm"})
    assert tomllib.loads(again)["front"]["tyre"] == {"vertical_rate": "240 N/mm"}
    assert changed(TOURING, {"front.bar.lash": None}) == TOURING


def test_items_come_and_go():
    box = {"name": "box", "mass": "20 kg", "behind_front_axle": "2000 mm", "height": "1000 mm"}
    text = added(TOURING, "load", box)
    before, after = tomllib.loads(TOURING), tomllib.loads(text)
    assert after["load"] == [*before["load"], box]
    assert {k: v for k, v in after.items() if k != "load"} == {
        k: v for k, v in before.items() if k != "load"
    }
    assert tomllib.loads(removed(text, "load", len(before["load"]))) == before
    assert removed(TOURING, "load", 99) == TOURING
    only = added('title = "x"', "load", box)
    assert "load" not in tomllib.loads(removed(only, "load", 0))
    assert value(text, f"load[{len(before['load'])}].mass") == "20 kg"
    assert value(text, "load[99].mass") is None


DOTTED = """front.track = "1560 mm"
front.spring.rate = "36 N/mm"
title = "t"
[vehicle]
name = "v"
"""
BOX = {"name": "box", "mass": "20 kg"}


def test_a_change_that_would_move_other_values_is_refused():
    with pytest.raises(ValueError, match=r"front\.tyre\.vertical_rate: the file is laid out"):
        changed(DOTTED, {"front.tyre.vertical_rate": "240 N/mm"})
    assert value(changed(DOTTED, {"front.track": "1500 mm"}), "front.track") == "1500 mm"
    nested = '[[load]]\nname = "a"\nodd = [\n [1],\n]\n[vehicle]\nname = "v"\n'
    with pytest.raises(ValueError, match="load: the file is laid out unusually"):
        added(nested, "load", BOX)
    quoted = 'title = """\n[[load]]\n"""\n[[load]]\nname = "a"\n'
    with pytest.raises(ValueError, match="load: the file is laid out unusually"):
        added(quoted, "load", BOX)


def test_every_input_goes_in_and_comes_out_alone():
    """Out of the file that has it, else into the first."""
    other = ROOT / "scenarios" / "independent-rear-with-bar.toml"
    texts = (TOURING, other.read_text("utf-8"))
    for one in (one for one in inputs() if "[]" not in one.key):
        text = next((text for text in texts if value(text, one.key) is not None), TOURING)
        if isinstance(_at(tomllib.loads(text), one.key), dict):
            continue
        before = value(text, one.key)
        if before is None:
            put = changed(text, {one.key: "7 mm"})
            assert _at(tomllib.loads(put), one.key) == "7 mm"
            continue
        out = changed(text, {one.key: None})
        assert _at(tomllib.loads(out), one.key) is None
        assert tomllib.loads(changed(out, {one.key: before})) == tomllib.loads(text), one.key


def _at(data: object, key: str) -> object:
    for step in key.split("."):
        data = data.get(step) if isinstance(data, dict) else None
    return data


def test_a_list_on_one_line_grows_and_shrinks():
    text = 'load = [{name = "a"}, {name = "b"}]  # carried\ntitle = "t"\n'
    more = added(text, "load", BOX)
    assert tomllib.loads(more)["load"] == [{"name": "a"}, {"name": "b"}, BOX]
    assert "# carried" in more
    assert tomllib.loads(removed(more, "load", 0))["load"] == [{"name": "b"}, BOX]


def test_a_list_inside_an_inline_table_comes_and_goes_alone():
    name = "rear.spring.load_test.reading"
    text = '[rear]\nspring = { rate = "36 N/mm" }  # as found\ntrack = "1560 mm"\n'
    one = added(text, name, {})
    two = added(one, name, {"added": "100 kg"})
    assert tomllib.loads(two)["rear"]["spring"]["load_test"] == {
        "reading": [{}, {"added": "100 kg"}]
    }
    assert "# as found" in two
    assert removed(removed(two, name, 1), name, 0) == text


def test_tables_below_an_item_go_with_it():
    item = '[[load]]\nname = "can"\n[load.tank]\nfull_mass = "50 kg"\n'
    rest = '\n# next\n[[load]]\nname = "box"\n[limits]\n'
    assert tomllib.loads(removed(item + rest, "load", 0)) == tomllib.loads(rest)
    with_one = tomllib.loads(added(item, "load", {"name": "box"}))
    assert with_one["load"] == [{"name": "can", "tank": {"full_mass": "50 kg"}}, {"name": "box"}]


def test_a_steel_is_added_to_the_bar():
    stock = {"material": "51CrV4 quenched and tempered", "sections": ["22 mm solid"]}
    text = added(TOURING, "rear_bar.stock", stock)
    text = added(text, "rear_bar.stock", stock | {"sections": "round bars 18-40 mm"})
    assert [one["sections"] for one in tomllib.loads(text)["rear_bar"]["stock"]] == [
        ["22 mm solid"],
        "round bars 18-40 mm",
    ]
    text = removed(removed(text, "rear_bar.stock", 0), "rear_bar.stock", 0)
    assert tomllib.loads(text) == tomllib.loads(TOURING)


def test_taking_an_item_out_leaves_the_comment_above_the_next_table():
    text = '[[load]]\nname = "a"  # its own\n\n# what is changed\n[change]\n'
    assert removed(text, "load", 0) == "\n# what is changed\n[change]\n"


@pytest.mark.parametrize("head", ["[b]", "[a.b]", "[[load]]"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_new_key_does_not_part_a_remark_from_its_table(head, end):
    text = f"# all of it\n[a]\nx = 1 # own\n# of a\n\n# on the\n# next\n{head}\ny = 2\n"
    new = text.replace("# of a\n", "# of a\nz = 3\n").replace("\n", end)
    assert changed(text.replace("\n", end), {"a.z": 3}) == new
    close = text.replace("# of a\n\n", "").replace("\n", end)
    assert changed(close, {"a.z": 3}) == close.replace(f"# own{end}", f"# own{end}z = 3{end}")


def test_line_ends_stay_as_they_are():
    text = TOURING.replace("\n", "\r\n")
    assert "\n" not in added(text, "load", BOX).replace("\r\n", "")
    less = removed(text, "load", 0)
    assert less.replace("\r\n", "\n") == removed(TOURING, "load", 0)
    assert changed(text, {"front.track": "1500 mm"}).count("\r\n") == text.count("\r\n")


def test_comments_stay():
    lines = [line for line in TOURING.split("\n") if "#" in line]
    text = changed(TOURING, {"vehicle.wheelbase": "3000 mm", "rear.spring.rate": "40 N/mm"})
    text = added(text, "load", {"name": "box", "mass": "20 kg"})
    for line in lines:
        assert line.partition("#")[2] in text


def test_no_key_leads_through_a_list():
    with pytest.raises(ValueError, match="holds a value, not a table"):
        changed(TOURING, {"rear_bar.arm_holes.first": "200 mm"})


def _press(data: bytes) -> str:
    return urlsafe_b64encode(zlib.compress(data, 9)).decode().rstrip("=")


@pytest.mark.parametrize(
    "parameter",
    ["", "abc", "ü", "%%%", packed(TOURING)[:-40], _press(b"\xff\xfe"), _press(b"0" * 3_000_000)],
    ids=["empty", "short", "letter", "signs", "cut", "bytes", "bomb"],
)
def test_a_broken_link_is_refused_in_words(parameter):
    with pytest.raises(ValueError, match="copy the whole link again"):
        unpacked(parameter)


def test_what_is_no_toml_is_refused():
    with pytest.raises(ValueError, match="not readable as TOML"):
        value("title = ", "title")


def test_every_key_of_the_examples_is_an_input():
    known = {one.key for one in inputs()}
    for path in FILES:
        for key in _keys(tomllib.loads(path.read_text("utf-8")), ""):
            assert key in known, key


def _keys(data: dict, prefix: str) -> list[str]:
    found = []
    for name, one in data.items():
        if isinstance(one, dict):
            found += _keys(one, f"{prefix}{name}.")
        elif isinstance(one, list) and one and isinstance(one[0], dict):
            for table in one:
                found += _keys(table, f"{prefix}{name}[].")
        else:
            found.append(f"{prefix}{name}")
    return found


def test_an_input_tells_how_it_is_measured_and_what_is_allowed():
    for one in inputs():
        assert one.measure
        assert one.allowed
        assert (one.kind is Kind.CHOICE) == bool(one.choices)
    well = {one.key: one.how_well for one in inputs()}
    assert "5 mm" in well["front.track"]
    assert "1 %" in well["vehicle.front_axle_mass"]
    assert "30 mm" in well["front.roll_centre_height"]
    assert well["title"] == well["limits.safety_factor"] == ""


def test_marks():
    assert mark(value(TOURING, "vehicle.front_axle_mass")) is Mark.MEASURED
    assert mark(value(TOURING, "front.track")) is Mark.GIVEN
    assert mark("1 kg +/- 1 %") is Mark.MEASURED
    assert mark(" class default ") is Mark.ASSUMED
    assert mark(None) is Mark.ABSENT
    assert mark(0.6) is Mark.GIVEN


@pytest.mark.parametrize("corners", [False, True], ids=["axles", "corners"])
@pytest.mark.parametrize("lift", [0.0, 0.04])
@pytest.mark.parametrize("vehicle_class", VehicleClass, ids=lambda c: c.value)
def test_a_first_scenario_answers(vehicle_class, lift, corners):
    body = BODIES[vehicle_class]
    tent = tuple(item for item in ITEMS if item.where is Where.ROOF)[:2]
    masses = (body.front_axle_mass + 40.0, body.rear_axle_mass + 60.0)
    if corners:
        masses = tuple(0.5 * mass for mass in masses for _ in (0, 1))
    start = Start(vehicle_class, masses, tent, lift, roof_height=body.roof_height + lift)
    found = loads(scenario_text(start), "first.toml")
    assert found.assumed
    assert found.job.vehicle.vehicle_class is vehicle_class
    assert len(found.job.loads) == 2
    sizing = size(found.job, found.rear_bar)
    assert sizing.present > sizing.target
    bare = loads(scenario_text(replace(start, items=(), lift=0.0)), "first.toml")
    assert size(bare.job, bare.rear_bar).required_roll_stiffness == 0.0


def test_a_first_scenario_needs_two_or_four_masses():
    with pytest.raises(ValueError, match="found 3 masses"):
        scenario_text(Start(VehicleClass.VAN, (1.0, 2.0, 3.0)))


@pytest.mark.parametrize(
    ("bars", "kind", "expected"),
    [
        (Bars.NONE, VehicleClass.WAGON, (False, False)),
        (Bars.FRONT, VehicleClass.WAGON, (True, False)),
        (Bars.BOTH, VehicleClass.VAN, (True, True)),
        (Bars.UNKNOWN, VehicleClass.WAGON, (True, True)),
        (Bars.UNKNOWN, VehicleClass.VAN, (True, False)),
    ],
)
def test_a_first_scenario_has_the_bars_that_are_on_it(bars, kind, expected):
    known = {"tyre_rated_load": 1000.0, "roof_height": BODIES[kind].roof_height}
    text = scenario_text(Start(kind, (1100.0, 900.0), bars=bars, **known))
    vehicle = loads(text, "x.toml").job.vehicle
    found = tuple(axle.bar_roll_stiffness > 0.0 for axle in (vehicle.front, vehicle.rear))
    assert found == expected
    assert not any("bar" in note for note in loads(text, "x.toml").notes)
    told = to_look_at(loads(text, "x.toml").assumed)
    rear = "a" if kind is VehicleClass.WAGON else "no"
    said = f"That it has a front bar and {rear} rear bar is assumed: look under the vehicle."
    assert (said in told) is (bars is Bars.UNKNOWN)
    for axle in (vehicle.front, vehicle.rear):
        assert axle.tyre.rated_load == pytest.approx(1000.0 * STANDARD_GRAVITY)


@pytest.mark.parametrize(
    ("masses", "said"),
    [
        ((0.0, 560.0, 430.0, 440.0), "Front left: found 0 kg; allowed 100 to 2500 kg"),
        ((550.0, 560.0, 430.0, 4400.0), "Rear right: found 4400 kg; allowed 100 to 2500 kg"),
        ((550.0, 560.0, 300.0, 600.0), "Rear left and rear right: found 300 and 600 kg; allowed"),
        ((900.0, 850.0, 200.0, 210.0), "Front and rear: found 81 % of the weight in front"),
        ((200.0, 210.0, 900.0, 850.0), "Front and rear: found 19 % of the weight in front"),
    ],
)
def test_weights_that_no_vehicle_has_are_refused(masses, said):
    (line,) = implausible(masses)
    assert line.startswith(said)
    assert implausible((550.0, 560.0, 380.0, 460.0)) == ()
    assert implausible((300.0, 440.0, 430.0, 440.0)) == ()  # within 1.5 times
    assert "lb" in implausible(masses, "lb")[0] or "%" in said


def test_weights_out_of_range_are_told_like_any_other():
    with pytest.raises(ScenarioError, match="front_axle_mass"):
        loads(scenario_text(Start(VehicleClass.VAN, (1.0, 900.0))), "first.toml")


COMMENTED = """# front
[front]
track = "1560 mm"  # taped twice
unsprung_mass = "105 kg"  # from the list
bar = { link_end_rate = "28 N/mm", installation_ratio = 0.6 }  # its own

[rear]
track = "1550 mm"
"""


def emptied_and_typed(text: str, typed: list[tuple[str, str | float | None]]) -> str:
    gone = Emptied()
    for key, new in typed:
        text, gone = put_back(text, key, new, emptied=gone)
    return text


@pytest.mark.parametrize("line_end", ["\n", "\r\n"], ids=["LF", "CRLF"])
@pytest.mark.parametrize(
    "keys",
    [
        ("front.track",),
        ("front.bar.link_end_rate",),
        ("front.unsprung_mass", "front.track"),
        ("front.bar.link_end_rate", "front.bar.installation_ratio", "front.track"),
    ],
    ids=len,
)
def test_what_is_emptied_and_typed_again_stands_where_it_stood(keys, line_end):
    text = COMMENTED.replace("\n", line_end)
    old = {key: value(text, key) for key in keys}
    for order in (keys, keys[::-1]):
        steps = [(key, None) for key in keys] + [(key, old[key]) for key in order]
        assert emptied_and_typed(text, steps) == text
    other = [(keys[0], None), ("rear.track", "1500 mm"), (keys[0], old[keys[0]])]
    assert emptied_and_typed(text, other) == text.replace("1550", "1500")


def test_what_was_changed_as_text_in_between_is_not_lost():
    text, gone = put_back(COMMENTED, "front.track", None, emptied=Emptied())
    edited = text.replace("# from the list", "# weighed")
    new, _ = put_back(edited, "front.track", "1500 mm", emptied=gone)
    assert "# weighed" in new
    assert value(new, "front.track") == "1500 mm"
    worded, _ = put_back(text, "front.bar", "class default", emptied=gone)
    assert value(worded, "front.bar") == "class default"
    assert value(worded, "front.track") is None


def test_a_refused_change_is_told_as_ever():
    with pytest.raises(ValueError, match="holds a value, not a table"):
        put_back("[front]\ntyre = 5\n", "front.tyre.rated_load", "1 kg", emptied=Emptied())


@pytest.mark.parametrize(
    "new", [{"front.bar.lash": "1 mm"}, {"rear.spring_base": "1090 mm"}, {"limits.balance": 0.5}]
)
def test_added_keys_end_their_lines_as_the_file_does(new):
    text = COMMENTED.replace("\n", "\r\n")
    after = changed(text, new)
    assert "\n" not in after.replace("\r\n", "")
    assert after.replace("\r\n", "\n") == changed(COMMENTED, new)
    mixed = text.replace("\r\n", "\n", 1)
    kept = changed(mixed, new)
    assert tomllib.loads(kept) == tomllib.loads(after)
    assert kept.startswith("# front\n[front]\r\n")


def test_a_byte_order_mark_is_no_part_of_the_text(tmp_path):
    assert loads("\ufeff" + TOURING, "x.toml").job == loads(TOURING, "x.toml").job
    file = tmp_path / "marked.toml"
    file.write_text(TOURING, encoding="utf-8-sig")
    assert load(file).job == loads(TOURING, "x.toml").job
    with pytest.raises(ScenarioError, match="line 1: not readable as TOML"):
        loads("title = \ufeff", "x.toml")


@pytest.mark.parametrize(
    "text",
    [
        "[a]\nb = 1\n\n[a.c]\nd = 2\ne = { f = 3 }\n",
        "[a]\nb = 1\nc = { d = 2, e = { f = 3 } }\n",
        "[a]\nb = 1\n\n[a.c]\nd = 2\n\n[[a.c.e]]\nf = 3\n\n[[a.c.e]]\nf = 4\n",
    ],
)
def test_a_table_goes_out_with_all_in_it(text):
    assert tomllib.loads(changed(text, {"a.c": None})) == {"a": {"b": 1}}
    assert changed(text, {"a.x": None}) == text
