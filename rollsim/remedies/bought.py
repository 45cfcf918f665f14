"""[rear_bar] with a bar to be bought in place of the shelf: shape, steels and sections by name."""

import copy
import math

from rollsim.bar import STEELS, RearBar, Stock
from rollsim.sizing import Candidate

_FLAT = 1e-9  # m


def as_bought(table: dict, rear_bar: RearBar, bar: Candidate) -> dict:
    """The table of a file with the shape of a bar of its shelf, and all steels and sections there.

    Whoever buys is free to choose among them; the holes are those of that bar.
    """
    new = copy.deepcopy(table)
    del new["shelf"]
    part = bar.part
    shapes = [rear_bar.shapes[hole] for hole in part.holes]
    first, corner, end = (*shapes[0].half_centreline, None)[:3]
    if len(shapes[0].half_centreline) == 3 and abs(first[0] - corner[0]) < _FLAT:
        splay = math.degrees(math.atan2(end[1] - corner[1], end[0]))
        new.pop("centreline", None)
        new |= {
            "centre_length": _mm(2.0 * corner[1]),
            "arm_holes": [_mm(shape.lever) for shape in shapes],
            "arm_splay": f"{splay:.6g} deg",
            "bend_radius": _mm(shapes[0].bend_radius),
        }
    if part.link_rate is not None:
        new["link_rate"] = f"{part.link_rate / 1e6:.9g} kN/mm"
    if part.link_length is not None:
        new["link_length"] = _mm(part.link_length)
    new["stock"] = [_stock(stock) for stock in rear_bar.stocks]
    return new


def put_bought(table: dict, bought: dict) -> None:
    """Into the table of a file; shelf, and a centreline that a shape replaces, go out."""
    table.update(copy.deepcopy(bought))
    for word in {"shelf", "centreline"} - bought.keys():
        table.pop(word, None)


def _stock(stock: Stock) -> dict:
    steel = stock.steel
    stress = f"{steel.strengths[0][1] / 1e6:.9g} MPa"
    own = {"name": steel.name, "allowable_stress": stress}
    sections = [section.label for section in stock.sections]
    return {"material": steel.name if steel in STEELS else own, "sections": sections}


def _mm(length: float) -> str:
    return f"{length * 1e3:.9g} mm"
