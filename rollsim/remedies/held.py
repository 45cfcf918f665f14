"""What must not move while something else is changed: the target, and what a test put right."""

from rollsim.scenario import Scenario
from rollsim.scenario.correcting import lean_test_held
from rollsim.sizing import Sizing
from rollsim.units import to_unit


def hold(data: dict, scenario: Scenario, sizing: Sizing) -> frozenset[str]:
    """Put what must not move into the tables as figures, and name the tables changed.

    `data` is changed; the scenario and the sizing are those of these tables.

    Notes
    -----
    "Less than now" would move with now. The readings of a lean test were taken before anything was
    changed: read against the changed vehicle they would calibrate the change away.
    """
    held: set[str] = set()
    if sizing.less_than_now is not None:
        wanted = to_unit(sizing.target, "deg/g")
        data.setdefault("target", {})["roll_gradient"] = f"{wanted:.9g} deg/g"
        held.add("target")
    for key, value in lean_test_held(data, scenario).items():
        table, _, name = key.partition(".")
        data[table][name] = value
        held.add(table)
    return frozenset(held)
