"""A line in space as straight pieces and bends: where does it run, and in which direction?"""

import math
from dataclasses import dataclass

import numpy as np

# Six Gauss points integrate the squared moments exactly on a straight piece, and to rounding on
# a bend of up to 180 degrees when it is cut in four.
_GAUSS_NODES, _GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(6)
_ARC_PARTS = 4

# Shorter than this a piece is a rounding error [m].
ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A straight piece (no normal) or a bend, whose unit normal points to its centre [m]."""

    start: np.ndarray
    tangent: np.ndarray
    length: float
    radius: float = math.inf
    normal: np.ndarray | None = None

    def at(self, distance: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Points and unit tangents, each (n, 3), at distances (n,) from the piece's start [m]."""
        if self.normal is None:
            tangents = np.broadcast_to(self.tangent, (len(distance), 3))
            return self.start + np.outer(distance, self.tangent), tangents
        sine, cosine = np.sin(distance / self.radius), np.cos(distance / self.radius)
        step = np.outer(sine, self.tangent) + np.outer(1.0 - cosine, self.normal)
        tangents = np.outer(cosine, self.tangent) + np.outer(sine, self.normal)
        return self.start + self.radius * step, tangents

    def quadrature(self) -> tuple[np.ndarray, np.ndarray]:
        """Distances from the start and weights, both [m] and (k,), of the Gauss points."""
        parts = 1 if self.normal is None else _ARC_PARTS
        part = self.length / parts
        distances = part * (np.arange(parts)[:, None] + (_GAUSS_NODES + 1.0) / 2.0).ravel()
        return distances, np.tile(part / 2.0 * _GAUSS_WEIGHTS, parts)


def pieces_of(points: np.ndarray, bend_radius: float) -> tuple[Piece, ...]:
    """Cut the line through `points` (n, 3) [m] into straight pieces and bends."""
    legs = np.diff(points, axis=0)
    lengths = np.linalg.norm(legs, axis=1)
    tangents = legs / lengths[:, None]
    cosines = np.clip(np.sum(tangents[:-1] * tangents[1:], axis=1), -1.0, 1.0)
    turns = np.arccos(cosines)
    setbacks = np.concatenate(([0.0], bend_radius * np.tan(turns / 2.0), [0.0]))
    straights = lengths - setbacks[:-1] - setbacks[1:]
    if np.any(straights < -ROUNDING):
        leg = int(np.argmin(straights))
        raise ValueError(
            f"bend radius {bend_radius * 1e3:g} mm: the bends do not fit on the "
            f"{lengths[leg] * 1e3:.0f} mm between two corners; take a smaller radius"
        )
    pieces = []
    for leg, straight in enumerate(straights):
        start = points[leg] + setbacks[leg] * tangents[leg]
        if straight > ROUNDING:
            pieces.append(Piece(start, tangents[leg], float(straight)))
        if leg < len(turns) and setbacks[leg + 1] > ROUNDING:
            normal = tangents[leg + 1] - cosines[leg] * tangents[leg]
            pieces.append(
                Piece(
                    points[leg + 1] - setbacks[leg + 1] * tangents[leg],
                    tangents[leg],
                    float(bend_radius * turns[leg]),
                    bend_radius,
                    normal / np.linalg.norm(normal),
                )
            )
    return tuple(pieces)


def cut(pieces: tuple[Piece, ...], index: int, inboard: float) -> tuple[Piece, ...]:
    """Cut the straight piece at `index` in two.

    Parameters
    ----------
    pieces : tuple of Piece
        A whole line.
    index : int
        Of the straight piece to cut.
    inboard : float
        Where, from its start [m].

    Returns
    -------
    tuple of Piece
        One more than before, unless the cut falls on the piece's end.
    """
    piece = pieces[index]
    halves = (Piece(piece.start, piece.tangent, inboard),)
    if piece.length - inboard > ROUNDING:
        start = piece.start + inboard * piece.tangent
        halves += (Piece(start, piece.tangent, piece.length - inboard),)
    return pieces[:index] + halves + pieces[index + 1 :]
