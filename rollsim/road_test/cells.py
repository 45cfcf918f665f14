"""From the text of a log to its columns as numbers, in bounded memory."""

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time
from operator import itemgetter
from typing import TextIO

import numpy as np

from rollsim.road_test.log import LogError
from rollsim.units import shown

MOST_ROWS = 3_000_000
CHUNK = 2000  # rows turned into numbers at once: no other session of the page runs meanwhile
LONGEST_HEAD = 50  # lines that may stand before the names of the columns
DAY = 86_400.0  # s
LONGEST_ROW = 100_000  # characters
LONGEST_NAME = 200  # characters: to look for words in a name takes the square of its length
LARGEST_TIME = 1e20  # a clock in nanoseconds is below it
LARGEST_READING = 1e4  # no sensor of a road vehicle reads more, in any unit of its own
FEW = 3  # wrong cells that are told one by one
_NUMBER = re.compile(r"[-+−]?(\d+([.,]\d*)?|[.,]\d+)([eE][-+]?\d+)?")
_BLANK = {"", "-", "--", "nan", "n/a", "na", "#n/a", "null", "none", "inf", "-inf", "+inf"}


@dataclass(frozen=True, slots=True)
class Head:
    """Where the numbers of a log begin.

    Parameters
    ----------
    names : tuple of str
        Of the columns; a line of units below them is taken in.
    delimiter : str
        Between the cells.
    lines : int
        Before the first row of numbers [-].
    first : tuple of str
        The first row.
    """

    names: tuple[str, ...]
    delimiter: str
    lines: int
    first: tuple[str, ...]


def find_head(text: str, name: str) -> Head:
    """Find the names of the columns and the delimiter.

    Parameters
    ----------
    text : str
        The start of the log.
    name : str
        Of the file, for errors.

    Returns
    -------
    Head
        Names, delimiter, and how many lines stand before the numbers.

    Raises
    ------
    LogError
        If there are no rows of numbers, or no names above them, or one is no name.
    """
    lines = text.splitlines()
    if not any(line.strip() for line in lines):
        raise LogError((f"{name}: is empty; give a log as CSV with a line of column names",))
    rows = lines[: LONGEST_HEAD + 2]
    for delimiter in (";", "\t", ","):
        cells = [_split(line, delimiter) for line in rows]
        first = next((n for n, row in enumerate(cells) if _is_data(row)), None)
        if first is None:
            continue
        names = _names(cells[:first], len(cells[first]))
        if names is None:
            raise LogError(
                (
                    f"{name}: line {first + 1}: found numbers and no column names above them; "
                    "write a first line with a name for each column",
                )
            )
        _refuse_long(names, name)
        return Head(names, delimiter, first, tuple(cells[first]))
    raise LogError(
        (
            f"{name}: found no row of numbers in the first {len(rows)} lines; allowed are columns "
            "divided by comma, semicolon or tab under a line of names; export the log as CSV",
        )
    )


def _refuse_long(names: Sequence[str], name: str) -> None:
    longest = max(names, key=len)
    if len(longest) > LONGEST_NAME:
        raise LogError(
            (
                f"{name}: column {shown(longest)}: its name has {len(longest)} characters; allowed "
                f"at most {LONGEST_NAME}; shorten it",
            )
        )


def read_cells(
    file: TextIO, head: Head, places: Sequence[int], *, largest: Sequence[float], name: str
) -> tuple[np.ndarray, list[str]]:
    """Read the columns that are needed.

    Parameters
    ----------
    file : text file
        At its start.
    head : Head
        From `find_head`.
    places : sequence of int
        Positions of the columns.
    largest : sequence of float
        Most that a cell of each may read [unit of each column].
    name : str
        Of the file, for errors.

    Returns
    -------
    (columns, n) array and list of str
        Numbers [unit of each column], NaN where a cell is blank; and which of the columns hold
        clock times, then in seconds.

    Raises
    ------
    LogError
        If cells are no numbers or the log is too long.
    """
    kinds = ["clock" if _clock(head.first[place]) is not None else "" for place in places]
    most = [None if kind else limit for kind, limit in zip(kinds, largest, strict=True)]
    wrong: list[str] = []
    parts, count = [], 0
    for lines, rows in _chunks(file, head, places, name=name):
        count += len(rows)
        if count > MOST_ROWS:
            raise LogError(
                (
                    f"{name}: has more than {MOST_ROWS:,} rows; keep the test alone, or export at "
                    "100 Hz",
                )
            )
        columns = []
        for place, limit, cells in zip(places, most, zip(*rows, strict=True), strict=True):
            where = f"{name}: column {shown(head.names[place])}"
            columns.append(_numbers(cells, limit, wrong, place=(where, lines)))
        parts.append(np.array(columns))
        if wrong:
            break
    if wrong:
        more = len(wrong) - FEW
        rest = [f"{name}: and {more} more cells like these"] if more > 0 else []
        raise LogError((*wrong[:FEW], *rest))
    found = np.concatenate(parts, axis=1)
    for kind, column in zip(kinds, found, strict=True):
        if kind:
            _past_midnight(column)
    return found, kinds


def _past_midnight(clock: np.ndarray) -> None:
    """Let a clock that begins anew at midnight go on, in place [s]."""
    read = np.isfinite(clock)
    begins = np.diff(clock[read]) < -0.5 * DAY
    clock[np.flatnonzero(read)[1:]] += DAY * np.cumsum(begins)


class _Lines:
    """The lines of a log after its head; a row that does not end is refused."""

    def __init__(self, file: TextIO, head: Head, name: str) -> None:
        self._file, self._name, self.number = file, name, head.lines
        self.length = 0  # of the row that is being read
        for _ in range(head.lines):
            file.readline()

    def __iter__(self) -> Iterator[str]:
        while line := self._file.readline(LONGEST_ROW + 1):
            self.number += 1
            self.length += len(line)
            if self.length > LONGEST_ROW:
                raise LogError(
                    (
                        f"{self._name}: line {self.number}: the row is longer than "
                        f"{LONGEST_ROW:,} characters; drop columns that the test does not need, or "
                        "export it again",
                    )
                )
            yield line


def _chunks(
    file: TextIO, head: Head, places: Sequence[int], *, name: str
) -> Iterator[tuple[list[int], list[tuple[str, ...]]]]:
    """Line number and needed cells of each row; blank lines are passed over."""
    lines = _Lines(file, head, name)
    reader = csv.reader(lines, delimiter=head.delimiter)
    numbers: list[int] = []
    rows: list[tuple[str, ...]] = []
    needed, last = itemgetter(*places), max(places)
    try:
        for row in reader:
            lines.length = 0
            if not any(row):
                continue
            numbers.append(lines.number)
            if len(row) <= last:
                row += [""] * (last + 1 - len(row))
            rows.append(needed(row))
            if len(rows) == CHUNK:
                yield numbers, rows
                numbers, rows = [], []
    except csv.Error as error:
        where = f"{name}: line {lines.number}"
        raise LogError((f"{where}: not readable as CSV ({error}); export it again",)) from None
    if rows:
        yield numbers, rows


def _numbers(
    cells: Sequence[str],
    largest: float | None,
    wrong: list[str],
    *,
    place: tuple[str, list[int]],
) -> np.ndarray:
    """Cells as numbers, or as clock times where none is the largest; what is wrong is told."""
    if largest is not None:
        try:
            found = np.array(cells, dtype=float)  # the quick way; blanks and commas stop it
        except ValueError:
            pass
        else:
            # NaN is not below it either; float reads 1_0 as 10.
            if (np.abs(found) <= largest).all() and not any("_" in cell for cell in cells):
                return found
    values = np.empty(len(cells))
    where, lines = place
    for n, cell in enumerate(cells):
        try:
            values[n] = _clock_cell(cell) if largest is None else _number_cell(cell, largest)
        except ValueError as error:
            values[n] = np.nan
            wrong.append(f"{where}: line {lines[n]}: found {shown(cell.strip())}{error}")
    return values


def _number_cell(cell: str, largest: float) -> float:
    text = cell.strip()
    if text.lower() in _BLANK:
        return np.nan
    if text[0] in "=@" or text[:2] in ("+=", "-="):
        raise ValueError(", a formula; allowed are numbers; save the values, not the formulas")
    if "." in text and "," in text:
        raise ValueError(
            ", with both comma and point; allowed is one as the decimal mark; export without "
            "thousands separators"
        )
    if _NUMBER.fullmatch(text) is None:
        raise ValueError("; allowed is a number, or nothing; correct or empty the cell")
    number = float(text.replace("−", "-").replace(",", "."))
    if not abs(number) <= largest:
        raise ValueError(f"; allowed are numbers up to {largest:g}; correct or empty the cell")
    return number


def is_number_or_time(cell: str) -> bool:
    """Whether a cell holds a number, a time, or nothing [-]."""
    text = cell.strip()
    blank = text.lower() in _BLANK
    return blank or _NUMBER.fullmatch(text) is not None or _clock(text) is not None


def _clock_cell(cell: str) -> float:
    if cell.strip().lower() in _BLANK:
        return np.nan
    seconds = _clock(cell)
    if seconds is None:
        raise ValueError('; allowed is a time like the first one, "2026-05-01T10:00:00.10"')
    return seconds


def _clock(cell: str) -> float | None:
    """Seconds of an ISO 8601 time, or of hours:minutes:seconds; None for anything else."""
    text = cell.strip()
    if ":" not in text:
        return None
    try:
        if "-" not in text[:5]:
            clock = time.fromisoformat(text)
            seconds = 3600 * clock.hour + 60 * clock.minute + clock.second
            return seconds + clock.microsecond * 1e-6
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()


def _split(line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        return []


def _is_data(row: list[str]) -> bool:
    """Two or more cells, and most of those that are filled are numbers or times."""
    filled = [cell.strip() for cell in row if cell.strip()]
    data = [cell for cell in filled if is_number_or_time(cell)]
    return len(data) >= 2 and 2 * len(data) > len(filled)


def _names(rows: list[list[str]], width: int) -> tuple[str, ...] | None:
    """The names above the numbers; a line of units between them is put behind the names."""
    wide = [row for row in rows if len(row) >= max(2, width) and any(row)]
    if not wide:
        return None
    names, units = wide[-1], [""] * len(wide[-1])
    if (
        len(wide) > 1
        and rows[-2:-1] == wide[-2:-1]
        and all(len(cell.strip()) <= 6 for cell in names)
    ):
        names, units = wide[-2], wide[-1]
    pairs = zip(names, units, strict=False)
    return tuple(
        f"{name.strip()} [{unit.strip(' []()')}]" if unit else name.strip() for name, unit in pairs
    )
