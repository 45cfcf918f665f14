"""How does every picture for a terminal look, and how does it become a file? matplotlib.

No pyplot and no state of it: figures are made, saved and gone. The same input gives the same bytes.
"""

import io
import logging
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import matplotlib
from matplotlib.artist import Artist
from matplotlib.figure import Figure, SubFigure

from rollsim.plots.look import DASHES, LIGHT, ON_LIGHT, style_number

WIDTH = 9.0  # in
LINE_WIDTH = 2.0
SMALL = 9.0  # pt, the least text
INK, GRID, PAPER = LIGHT
_LONGEST = 44  # characters of a name
_SHARPNESS = 150  # pixels of a PNG to the inch
_STYLE = {
    "text.parse_math": False,  # a name may hold a dollar sign
    "font.size": 10.0,
    "axes.titlesize": 11.0,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.labelsize": 10.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": GRID,
    "text.color": INK,
    "axes.labelcolor": INK,
    "axes.edgecolor": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "figure.facecolor": PAPER,
    "axes.facecolor": PAPER,
    "legend.frameon": False,
    "legend.fontsize": SMALL,
    "legend.title_fontsize": SMALL,
    "legend.handlelength": 3.2,
    "hatch.linewidth": 0.8,
    "lines.linewidth": LINE_WIDTH,
    "svg.hashsalt": "rollsim",  # else every file has other names inside
}
_NO_DATE = {"png": {"Software": None}, "svg": {"Date": None}, "pdf": {"CreationDate": None}}


@contextmanager
def house_style() -> Iterator[None]:
    """Whatever the reader's own settings of matplotlib are, these hold inside."""
    logging.getLogger("matplotlib").setLevel(logging.ERROR)  # no talk about caches on stderr
    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(_STYLE)
        yield


def sheet(title: str, height: float) -> Figure:
    """An empty picture with its title, `height` inches tall; its parts find their own places."""
    figure = Figure(figsize=(WIDTH, height), layout="constrained")
    figure.suptitle(short(title, 96), fontsize=13, fontweight="bold")
    return figure


def line_style(number: int) -> dict[str, object]:
    """Colour and dashes of the n-th line, as the page draws it."""
    colour, pattern = style_number(number)
    dashes = DASHES[pattern]
    return {
        "color": ON_LIGHT[colour],
        "linestyle": "-" if dashes[1] == 0 else (0, [n / LINE_WIDTH for n in dashes]),
    }


def short(name: str, most: int = _LONGEST) -> str:
    """A name in the user's words, cut where it is too long for a picture."""
    return name if len(name) <= most else f"{name[: most - 1]}…"


def key(
    part: Figure | SubFigure, handles: Sequence[Artist], labels: Sequence[str], columns: int = 2
) -> None:
    """What lines and marks mean, under a part of the picture, `columns` side by side."""
    part.legend(handles, labels, loc="outside lower left", ncols=min(columns, max(len(labels), 1)))


def as_bytes(figure: Figure, kind: str) -> bytes:
    """The picture as a file.

    `kind` is "png", "svg" or "pdf". The figure is made and saved inside `house_style`; the same
    figure gives the same bytes, with no date and no random names.
    """
    data = io.BytesIO()
    with warnings.catch_warnings():
        # A letter that the font lacks, in a name of the user's, is drawn as a box.
        warnings.filterwarnings("ignore", message="Glyph .* missing")
        figure.savefig(data, format=kind, dpi=_SHARPNESS, metadata=_NO_DATE[kind])
    return data.getvalue()
