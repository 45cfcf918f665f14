"""Spring options from the file's tables."""

from collections.abc import Sequence

from rollsim.scenario.ledger import Ledger
from rollsim.scenario.schema import SpringOptionTable
from rollsim.scenario.springs_input import SpringSeat, build_spring
from rollsim.units import shown
from rollsim.vehicle import SpringOption


def build_spring_options(
    ledger: Ledger, tables: Sequence[SpringOptionTable], seats: dict[str, SpringSeat]
) -> tuple[SpringOption, ...]:
    """Build every [[spring_option]], in the order of the file.

    They mean something only while the ledger holds no error. `seats` are where the springs stand,
    by axle.
    """
    found: list[SpringOption] = []
    numbers: dict[str, int] = {}
    for number, table in enumerate(tables, 1):
        key = f"spring_option[{number}]"
        plain = " ".join((table.name or "").casefold().split())
        if plain and plain in numbers:
            ledger.problems.add(
                f"{key}.name",
                f"found {shown(table.name)}, the name of spring_option[{numbers[plain]}] already; "
                "give it another",
            )
        numbers.setdefault(plain, number)
        refused = any(ledger.problems.has(f"{key}.{axle}") for axle in ("front", "rear"))
        if table.front is None and table.rear is None and not refused:
            ledger.problems.add(
                key, "found no spring; allowed front, rear or both; add what this option replaces"
            )
        springs = {
            axle: build_spring(ledger, f"{key}.{axle}", given, seat=seats[axle], replaced=True)
            for axle, given in (("front", table.front), ("rear", table.rear))
            if given is not None and axle in seats
        }
        rated = {
            f"{axle}_rated_load": _rated(ledger, key, axle, table) for axle in ("front", "rear")
        }
        found.append(SpringOption(table.name, springs.get("front"), springs.get("rear"), **rated))
    return tuple(found)


def _rated(ledger: Ledger, key: str, axle: str, table: SpringOptionTable) -> float | None:
    """What one spring of the option may carry [N]."""
    name = f"{axle}_rated_load"
    given, spring = getattr(table, name), getattr(table, axle)
    if given is not None and spring is None and not ledger.problems.has(f"{key}.{axle}"):
        ledger.problems.add(
            f"{key}.{name}",
            f"found without {axle}, the spring that it is of; add that, or remove {name}",
        )
    return ledger.take_or_none(f"{key}.{name}", given)
