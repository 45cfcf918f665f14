"""A scenario as a parameter of a link, and back."""

import base64
import zlib

LARGEST = 2_000_000  # characters of a scenario


def packed(text: str) -> str:
    """Press a scenario into one parameter of a link.

    Parameters
    ----------
    text : str
        TOML.

    Returns
    -------
    str
        Letters that a link may hold.

    Examples
    --------
    >>> unpacked(packed('title = "Demo"'))
    'title = "Demo"'
    """
    return base64.urlsafe_b64encode(zlib.compress(text.encode(), 9)).decode().rstrip("=")


def unpacked(parameter: str) -> str:
    """Take a scenario out of a link.

    Parameters
    ----------
    parameter : str
        From `packed`.

    Returns
    -------
    str
        TOML, not yet checked.

    Raises
    ------
    ValueError
        If it is cut short, too long or something else.
    """
    padded = parameter + "=" * (-len(parameter) % 4)
    machine = zlib.decompressobj()
    try:
        data = machine.decompress(base64.b64decode(padded, altchars=b"-_", validate=True), LARGEST)
        text = data.decode()
    except (ValueError, zlib.error):
        raise ValueError("it is damaged or not a scenario; copy the whole link again") from None
    if not machine.eof:
        raise ValueError("it is cut short or longer than 2 MB; copy the whole link again")
    return text
