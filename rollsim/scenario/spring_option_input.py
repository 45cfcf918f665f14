"""Spring options from the file's tables."""

from collections.abc import Sequence
from dataclasses import fields, replace

from rollsim.bar import ShelfPart
from rollsim.scenario.bounds import MOST_TABLES
from rollsim.scenario.errors import Problems
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.schema import Document, SpringOptionTable
from rollsim.scenario.shelf import listed, read_shelf, shelf_name
from rollsim.scenario.shelf_springs import ShelfSpring
from rollsim.scenario.springs_input import SpringSeat, build_spring
from rollsim.scenario.table import Beside
from rollsim.units import shown
from rollsim.vehicle import SpringOption, Suspension

_SHELF = "spring_shelf"


def build_spring_options(
    ledger: Ledger,
    tables: Sequence[SpringOptionTable],
    seats: dict[str, SpringSeat],
    *,
    first: int = 1,
) -> tuple[SpringOption, ...]:
    """Build every [[spring_option]], in the order of the file.

    They mean something only while the ledger holds no error. `seats` are where the springs stand,
    by axle; `first` is the number of the first.
    """
    found: list[SpringOption] = []
    numbers: dict[str, int] = {}
    for number, table in enumerate(tables, first):
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


def shelf_options(
    ledger: Ledger,
    document: Document,
    seats: dict[str, SpringSeat],
    *,
    folder: Beside,
    beside: Sequence[SpringOption],
) -> tuple[SpringOption, ...]:
    """Every spring of the shelf that can sit on this vehicle, as an option of its own.

    `beside` are the options of the file.
    """
    shelf = document.spring_shelf
    if shelf is None:
        return ()
    held, name = read_shelf(folder, shelf), shelf_name(shelf)
    for words in held.wrong:
        ledger.problems.add(_SHELF, words)
    if not held.springs and not held.wrong:
        ledger.problems.add(_SHELF, f"{name} holds no coil and no pack; add one")
    if ledger.problems.found:
        return ()  # what sits where is only known on a vehicle without an error
    taken = {one.name.casefold() for one in beside}
    found: list[SpringOption] = []
    out: list[str] = []
    for spring in held.springs:
        if spring.part.casefold() in taken:
            words = f"{name}: part {spring.part} is the name of a [[spring_option]] already"
            ledger.problems.add(_SHELF, f"{words}; give that another")
        number = len(beside) + len(found) + 1
        option = _seated(ledger, spring, document, seats, number=number)
        (out if isinstance(option, str) else found).append(option)
    if out:
        words = "springs does" if len(out) == 1 else "springs do"
        ledger.notes.append(
            f"spring_shelf: {len(out)} of {len(held.springs)} {words} not fit this vehicle: "
            + listed(out)
        )
    most = MOST_TABLES["spring_option"]
    if len(beside) + len(found) > most:
        ledger.problems.add(
            _SHELF,
            f"{name}: {len(found)} springs fit this vehicle, with {len(beside)} [[spring_option]]; "
            f"allowed up to {most} together; keep those in question on a shelf of their own",
        )
    return tuple(found)


def _seated(
    ledger: Ledger,
    spring: ShelfSpring,
    document: Document,
    seats: dict[str, SpringSeat],
    *,
    number: int,
) -> SpringOption | str:
    """A spring of the shelf as the option of that number, or why it cannot sit there."""
    aside = Ledger(Problems(""), ledger.vehicle_class)
    table = _as_option(spring, document, seats)
    (option,) = build_spring_options(aside, [table], seats, first=number)
    if aside.problems.found:
        key = f"spring_option[{number}].{spring.axle}"
        why = aside.problems.found[0].removeprefix(key).lstrip(".: ")
        return f"{spring.part} ({spring.axle}: {why})"
    ledger.go_on_with(aside)
    part = {one.name: getattr(spring, one.name) for one in fields(ShelfPart)}
    return replace(option, part=ShelfPart(**part))


def _as_option(
    spring: ShelfSpring, document: Document, seats: dict[str, SpringSeat]
) -> SpringOptionTable:
    """As a table of the file; without a motion ratio it has that of the vehicle's own spring."""
    table, seat = spring.table, seats.get(spring.axle)
    if table.motion_ratio is None and seat and seat.suspension is Suspension.INDEPENDENT:
        own = getattr(document, spring.axle).spring
        table = table.model_copy(update={"motion_ratio": getattr(own, "motion_ratio", None)})
    foreign = seat is not None and seat.height_is_of_leaf and spring.is_coil
    if table.free_height is not None and (seat is None or seat.height is None or foreign):
        # A shelf says it of every vehicle: where this one's own height is not known, it rests.
        table = table.model_copy(update={"free_height": None})
    given = {spring.axle: table, f"{spring.axle}_rated_load": spring.rated_load}
    return SpringOptionTable.model_construct(name=spring.part, **given)
