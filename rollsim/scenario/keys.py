"""How the value of one key is read: its unit, its allowed range, and how to measure it.

Each class here stands in the annotation of a schema field; the key tables of
docs/scenario-format.md are printed from them.
"""

import math
import re
from abc import ABC, abstractmethod
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from enum import Enum

from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from rollsim.scenario import meant
from rollsim.units import Dimension, Quantity, from_unit, parse, shown, to_unit

CLASS_DEFAULT = "class default"
ASSUMED = "(assumed)"
"""Stands behind a value that nobody measured: typing over the value takes it away."""
LEAST_LESS, MOST_LESS = 0.03, 0.9
"""Least and greatest part that a lean may be wanted less than now: project defaults, no source."""
_LESS_EXAMPLE = "12 % less than now"
UNUSABLE = object()
"""Stands for a value that was already refused, so that the remaining checks can still run."""
UNKNOWN = Quantity(math.nan, math.nan)
"""An unusable quantity: every comparison with it is false, so no second error follows."""


def refuse(message: str) -> PydanticCustomError:
    """Make the error that a validator raises: what was found, what is allowed, what to do."""
    return PydanticCustomError("rollsim", "{message}", {"message": message})


def is_assumed(found: object) -> bool:
    """Whether a value of the file, or one of a list, is marked as assumed."""
    if isinstance(found, list):
        return any(is_assumed(one) for one in found)
    return isinstance(found, str) and found.rstrip().endswith(ASSUMED)


def bare(found: str) -> str:
    """A text of the file without the mark behind it.

    Examples
    --------
    >>> bare("1560 mm ± 50 mm (assumed)"), bare("1560 mm")
    ('1560 mm ± 50 mm', '1560 mm')
    """
    return found.rstrip().removesuffix(ASSUMED).rstrip() if is_assumed(found) else found


@dataclass(frozen=True, slots=True)
class About:
    """A key that holds a table or a list of tables, or one of `words` instead."""

    measure: str
    words: tuple[str, ...] = ()

    def allowed(self) -> str:
        """What may stand there, for the documentation."""
        return " or ".join(["a table", *(f'"{word}"' for word in self.words)])


@dataclass(frozen=True, slots=True)
class _Plain(ABC):
    """Base of the keys that hold one value, read by `read`."""

    measure: str

    @abstractmethod
    def read(self, found: object) -> object:
        """Turn what stands in the file into a value, or raise a PydanticCustomError."""

    def __get_pydantic_core_schema__(
        self, source: object, handler: Callable[[object], CoreSchema]
    ) -> CoreSchema:
        """Let pydantic read the field through `read`."""
        return core_schema.no_info_plain_validator_function(self.read)


@dataclass(frozen=True, slots=True)
class Measured(_Plain):
    """A key that holds a quantity.

    The allowed range, ends included, is in `unit`, which is empty for a ratio. One of `words` may
    stand there instead. `many`: a list of at least one. `instead`: what to do where "class default"
    came but cannot stand.
    """

    dimension: Dimension
    low: float
    high: float
    unit: str
    words: tuple[str, ...] = ()
    many: bool = False
    instead: str = "measure it"

    def read(self, found: object) -> Quantity | str | tuple[Quantity, ...]:
        """Read one quantity, or a list of them."""
        if found is UNUSABLE:
            return () if self.many else UNKNOWN
        if not self.many:
            return self._one(found)
        if not isinstance(found, list) or not 1 <= len(found) <= 100:
            raise refuse(f"found {shown(found)}; write a list of 1 to 100, [{self._item(found)}]")
        return tuple(self._one(item) for item in found)

    def allowed(self) -> str:
        """Allowed range and words, for messages and the documentation."""
        low, high = (f"{end:g} {self.unit}".strip() for end in (self.low, self.high))
        return " or ".join([f"{low} to {high}", *(f'"{word}"' for word in self.words)])

    def _one(self, found: object) -> Quantity | str:
        if isinstance(found, str) and found.strip() in self.words:
            return found.strip()
        quantity = self._quantity(found)
        low, high = (from_unit(end, self.unit, self.dimension) for end in (self.low, self.high))
        slack = 1e-12 * (high - low)
        if not low - slack <= quantity.value <= high + slack:
            raise refuse(
                f"found {shown(found)} (read as {self._text(quantity.value)}); "
                f"allowed {self.allowed()}; check the number and its unit"
            )
        # Within the slack alone: a length of -1e-15 m would be refused further on.
        quantity = Quantity(min(max(quantity.value, low), high), quantity.tolerance)
        if low > 0.0 and quantity.tolerance >= quantity.value:
            raise refuse(
                f"found {shown(found)} (tolerance read as {self._text(quantity.tolerance)}); a "
                "tolerance as large as its value says nothing; check it and its unit, or leave it "
                "out"
            )
        if quantity.tolerance > high - low:
            raise refuse(
                f"found {shown(found)} (tolerance read as {self._text(quantity.tolerance)}); the "
                f"tolerance is wider than the allowed {self.allowed()}; check it and its unit"
            )
        return quantity

    def _quantity(self, found: object) -> Quantity:
        number = isinstance(found, int | float) and not isinstance(found, bool)
        if number and self.dimension is Dimension.RATIO:
            if not abs(found) < 1e9:
                raise refuse(f"found {shown(found)}; allowed {self.allowed()}; write such a number")
            return Quantity(float(found))
        if number:
            raise refuse(
                f"found {shown(found)}, without a unit; write it as text with its unit, "
                f"{self._example(found)}"
            )
        if not isinstance(found, str):
            raise refuse(f"found {shown(found)}; allowed {self.allowed()}; write it as text")
        found = self._without_mark(found)
        if found.strip().casefold() == CLASS_DEFAULT and CLASS_DEFAULT not in self.words:
            raise refuse(
                f"found {shown(found)}, which this key does not take; allowed {self.allowed()}; "
                + self.instead
            )
        with suppress(ValueError):
            return parse(found, self.dimension)
        # Once more, for its error: examples are only worked out where one is needed.
        try:
            return parse(found, self.dimension, self._meant(found))
        except ValueError as error:
            words = " or ".join(f'"{word}"' for word in self.words)
            raise refuse(f"{error}{f' (or {words})' if words else ''}") from None

    def _without_mark(self, found: str) -> str:
        """The text without its mark, where it may have one and nothing else stands in its place."""
        value, last = bare(found), found.split()[-1] if found.strip() else ""
        word = last.strip("()")
        bracketed = word.isalpha() and last == f"({word})"
        if value is found and (bracketed or word.casefold() == ASSUMED.strip("()")):
            raise refuse(
                f'found {shown(found)}; behind a value no word may stand but "{ASSUMED}", for one '
                "that nobody measured; write it so, or leave it out"
            )
        if value is not found and (not value or value.strip() in self.words):
            raise refuse(
                f'found {shown(found)}; allowed {self.allowed()}; "{ASSUMED}" stands behind a '
                "figure alone, not behind a word; leave it out or write the figure"
            )
        return value

    def _meant(self, found: str) -> str:
        """Examples for an error, those in the range where there are such."""
        examples = meant.quantity(found, self.dimension, self._unit_for)
        low, high = (from_unit(end, self.unit, self.dimension) for end in (self.low, self.high))
        inside = [one for one in examples if low <= parse(one, self.dimension).value <= high]
        return " or ".join(f'"{one}"' for one in inside or examples)

    def _unit_for(self, number: float) -> str:
        """The unit in which a number without one lies in the range."""
        for unit in (self.unit, *_OTHER_UNITS.get(self.dimension, ())):
            low, high = (from_unit(end, self.unit, self.dimension) for end in (self.low, self.high))
            if low <= from_unit(number, unit, self.dimension) <= high:
                return unit
        return self.unit

    def _text(self, value: float) -> str:
        unit = "kgf" if self.dimension is Dimension.FORCE and self.unit == "kg" else self.unit
        return f"{to_unit(value, unit) if unit else value:.6g} {self.unit}".strip()

    def _example(self, number: float) -> str:
        number = number if abs(number) < 1e9 else self.low
        return f'"{number:g} {self._unit_for(number)}"'

    def _item(self, found: object) -> str:
        """What came, or else the least that is allowed, as an item of a list."""
        if isinstance(found, int | float) and not isinstance(found, bool):
            return self._example(found)
        try:
            parse(found, self.dimension)
        except ValueError:
            return (self._meant(found) if isinstance(found, str) else "") or self._example(self.low)
        return f'"{found.strip()}"'


_OTHER_UNITS = {
    Dimension.LENGTH: ("in", "m"),
    Dimension.MASS: ("lb",),
    Dimension.RATE: ("N/mm", "lbf/in"),
}
"""Units that a number may be meant in where it is out of range in a key's own."""


@dataclass(frozen=True, slots=True)
class LessThanNow:
    """So much less than it is now, as a share of that [-]."""

    share: float


@dataclass(frozen=True, slots=True)
class MeasuredOrLess(Measured):
    """A key that holds a quantity [`unit`], or how many per cent less than now it is to be [%]."""

    def read(self, found: object) -> Quantity | str | LessThanNow:
        """Read the quantity, or the per cent."""
        words = re.fullmatch(r"\s*(\S+?)\s*%\s+less\s+than\s+now\s*", str(found), re.IGNORECASE)
        if not isinstance(found, str) or words is None:
            return Measured.read(self, found)
        try:
            share = float(words[1]) / 100.0
        except ValueError:
            share = math.nan
        if not LEAST_LESS <= share <= MOST_LESS:
            raise refuse(
                f"found {shown(found)}; allowed {LEAST_LESS:.0%} to {MOST_LESS:.0%} less than now "
                f'(less is not felt); write it as "{_LESS_EXAMPLE}"'
            )
        return LessThanNow(share)

    def allowed(self) -> str:
        """Range, words and per cent, for messages and the documentation."""
        return f'{Measured.allowed(self)} or "{_LESS_EXAMPLE}"'


@dataclass(frozen=True, slots=True)
class Text(_Plain):
    """A key that holds words of the user's own.

    `many`: a list of at least one text. `either`: one text or a list of them; the value is then a
    text or a tuple. `none`: the list may be empty. `seen`: it is seen on the vehicle, so that it
    may be marked as assumed.
    """

    many: bool = False
    either: bool = False
    none: bool = False
    seen: bool = False

    def read(self, found: object) -> str | tuple[str, ...] | None:
        """Read one text, or a list of them."""
        if found is UNUSABLE:
            return None
        if not self.many or (self.either and isinstance(found, str)):
            return self._one(found)
        if not isinstance(found, list) or not (found or self.none):
            item = found.strip() if isinstance(found, str) and found.isprintable() else ""
            raise refuse(
                f'found {shown(found)}; write a list of at least one text, ["{item[:60] or "…"}"]'
            )
        if len(found) > 2000:
            raise refuse(f"found {shown(found)}; allowed at most 2000; shorten the list")
        return tuple(self._one(item) for item in found)

    def allowed(self) -> str:
        """What may stand there, for the documentation."""
        if self.either:
            return "text or a list of texts"
        return "a list of texts" if self.many else "text"

    def _one(self, found: object) -> str:
        if not isinstance(found, str):
            raise refuse(f"found {shown(found)}; write text in quotation marks")
        if not found.strip():
            raise refuse("found an empty text; write at least one word")
        if len(found) > 200:
            raise refuse(f"found {len(found)} characters; allowed at most 200; shorten it")
        if not found.isprintable():
            raise refuse(f"found {shown(found)}, with a line break or control character; remove it")
        return bare(found).strip() if self.seen else found.strip()


@dataclass(frozen=True, slots=True)
class Csv(Text):
    """A key that names a CSV beside the file, or holds it: a text of several lines."""

    def read(self, found: object) -> str | None:
        """Read the name, or the lines as they are."""
        if isinstance(found, str) and "\n" in found.strip():
            return found
        return Text.read(self, found)

    def allowed(self) -> str:
        """What may stand there, for the documentation."""
        return "name of a CSV, or its lines"


@dataclass(frozen=True, slots=True)
class OneOf(_Plain):
    """A key that holds one word of an Enum: the values of `choices`.

    `seen`: it is seen on the vehicle, so that it may be marked as assumed.
    """

    choices: type[Enum]
    seen: bool = False

    def read(self, found: object) -> Enum | None:
        """Read the word."""
        if found is UNUSABLE:
            return None
        word = bare(found) if self.seen and isinstance(found, str) else found
        for choice in self.choices:
            if isinstance(word, str) and choice.value == word.strip():
                return choice
        raise refuse(f"found {shown(found)}; allowed {self.allowed()}; write one of these words")

    def allowed(self) -> str:
        """The words, for messages and the documentation."""
        return " or ".join(f'"{choice.value}"' for choice in self.choices)


@dataclass(frozen=True, slots=True)
class Flag(_Plain):
    """A key that holds true or false."""

    def read(self, found: object) -> bool:
        """Read the flag."""
        if found is UNUSABLE:
            return False
        if not isinstance(found, bool):
            raise refuse(f"found {shown(found)}; allowed true or false, without quotation marks")
        return found

    def allowed(self) -> str:
        """What may stand there, for the documentation."""
        return "true or false"


@dataclass(frozen=True, slots=True)
class NotYet(_Plain):
    """A key of the format that is not computed yet; `instead`: what to write meanwhile."""

    instead: str

    def read(self, found: object) -> object:
        """Refuse it."""
        if found is UNUSABLE:
            return UNUSABLE
        raise refuse(f"found {shown(found)}; not available yet; {self.instead}")

    def allowed(self) -> str:
        """What may stand there, for the documentation."""
        return "not available yet"


@dataclass(frozen=True, slots=True)
class Points(_Plain):
    """A key that holds the points of a bar's centreline: lists of three lengths."""

    def read(self, found: object) -> tuple[tuple[float, float, float], ...] | None:
        """Read the points [m]."""
        if found is UNUSABLE:
            return None
        if not isinstance(found, list) or not 2 <= len(found) <= 200:
            raise refuse(
                f"found {shown(found)}; write 2 to 200 points from the middle to the link end, "
                '[["0 mm", "0 mm", "0 mm"], …]'
            )
        return tuple(self._point(item) for item in found)

    def allowed(self) -> str:
        """What may stand there, for the documentation."""
        return "2 to 200 points, each coordinate -2000 mm to 2000 mm"

    def _point(self, found: object) -> tuple[float, float, float]:
        if not isinstance(found, list) or len(found) != 3:
            raise refuse(
                f"found {shown(found)} as a point; write three lengths, back, out and up: "
                '["0 mm", "470 mm", "0 mm"]'
            )
        axis = Measured("", Dimension.LENGTH, -2000.0, 2000.0, "mm")
        return tuple(axis._one(item).value for item in found)
