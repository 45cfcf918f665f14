"""A coil or a leaf pack of the shop's shelf, from its row."""

from dataclasses import dataclass, fields

from pydantic import ValidationError

from rollsim.bar import ShelfPart
from rollsim.scenario.shelf_cells import (
    COIL,
    DIMENSIONS,
    OF_A_SPRING,
    PACK,
    RATED,
    SECOND_STAGE,
    Cells,
    heading_of,
)
from rollsim.scenario.spring_tables import SpringTable
from rollsim.units import Quantity, shown

_AXLES = ("front", "rear")
_TABLE = {COIL: "helical", PACK: "leaf_pack"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfSpring(ShelfPart):
    """A spring of one side, as a table of the file, for one axle.

    `table` says nothing of the vehicle: what of it can sit there is seen where it is to be fitted.
    """

    axle: str
    table: SpringTable
    is_coil: bool
    rated_load: Quantity | None = None


def read_spring(cells: Cells) -> ShelfSpring | None:
    """The spring of a row; None where something of it is refused."""
    part, axle = cells.shelf_part(), cells.text("axle").casefold()
    if axle not in _AXLES:
        cells.wrong.append(
            f"axle: found {shown(cells.text('axle'))}; allowed {' or '.join(_AXLES)}; write which "
            "end the spring is for"
        )
    rated = cells.one(RATED)
    data = _given(cells, OF_A_SPRING)
    if stage := _given(cells, SECOND_STAGE):
        data["second_stage"] = {name.removeprefix("second_stage_"): v for name, v in stage.items()}
    sizes, dimensions = _given(cells, DIMENSIONS[cells.kind]), DIMENSIONS[cells.kind]
    if sizes and "rate" in data:
        cells.wrong.append(f"rate: found beside {next(iter(sizes))}; leave one of the two empty")
    elif not sizes and "rate" not in data:
        cells.wrong.append(
            f"rate: missing; allowed {heading_of('rate')}, or the dimensions "
            f"{', '.join(map(heading_of, dimensions))}; add one of the two"
        )
    if sizes:
        data[_TABLE[cells.kind]] = sizes
    table = _table(cells, data)
    if cells.wrong or table is None:
        return None
    own = {one.name: getattr(part, one.name) for one in fields(ShelfPart)}
    return ShelfSpring(**own, axle=axle, table=table, is_coil=cells.kind == COIL, rated_load=rated)


def _given(cells: Cells, known: dict) -> dict[str, object]:
    """What a row says of some columns, as a file would."""
    return {
        name: cells.many(name) if how.many else cells.with_unit(name).strip()
        for name, how in known.items()
        if cells.text(name)
    }


def _table(cells: Cells, data: dict[str, object]) -> SpringTable | None:
    try:
        return SpringTable.model_validate(data)
    except ValidationError as error:
        for one in error.errors(include_url=False, include_context=False):
            path = [str(step) for step in one["loc"] if isinstance(step, str)]
            name = "_".join(path[-2:]) if path[0] == "second_stage" else path[-1]
            words = one["msg"]
            if one["type"] == "missing":
                words = "missing beside the others; add it"
            cells.wrong.append(f"{name}: {words}")
    return None
