"""Which inputs a scenario has, and how each is measured: read off the schema."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from functools import cache
from types import UnionType
from typing import Any, get_args, get_origin

from pydantic import BaseModel, WrapValidator
from pydantic.fields import FieldInfo

from rollsim.scenario.keys import (
    CLASS_DEFAULT,
    About,
    Flag,
    Measured,
    NotYet,
    OneOf,
    Points,
    Text,
    is_assumed,
)
from rollsim.scenario.schema import Document
from rollsim.units import TOLERANCE_SIGN

_HOW_WELL = {  # tool named in `measure`, the first that fits: common practice, no source
    "axle-lift": "an axle-lift weighing finds it within about 25 mm",
    "linkage": "drawn to scale: within about 30 mm",
    "scale and tape": "within about 10 %",
    "scale under the wheel": "within about 10 %",
    "scale": "on a level floor within about 1 %",
    "vernier": "within about 0.1 mm; measure at three places",
    "tape": "a tape is good for about 5 mm here",
    "press": "a press finds it within about 3 %, a maker's figure is within about 10 %",
}


class Kind(Enum):
    """How an input is typed."""

    QUANTITY = "quantity"
    NUMBER = "number"
    TEXT = "text"
    CHOICE = "choice"
    FLAG = "flag"
    LIST = "list"
    POINTS = "points"


class Mark(Enum):
    """Where a value comes from."""

    MEASURED = "measured"
    GIVEN = "given"
    ASSUMED = "assumed"
    ABSENT = "not given"


@dataclass(frozen=True, slots=True)
class Input:
    """One key that a user can type.

    `key` is dotted, as in the file: "load[].mass" for a key of each table of a list. `measure` says
    what it is and how to measure it, `allowed` the range and unit, or words, as errors do.
    `required`: the file needs it wherever its table stands. `may_be_default`: "class default" may
    stand there. `either`: one text may stand there instead of a list of them.
    `takes_mark`: "(assumed)" may stand behind the value. `unit` is that of the range, empty where
    the value has none.
    """

    key: str
    measure: str
    allowed: str
    kind: Kind
    required: bool
    choices: tuple[str, ...] = ()
    may_be_default: bool = False
    either: bool = False
    takes_mark: bool = False
    unit: str = ""

    @property
    def how_well(self) -> str:
        """How well it is usually known that way; empty where nothing is measured."""
        if self.kind not in (Kind.QUANTITY, Kind.LIST):
            return ""
        return next((words for tool, words in _HOW_WELL.items() if tool in self.measure), "")

    @property
    def group(self) -> str:
        """The table that it stands in at the top of the file, as the file writes it."""
        return self.key.split(".")[0].removesuffix("[]")

    @property
    def name(self) -> str:
        """The key within its group, in words."""
        return self.key.partition(".")[2].replace(".", ", ").replace("_", " ") or self.key


@cache
def inputs() -> tuple[Input, ...]:
    """Every key that a user can type, in the order of the file.

    Examples
    --------
    >>> found = {one.key: one for one in inputs()}
    >>> found["front.track"].allowed, found["front.track"].required
    ('1000 mm to 2500 mm', True)
    """
    return tuple(_of_table(Document, ""))


def _of_table(table: type[BaseModel], prefix: str) -> Iterator[Input]:
    for name, field in table.model_fields.items():
        key = f"{prefix}{field.alias or name}"
        inner = _table_of(field.annotation)
        how = next((m for m in field.metadata if hasattr(m, "measure")), None)
        if inner is not None:
            many = _is_many(field.annotation)
            if any(isinstance(m, WrapValidator) for m in field.metadata):
                yield _instead(key, field, how)
            yield from _of_table(inner, f"{key}[]." if many else f"{key}.")
        elif not isinstance(how, NotYet):
            yield _input(key, field, how)


def _instead(key: str, field: FieldInfo, how: About) -> Input:
    """A word that may stand in place of a whole table."""
    words = " or ".join(f'"{word}"' for word in how.words) or "a name"
    return Input(
        key=key,
        measure=how.measure,
        allowed=f"{words}, in place of the values below",
        kind=Kind.TEXT,
        required=False,
        may_be_default=CLASS_DEFAULT in how.words,
    )


def _input(key: str, field: FieldInfo, how: Any) -> Input:
    return Input(
        key=key,
        measure=how.measure,
        allowed=how.allowed(),
        kind=_kind(how),
        required=field.is_required(),
        choices=tuple(c.value for c in how.choices) if isinstance(how, OneOf) else (),
        may_be_default=CLASS_DEFAULT in getattr(how, "words", ()),
        either=getattr(how, "either", False),
        takes_mark=isinstance(how, Measured) or getattr(how, "seen", False),
        unit="mm" if isinstance(how, Points) else getattr(how, "unit", ""),
    )


def _kind(how: Any) -> Kind:
    if isinstance(how, Measured):
        if how.many:
            return Kind.LIST
        return Kind.QUANTITY if how.unit else Kind.NUMBER
    if isinstance(how, Text):
        return Kind.LIST if how.many else Kind.TEXT
    return {OneOf: Kind.CHOICE, Flag: Kind.FLAG, Points: Kind.POINTS}[type(how)]


def _table_of(annotation: Any) -> type[BaseModel] | None:
    """The table that a field holds, one or a tuple of them."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = (_table_of(part) for part in get_args(annotation) if part is not annotation)
    return next((table for table in found if table is not None), None)


def _is_many(annotation: Any) -> bool:
    if isinstance(annotation, UnionType):
        return any(_is_many(part) for part in get_args(annotation))
    return get_origin(annotation) is tuple


def mark(found: object) -> Mark:
    """Where a value comes from, by how it is written.

    `found` is as `rollsim.scenario.editing.value` gives it; measured is what has a tolerance of its
    own.

    Examples
    --------
    >>> mark("1560 mm ± 5 mm").value, mark("1560 mm").value, mark("class default").value
    ('measured', 'given', 'assumed')
    >>> mark("1560 mm ± 50 mm (assumed)").value
    'assumed'
    """
    if found is None:
        return Mark.ABSENT
    if is_assumed(found):
        return Mark.ASSUMED
    if not isinstance(found, str):
        return Mark.GIVEN
    if found.strip() == CLASS_DEFAULT:
        return Mark.ASSUMED
    return Mark.MEASURED if TOLERANCE_SIGN.search(found) else Mark.GIVEN
