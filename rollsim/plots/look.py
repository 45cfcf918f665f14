"""Colours and line styles of every curve, for page and files: told apart without colour too."""

LIGHT = ("#10151c", "#d5dbe2", "#ffffff")  # text, grid, background
DARK = ("#f2f5f8", "#3a444f", "#14181e")
ON_LIGHT = ("#3d4854", "#a34700", "#0b5cad", "#1b7340", "#7a3e9d", "#9c1f4a")
ON_DARK = ("#c3ccd6", "#ffb066", "#7db8f5", "#7fd6a0", "#d3a6f0", "#ff9ab8")
SHADE_ON_LIGHT, SHADE_ON_DARK = "#cfe1f5", "#1d3550"  # of what is accepted
DASHES = ([1, 0], [6, 3], [2, 2], [10, 3, 2, 3], [12, 4], [4, 2, 1, 2])


def style_number(line: int) -> tuple[int, int]:
    """Which colour and which dashes the n-th line has: no two of the first 36 have both alike."""
    turn, colour = divmod(line, len(ON_LIGHT))
    return colour, (colour + turn) % len(DASHES)
