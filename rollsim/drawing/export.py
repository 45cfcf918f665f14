"""Pictures as files: SVG that stands alone, and PNG."""

import math
import re
from dataclasses import dataclass
from html import escape, unescape

INKS = {False: ("#10151c", "#ffffff"), True: ("#f2f5f8", "#14181e")}
"""Ink and paper by darkness; the same as the page's themes."""
MARGIN = 12.0
LINE_HEIGHT = 19.0
TITLE_SIZE = 15
FONTS = "Liberation Sans,Arial,Helvetica,sans-serif"

_LIGHT_DARK = re.compile(r"light-dark\(\s*([^,()]+?)\s*,\s*([^,()]+?)\s*\)")
_FIGURE = re.compile(r"<figcaption>(.*?)</figcaption>|<svg\b[^>]*>.*?</svg>", re.DOTALL)
_BOX = re.compile(r'viewBox="([-\d.e+ ]+)"')
_OPEN = re.compile(r"<svg\b[^>]*>")
_LABEL = re.compile(r'aria-label="([^"]*)"')
_NARROW = re.compile(r'<span class="narrow">.*?</span>', re.DOTALL)


@dataclass(frozen=True, slots=True)
class _Picture:
    """One `<svg>` with its caption: lines over it, its box, what is inside, in words."""

    lines: tuple[str, ...]
    box: tuple[float, ...]
    inside: str
    words: str


def standalone(drawn: str, *, dark: bool = False) -> str:
    """Make an SVG document of what stands on the page.

    `drawn` is an `<svg>` element, or HTML with one or more of them; captions are kept as text. The
    document has fixed colours, a background and a generic font; several pictures stand in one row,
    their lower edges on one line. Raises ValueError if there is no picture in it.

    Examples
    --------
    >>> alone = standalone('<svg viewBox="0 0 10 10"><path style="fill:currentColor"/></svg>')
    >>> "currentColor" in alone, alone.startswith("<svg xmlns=")
    (False, True)
    """
    pictures = _pictures(drawn)
    if not pictures:
        raise ValueError("nothing to export: there is no picture in it")
    ink, paper = INKS[dark]
    head = max(len(p.lines) for p in pictures) * LINE_HEIGHT
    tall = head + max(p.box[3] for p in pictures)
    width = sum(p.box[2] for p in pictures) + MARGIN * (len(pictures) + 1)
    width, height = math.ceil(width), math.ceil(tall + 2 * MARGIN)  # whole pixels in a PNG
    x, parts = MARGIN, []
    for p in pictures:
        left, top, wide, high = p.box
        y = MARGIN + tall - high
        parts.append(_caption(p.lines, x + wide / 2, y))
        parts.append(
            f'<svg x="{x:g}" y="{y:g}" width="{wide:g}" height="{high:g}" '
            f'viewBox="{left:g} {top:g} {wide:g} {high:g}">{p.inside}</svg>'
        )
        x += wide + MARGIN
    words = "; ".join(p.words for p in pictures if p.words)
    document = (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{words}" '
        f'width="{width:g}" height="{height:g}" viewBox="0 0 {width:g} {height:g}" '
        f'style="font-family:{FONTS}" font-family="{FONTS}" color="{ink}">'
        f'<rect width="{width:g}" height="{height:g}" style="fill:{paper}"/>{"".join(parts)}</svg>'
    )
    fixed = _LIGHT_DARK.sub(lambda found: found[2 if dark else 1], document)
    return fixed.replace("currentColor", ink)


def png(document: str, scale: float = 2.0) -> bytes:
    """Turn an SVG document into a PNG with `scale` pixels per unit of the drawing."""
    import vl_convert  # heavy: only a download needs it

    return vl_convert.svg_to_png(document, scale=scale)


def _pictures(drawn: str) -> list[_Picture]:
    found, lines = [], ()
    for match in _FIGURE.finditer(drawn):
        if match[1] is not None:
            lines = _lines(match[1])
            continue
        element = match[0]
        box = _BOX.search(element)
        if box is None:
            raise ValueError("nothing to export: a picture has no viewBox")
        label = _LABEL.search(_OPEN.match(element)[0])
        inside = element[_OPEN.match(element).end() : -len("</svg>")]
        size = tuple(float(number) for number in box[1].split())
        found.append(_Picture(lines, size, inside, label[1] if label else ""))
        lines = ()
    return found


def _lines(caption: str) -> tuple[str, ...]:
    """Lines of a caption, without what only a narrow screen shows."""
    rows = re.split(r"<br\s*/?>", _NARROW.sub("", caption))
    return tuple(unescape(re.sub(r"<[^>]*>", "", row)) for row in rows)


def _caption(lines: tuple[str, ...], x: float, foot: float) -> str:
    """Lines over a picture, the first one bold."""
    return "".join(
        f'<text x="{x:g}" y="{foot - (len(lines) - n) * LINE_HEIGHT + 14:g}" '
        f'text-anchor="middle" style="fill:currentColor;font-size:{TITLE_SIZE}px'
        f'{";font-weight:600" if n == 0 else ""}">{escape(line)}</text>'
        for n, line in enumerate(lines)
    )
