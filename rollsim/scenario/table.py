"""A measured spring from a CSV beside the scenario file."""

import csv
import math
import re
from itertools import pairwise
from pathlib import Path

from rollsim.units import Dimension, from_unit, shown

LARGEST_FILE = 2_000_000  # bytes
_HEAD = re.compile(r"(travel|force)[ _]?[(\[]?([A-Za-z]+)[)\]]?")
_MEASURES = {"travel": Dimension.LENGTH, "force": Dimension.FORCE}


def read_table(folder: Path | None, name: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Read travel and force of a spring.

    Parameters
    ----------
    folder : Path or None
        Folder of the scenario file; None where there is none.
    name : str
        Of the CSV, inside that folder.

    Returns
    -------
    tuple of float
        Compression of each point [m], rising.
    tuple of float
        Force at each point [N], rising.

    Raises
    ------
    ValueError
        If the file is missing, outside the folder, too large or no such table; one sentence.

    Notes
    -----
    The first line heads the two columns with their units, "travel_mm,force_N" or
    "travel_in,force_lbf"; compression is positive. Falling tables are turned round.
    """
    try:
        rows = list(csv.reader(_text(folder, name).splitlines()))
    except csv.Error as error:
        raise ValueError(f"{shown(name)} cannot be read as CSV ({error})") from None
    rows = [row for row in rows if any(cell.strip() for cell in row)]
    columns = _columns(rows, name)
    points = [_point(row, columns, f"{shown(name)} row {n}") for n, row in enumerate(rows[1:], 2)]
    if len(points) < 2:
        raise ValueError(
            f"{shown(name)} has {len(points)} rows of numbers; allowed 2 or more; measure more"
        )
    if points[0][0] > points[-1][0]:
        points.reverse()
    for (travel, force), (next_travel, next_force) in pairwise(points):
        for word, before, after in (("travel", travel, next_travel), ("force", force, next_force)):
            if not after > before:
                raise ValueError(
                    f"{shown(name)} is not monotonic: its {word} does not rise between "
                    f"{travel * 1e3:g} mm, {force:g} N and {next_travel * 1e3:g} mm, "
                    f"{next_force:g} N; sort it, compression positive, and leave one branch only"
                )
    travels, forces = zip(*points, strict=True)
    return travels, forces


def _text(folder: Path | None, name: str) -> str:
    """Content of the file, which must lie inside the folder."""
    if folder is None:
        raise ValueError(f"found {shown(name)}, but a scenario without a folder reads no CSV")
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
        if path.stat().st_size > LARGEST_FILE:
            raise ValueError(f"{shown(name)} is larger than 2 MB; keep the measured points only")
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError(f"{shown(name)} is not UTF-8 text; save it as CSV in UTF-8") from None
    except OSError as error:
        raise ValueError(f"{shown(name)} cannot be read ({error.strerror})") from None


def _columns(rows: list[list[str]], name: str) -> dict[str, tuple[int, float]]:
    """Position and unit factor of the columns travel and force."""
    columns = {}
    for position, cell in enumerate(rows[0] if rows else ()):
        match = _HEAD.fullmatch(cell.strip())
        if match:
            word, unit = match.groups()
            try:
                columns[word] = position, from_unit(1.0, unit, _MEASURES[word])
            except ValueError as error:
                raise ValueError(f"{shown(name)} header: {error}") from None
    if len(columns) < 2:
        raise ValueError(
            f"{shown(name)} has no header with units; head its columns travel_mm,force_N "
            "(or travel_in,force_lbf)"
        )
    return columns


def _point(
    row: list[str], columns: dict[str, tuple[int, float]], where: str
) -> tuple[float, float]:
    """Travel and force of one row in SI."""
    point = []
    for word in ("travel", "force"):
        position, factor = columns[word]
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
    return point[0], point[1]
