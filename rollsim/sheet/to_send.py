"""A picture for the owner: the vehicle before and after in the same bend, and what it means."""

import re
import textwrap
from html import escape

from rollsim.drawing import rear_view
from rollsim.drawing.export import INKS, LINE_HEIGHT, MARGIN, standalone
from rollsim.reader_units import ReaderUnits
from rollsim.sheet import words
from rollsim.sheet.pictures import LEFT_BEND, bend_words, pair_shown, point_of
from rollsim.sheet.work import Work
from rollsim.tell.names import clean

AS_DRAWN = (
    "An angle over a picture is that of this left bend; the sentence has the mean of a left and a "
    "right bend, from the lean at rest."
)
_SIZE = re.compile(r'width="([\d.]+)" height="([\d.]+)" viewBox="[^"]*"')
_LETTER = 6.4  # units of the drawing that a letter takes at its size
_TEXT_SIZE = 13


def picture_to_send(work: Work, units: ReaderUnits) -> str:
    """Both views from behind with their angles, and a sentence with its caution under them.

    An SVG document with fixed colours; without a bar the empty and the loaded vehicle.
    """
    drawn, line = [], words.customer_line(work)
    said = [line, bend_words(work) or LEFT_BEND]
    for view, result in pair_shown(work, units):
        point = point_of(result)
        lean = "tips before" if point is None else f"leans {words.degrees(point.roll_angle)}"
        if point is not None and words.degrees(point.roll_angle) not in line:
            said.append(AS_DRAWN)
        name = escape(clean(view.title))
        drawn.append(f"<figcaption>{name}: {lean}</figcaption>{_without_caption(rear_view(view))}")
    if words.PLAIN_COST in words.worse(work, units):
        said.insert(1, words.PLAIN_COST)
    return _with_words(
        standalone("".join(drawn)), clean(work.scenario.job.vehicle.name), list(dict.fromkeys(said))
    )


def _without_caption(drawn: str) -> str:
    return re.sub(r"<figcaption>.*?</figcaption>", "", drawn, flags=re.DOTALL)


def _with_words(document: str, head: str, said: list[str]) -> str:
    """A document with a heading over it and paragraphs under it."""
    width, height = (float(number) for number in _SIZE.search(document).groups())
    letters = int((width - 2.0 * MARGIN) / _LETTER)
    lines = [line for one in said for line in textwrap.wrap(one, letters)]
    above = 2.0 * LINE_HEIGHT
    whole = above + height + LINE_HEIGHT * len(lines) + MARGIN
    inside = document.replace("<svg ", f'<svg y="{above:g}" ', 1)
    root = _SIZE.sub(
        f'width="{width:g}" height="{whole:g}" viewBox="0 0 {width:g} {whole:g}"', document, 1
    )
    ink, paper = INKS[False]
    texts = [_line(head, MARGIN + LINE_HEIGHT, ink=ink, bold=True)]
    texts += [
        _line(line, above + height + LINE_HEIGHT * n + LINE_HEIGHT / 2.0, ink=ink)
        for n, line in enumerate(lines)
    ]
    start = root[: root.index(">") + 1]
    return (
        f'{start}<rect width="{width:g}" height="{whole:g}" style="fill:{paper}"/>'
        f"{inside}{''.join(texts)}</svg>"
    )


def _line(text: str, y: float, *, ink: str, bold: bool = False) -> str:
    weight = ";font-weight:600" if bold else ""
    return (
        f'<text x="{MARGIN:g}" y="{y:g}" style="fill:{ink};font-size:{_TEXT_SIZE}px{weight}">'
        f"{escape(text)}</text>"
    )
