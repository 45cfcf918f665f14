"""One figure of an answer, and how every surface takes it: label, cell, JSON value, reason."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from rollsim.reader_units import NO_FIGURE, ReaderUnits
from rollsim.tell.kinds import Kind, labelled, signed

Record = dict[str, object]
"""A piece of JSON."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of a record: everything that any surface has to know of it.

    Parameters
    ----------
    name : str
        Attribute of the record.
    key : str
        In JSON, with its unit; empty: it is in none.
    words, iso : str
        The shop's word, and the standard's where it differs.
    kind : Kind
        Unit and decimals.
    why : str
        Reason where it is null.
    more_is_plus : bool
        It is a change: what is more has a plus.
    instead : callable or None
        From the record to what a table says where there is no figure.
    text : callable or None
        From the record and the reader's units to the whole cell.
    short : str
        For a narrow heading.
    """

    name: str
    key: str
    words: str
    kind: Kind
    iso: str = ""
    why: str = ""
    more_is_plus: bool = False
    instead: Callable[[object], str] | None = None
    text: Callable[[object, ReaderUnits], str] | None = None
    short: str = ""

    def named(self) -> str:
        """The shop's word, the standard's in brackets."""
        return f"{self.words} ({self.iso})" if self.iso else self.words

    def label(self, units: ReaderUnits, *, iso: bool = True) -> str:
        """Words and unit, with or without the standard's word."""
        return labelled(self.named() if iso else self.words, self.kind.unit_for(units))

    def heading(self, units: ReaderUnits) -> str:
        """Words and unit for a narrow column."""
        return f"{self.short or self.words} {self.kind.unit_for(units)}".rstrip()

    def cell(self, of: object, units: ReaderUnits) -> str:
        """What a table says of one record."""
        if self.text is not None:
            return self.text(of, units)
        said = self.kind.said(getattr(of, self.name), units)
        if said == NO_FIGURE and self.instead is not None:
            return self.instead(of)
        return signed(said) if self.more_is_plus else said

    def with_unit(self, of: object, units: ReaderUnits) -> str:
        """What a list of figures says of one record."""
        return f"{self.cell(of, units)} {self.kind.unit_for(units)}".rstrip()

    def number(self, of: object) -> float | None:
        """What JSON says of one record."""
        return self.kind.number(getattr(of, self.name))


@dataclass(frozen=True, slots=True)
class Row:
    """A quantity with its unit, and its figure in every column."""

    label: str
    cells: tuple[str, ...]


def by_name(*figures: Figure) -> Mapping[str, Figure]:
    """A catalogue: figures by their name."""
    return {figure.name: figure for figure in figures}


def rows(
    figures: Iterable[Figure], of: Sequence[object], units: ReaderUnits, *, iso: bool = True
) -> list[Row]:
    """A row for each figure, a column for each record."""
    return [
        Row(one.label(units, iso=iso), tuple(one.cell(record, units) for record in of))
        for one in figures
    ]


def record(figures: Iterable[Figure], of: object) -> Record:
    """JSON of one record: null where there is no value."""
    return {one.key: one.number(of) for one in figures if one.key}


def why_null(figures: Iterable[Figure], of: Sequence[object], suffix: str = "") -> list[str]:
    """A reason for every key that is null in one of the records, each once."""
    return [
        f"{one.key}{suffix} is null: {one.why}"
        for one in figures
        if one.why and any(one.number(each) is None for each in of)
    ]
