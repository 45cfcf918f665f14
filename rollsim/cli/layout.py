"""Text for a terminal: paragraphs, and columns that line up, at most 100 characters wide."""

import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from rollsim.tell.figures import Row
from rollsim.tell.names import clean

WIDTH = 100
GAP = 2
STATE_WIDTH = 10
WIDEST_LABEL = 40


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: its title, which wraps, its width, and which way it leans."""

    title: str
    width: int
    left: bool = False


def paragraph(text: str, indent: str = "", *, first: str | None = None) -> str:
    """Wrap a text to the width of the page, `first` before its first line in place of `indent`.

    A line is longer only where one word is: a file name stays whole.
    """
    return textwrap.fill(
        clean(text),
        WIDTH,
        initial_indent=indent if first is None else first,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )


def unbroken(text: str, first: str = "") -> str:
    """One line, however long: a path with blanks must still be one to copy."""
    return first + clean(text)


def bullets(texts: Iterable[str]) -> str:
    """A list, each item once; empty where there is no item."""
    return "\n".join(paragraph(text, "  ", first="- ") for text in dict.fromkeys(texts))


def section(title: str, body: str) -> tuple[str, ...]:
    """A block under a title, or nothing at all where the body is empty."""
    return (f"{paragraph(title)}\n{body}",) if body else ()


def aligned(columns: Sequence[Column], rows: Iterable[Sequence[str]]) -> str:
    """A table whose columns line up.

    A cell that is too long wraps; without any titles there is no rule either.
    """
    titles = [_wrapped(column.title, column.width) for column in columns]
    depth = max(len(lines) for lines in titles)
    hung = [[""] * (depth - len(lines)) + lines for lines in titles]
    rule = (" " * GAP).join("-" * column.width for column in columns)
    lines = []
    if any(column.title for column in columns):
        lines = [_line(columns, cells) for cells in zip(*hung, strict=True)] + [rule]
    for row in rows:
        cells = [_wrapped(cell, c.width) for cell, c in zip(row, columns, strict=True)]
        lines += [_line(columns, parts) for parts in zip_longest(*cells, fillvalue="")]
    return "\n".join(lines)


def side_by_side(
    titles: Sequence[str], rows: Sequence[Row], *, most: int = 5, corner: str = ""
) -> str:
    """Quantities as rows, states as columns; more states than fit go on in a block below.

    A block has `most` columns at most; `corner` is the title of the labels.
    """
    width = min(WIDEST_LABEL, max(len(text) for text in (corner, *(row.label for row in rows))))
    blocks = []
    for start in range(0, len(titles), most):
        columns = [Column(corner, width, left=True)]
        columns += [Column(clean(t), STATE_WIDTH) for t in titles[start : start + most]]
        cells = [(row.label, *row.cells[start : start + most]) for row in rows]
        blocks.append(aligned(columns, cells))
    return "\n\n".join(blocks)


def _wrapped(text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width) or [""]


def _line(columns: Sequence[Column], cells: Sequence[str]) -> str:
    placed = (
        cell.ljust(column.width) if column.left else cell.rjust(column.width)
        for column, cell in zip(columns, cells, strict=True)
    )
    return (" " * GAP).join(placed).rstrip()
