"""Where does what is no module stand, in a checkout and in an installed wheel?"""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_INSTALLED = _PACKAGE / "checkout"  # of the wheel: a part of the checkout, see pyproject.toml
_ROOT = _INSTALLED if _INSTALLED.is_dir() else _PACKAGE.parent

SCENARIOS = _ROOT / "scenarios"
"""Invented vehicles, and a log of an invented drive."""
DOCS = _ROOT / "docs"
"""Those that the page shows."""
APP = _ROOT / "app.py"
"""What Streamlit runs."""
PAGE_SETTINGS = _ROOT / ".streamlit" / "config.toml"
"""Theme, limits and address of the page; Streamlit finds them beside `APP` by itself."""
