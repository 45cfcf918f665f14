"""The cells of a shop's shelf: which columns there are, and one row's cells with what is wrong."""

import difflib
import math
import re
from collections.abc import Callable
from typing import Any

from pydantic_core import PydanticCustomError

from rollsim.bar import ShelfPart
from rollsim.scenario.bar_tables import MaterialTable, RearBarTable
from rollsim.scenario.keys import Measured
from rollsim.scenario.schema import SpringOptionTable
from rollsim.scenario.spring_tables import (
    HelicalTable,
    LeafPackTable,
    SecondStage,
    SpringTable,
)
from rollsim.scenario.table_base import Table
from rollsim.units import Dimension, Quantity, from_unit, shown

BAR, COIL, PACK = "bar", "coil", "pack"
_WORDS = (*("part", "kind", "axle", "section", "material", "price", "currency", "weeks", "note"),)
_OF_THE_BAR = (
    *("centre_length", "arm_holes", "arm_splay", "bend_radius", "link_rate", "link_length"),
)
_LONGEST_PART, _HIGHEST_PRICE, _MOST_WEEKS = 60, 1e9, 520


def _measured(table: type[Table], name: str) -> Measured | None:
    found = table.model_fields[name].metadata
    return next((how for how in found if isinstance(how, Measured)), None)


def _all_measured(table: type[Table]) -> dict[str, Measured]:
    found = {name: _measured(table, name) for name in table.model_fields}
    return {name: how for name, how in found.items() if how is not None}


OF_A_SPRING = {
    name: how
    for name, how in _all_measured(SpringTable).items()
    if name not in ("wheel_rate", "loop_width")
}
SECOND_STAGE = {f"second_stage_{name}": how for name, how in _all_measured(SecondStage).items()}
DIMENSIONS = {COIL: _all_measured(HelicalTable), PACK: _all_measured(LeafPackTable)}
RATED = "rated_load"
_BARS = {
    **{name: _measured(RearBarTable, name) for name in _OF_THE_BAR},
    "allowable_stress": _measured(MaterialTable, "allowable_stress"),
    "mass": Measured("scales, without links", Dimension.MASS, 0.1, 100, "kg"),
}
MEASURED = {
    **_BARS,
    **OF_A_SPRING,
    **SECOND_STAGE,
    **DIMENSIONS[COIL],
    **DIMENSIONS[PACK],
    RATED: _measured(SpringOptionTable, f"front_{RATED}"),
}
_OWN = {
    BAR: {"section", "material", *_BARS},
    COIL: {*OF_A_SPRING, RATED, *DIMENSIONS[COIL]},
    PACK: {*OF_A_SPRING, *SECOND_STAGE, RATED, *DIMENSIONS[PACK]},
}
KINDS = tuple(_OWN)
_NEEDED = {True: ("part",), False: ("part", "section", "material")}
"""Headings, by whether there is one for the kind; without it all are bars."""
_NAMES = sorted([*MEASURED, *_WORDS], key=len, reverse=True)  # "rate" begins "rated_load"
_HEAD = re.compile(rf"({'|'.join(_NAMES)})(?:[ _]?[(\[]?([A-Za-z][\w/*]*)[)\]]?)?")


def columns(head: list[str]) -> dict[str, tuple[int, str]]:
    """Place and unit of each column; ValueError where a heading is none."""
    found: dict[str, tuple[int, str]] = {}
    for place, cell in enumerate(head):
        if not cell.strip():
            continue
        match = _HEAD.fullmatch(cell.strip())
        if match is None or (match[2] and match[1] in _WORDS):
            raise ValueError(_unknown(cell.strip()))
        name, unit = match[1], (match[2] or "").replace("_per_", "/")
        if name in found:
            raise ValueError(f"the heading {shown(name)} stands twice; remove one of them")
        if name in MEASURED:
            _check_unit(cell.strip(), name, unit)
        found[name] = place, unit
    missing = [name for name in _NEEDED["kind" in found] if name not in found]
    if missing:
        raise ValueError(
            f"no heading {', '.join(missing)}; allowed {_allowed()}; head the columns so"
        )
    return found


def _check_unit(heading: str, name: str, unit: str) -> None:
    how = MEASURED[name]
    example = heading_of(name)
    if not unit and how.unit:
        raise ValueError(f"the heading {shown(heading)} has no unit; write {example}")
    try:
        from_unit(1.0, unit or how.unit, how.dimension)
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
    names = [*_NEEDED[False], "kind", "axle", *map(heading_of, MEASURED)]
    return ", ".join([*names, "price", "currency", "weeks", "note"])


def heading_of(name: str) -> str:
    """A column with its unit, as it is headed."""
    unit = MEASURED[name].unit.replace("/", "_per_")
    return f"{name}_{unit}" if unit else name


class Cells:
    """One row: its cells by name, and all that is wrong with them."""

    def __init__(self, columns: dict[str, tuple[int, str]], cells: list[str]) -> None:
        self.wrong: list[str] = []
        self._units = {name: unit for name, (_, unit) in columns.items()}
        self._cells = {
            name: cells[place].strip() if place < len(cells) else ""
            for name, (place, _) in columns.items()
        }
        part = self.text("part")
        self.part = part if part.isprintable() and len(part) <= _LONGEST_PART else ""
        self.kind = self.text("kind").casefold() or BAR
        if self.kind not in KINDS:
            self.wrong.append(
                f"kind: found {shown(self.text('kind'))}; allowed {', '.join(KINDS)}; write one, "
                "or nothing for a bar"
            )
            return
        foreign = {name for own in _OWN.values() for name in own} - _OWN[self.kind]
        self.wrong += [
            f"{name}: not for a {self.kind}; leave it empty"
            for name in self._cells
            if name in foreign and self.text(name)
        ]

    def text(self, name: str) -> str:
        """A cell; empty where it is, or where there is no such column."""
        return self._cells.get(name, "")

    def with_unit(self, name: str) -> str:
        """A cell with the unit of its heading; empty where it is."""
        cell = self.text(name)
        return cell and (cell if cell in MEASURED[name].words else f"{cell} {self._units[name]}")

    def shelf_part(self) -> ShelfPart:
        """What every part has."""
        if not self.part:
            self.wrong.append(
                f"part: found {shown(self.text('part'))}; allowed a number or name of up to "
                f"{_LONGEST_PART} characters; write one for each"
            )
        price, currency = self._price()
        weeks = self._number("weeks", _MOST_WEEKS)
        return ShelfPart(part=self.part, price=price, currency=currency, weeks=weeks)

    def attempt(self, name: str, make: Callable[[], Any]) -> Any:
        """What `make` gives, or None with the error noted."""
        try:
            return make()
        except PydanticCustomError as error:
            self.wrong.append(f"{name}: {error.message()}")
        except ValueError as error:
            self.wrong.append(f"{name}: {error}")
        return None

    def one(self, name: str) -> Quantity | str | None:
        """A quantity, or a word for one; None where there is none, or it was refused."""
        text = self.with_unit(name)
        return self.attempt(name, lambda: MEASURED[name].read(text.strip())) if text else None

    def value(self, name: str) -> float | None:
        """A quantity in SI."""
        return si(self.one(name))

    def many(self, name: str) -> list[str]:
        """Values between spaces or strokes, each with the unit of the heading."""
        return [f"{one} {self._units[name]}" for one in re.split(r"[\s/]+", self.text(name)) if one]

    def _price(self) -> tuple[float | None, str]:
        """Price and currency, which need each other."""
        price, currency = self._number("price", _HIGHEST_PRICE), self.text("currency")
        if not self.text("price"):
            return None, ""
        if not re.fullmatch(r"[A-Za-z]{3}", currency):
            self.wrong.append(
                f"currency: found {shown(currency)} beside a price; allowed three letters such as "
                "EUR; write it, prices are never converted"
            )
        return price, currency.upper()

    def _number(self, name: str, most: float) -> float | None:
        cell = self.text(name)
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


def si(found: Quantity | None) -> float | None:
    """The value of a quantity, if there is one."""
    return None if found is None else found.value
