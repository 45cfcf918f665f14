"""A scenario as a parameter of a link, and back."""

import base64
import zlib

from rollsim.scenario.bounds import LARGEST, too_large


def packed(text: str) -> str:
    """Press a scenario (TOML) into one parameter of a link.

    Examples
    --------
    >>> unpacked(packed('title = "Demo"'))
    'title = "Demo"'
    """
    return base64.urlsafe_b64encode(zlib.compress(text.encode(), 9)).decode().rstrip("=")


def unpacked(parameter: str) -> str:
    """Take a scenario (TOML), not yet checked, out of a link.

    Raises ValueError where it is cut short, too long or something else.
    """
    if len(parameter) > 2 * LARGEST:
        raise ValueError(f"it {too_large(2 * LARGEST)}; copy the whole link again")
    padded = parameter + "=" * (-len(parameter) % 4)
    machine = zlib.decompressobj()
    try:
        pressed = base64.b64decode(padded, altchars=b"-_", validate=True)
        data = machine.decompress(pressed, LARGEST + 1)
        text = data.decode()
    except (ValueError, zlib.error):
        raise ValueError("it is damaged or not a scenario; copy the whole link again") from None
    if not machine.eof:
        raise ValueError(f"it is cut short or {too_large(LARGEST)}; copy the whole link again")
    return text
