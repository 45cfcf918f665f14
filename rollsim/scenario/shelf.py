"""The shop's shelf: a CSV of what it can have, read row by row, all errors at once."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields

from rollsim.bar import (
    LINK_RATES,
    BarShape,
    Section,
    ShelfPart,
    Steel,
    find_steel,
    parse_section,
    straight_u,
)
from rollsim.scenario.shelf_cells import (
    DIMENSIONS,
    KINDS,
    MEASURED,
    Cells,
    columns,
    heading_of,
    si,
)
from rollsim.scenario.shelf_springs import ShelfSpring, read_spring
from rollsim.scenario.table import MORE_CELLS, Beside, csv_rows, table_text
from rollsim.units import shown

MOST_PARTS = 500
_NAMED = 5
INLINE = "the shelf in the file"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfRow(ShelfPart):
    """One bar of the shelf in SI; None marks what its row leaves to [rear_bar], or does not say."""

    section: Section
    steel: Steel
    shapes: tuple[BarShape, ...] | None
    link_rate: float | None
    link_length: float | None
    mass: float | None


@dataclass(frozen=True, slots=True)
class Shelf:
    """What a shelf holds, and every error of it in a sentence."""

    bars: tuple[ShelfRow, ...] = ()
    springs: tuple[ShelfSpring, ...] = ()
    wrong: tuple[str, ...] = ()


def is_inline(shelf: str) -> bool:
    """Whether the key holds the CSV itself, not the name of one."""
    return "\n" in shelf.strip()


def read_shelf(folder: Beside, shelf: str) -> Shelf:
    """Every part of a shelf, or all that is wrong with it.

    `shelf` is the name of a CSV beside the scenario, or the CSV. A cell that is left empty is not
    given; the shapes of a bar are None where its row has neither centre length nor holes.
    """
    name = shelf_name(shelf)
    try:
        text = shelf if is_inline(shelf) else table_text(folder, shelf)
        lines = csv_rows(text)
        heads = columns(lines[0][1] if lines else [])
    except ValueError as error:
        words = str(error)
        whole = words.startswith(("found", name))
        return Shelf(wrong=(words if whole else f"{name}: {words}",))
    if not 2 <= len(lines) <= MOST_PARTS + 1:
        words = f"allowed 1 to {MOST_PARTS}, a row each; keep what the shop can have"
        return Shelf(wrong=(f"{name} has {len(lines) - 1} parts; {words}",))
    bars, springs, wrong, parts = [], [], [], set()
    for number, row in lines[1:]:
        cells = Cells(heads, row)
        if any(cell.strip() for cell in row[len(lines[0][1]) :]):
            cells.wrong.append(MORE_CELLS)
        found = None
        if cells.kind in KINDS:
            found = read_spring(cells) if cells.kind in DIMENSIONS else _read_bar(cells)
        where = f"{name} row {number}{f' ({cells.part})' if cells.part else ''}"
        if cells.part and cells.part in parts:
            cells.wrong.append("this part stands twice; remove one of them")
        parts.add(cells.part)
        wrong += [f"{where}: {words}" for words in cells.wrong]
        if found is not None:
            (springs if cells.kind in DIMENSIONS else bars).append(found)
    return Shelf(tuple(bars), tuple(springs), tuple(wrong))


def shelf_name(shelf: str) -> str:
    """What a shelf is called in a message."""
    return INLINE if is_inline(shelf) else shown(shelf)


def listed(words: Sequence[str]) -> str:
    """The first of them, and how many more there are."""
    more = len(words) - _NAMED
    return "; ".join(words[:_NAMED]) + (f"; and {more} more" if more > 0 else "")


def with_shelf(text: str, csv_text: str) -> str:
    """A scenario (TOML) whose rear bar is chosen from a shelf, which it then holds.

    What the shelf stands instead of goes out. Raises ValueError where the text cannot be changed.
    """
    from rollsim.scenario.editing import changed  # few change a text

    gone = {f"rear_bar.{name}": None for name in ("material", "sections", "stock")}
    return changed(text, {**gone, "rear_bar.shelf": in_lines(csv_text)})


def self_contained(text: str, tables: Mapping[str, str]) -> str:
    """A scenario (TOML) from a sheet, with the shelves that it names put into it.

    For a page, which has the text alone. What cannot be changed stays as it is, to be told there.
    """
    from rollsim.scenario.bounds import parsed
    from rollsim.scenario.editing import changed

    try:
        data = parsed(text)
        bar = data.get("rear_bar")
        named = {
            "spring_shelf": data.get("spring_shelf"),
            "rear_bar.shelf": bar.get("shelf") if isinstance(bar, dict) else None,
        }
        held = {
            key: in_lines(tables[name])
            for key, name in named.items()
            if isinstance(name, str) and name in tables
        }
        return changed(text, held)
    except ValueError:
        return text


def in_lines(csv_text: str) -> str:
    """A CSV as a scenario holds it."""
    return "".join(f"{line.rstrip()}\n" for line in csv_text.strip().splitlines())


def _read_bar(cells: Cells) -> ShelfRow | None:
    """The bar of a row; None where something of it is refused."""
    part = cells.shelf_part()
    if cells.text("axle").casefold() not in ("", "rear"):
        cells.wrong.append("axle: bars of a shelf are for the rear; leave it empty")
    section, steel = _section(cells), _steel(cells)
    if section is not None and steel is not None:
        cells.attempt("section", lambda: steel.allowable_stress(section.outer_diameter))
    shapes = _shapes(cells)
    rate = cells.one("link_rate")
    length, mass = cells.value("link_length"), cells.value("mass")
    if cells.wrong:
        return None
    return ShelfRow(
        **{one.name: getattr(part, one.name) for one in fields(ShelfPart)},
        section=section,
        steel=steel,
        shapes=shapes,
        link_rate=LINK_RATES[rate][0] if isinstance(rate, str) else si(rate),
        link_length=length,
        mass=mass,
    )


def _section(cells: Cells) -> Section | None:
    return cells.attempt("section", lambda: parse_section(cells.text("section")))


def _steel(cells: Cells) -> Steel | None:
    name = cells.text("material")
    stress = cells.value("allowable_stress")
    if not cells.text("allowable_stress"):
        otherwise = f"write what it stands under {heading_of('allowable_stress')}"
        return cells.attempt("material", lambda: find_steel(name, otherwise))
    if not name or not name.isprintable():
        cells.wrong.append("material: found nothing; write the steel and its heat treatment")
        return None
    return None if stress is None else Steel(name=name, strengths=((math.inf, stress),))


def _shapes(cells: Cells) -> tuple[BarShape, ...] | None:
    given = [name for name in ("centre_length", "arm_holes") if cells.text(name)]
    others = [name for name in ("arm_splay", "bend_radius") if cells.text(name)]
    if not given and not others:
        return None
    missing = {"centre_length", "arm_holes"} - set(given)
    if missing:
        cells.wrong.append(
            f"{min(missing)}: missing beside {(given + others)[0]}; a shape needs "
            "centre_length and arm_holes; add it, or leave the whole shape to [rear_bar]"
        )
        return None
    centre, splay, radius = map(cells.value, ("centre_length", "arm_splay", "bend_radius"))
    holes = cells.attempt("arm_holes", lambda: MEASURED["arm_holes"].read(cells.many("arm_holes")))
    if centre is None or holes is None or cells.wrong:
        return None
    levers = [hole.value for hole in holes]
    if len(set(levers)) < len(levers):
        cells.wrong.append("arm_holes: a hole stands twice; remove one of them")
        return None
    return cells.attempt("shape", lambda: tuple(_made(centre, levers, splay or 0.0, radius or 0.0)))


def _made(centre: float, levers: list[float], splay: float, radius: float) -> Iterator[BarShape]:
    for lever in levers:
        yield straight_u(centre_length=centre, lever=lever, splay=splay, bend_radius=radius)
