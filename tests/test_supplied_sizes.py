"""The built-in lists size by size: a size too many could be ordered and would not come."""

import pytest

from rollsim.bar.sections import parse_section_list

# EN 10305-1, from memory: preferred outer diameters, and walls up to a quarter of them [mm].
EN_DIAMETERS = [20, 22, 25, 26, 28, 30, 32, 35, 38, 40, 42, 45, 48, 50]
EN_WALLS = [1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0, 5.5, 6.0, 7.0, 8.0]
# ASTM A513: walls as printed (SEEN) [in]; diameters in eighths are common practice.
ASTM_WALLS = [0.065, 0.083, 0.095, 0.109, 0.120, 0.134, 0.148]


def sizes(text: str, unit: float) -> dict[float, list[float]]:
    """Walls of each outer diameter, in `unit` [m]."""
    found: dict[float, list[float]] = {}
    for section in parse_section_list(text)[0]:
        walls = found.setdefault(round(section.outer_diameter / unit, 6), [])
        walls.append(round(section.wall / unit, 6))
    return found


def test_metric_tubes():
    found = sizes("EN 10305-1 tubes 5-100 mm", 1e-3)
    assert list(found) == EN_DIAMETERS
    for diameter, walls in found.items():
        assert walls == [wall for wall in EN_WALLS if wall <= diameter / 4.0]
    assert found[20.0] == [1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0]
    assert found[32.0] == EN_WALLS


def test_inch_tubes():
    found = sizes("ASTM A513 tubes 0.2-3.9 in", 0.0254)
    assert list(found) == pytest.approx([n / 8.0 for n in range(4, 21)])
    for diameter, walls in found.items():
        assert walls == [wall for wall in ASTM_WALLS if wall <= diameter / 4.0]
