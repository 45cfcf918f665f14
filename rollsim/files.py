"""How is a file read without end in sight, and written without losing what was there?"""

import io
import secrets
import shutil
import sys
from pathlib import Path

STANDARD_INPUT = Path("-")


class TooLargeError(ValueError):
    """A file that holds more than is allowed."""


def read_bytes(path: Path, largest: int) -> bytes:
    """Read a file, a pipe or a device, and never more than is allowed.

    "-" is the standard input; `largest` is in bytes. Raises TooLargeError where there is more and
    OSError where it cannot be read.
    """
    if path == STANDARD_INPUT:
        data = sys.stdin.buffer.read(largest + 1)
    else:
        with path.open("rb") as file:
            data = file.read(largest + 1)
    if len(data) > largest:
        raise TooLargeError(f"{path.name} holds more than {largest} bytes")
    return data


def read_text(path: Path, largest: int) -> str:
    """Read a text in UTF-8, its line ends as "\\n" and without a byte-order mark.

    As `read_bytes`; raises UnicodeDecodeError where it is no UTF-8.
    """
    return io.StringIO(read_bytes(path, largest).decode("utf-8-sig"), newline=None).read()


def write(path: Path, content: str | bytes) -> None:
    """Write a file whole; where that fails, what was there stays as it was.

    A plain file that is replaced keeps its rights; a text goes in UTF-8, its line ends as they are.
    Raises OSError where it cannot be written, is a link or is no plain file; `strerror` says why.

    Notes
    -----
    The content goes into a file beside it that then takes its name, so that a reader sees the old
    one or the new one. A link is refused: through it a file elsewhere would be overwritten.
    """
    if path.is_symlink():
        raise OSError(0, "it is a link to another file; name the file itself")
    if path.exists() and not path.is_file():
        raise OSError(0, "it is a folder or a device; name a file")
    beside = path.with_name(f".rollsim-{secrets.token_hex(8)}.tmp")
    try:
        with beside.open("xb") as file:
            file.write(content.encode() if isinstance(content, str) else content)
        if path.exists():
            shutil.copymode(path, beside)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
