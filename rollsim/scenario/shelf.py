"""The shop's shelf: a CSV of the bars that it can have, read row by row, all errors at once."""

import difflib
import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic_core import PydanticCustomError

from rollsim.bar import (
    LINK_RATES,
    BarShape,
    Section,
    Steel,
    find_steel,
    parse_section,
    straight_u,
)
from rollsim.scenario.bar_tables import MaterialTable, RearBarTable
from rollsim.scenario.keys import Measured
from rollsim.scenario.table import MORE_CELLS, Beside, csv_rows, table_text
from rollsim.units import Dimension, Quantity, from_unit, shown

MOST_BARS_ON_A_SHELF = 500
INLINE = "the shelf in the file"
_WORDS = ("part", "section", "material", "price", "currency", "weeks", "note")
_OF_THE_BAR = (
    *("centre_length", "arm_holes", "arm_splay", "bend_radius", "link_rate", "link_length"),
)
_NEEDED = ("part", "section", "material")
_LONGEST_PART, _HIGHEST_PRICE, _MOST_WEEKS = 60, 1e9, 520


def _measured(table: type, name: str) -> Measured:
    found = table.model_fields[name].metadata
    return next(how for how in found if isinstance(how, Measured))


_MEASURED = {
    **{name: _measured(RearBarTable, name) for name in _OF_THE_BAR},
    "allowable_stress": _measured(MaterialTable, "allowable_stress"),
    "mass": Measured("scales, without links", Dimension.MASS, 0.1, 100, "kg"),
}
_HEAD = re.compile(rf"({'|'.join([*_MEASURED, *_WORDS])})(?:[ _]?[(\[]?([A-Za-z][\w/*]*)[)\]]?)?")


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """One bar of the shelf in SI; None marks what its row leaves to [rear_bar], or does not say."""

    part: str
    section: Section
    steel: Steel
    shapes: tuple[BarShape, ...] | None
    link_rate: float | None
    link_length: float | None
    mass: float | None
    price: float | None
    currency: str
    weeks: float | None


def is_inline(shelf: str) -> bool:
    """Whether the key holds the CSV itself, not the name of one."""
    return "\n" in shelf.strip()


def read_shelf(folder: Beside, shelf: str) -> tuple[list[ShelfRow], list[str]]:
    """Every bar of a shelf, and every error of it in a sentence.

    `shelf` is the name of a CSV beside the scenario, or the CSV. A cell that is left empty is not
    given; shapes are None where a row has neither centre length nor holes.
    """
    name = INLINE if is_inline(shelf) else shown(shelf)
    try:
        text = shelf if is_inline(shelf) else table_text(folder, shelf)
        lines = csv_rows(text)
        columns = _columns(lines[0][1] if lines else [])
    except ValueError as error:
        words = str(error)
        return [], [words if words.startswith(("found", name)) else f"{name}: {words}"]
    if not 2 <= len(lines) <= MOST_BARS_ON_A_SHELF + 1:
        return [], [
            f"{name} has {len(lines) - 1} bars; allowed 1 to {MOST_BARS_ON_A_SHELF}, a row each; "
            "keep what the shop can have"
        ]
    rows, wrong, parts = [], [], set()
    for number, cells in lines[1:]:
        reader = _Row(columns, cells)
        if any(cell.strip() for cell in cells[len(lines[0][1]) :]):
            reader.wrong.append(MORE_CELLS)
        row = reader.read()
        where = f"{name} row {number}{f' ({reader.part})' if reader.part else ''}"
        if reader.part and reader.part in parts:
            reader.wrong.append("this part stands twice; remove one of them")
        parts.add(reader.part)
        wrong += [f"{where}: {words}" for words in reader.wrong]
        if row is not None:
            rows.append(row)
    return rows, wrong


def with_shelf(text: str, csv_text: str) -> str:
    """A scenario (TOML) whose rear bar is chosen from a shelf, which it then holds.

    What the shelf stands instead of goes out. Raises ValueError where the text cannot be changed.
    """
    from rollsim.scenario.editing import changed  # few change a text

    gone = {f"rear_bar.{name}": None for name in ("material", "sections", "stock")}
    return changed(text, {**gone, "rear_bar.shelf": in_lines(csv_text)})


def self_contained(text: str, tables: Mapping[str, str]) -> str:
    """A scenario (TOML) from a sheet, with the shelf that it names put into it.

    For a page, which has the text alone. What cannot be changed stays as it is, to be told there.
    """
    from rollsim.scenario.bounds import parsed

    try:
        bar = parsed(text).get("rear_bar")
        named = bar.get("shelf") if isinstance(bar, dict) else None
        held = isinstance(named, str) and named in tables
        return with_shelf(text, tables[named]) if held else text
    except ValueError:
        return text


def in_lines(csv_text: str) -> str:
    """A CSV as a scenario holds it."""
    return "".join(f"{line.rstrip()}\n" for line in csv_text.strip().splitlines())


def _columns(head: list[str]) -> dict[str, tuple[int, str]]:
    """Place and unit of each column; ValueError where a heading is none."""
    columns: dict[str, tuple[int, str]] = {}
    for place, cell in enumerate(head):
        if not cell.strip():
            continue
        match = _HEAD.fullmatch(cell.strip())
        if match is None or (match[2] and match[1] in _WORDS):
            raise ValueError(_unknown(cell.strip()))
        name, unit = match[1], (match[2] or "").replace("_per_", "/")
        if name in columns:
            raise ValueError(f"the heading {shown(name)} stands twice; remove one of them")
        if name in _MEASURED:
            _check_unit(cell.strip(), name, unit)
        columns[name] = place, unit
    missing = [name for name in _NEEDED if name not in columns]
    if missing:
        raise ValueError(
            f"no heading {', '.join(missing)}; allowed {_allowed()}; head the columns so"
        )
    return columns


def _check_unit(heading: str, name: str, unit: str) -> None:
    how = _MEASURED[name]
    example = f"{name}_{how.unit.replace('/', '_per_')}"
    if not unit:
        raise ValueError(f"the heading {shown(heading)} has no unit; write {example}")
    try:
        from_unit(1.0, unit, how.dimension)
    except ValueError as error:
        raise ValueError(f"the heading {shown(heading)}: {error}; write {example}") from None


def _unknown(heading: str) -> str:
    close = difflib.get_close_matches(heading.lower(), _allowed().split(", "), n=1, cutoff=0.6)
    hint = f"did you mean {close[0]}? " if close else ""
    return (
        f"the heading {shown(heading)} is not known; {hint}allowed {_allowed()}; "
        "words of your own go under note"
    )


def _allowed() -> str:
    units = [f"{name}_{how.unit.replace('/', '_per_')}" for name, how in _MEASURED.items()]
    return ", ".join([*_NEEDED, *units, "price", "currency", "weeks", "note"])


class _Row:
    """One row: its cells by name, and all that is wrong with them."""

    def __init__(self, columns: dict[str, tuple[int, str]], cells: list[str]) -> None:
        self.wrong: list[str] = []
        self._units = {name: unit for name, (_, unit) in columns.items()}
        self._cells = {
            name: cells[place].strip() if place < len(cells) else ""
            for name, (place, _) in columns.items()
        }
        part = self._cells.get("part", "")
        self.part = part if part.isprintable() and len(part) <= _LONGEST_PART else ""

    def read(self) -> ShelfRow | None:
        """The bar; None where something of it is refused."""
        if not self.part:
            self.wrong.append(
                f"part: found {shown(self._cells['part'])}; allowed a number or name of up to "
                f"{_LONGEST_PART} characters; write one for each bar"
            )
        section, steel = self._section(), self._steel()
        if section is not None and steel is not None:
            self._try("section", lambda: steel.allowable_stress(section.outer_diameter))
        shapes = self._shapes()
        rate = self._one("link_rate")
        length, mass = self._value("link_length"), self._value("mass")
        price, currency = self._price()
        weeks = self._number("weeks", _MOST_WEEKS)
        if self.wrong:
            return None
        return ShelfRow(
            part=self.part,
            section=section,
            steel=steel,
            shapes=shapes,
            link_rate=LINK_RATES[rate][0] if isinstance(rate, str) else _si(rate),
            link_length=length,
            mass=mass,
            price=price,
            currency=currency,
            weeks=weeks,
        )

    def _try(self, name: str, make: Callable[[], Any]) -> Any:
        """What `make` gives, or None with the error noted."""
        try:
            return make()
        except PydanticCustomError as error:
            self.wrong.append(f"{name}: {error.message()}")
        except ValueError as error:
            self.wrong.append(f"{name}: {error}")
        return None

    def _section(self) -> Section | None:
        return self._try("section", lambda: parse_section(self._cells["section"]))

    def _steel(self) -> Steel | None:
        name = self._cells["material"]
        stress = self._value("allowable_stress")
        if not self._cells.get("allowable_stress"):
            return self._try("material", lambda: find_steel(name))
        if not name or not name.isprintable():
            self.wrong.append("material: found nothing; write the steel and its heat treatment")
            return None
        return None if stress is None else Steel(name=name, strengths=((math.inf, stress),))

    def _one(self, name: str) -> Quantity | str | None:
        cell = self._cells.get(name)
        if not cell:
            return None
        how = _MEASURED[name]
        text = cell if cell in how.words else f"{cell} {self._units[name]}"
        return self._try(name, lambda: how.read(text))

    def _value(self, name: str) -> float | None:
        return _si(self._one(name))

    def _shapes(self) -> tuple[BarShape, ...] | None:
        given = [name for name in ("centre_length", "arm_holes") if self._cells.get(name)]
        others = [name for name in ("arm_splay", "bend_radius") if self._cells.get(name)]
        if not given and not others:
            return None
        missing = {"centre_length", "arm_holes"} - set(given)
        if missing:
            self.wrong.append(
                f"{min(missing)}: missing beside {(given + others)[0]}; a shape needs "
                "centre_length and arm_holes; add it, or leave the whole shape to [rear_bar]"
            )
            return None
        centre, splay, radius = map(self._value, ("centre_length", "arm_splay", "bend_radius"))
        listed = re.split(r"[\s/]+", self._cells["arm_holes"])
        texts = [f"{one} {self._units['arm_holes']}" for one in listed]
        holes = self._try("arm_holes", lambda: _MEASURED["arm_holes"].read(texts))
        if centre is None or holes is None or self.wrong:
            return None
        levers = [hole.value for hole in holes]
        if len(set(levers)) < len(levers):
            self.wrong.append("arm_holes: a hole stands twice; remove one of them")
            return None
        return self._try("shape", lambda: tuple(_made(centre, levers, splay or 0.0, radius or 0.0)))

    def _price(self) -> tuple[float | None, str]:
        """Price and currency, which need each other."""
        price, currency = self._number("price", _HIGHEST_PRICE), self._cells.get("currency", "")
        if not self._cells.get("price"):
            return None, ""
        if not re.fullmatch(r"[A-Za-z]{3}", currency):
            self.wrong.append(
                f"currency: found {shown(currency)} beside a price; allowed three letters such as "
                "EUR; write it, prices are never converted"
            )
        return price, currency.upper()

    def _number(self, name: str, most: float) -> float | None:
        cell = self._cells.get(name)
        if not cell:
            return None
        number = float(cell) if re.fullmatch(r"\d+\.?\d*", cell) else math.nan
        if not 0.0 <= number <= most:
            self.wrong.append(
                f"{name}: found {shown(cell)}; allowed 0 to {most:g}; write it as a plain number "
                "with a decimal point, or leave it empty"
            )
            return None
        return number


def _si(found: Quantity | None) -> float | None:
    return None if found is None else found.value


def _made(centre: float, levers: list[float], splay: float, radius: float) -> Iterator[BarShape]:
    for lever in levers:
        yield straight_u(centre_length=centre, lever=lever, splay=splay, bend_radius=radius)
