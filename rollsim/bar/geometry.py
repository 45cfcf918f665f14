"""The bar's centreline, and the bending and torsion that a force at its end makes along it.

Coordinates are [back, out, up] of one half, from the middle of the bar (out = 0) to the link end.
The halves are mirror images loaded in opposite directions, so one half tells everything.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rollsim.bar.centreline import ROUNDING, Piece, cut, pieces_of

_STATIONS_PER_PIECE = 33
_SHAPES = 1024  # kept, a few bytes each: the same ones come for every state and trial

# A bush turns about the line across the vehicle; beyond this angle it would sit on an arm.
_STEEPEST_AT_BUSH = math.cos(math.radians(45.0))


@dataclass(frozen=True, slots=True)
class BarShape:
    """Half of a bar's centreline.

    Parameters
    ----------
    lever : float
        Arm length square to the centre section, which names the hole [m].
    half_centreline : tuple of (float, float, float)
        Points [back, out, up] from the middle of the bar, where out is 0, to the link end [m].
    bend_radius : float
        Of the centreline at every corner between the points [m]; 0: sharp corners.

    Raises
    ------
    ValueError
        If the points do not make such a line, or the bends do not fit between them.
    """

    lever: float
    half_centreline: tuple[tuple[float, float, float], ...]
    bend_radius: float = 0.0

    def __post_init__(self) -> None:
        points = np.asarray(self.half_centreline, dtype=float)
        if points.ndim != 2 or points.shape[1] != 3 or len(points) < 2:
            raise ValueError(
                "centreline: two or more points of three numbers [back, out, up] are needed"
            )
        if not (np.isfinite(points).all() and math.isfinite(self.lever)):
            raise ValueError("centreline: every number must be finite")
        if self.lever <= 0.0:
            raise ValueError(
                f"lever {self.lever * 1e3:g} mm: it must be above zero; count back from the centre "
                "section towards the link end, whichever way the arms point in the vehicle"
            )
        if points[0, 1] != 0.0:
            raise ValueError(
                f"centreline: the first point lies {points[0, 1] * 1e3:g} mm out; it must be the "
                "middle of the bar, 0 mm out"
            )
        if points[-1, 1] <= 0.0:
            raise ValueError(
                f"centreline: the last point lies {points[-1, 1] * 1e3:g} mm out; it must be the "
                "link end, out above zero"
            )
        if np.any(np.linalg.norm(np.diff(points, axis=0), axis=1) < ROUNDING):
            raise ValueError("centreline: two points in a row are the same; leave one out")
        if not 0.0 <= self.bend_radius < math.inf:
            raise ValueError(
                f"bend radius {self.bend_radius * 1e3:g} mm: it must be zero or more; it is that "
                "of the centreline"
            )
        pieces_of(points, self.bend_radius)


@dataclass(frozen=True, slots=True, eq=False)
class Stations:
    """Bending and torsion along one half of a bar, per unit force at its end.

    Parameters
    ----------
    distance : ndarray, shape (n,)
        Along the centreline from the middle [m]; a corner and the bush stand twice, once for
        each side.
    position : ndarray, shape (n, 3)
        [back, out, up] [m].
    bending : ndarray, shape (n,)
        Bending moment per end force [N·m/N], zero or more.
    torsion : ndarray, shape (n,)
        Torque per end force [N·m/N], positive in the centre section of a straight U.
    """

    distance: np.ndarray
    position: np.ndarray
    bending: np.ndarray
    torsion: np.ndarray


def straight_u(
    *, centre_length: float, lever: float, splay: float, bend_radius: float = 0.0
) -> BarShape:
    """Shape a bar that lies flat: a straight centre section and two straight arms.

    Parameters
    ----------
    centre_length : float
        Between the bends, measured to the corners of the centreline [m].
    lever : float
        Arm length square to the centre section [m].
    splay : float
        How far the arms spread outward from square [rad]; negative where they close in.
    bend_radius : float
        Of the centreline [m]; 0: sharp corners.

    Returns
    -------
    BarShape
        Lengths in [m].

    Raises
    ------
    ValueError
        If a length is not positive, the arms do not point backwards or the bends do not fit.

    Notes
    -----
    Link spacing B = centre_length + 2 lever tan(splay).

    Examples
    --------
    >>> import math
    >>> bar = straight_u(centre_length=0.94, lever=0.26, splay=math.radians(12.0))
    >>> round(link_spacing(bar), 4)
    1.0505
    """
    for word, length in (("centre length", centre_length), ("lever", lever)):
        if not 0.0 < length < math.inf:
            raise ValueError(f"{word} {length * 1e3:g} mm: it must be above zero")
    if not abs(splay) < math.pi / 2.0:
        raise ValueError(
            f"arm splay {math.degrees(splay):g} deg: it is measured from square, "
            "so it must be between -90 and 90 deg"
        )
    corner = centre_length / 2.0
    end = corner + lever * math.tan(splay)
    points = ((0.0, 0.0, 0.0), (0.0, corner, 0.0), (lever, end, 0.0))
    return BarShape(lever, points, bend_radius)


def link_spacing(shape: BarShape) -> float:
    """Distance between the two link ends.

    Parameters
    ----------
    shape : BarShape
        Lengths in [m].

    Returns
    -------
    float
        [m].
    """
    return 2.0 * shape.half_centreline[-1][1]


def half_length(shape: BarShape) -> float:
    """Length of the centreline from the middle to the link end, round the bends.

    Parameters
    ----------
    shape : BarShape
        Lengths in [m].

    Returns
    -------
    float
        [m].

    Examples
    --------
    >>> sharp = straight_u(centre_length=1.0, lever=0.3, splay=0.0)
    >>> round(half_length(sharp), 6)
    0.8
    """
    return sum(piece.length for piece in _pieces(shape))


def unit_load_integrals(
    shape: BarShape, bush_spacing: float, *, arm_angle: float = 0.0
) -> tuple[float, float]:
    """Integrals over one half of the squared bending and torsion of a unit force at the end.

    Parameters
    ----------
    shape : BarShape
        Lengths in [m].
    bush_spacing : float
        Distance between the middles of the two bushes [m].
    arm_angle : float
        Angle by which the whole shape is turned about the bushes [rad].

    Returns
    -------
    bending : float
        ∫ M² ds [m³].
    torsion : float
        ∫ T² ds [m³].

    Raises
    ------
    ValueError
        If the bushes lie outside the bar's centre section or on a bend.

    Notes
    -----
    End force F upward on one side and downward on the other are held by a couple of bush
    reactions F B/s, so the bar is statically determinate. At a section r the moment is
    (r_end − r) × F, and inboard of the bush the reaction's is added; torsion is its component
    along the centreline and bending the rest. Straight pieces are exact, bends to rounding.
    The force stays vertical while the shape turns, so with an arm angle the moments are those of
    the projected lever, lever × cos(arm_angle), over the arm's true length.
    Left out: shear (0.1 % of the rate for solid bars, 0.4 % for tubes), the length of a bush.
    Source: unit-load method, common practice. [unit-load]

    Examples
    --------
    >>> bar = straight_u(centre_length=0.8, lever=0.25, splay=0.0)
    >>> bending, torsion = unit_load_integrals(bar, 0.8)
    >>> round(bending, 12) == round(0.25**3 / 3, 12), round(torsion, 9)
    (True, 0.025)
    """
    return _integrals(shape, bush_spacing, arm_angle)


@lru_cache(maxsize=_SHAPES)
def _integrals(shape: BarShape, bush_spacing: float, arm_angle: float) -> tuple[float, float]:
    pieces, _ = _pieces_and_bush(shape, bush_spacing)
    rulers, weights = zip(*(piece.quadrature() for piece in pieces), strict=True)
    _, bending, torsion = _moments(shape, bush_spacing, arm_angle, rulers)
    weights = np.concatenate(weights)
    return float(weights @ bending**2), float(weights @ torsion**2)


def stations(shape: BarShape, bush_spacing: float, *, arm_angle: float = 0.0) -> Stations:
    """Bending and torsion along one half, dense enough to draw.

    Parameters
    ----------
    shape : BarShape
        Lengths in [m].
    bush_spacing : float
        Distance between the middles of the two bushes [m].
    arm_angle : float
        Angle by which the whole shape is turned about the bushes [rad].

    Returns
    -------
    Stations
        Moments per end force in [N·m/N] from the middle to the link end, with both ends of every
        straight piece and bend among them; positions are those of the shape as given, unturned.

    Raises
    ------
    ValueError
        If the bushes lie outside the bar's centre section or on a bend.

    Notes
    -----
    See `unit_load_integrals`. On straight pieces the greatest stress is at an end; on a bend it
    is caught within 0.1 % (33 stations).

    Examples
    --------
    >>> bar = straight_u(centre_length=0.9, lever=0.25, splay=0.0)
    >>> along = stations(bar, 0.8)
    >>> round(float(along.torsion[0]), 6), round(float(along.bending.max()), 6)
    (0.25, 0.25)
    """
    pieces, _ = _pieces_and_bush(shape, bush_spacing)
    rulers = [np.linspace(0.0, piece.length, _STATIONS_PER_PIECE) for piece in pieces]
    position, bending, torsion = _moments(shape, bush_spacing, arm_angle, rulers)
    starts = np.cumsum([0.0] + [piece.length for piece in pieces[:-1]])
    distance = np.concatenate([a + b for a, b in zip(starts, rulers, strict=True)])
    return Stations(distance, position, bending, torsion)


@lru_cache(maxsize=_SHAPES)
def _pieces(shape: BarShape) -> tuple[Piece, ...]:
    return pieces_of(np.asarray(shape.half_centreline, dtype=float), shape.bend_radius)


@lru_cache(maxsize=_SHAPES)
def _pieces_and_bush(shape: BarShape, bush_spacing: float) -> tuple[tuple[Piece, ...], int]:
    """Pieces of the shape, cut at the bush, and how many of them lie inboard of it."""
    if not 0.0 < bush_spacing < math.inf:
        raise ValueError(f"bush spacing {bush_spacing * 1e3:g} mm: it must be above zero")
    pieces = _pieces(shape)
    half = bush_spacing / 2.0
    across = 0.0
    for index, piece in enumerate(pieces):
        end_out = float(piece.at(np.array([piece.length]))[0][0, 1])
        runs_across = piece.normal is None and piece.tangent[1] >= _STEEPEST_AT_BUSH
        if end_out < half - ROUNDING:
            across = max(across, end_out) if runs_across else across
            continue
        if piece.normal is not None and piece.start[1] < half:
            raise ValueError(
                f"bush spacing {bush_spacing * 1e3:g} mm: the bushes lie on the bends; the bar is "
                f"straight up to {_rounded_down(2.0 * piece.start[1])} mm; put them inside that"
            )
        if not runs_across:
            break
        inboard = min((half - piece.start[1]) / piece.tangent[1], piece.length)
        return cut(pieces, index, inboard), index + 1
    raise ValueError(
        f"bush spacing {bush_spacing * 1e3:g} mm: the bushes lie outside the bar's centre section, "
        f"which runs across for {_rounded_down(2.0 * across)} mm; put them inside that"
    )


def _rounded_down(length: float) -> int:
    """Whole millimetres that are surely not too long."""
    return math.floor((length + ROUNDING) * 1e3)


def _moments(
    shape: BarShape, bush_spacing: float, arm_angle: float, rulers: Sequence[np.ndarray]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Points (n, 3), bending (n,) and torsion (n,) of a unit end force, per piece at `rulers`."""
    pieces, inboard = _pieces_and_bush(shape, bush_spacing)
    sampled = [piece.at(ruler) for piece, ruler in zip(pieces, rulers, strict=True)]
    points = np.concatenate([point for point, _ in sampled])
    is_inboard = np.repeat(np.arange(len(pieces)) < inboard, [len(ruler) for ruler in rulers])
    reaction = np.where(is_inboard, link_spacing(shape) / bush_spacing, 0.0)[:, None]
    end = np.asarray(shape.half_centreline[-1], dtype=float)
    bush = pieces[inboard].start if inboard < len(pieces) else end
    # Turning the shape under a vertical force only changes how far back the points lie.
    arm = _turned(end - points - reaction * (bush - points), arm_angle)
    tangents = _turned(np.concatenate([tangent for _, tangent in sampled]), arm_angle)
    moment = np.column_stack((-arm[:, 1], arm[:, 0], np.zeros(len(arm))))
    torsion = np.sum(moment * tangents, axis=1)
    bending = np.linalg.norm(moment - torsion[:, None] * tangents, axis=1)
    return points, bending, torsion


def _turned(vectors: np.ndarray, angle: float) -> np.ndarray:
    """Vectors (n, 3) turned about the line across the vehicle."""
    back, out, up = vectors.T
    sine, cosine = math.sin(angle), math.cos(angle)
    return np.column_stack((back * cosine - up * sine, out, back * sine + up * cosine))
