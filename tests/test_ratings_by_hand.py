"""Axle loads against ratings for each scenario, worked out by hand from the numbers in its file."""

import pytest

from rollsim.spring_check import spring_checks
from tests.builders import ROOT, job

# Lever rule: a load of m at x behind the front axle puts m x / L on the rear axle and the rest on
# the front. The settled vehicle is nose up or down by a few centimetres, which moves its CG a
# little and 1 to 4 kg from axle to axle; where that is more, the row says how much.
# file: (state, front axle, rear axle, kg moved by pitch, on the roof, what is over its rating)
BY_HAND = {
    "arrives-loaded-and-lifted": [  # L 3120; taken off: 60 at 3000, 65 at 2700, 90 at 3050 mm
        # rear 57.7 + 56.3 + 88.0 = 202; front the rest of 215 = 13; ratings 1500, 1900, 3200, 100
        ("unladen", 1155 - 13, 1060 - 202, 5, 0, set()),
        ("as_used", 1155, 1060, 0, 65, set()),
    ],
    "balance-gate-binds": [  # L 3100: 260 at 2950, 60 at 2000; ratings 1480, 1850, 3150, 100
        ("unladen", 1120, 850, 0, 0, set()),
        # rear 247.4 + 38.7 = 286, front the rest of 320 = 34
        ("as_used", 1120 + 34, 850 + 286, 8, 60, set()),  # rear sinks 44 mm, CG 7 mm aft
    ],
    "beyond-a-bar": [  # L 3085: 820 at 2900, 140 at 2000; ratings 1450, 1650, 2850, roof 80
        ("unladen", 1110, 840, 0, 0, set()),
        # rear 770.8 + 90.8 = 862, front the rest of 960 = 98: 1702 of 1650, 2910 of 2850, 140 of 80
        # nose up by some 90 mm under a CG 0.9 m above the front roll centre: 26 mm aft, 22 kg
        (
            *("as_used", 1110 + 98, 840 + 862, 25, 140),
            {"rear_axle", "gross_vehicle_mass", "roof_load"},
        ),
    ],
    "crew-cab-touring": [  # L 3085; ratings 1480, 1850, 3150, roof 100
        ("unladen", 1130, 860, 0, 0, set()),
        # 160 at 2900 and 60 at 3000: rear 150.4 + 58.3 = 209, front the rest of 220 = 11
        ("work week", 1130 + 11, 860 + 209, 5, 0, set()),
        # 60 at 3000, 62 at 1750, 80 at 2800: rear 58.3 + 35.2 + 72.6 = 166, front 202 - 166 = 36
        ("touring", 1130 + 36, 860 + 166, 5, 62, set()),
    ],
    "high-roof-van": [  # L 3650: 150 at 2900, 40 at 2000; ratings 1750, 1900, 3300, roof 150
        ("unladen", 1115, 875, 0, 0, set()),
        # rear 119.2 + 21.9 = 141, front the rest of 190 = 49
        ("as_used", 1115 + 49, 875 + 141, 5, 40, set()),
    ],
    "independent-rear-with-bar": [  # L 2850: 75 at 1500, 90 at 2800; ratings 1400, 1550, 2800, 100
        ("unladen", 1080, 1000, 0, 0, set()),
        # rear 39.5 + 88.4 = 128, front the rest of 165 = 37
        ("as_used", 1080 + 37, 1000 + 128, 5, 75, set()),
    ],
    "low-car": [  # L 2700: 50 at 1300; roof rating 75, no other
        ("unladen", 800, 600, 0, 0, set()),
        ("as_used", 800 + 26, 600 + 24, 1, 50, set()),
    ],
    "wagon-roof-load": [  # L 2800: 75 at 1500, 80 at 2650; ratings 1450, 1750, 2950, roof 120
        ("unladen", 1130, 1020, 0, 0, set()),
        # rear 40.2 + 75.7 = 116, front the rest of 155 = 39
        ("as_used", 1130 + 39, 1020 + 116, 5, 75, set()),
    ],
}


def test_every_demo_has_its_rows():
    shown = {path.stem for path in ROOT.glob("scenarios/*.toml")}
    assert set(BY_HAND) == {name for name in shown if not name.endswith("-imperial")}


@pytest.mark.parametrize("name", BY_HAND)
def test_ratings_by_hand(name):
    found = {c.name: c for c in spring_checks(job(ROOT / "scenarios" / f"{name}.toml"))}
    for state, front, rear, pitch, roof, over in BY_HAND[name]:
        check = found[state]
        rounding = 1.0  # of the sums above, to whole kg
        assert check.front.axle_mass == pytest.approx(front, abs=pitch + rounding), state
        assert check.rear.axle_mass == pytest.approx(rear, abs=pitch + rounding), state
        both = check.front.axle_mass + check.rear.axle_mass
        assert both == pytest.approx(front + rear, abs=rounding)
        assert {r.name for r in check.ratings if r.over} == over, state
        (on_roof,) = (r.load for r in check.ratings if r.name == "roof_load")
        assert on_roof == pytest.approx(roof, abs=0.01), state
