"""A front bar, alone or with a rear one, as the change of a file's own tables."""

import copy

from rollsim.remedies.bought import as_bought, put_bought
from rollsim.remedies.held import hold
from rollsim.remedies.measures import one_stock
from rollsim.scenario import Scenario
from rollsim.scenario.bounds import parsed
from rollsim.sizing import Candidate, Pair, Sizing


def pair_change(text: str, scenario: Scenario, sizing: Sizing) -> str:
    """The tables that put a sizing's pair into its file, as TOML; empty where there is none.

    The front bar is one of the changes; of [rear_bar] only the bar of the pair is left, or all of
    it where the front bar alone does it. What must not move is held, so the file that has it gives
    the lean and the share that the pair promises.
    """
    pair = sizing.pair
    if not isinstance(pair, Pair):
        return ""
    import tomlkit  # only where something is to be pasted

    data = copy.deepcopy(parsed(text))
    held = hold(data, scenario, sizing)
    own = data["front_bar"].get("shape", data["front"]["bar"])
    material = data["front_bar"].get("material", own.get("material"))
    new = {**own, "section": pair.front.section.label, "material": material}
    data.setdefault("change", {})["front_bar"] = new
    names = held | {"change"}
    if pair.rear is not None:
        _narrow(data["rear_bar"], scenario, pair.rear)
        names |= {"rear_bar"}
    return tomlkit.dumps({name: data[name] for name in data if name in names})


def _narrow(table: dict, scenario: Scenario, rear: Candidate) -> None:
    """Leave of [rear_bar] the section, the steel and the hole of the pair."""
    if rear.part is not None:
        put_bought(table, as_bought(table, scenario.rear_bar, rear))
    number = next(
        n
        for n, stock in enumerate(scenario.rear_bar.stocks)
        if stock.steel == rear.steel and rear.section in stock.sections
    )
    material = (table["stock"][number] if "stock" in table else table)["material"]
    one_stock(table, material, [rear.section.label])
    if "arm_holes" in table:
        place = rear.hole if rear.part is None else rear.part.holes.index(rear.hole)
        table["arm_holes"] = [table["arm_holes"][place]]
