"""Which springs stand right in which state: a row for each set of them, a cell for each state."""

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import shorten

from rollsim.drawing.svg import BLUE, PALE_BLUE, PAPER, RED, WIDTH, hatch, rectangle, svg, text

COLUMNS = 3  # more states go on in a line below
CELL, GAP, NAME, BELOW = 62.0, 6.0, 22.0, 14.0
SMALL, LETTERS = 11.5, 17  # letters of a cell's width
EDGE = 1.0


@dataclass(frozen=True, slots=True)
class SpringCell:
    """One state with a set of springs: its verdict, and how high it stands, in words."""

    state: str
    right: bool
    verdict: str
    heights: str


@dataclass(frozen=True, slots=True)
class SpringRow:
    """A set of springs, named, in every state."""

    name: str
    cells: tuple[SpringCell, ...]


def which_springs(rows: Sequence[SpringRow]) -> str:
    """Framed blue: stands right; hatched red: does not, and what speaks against it.

    Examples
    --------
    >>> cell = SpringCell("touring", False, "rear over", "front +3, rear -40 mm")
    >>> "heavy: touring does not stand right, rear over, front +3, rear" in which_springs(
    ...     [SpringRow("heavy", (cell,))])
    True
    """
    wide = (WIDTH - (COLUMNS - 1) * GAP) / COLUMNS
    parts, said, top = [], [], 0.0
    for row in rows:
        parts.append(text(0.0, top + 15.0, shorten(row.name, 48, placeholder=" …"), bold=True))
        top += NAME
        for n, cell in enumerate(row.cells):
            line, column = divmod(n, COLUMNS)
            parts.append(_cell(cell, column * (wide + GAP), top + line * (CELL + GAP), wide=wide))
        lines = -(-len(row.cells) // COLUMNS)
        top += lines * (CELL + GAP) + BELOW
        said += [
            f"{row.name}: {cell.state} "
            f"{'stands right' if cell.right else f'does not stand right, {cell.verdict}'}, "
            f"{cell.heights}"
            for cell in row.cells
        ]
    return svg(parts, "; ".join(said), (0, 0, WIDTH, top))


def _cell(cell: SpringCell, left: float, top: float, *, wide: float) -> str:
    """State, verdict and heights, on its ground."""
    box = (left + EDGE, top + EDGE, wide - 2.0 * EDGE, CELL - 2.0 * EDGE)
    if cell.right:
        parts = [rectangle(*box, style=f"fill:{PALE_BLUE};stroke:{BLUE};stroke-width:1.5")]
    else:
        lines = hatch(box[0], box[1] + box[3] - 8.0, box[2], 8.0, step=6.0)
        parts = [
            rectangle(*box, style=f"fill:{PAPER};stroke:{RED};stroke-width:1.5"),
            f'<path style="fill:none;stroke:{RED};stroke-width:1.2" d="{lines}"/>',
        ]
    verdict = "✓ right" if cell.right else f"✗ {cell.verdict}"
    for n, (words, bold) in enumerate(
        ((cell.state, False), (verdict, True), (cell.heights, False))
    ):
        short = shorten(words, LETTERS, placeholder="…")
        parts.append(text(left + 6.0, top + 16.0 + 15.0 * n, short, bold=bold, size=SMALL))
    return "".join(parts)
