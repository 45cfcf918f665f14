"""Where do the demo scenarios stand, in a checkout and in an installed wheel?"""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_INSTALLED, _CHECKED_OUT = _PACKAGE / "scenarios", _PACKAGE.parent / "scenarios"

FOLDER = _INSTALLED if _INSTALLED.is_dir() else _CHECKED_OUT
"""Invented vehicles, and a log of an invented drive."""
