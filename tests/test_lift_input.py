"""Wrong keys of an alignment and of a damper: what each error says, and all of a file at once."""

import math
import re
from pathlib import Path

import pytest

from rollsim import scenario
from rollsim.roll_centre import READING_ERROR
from rollsim.scenario import ScenarioError
from rollsim.scenario.editing import changed
from rollsim.scenario.keys import Measured, OneOf
from rollsim.scenario.lift_tables import (
    AlignmentReadingTable,
    AlignmentTable,
    DamperLengthsTable,
    DamperTable,
    LeafAndShackleTable,
    TieRodTable,
)
from tests.test_lift_check import (
    ALIGNMENT,
    FRONT_DAMPER,
    LEAF,
    LINKAGE,
    PLAIN,
    REAR_DAMPER,
    STRUT,
    text_with,
)

ROOT = Path(__file__).parents[1]
CAMBER = 'camber = ["-0.4 deg", "-0.2 deg"]'
ROD_END = 'inner_joint = ["350 mm", "330 mm"]'
LOWER = 'lower_axis = ["290 mm", "280 mm", "320 mm"]'
TAKES = 'camber_adjustment = "0.3 deg"'
FRONT = 'length = "500 mm", mount_height = "400 mm", motion_ratio = 0.5'
REAR = 'length = "500 mm", mount_height = "400 mm", base = "1000 mm"'
CHANGE = "[change]\n"
LEVELLED = 'shackle_angle = "18 deg"'


def _hanger(height: int, along: int) -> str:
    return f'hanger_height = "{height} mm", axle_to_hanger = "{along} mm"'


# What to replace, by what, and what the one line must hold after "a.toml: ".
ONE_ERROR = [
    (CAMBER, 'camber = "-0.4 deg"', 'front.alignment.camber: found "-0.4 deg"; write a list'),
    (
        CAMBER,
        'camber = ["-0.4 deg"]',
        "front.alignment.camber: found 1 values; allowed two, [left, right]; write it like",
    ),
    (
        CAMBER,
        'camber = ["-24 deg", "0 deg"]',
        'front.alignment.camber: found "-24 deg" (read as -24 deg); allowed -10 deg to 10 deg',
    ),
    (
        CAMBER,
        'readings_after = { toe = ["0.1 deg", "0.1 deg", "0.1 deg"] }',
        "front.alignment.readings_after.toe: found 3 values; allowed two, [left, right]",
    ),
    (CAMBER, 'chamber = ["0 deg", "0 deg"]', "front.alignment.chamber: unknown key; the nearest"),
    (
        LOWER,
        'lower_axis = ["290 mm", "280 mm"]',
        "front.alignment.lower_axis: found 2 values; allowed three, [front bush, rear bush, betwe",
    ),
    (
        ROD_END,
        'inner_joint = ["680 mm", "330 mm"]',
        "front.alignment.tie_rod.inner_joint: found 680 mm from the centreline; allowed less than "
        "the outer joint, 670 mm; check which is which",
    ),
    (
        ROD_END,
        'inner_joint = ["350 mm"]',
        "front.alignment.tie_rod.inner_joint: found 1 values; allowed two, [from the centreline",
    ),
    (
        ', outer_ahead = "-130 mm"',
        "",
        "front.alignment.tie_rod.outer_ahead: missing; allowed -500 mm to 500 mm; add it (tape",
    ),
    (
        TAKES,
        f'{TAKES}\npivot_adjustment = "3 mm"\nadjusted_pivot = "upper"',
        "front.alignment.pivot_adjustment: found beside camber_adjustment, which says the same",
    ),
    (
        TAKES,
        'pivot_adjustment = "3 mm"',
        "front.alignment.adjusted_pivot: missing; pivot_adjustment and adjusted_pivot belong",
    ),
    (
        TAKES,
        'pivot_adjustment = "3 mm"\nadjusted_pivot = "middle"',
        'front.alignment.adjusted_pivot: found "middle"; allowed "upper" or "lower"',
    ),
    (LINKAGE, STRUT, "front.alignment.upper_axis: found on a strut, which has no upper arm; remo"),
    (
        REAR_DAMPER,
        f"alignment = {{ {CAMBER} }}\n{REAR_DAMPER}",
        "rear.alignment: found on a solid axle, whose camber no lift moves; allowed on indepen",
    ),
    (
        FRONT,
        f'{FRONT}, base = "900 mm"',
        "front.damper.base: found on independent suspension; it takes motion_ratio instead",
    ),
    (
        ", motion_ratio = 0.5",
        "",
        "front.damper.motion_ratio: missing; independent suspension needs it; add it",
    ),
    (
        REAR,
        f"{REAR}, motion_ratio = 0.5",
        "rear.damper.motion_ratio: found on a solid axle; it takes base instead",
    ),
    (', base = "1000 mm" }\nsus', " }\nsus", "rear.damper.base: missing; a solid axle needs it"),
    (
        REAR,
        REAR.replace("400", "501"),
        "rear.damper.mount_height: found 501 mm; allowed up to the length as weighed, 500 mm",
    ),
    (
        REAR,
        REAR.replace("500", "600"),
        "rear.damper.length: found 600 mm; allowed from closed_length, 380 mm, to open_length, "
        "560 mm; measure all three from eye to eye",
    ),
    (
        REAR_DAMPER,
        REAR_DAMPER + LEAF.replace(', shackle_angle = "18 deg"', ""),
        "rear.leaf_and_shackle.shackle_angle: missing; allowed shackle_angle alone",
    ),
    (
        REAR_DAMPER,
        REAR_DAMPER + LEAF.replace(" }", ', hanger_height = "660 mm" }'),
        "rear.leaf_and_shackle.shackle_angle: beside hanger_height and axle_to_hanger; allowed",
    ),
    (
        REAR_DAMPER,
        REAR_DAMPER + LEAF.replace('shackle_angle = "18 deg"', 'hanger_height = "660 mm"'),
        "rear.leaf_and_shackle.axle_to_hanger: missing; hanger_height and axle_to_hanger belong",
    ),
    (
        REAR_DAMPER,
        REAR_DAMPER + LEAF.replace(LEVELLED, _hanger(720, 635)),
        "rear.leaf_and_shackle.hanger_height: found with axle_to_hanger the bolt 161 mm from the "
        "spring's eye; allowed shackle_length, 110 mm, within 10 mm; measure both places again",
    ),
    (
        REAR_DAMPER,
        REAR_DAMPER + LEAF.replace(LEVELLED, _hanger(466, 593)),
        "rear.leaf_and_shackle.hanger_height: found with axle_to_hanger the shackle at 149 deg "
        "from square to the frame; allowed -60 deg to 80 deg: it hangs from the frame; measure",
    ),
    (
        REAR_DAMPER,
        REAR_DAMPER
        + LEAF.replace('"18 deg"', '"80 deg"').replace(
            'shackle_eye_height = "560 mm"', 'shackle_eye_height = "300 mm"'
        ),
        "rear.leaf_and_shackle: found the spring's eye above the line from the fixed eye to the sh",
    ),
    (
        REAR_DAMPER,
        REAR_DAMPER + LEAF.replace('seat_height = "478 mm", ', ""),
        "rear.leaf_and_shackle.seat_height: missing; allowed 50 mm to 1500 mm; add it (tape",
    ),
    (
        REAR_DAMPER,
        REAR_DAMPER + LEAF.replace(" }", ', shackle_end = "left" }'),
        'rear.leaf_and_shackle.shackle_end: found "left"; allowed "rear" or "front"',
    ),
    (
        FRONT_DAMPER,
        FRONT_DAMPER + LEAF,
        "front.leaf_and_shackle: found on independent suspension; allowed on a solid axle",
    ),
    (
        CHANGE,
        f'{CHANGE}rear_damper = {{ open_length = "400 mm", closed_length = "450 mm" }}\n',
        "change.rear_damper.closed_length: found 450 mm; allowed less than open_length, 400 mm",
    ),
    (
        CHANGE,
        f'{CHANGE}rear_damper = {{ open_length = "600 mm" }}\n',
        "change.rear_damper.closed_length: missing; allowed 80 mm to 1200 mm; add it",
    ),
]


def _fields(model, prefix):
    """Every key that takes a quantity, a list of them or a word, with a value that it cannot."""
    for name, field in model.model_fields.items():
        how = next((one for one in field.metadata if isinstance(one, Measured | OneOf)), None)
        if how is not None:
            yield f"{prefix}.{name}", ["7 kg"] * 2 if getattr(how, "many", False) else "7 kg"


def test_every_key_refuses_what_it_cannot_be_by_name():
    """A mass where a length, an angle, a ratio or a word is wanted."""
    text = text_with((REAR_DAMPER, REAR_DAMPER + LEAF), (CHANGE, CHANGE + _new_damper()))
    tables = (
        (AlignmentTable, "front.alignment"),
        (AlignmentReadingTable, "front.alignment.readings_after"),
        (TieRodTable, "front.alignment.tie_rod"),
        (DamperTable, "rear.damper"),
        (DamperLengthsTable, "change.rear_damper"),
        (LeafAndShackleTable, "rear.leaf_and_shackle"),
    )
    each = dict(one for table, prefix in tables for one in _fields(table, prefix))
    assert len(each) > 35
    found = errors(changed(text, each))  # all of a file at once
    assert [key for key in each if not any(f": {key}: found " in line for line in found)] == []


def errors(text: str) -> tuple[str, ...]:
    with pytest.raises(ScenarioError) as wrong:
        scenario.loads(text, "a.toml")
    return wrong.value.errors


def test_each_error_names_its_key_and_what_to_do():
    wrong = []
    for old, new, expected in ONE_ERROR:
        found = errors(text_with((old, new)).partition("\n[rear_bar]")[0])
        if len(found) != 1 or not found[0].startswith(f"a.toml: {expected}"):
            wrong.append((expected, found))
    assert wrong == []


def test_parts_that_need_the_linkage_say_so_all_at_once():
    text = text_with().replace(
        LINKAGE, 'roll_centre_height = "85 mm"\nroll_centre_travel_ratio = 1.0\n'
    )
    found = errors(text.replace(REAR_DAMPER, "", 1).replace(CHANGE, CHANGE + _new_damper(), 1))
    assert [line.split(": ")[1] for line in found] == [
        "front.alignment.upper_axis",
        "front.alignment.lower_axis",
        "front.alignment.tie_rod",
        "change.rear_damper",
    ]
    assert all("found without" in line for line in found)


def test_a_link_without_length_is_refused():
    own = LINKAGE.removeprefix("roll_centre = { ").replace(" } }", " }")
    stated = 'roll_centre_height = "85 mm"\nroll_centre_travel_ratio = 1.0\n'
    flat = own.replace('["640 mm", "560 mm"]', '["400 mm", "545.001 mm"]')
    assert flat != own
    (found,) = errors(
        text_with((LINKAGE, stated), ("[front.alignment]\n", f"[front.alignment]\n{flat}"))
    )
    assert "front.alignment.double_wishbone.upper_pivot: found 0.001 mm from upper_ball_" in found
    assert "allowed 30 mm or more; measure both again" in found
    strut = STRUT.removeprefix("roll_centre = { ").replace(" } }", " }")
    gone = strut.replace('["640 mm", "420 mm"]', '["560 mm", "900 mm"]')
    (found,) = errors(
        text_with((LINKAGE, stated), ("[front.alignment]\n", f"[front.alignment]\n{gone}"))
    )
    assert "front.alignment.strut.top_mount: found 0 mm from tube; allowed 30 mm" in found


def _new_damper() -> str:
    return 'rear_damper = { open_length = "600 mm", closed_length = "400 mm" }\n'


def test_a_damper_that_was_on_when_weighed_is_the_one_that_stands():
    """Fitted before weighing, it may stand longer than the old one opens."""
    stands = (REAR, REAR.replace("500", "580"))
    new = (CHANGE, f"{CHANGE}on_when_weighed = true\n{_new_damper()}")
    job = scenario.loads(text_with(stands, new), "a.toml").job
    assert job.change.rear_damper.open == 0.6
    assert job.vehicle.rear.damper.length == 0.58


def test_how_well_the_readings_are_known():
    """The widest of the stated tolerances; 5 mm where one has none."""
    read = scenario.loads(text_with(), "a.toml").job.vehicle
    assert read.front.alignment.reading_error == READING_ERROR
    sure = (REAR, REAR.replace("500 mm", "500 mm ± 8 mm"))
    assert scenario.loads(text_with(sure), "a.toml").job.vehicle.rear.damper.reading_error == 0.008
    assert scenario.loads(PLAIN, "a.toml").job.vehicle.front.alignment is None
    assert ALIGNMENT in text_with()


def test_the_roll_centres_readings_serve_the_leaf_too():
    """The five places once, the shackle's angle from the tape: 34 mm over 105 mm."""
    places = (
        'front_eye_height = "560 mm", rear_eye_height = "545 mm", seat_height = "478 mm", '
        'front_eye_to_axle = "620 mm", axle_to_rear_eye = "680 mm"'
    )
    centre = 'roll_centre_height = "470 mm ± 30 mm"\nroll_centre_travel_ratio = 0.5\n'
    shackle = (
        'leaf_and_shackle = { shackle_length = "110 mm", hanger_height = "650 mm", '
        'axle_to_hanger = "646 mm" }\n'
    )
    both = (centre, f"roll_centre = {{ leaf_springs = {{ {places} }} }}\n{shackle}")
    leaf = scenario.loads(text_with(both), "a.toml").job.vehicle.rear.leaves
    assert (leaf.fixed_eye, leaf.shackle_eye, leaf.seat) == (0.56, 0.545, 0.478)
    assert math.tan(leaf.shackle_angle) == pytest.approx(34.0 / 105.0)
    assert not leaf.angle_is_measured
    front = shackle.replace("650 mm", "665 mm").replace("646 mm", '586 mm", shackle_end = "front')
    turned = (both[0], both[1].replace(shackle, front))
    leaf = scenario.loads(text_with(turned), "a.toml").job.vehicle.rear.leaves
    assert (leaf.fixed_eye, leaf.fixed_to_axle, leaf.shackle_at_rear) == (0.545, 0.68, False)


def test_a_linkage_of_the_alignment_that_is_not_the_axles_is_noted():
    """By hand: slopes of 15/240 and −30/360 meet 1423 mm past the middle, 431 mm up.

    From there to the patch at 780 mm the centreline is crossed at 431 × 780/2203 = 153 mm.
    """
    own = LINKAGE.removeprefix("roll_centre = { ").replace(" } }", " }")
    stated = 'roll_centre_height = "85 mm"\nroll_centre_travel_ratio = 1.0\n'
    apart = ((LINKAGE, stated), ("[front.alignment]\n", f"[front.alignment]\n{own}"))
    notes = scenario.loads(text_with(*apart), "a.toml").notes
    (note,) = (one for one in notes if one.startswith("front.alignment: its linkage puts"))
    assert "at 153 mm, the axle has it at 85 mm" in note
    near = (apart[0][0], stated.replace("85 mm", "140 mm")), apart[1]
    notes = scenario.loads(text_with(*near), "a.toml").notes
    assert not any("its linkage puts" in one for one in notes)


def test_what_the_documentation_shows_is_read():
    docs = (ROOT / "docs" / "scenario-format.md").read_text(encoding="utf-8")
    blocks = re.findall(r"^```toml\n(.*?)^```$", docs, re.M | re.S)
    own = ("[front.alignment]", "[rear.damper]", "[rear.leaf_and_shackle]")
    shown = [block for block in blocks if block.startswith(own)]
    assert len(shown) == len(own)
    text = f"{text_with((ALIGNMENT, ''), (REAR_DAMPER, ''))}\n" + "\n".join(shown)
    vehicle = scenario.loads(text, "a.toml").job.vehicle
    assert vehicle.front.alignment.corner.tie_rod is not None
    assert vehicle.rear.damper.base == 0.86
    assert vehicle.rear.leaves.eye_offset == 0.026
