"""A measured spring from a CSV beside the scenario file."""

import csv
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from rollsim.files import TooLargeError, read_text
from rollsim.scenario.bounds import LARGEST, MOST_POINTS, too_large
from rollsim.units import Dimension, from_unit, shown

_HEAD = re.compile(r"(travel|force|unloading)[ _]?[(\[]?([A-Za-z]+)[)\]]?")
_MEASURES = {
    "travel": Dimension.LENGTH,
    "force": Dimension.FORCE,
    "unloading": Dimension.FORCE,
}

Beside = Path | Mapping[str, str] | None
"""Where the CSV files of a scenario are: its folder, their texts by name, or nowhere."""


@dataclass(frozen=True, slots=True)
class MeasuredTable:
    """What a rate tester found: travel [m] and force [N] of each point, both rising.

    The force is the mean of both branches where both were measured; `half_widths` is half of
    loading less unloading force [N], empty where one was measured.
    """

    travel: tuple[float, ...]
    force: tuple[float, ...]
    half_widths: tuple[float, ...] = ()


MORE_CELLS = "more cells than headings; quote a value with a comma"


def csv_rows(text: str) -> list[tuple[int, list[str]]]:
    """The rows that hold something, each with its line; commas or semicolons between cells.

    Raises ValueError, in one sentence, where a quotation mark is not closed.
    """
    lines = text.splitlines()
    head = next((line for line in lines if line.strip()), "")
    reader = csv.reader(lines, delimiter=";" if ";" in head else ",", strict=True)
    try:
        return [(reader.line_num, row) for row in reader if any(cell.strip() for cell in row)]
    except csv.Error as error:
        raise ValueError(
            f"cannot be read as CSV up to line {reader.line_num} ({error}); close each quotation "
            "mark, and write one inside a cell twice"
        ) from None


def read_table(folder: Beside, name: str) -> MeasuredTable:
    """Read travel and force of a spring, loading and, where it was measured, unloading.

    In SI. `name` is that of the CSV, inside the folder. Raises ValueError, in one sentence, where
    the file is missing, outside the folder, too large or no such table.

    Notes
    -----
    The first line heads the columns with their units, "travel_mm,force_N" or
    "travel_in,force_lbf"; a third, "unloading_N", holds the force at the same travel on the way
    back. Compression is positive. Falling tables are turned round.
    """
    try:
        rows = list(csv.reader(table_text(folder, name).splitlines()))
    except csv.Error as error:
        raise ValueError(f"{shown(name)} cannot be read as CSV ({error})") from None
    rows = [row for row in rows if any(cell.strip() for cell in row)]
    if len(rows) > MOST_POINTS + 1:
        raise ValueError(
            f"{shown(name)} has {len(rows) - 1} rows of numbers; allowed up to {MOST_POINTS}; "
            "keep a row every millimetre"
        )
    columns = _columns(rows, name)
    points = [_point(row, columns, f"{shown(name)} row {n}") for n, row in enumerate(rows[1:], 2)]
    if len(points) < 2:
        raise ValueError(
            f"{shown(name)} has {len(points)} rows of numbers; allowed 2 or more; measure more"
        )
    if points[0][0] > points[-1][0]:
        points.reverse()
    _check_rising(points, tuple(columns), name)
    travels, forces, *back = zip(*points, strict=True)
    if not back:
        return MeasuredTable(travels, forces)
    for travel, force, unloading in points:
        if unloading > force:
            raise ValueError(
                f"{shown(name)} unloads at {unloading:g} N, above its loading force {force:g} N at "
                f"{travel * 1e3:g} mm; allowed up to that; check which branch is which"
            )
    means = tuple(0.5 * (f + u) for f, u in zip(forces, back[0], strict=True))
    halves = tuple(0.5 * (f - u) for f, u in zip(forces, back[0], strict=True))
    return MeasuredTable(travels, means, halves)


def _check_rising(points: list[tuple[float, ...]], words: tuple[str, ...], name: str) -> None:
    """Travel and every branch of force rise from row to row."""
    for before, after in pairwise(points):
        for word, one, following in zip(words, before, after, strict=True):
            if not following > one:
                raise ValueError(
                    f"{shown(name)} is not monotonic: its {word} does not rise between "
                    f"{before[0] * 1e3:g} mm, {_forces(before)} and {after[0] * 1e3:g} mm, "
                    f"{_forces(after)}; sort it, compression positive, one row for each travel"
                )


def _forces(point: tuple[float, ...]) -> str:
    return ", ".join(f"{force:g} N" for force in point[1:])


def table_text(folder: Beside, name: str) -> str:
    """Content of a CSV beside the scenario, as it stands there.

    Raises ValueError, in one sentence, where it is missing, outside the folder, too large or not
    UTF-8.
    """
    if folder is None:
        raise ValueError(f"found {shown(name)}, but a scenario without a folder reads no CSV")
    if isinstance(folder, Mapping):
        if name not in folder:
            raise ValueError(f"found {shown(name)}, but the sheet holds no such CSV; add the file")
        if len(folder[name]) > LARGEST:
            raise ValueError(f"{shown(name)} {too_large(LARGEST)}; keep the measured points only")
        return folder[name]
    inside = folder.resolve()
    try:
        path = (inside / name).resolve()
        if not path.is_relative_to(inside):
            raise ValueError(
                f"found {shown(name)}, outside the scenario's folder; put the CSV beside the file"
            )
        if not path.is_file():
            raise ValueError(
                f"found {shown(name)}, but there is no such file; put the CSV beside the scenario"
            )
        return read_text(path, LARGEST)
    except TooLargeError:
        raise ValueError(
            f"{shown(name)} {too_large(LARGEST)}; keep the measured points only"
        ) from None
    except UnicodeDecodeError:
        raise ValueError(f"{shown(name)} is not UTF-8 text; save it as CSV in UTF-8") from None
    except OSError as error:
        raise ValueError(f"{shown(name)} cannot be read ({error.strerror})") from None


def _columns(rows: list[list[str]], name: str) -> dict[str, tuple[int, float]]:
    """Position and unit factor of travel, force and, where there is one, unloading."""
    columns = {}
    for position, cell in enumerate(rows[0] if rows else ()):
        match = _HEAD.fullmatch(cell.strip())
        if match:
            word, unit = match.groups()
            try:
                columns[word] = position, from_unit(1.0, unit, _MEASURES[word])
            except ValueError as error:
                raise ValueError(f"{shown(name)} header: {error}") from None
    if not {"travel", "force"} <= columns.keys():
        raise ValueError(
            f"{shown(name)} has no header with units; head its columns travel_mm,force_N "
            "(or travel_in,force_lbf)"
        )
    return {word: columns[word] for word in _MEASURES if word in columns}


def _point(row: list[str], columns: dict[str, tuple[int, float]], where: str) -> tuple[float, ...]:
    """Travel and forces of one row in SI."""
    point = []
    for word, (position, factor) in columns.items():
        cell = row[position].strip() if position < len(row) else ""
        try:
            number = math.nan if "_" in cell else float(cell) * factor
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            raise ValueError(
                f"{where}: {word} {shown(cell)} is not a number; write it with a decimal point"
            )
        point.append(number)
    return tuple(point)
