"""The words on the pages of a PDF that chromium printed, by its own fonts' tables."""

import re
import unicodedata
import zlib

_OBJECT = re.compile(rb"(\d+) 0 obj\b(.*?)\bendobj", re.DOTALL)
_STREAM = re.compile(rb"\bstream\r?\n")
_SHOWN = re.compile(rb"/(\w+) [\d.]+ Tf|<([0-9A-Fa-f]+)>\s*Tj|\[(.*?)\]\s*TJ", re.DOTALL)
_ONE = re.compile(r"<([0-9A-Fa-f]+)> <([0-9A-Fa-f]+)>\n")
_MANY = re.compile(r"<([0-9A-Fa-f]+)> <([0-9A-Fa-f]+)> <([0-9A-Fa-f]+)>")


def pages(pdf: bytes) -> list[str]:
    """Text of each page, white space taken out."""
    objects = {int(number): body for number, body in _OBJECT.findall(pdf)}
    tables = {n: _table(objects, body) for n, body in objects.items() if b"/ToUnicode" in body}
    found = []
    for body in objects.values():
        if not re.search(rb"/Type\s*/Page\b", body):
            continue
        fonts = {name: int(n) for name, n in re.findall(rb"/(F\d+) (\d+) 0 R", _fonts(body))}
        content = _content(objects[int(re.search(rb"/Contents (\d+) 0 R", body)[1])])
        found.append(_words(content, {name: tables[n] for name, n in fonts.items()}))
    return found


def _fonts(page: bytes) -> bytes:
    return re.search(rb"/Font\s*<<(.*?)>>", page, re.DOTALL)[1]


def _content(body: bytes) -> bytes:
    length = int(re.search(rb"/Length (\d+)", body)[1])
    start = _STREAM.search(body).end()
    stream = body[start : start + length]
    return zlib.decompress(stream) if b"/FlateDecode" in body else stream


def _table(objects: dict[int, bytes], font: bytes) -> dict[int, str]:
    """Glyph to character of a font."""
    text = _content(objects[int(re.search(rb"/ToUnicode (\d+) 0 R", font)[1])]).decode("latin-1")
    found = {}
    for part in re.findall(r"beginbfchar\n(.*?)endbfchar", text, re.DOTALL):
        found |= {int(glyph, 16): _character(code) for glyph, code in _ONE.findall(part)}
    for part in re.findall(r"beginbfrange\n(.*?)endbfrange", text, re.DOTALL):
        for first, last, code in _MANY.findall(part):
            start = int(first, 16)
            for glyph in range(start, int(last, 16) + 1):
                found[glyph] = chr(int(code, 16) + glyph - start)
    return found


def _character(code: str) -> str:
    return bytes.fromhex(code).decode("utf-16-be")


def _words(content: bytes, fonts: dict[bytes, dict[int, str]]) -> str:
    glyphs: dict[int, str] = {}
    found = []
    for font, one, many in _SHOWN.findall(content):
        if font:
            glyphs = fonts.get(font, {})
        for code in [one] if one else re.findall(rb"<([0-9A-Fa-f]+)>", many):
            text = code.decode("ascii")
            found += [glyphs.get(int(text[n : n + 4], 16), "") for n in range(0, len(text), 4)]
    letters = unicodedata.normalize("NFKC", "".join(found))  # some fonts join f and i in one
    return "".join(letters.split())
