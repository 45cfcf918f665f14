"""The bar's rate, stress and mass against a frame analysis of the whole bar by a general library.

PyNiteFEA's members are slender beams (no shear flexibility), as the bar's theory is. Both halves
are modelled; the bushes hold the bar up and back, the middle holds what is left of rigid motion
and carries nothing. Bends are chains of short members, so that 0.1 % holds for them too.
"""

import math
from itertools import pairwise

import numpy as np
import pytest
from Pynite import FEModel3D

from rollsim.bar import (
    BarShape,
    Section,
    Steel,
    bar_mass,
    link_end_rate,
    straight_u,
    stress_along,
)

STEEL = Steel("test", strengths=((1.0, 1.0),))
FORCE = 1000.0  # N
LINK_LENGTH = 0.1  # m
CHORDS = 24

SHAPES = {
    "unsplayed": (straight_u(centre_length=0.94, lever=0.26, splay=0.0), 0.82),
    "splayed": (straight_u(centre_length=0.94, lever=0.26, splay=math.radians(14.0)), 0.80),
    "bend radius": (
        straight_u(centre_length=0.96, lever=0.28, splay=math.radians(10.0), bend_radius=0.06),
        0.74,
    ),
    "tube": (straight_u(centre_length=1.02, lever=0.23, splay=math.radians(-6.0)), 0.90),
    "general": (
        BarShape(
            0.24,
            (
                (0.0, 0.0, 0.0),
                (0.0, 0.22, 0.0),
                (-0.05, 0.30, 0.07),
                (-0.04, 0.48, 0.06),
                (0.12, 0.55, 0.02),
                (0.24, 0.53, -0.04),
            ),
        ),
        0.70,
    ),
    "dropped centre": (
        BarShape(
            0.30,
            (
                (0.0, 0.0, -0.05),
                (0.0, 0.15, -0.05),
                (0.0, 0.25, 0.0),
                (0.0, 0.47, 0.0),
                (0.30, 0.50, 0.03),
            ),
            0.04,
        ),
        0.76,
    ),
}
CASES = [
    ("unsplayed", Section(0.022, None), None, None),
    ("splayed", Section(0.024, None), None, None),
    ("bend radius", Section(0.025, None), None, None),
    ("tube", Section(0.030, 0.004), 9e6, None),
    ("general", Section(0.024, None), None, 4e6),
    ("dropped centre", Section(0.028, 0.005), 5e6, 4e6),
]


def chords(shape: BarShape) -> list[np.ndarray]:
    """The half centreline with every bend replaced by points on its arc."""
    corners = [np.array(point) for point in shape.half_centreline]
    line = [corners[0]]
    for before, corner, after in zip(corners, corners[1:], corners[2:], strict=False):
        if shape.bend_radius == 0.0:
            line.append(corner)
            continue
        inward = (before - corner) / np.linalg.norm(before - corner)
        onward = (after - corner) / np.linalg.norm(after - corner)
        half_angle = math.acos(inward @ onward) / 2.0  # half the angle inside the corner
        to_centre = (inward + onward) / np.linalg.norm(inward + onward)
        centre = corner + to_centre * shape.bend_radius / math.sin(half_angle)
        sideways = (onward - inward) / np.linalg.norm(onward - inward)
        sweep = math.pi / 2.0 - half_angle
        for angle in np.linspace(-sweep, sweep, CHORDS + 1):
            radial = -math.cos(angle) * to_centre + math.sin(angle) * sideways
            line.append(centre + shape.bend_radius * radial)
    return [*line, corners[-1]]


def insert_bush(line: list[np.ndarray], out: float) -> tuple[list[np.ndarray], int]:
    """The line with a point where it first reaches `out`, and that point's position in it."""
    for index, (a, b) in enumerate(pairwise(line)):
        if a[1] < out <= b[1]:
            point = a + (b - a) * (out - a[1]) / (b[1] - a[1])
            if np.allclose(point, b):
                return line, index + 1
            return [*line[: index + 1], point, *line[index + 1 :]], index + 1
    raise AssertionError("the test's bush lies outside the bar")


def frame(shape, spacing, section, *, bush_rate, link_rate):
    """The whole bar as a frame, loaded and solved; its loaded node, and that node's side."""
    model = FEModel3D()
    model.add_material("steel", STEEL.youngs_modulus, STEEL.shear_modulus, 0.3, STEEL.density)
    inertia = section.second_moment
    model.add_section("bar", section.area, inertia, inertia, 2.0 * inertia)
    line, bush = insert_bush(chords(shape), spacing / 2.0)
    for side in (1, -1):
        for index, (back, out, up) in enumerate(line):
            if index > 0 or side == 1:
                model.add_node(f"{side * index}", back, side * out, up)
        for index in range(len(line) - 1):
            i, j = f"{side * index}", f"{side * (index + 1)}"
            model.add_member(f"m{side * (index + 1)}", i, j, "steel", "bar")
        held = f"{side * bush}"
        model.def_support(held, support_DX=True, support_DZ=bush_rate is None)
        if bush_rate is not None:
            model.def_support_spring(held, "DZ", bush_rate)
        loaded = f"{side * (len(line) - 1)}"
        if link_rate is not None:
            loaded = add_link(model, loaded, line[-1], side=side, rate=link_rate)
        model.add_node_load(loaded, "FZ", side * FORCE)
    model.def_support("0", support_DY=True, support_RY=True)
    model.analyze_linear()
    return model, loaded, side


def frame_rate(shape, spacing, section, *, bush_rate, link_rate):
    """Force over vertical travel of one end, of the whole bar as a frame [N/m]."""
    model, loaded, side = frame(shape, spacing, section, bush_rate=bush_rate, link_rate=link_rate)
    return FORCE / model.nodes[loaded].DZ["Combo 1"] * side


def add_link(model, end, point, *, side, rate):
    """Hang a link, a spring, on the bar's end; its upper node moves up and down alone."""
    name = f"link {side}"
    model.add_node(name, point[0], side * point[1], point[2] + LINK_LENGTH)
    model.add_spring(f"spring {side}", end, name, rate)
    model.def_support(name, True, True, False, True, True, True)
    return name


@pytest.mark.parametrize(("name", "section", "bush_rate", "link_rate"), CASES)
def test_rate_within_a_thousandth(name, section, bush_rate, link_rate):
    shape, spacing = SHAPES[name]
    ours = link_end_rate(
        shape,
        spacing,
        section.second_moment,
        steel=STEEL,
        bush_rate=bush_rate,
        link_rate=link_rate,
    )
    frame = frame_rate(shape, spacing, section, bush_rate=bush_rate, link_rate=link_rate)
    assert ours == pytest.approx(frame, rel=1e-3)


@pytest.mark.parametrize(("name", "section", "bush_rate", "link_rate"), CASES)
def test_peak_stress_within_a_thousandth(name, section, bush_rate, link_rate):
    """From the frame's own bending moments and torques at both ends of every member.

    Section moduli by any textbook, von Mises from bending and torsion at the outer fibre.
    """
    shape, spacing = SHAPES[name]
    model, _, _ = frame(shape, spacing, section, bush_rate=bush_rate, link_rate=link_rate)
    d, bore = section.outer_diameter, section.inner_diameter
    modulus = math.pi * (d**4 - bore**4) / (32.0 * d)
    peak = 0.0
    for member in model.members.values():
        for end in (0.0, member.L()):
            bending = math.hypot(member.moment("My", end), member.moment("Mz", end)) / modulus
            shear = member.torque(end) / (2.0 * modulus)
            peak = max(peak, math.sqrt(bending**2 + 3.0 * shear**2))
    along = stress_along(shape, spacing, section, link_end_force=FORCE)
    assert along.von_mises.max() == pytest.approx(peak, rel=1e-3)


@pytest.mark.parametrize("name", SHAPES)
def test_mass_within_a_thousandth(name):
    """Every member's length, section and density, both halves."""
    shape, spacing = SHAPES[name]
    section = Section(0.030, 0.004)
    model, _, _ = frame(shape, spacing, section, bush_rate=None, link_rate=None)
    area = math.pi * (0.030**2 - 0.022**2) / 4.0
    whole = sum(member.L() for member in model.members.values()) * area * 7850.0
    assert bar_mass(shape, section, STEEL) == pytest.approx(whole, rel=1e-3)


def test_chords_shorten_a_bend_by_less_than_the_tolerance():
    line = chords(SHAPES["bend radius"][0])
    turn = math.pi / 2.0 - math.radians(10.0)
    arc = sum(np.linalg.norm(b - a) for a, b in pairwise(line[1:-1]))
    assert arc == pytest.approx(0.06 * turn, rel=1e-3)
