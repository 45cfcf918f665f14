"""The front bar to choose, from [front_bar]: the shape of the one that is on, other sections."""

from rollsim.bar import Installation, Mount, RearBar, shape_of
from rollsim.scenario.bar_shape import read_steel
from rollsim.scenario.bar_tables import FrontBarTable
from rollsim.scenario.bounds import MOST_BARS
from rollsim.scenario.errors import Problems
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.rear_bar import stock_of_steel
from rollsim.scenario.vehicle_bar import WITH, read_dimensions, read_shape
from rollsim.scenario.vehicle_tables import AxleTable

_KEY = "front_bar"


def build_front_bar(
    ledger: Ledger, table: FrontBarTable, front: AxleTable, rear_bar: RearBar | None
) -> RearBar | None:
    """Build the front bar to choose; None where too much was refused.

    Its shape is its own, or that of [front.bar], whose errors are told where it is read. Neither
    shape nor steel moves the bar that is on, so no tolerance of them is noted.
    """
    aside = Ledger(ledger.problems)
    material, own = table.material, table.shape or front.bar
    where = "front.bar" if table.shape is None else f"{_KEY}.shape"
    by_dimensions = own is not None and own.section is not None
    if by_dimensions and material is None and not ledger.problems.has(f"{_KEY}.material"):
        material = own.material
        if material is None:
            ledger.problems.add(
                f"{_KEY}.material",
                f"missing, and [{where}] names none; what a new front bar lasts hangs on its "
                "steel; add it",
            )
    steel = read_steel(aside, f"{_KEY}.material", material)
    stock = stock_of_steel(aside, _KEY, steel, table.sections)
    if not by_dimensions and table.shape is None:
        if not any(map(ledger.problems.has, ("front.bar", "front.bar.section"))):
            ledger.problems.add(
                _KEY,
                f"found without the dimensions of the bar that is on; allowed beside [front.bar] "
                f"with {WITH}; measure it, or remove [front_bar]",
            )
        return None
    if table.shape is None:
        readings = read_dimensions(Ledger(Problems("")), where, own)
    else:
        readings = read_shape(aside, where, own, suspension=front.suspension)
    if readings is None or stock is None or ledger.problems.found:
        return None
    _check_how_many(ledger, len(stock.sections), rear_bar)
    rates = (readings.bush_rate, readings.link_rate)
    bush_rate, link_rate = (None if rate is None else rate.value for rate in rates)
    try:
        return RearBar(
            mount=own.mount or Mount.CHASSIS,
            installation_ratio=(
                1.0 if own.installation_ratio is None else own.installation_ratio.value
            ),
            bush_spacing=readings.bush_spacing.value,
            shapes=(shape_of(readings),),
            bush_rate=bush_rate,
            link_rate=link_rate,
            installation=Installation(readings.arm_angle.value, readings.link_inclination.value),
            stocks=(stock,),
        )
    except ValueError as error:
        ledger.problems.add(_KEY, str(error))
        return None


def _check_how_many(ledger: Ledger, sections: int, rear_bar: RearBar | None) -> None:
    if rear_bar is None:
        return
    rear = rear_bar.count
    if sections * rear > MOST_BARS:
        ledger.problems.add(
            f"{_KEY}.sections",
            f"{sections} sections with {rear} rear bars are {sections * rear} pairs; allowed up to "
            f"{MOST_BARS}; keep a handful of sections",
        )
