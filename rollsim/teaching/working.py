"""The full working of one state, from the scales to the full model's figure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rollsim import mass, roll
from rollsim.equilibrium import settle
from rollsim.mass import State
from rollsim.reader_units import METRIC, ReaderUnits
from rollsim.roll import TURN, StateResult
from rollsim.teaching import at_rest, beyond, hand, raised, ride_height
from rollsim.teaching.beyond import Missed
from rollsim.teaching.board import Board, Of, Part, Step
from rollsim.teaching.formula import steps
from rollsim.teaching.hand import ByHand, HandNumbers
from rollsim.vehicle import STANDARD_GRAVITY, Job, Load


@dataclass(frozen=True, slots=True)
class Working:
    """The working of one state, and the full model beside it."""

    numbers: HandNumbers
    by_hand: ByHand
    steps: tuple[Step, ...]
    model: StateResult
    missed: tuple[Missed, ...]


def working(
    job: Job,
    name: str,
    units: ReaderUnits = METRIC,
    *,
    lateral: float = 0.4 * STANDARD_GRAVITY,
) -> Working:
    """Work one state of a job by hand and by the full model.

    The steps go from axle masses to load transfer. The name is as for `hand.find_state`, which
    raises ValueError if there is none. `lateral` is the lateral acceleration of lean and weight
    transfer by hand [m/s²]; the model's parts are at 0.4 g.
    """
    numbers = hand.numbers_of(job, name)
    by_hand = hand.solve(numbers, lateral)
    return Working(
        numbers,
        by_hand,
        written(job, name, by_hand, units=units),
        roll.results(job, only=(name,))[0],
        beyond.missed(job, name),
    )


def written(
    job: Job, name: str, by_hand: ByHand, *, units: ReaderUnits = METRIC
) -> tuple[Step, ...]:
    """The steps alone, from the scales to the front share.

    In the order of the board; `by_hand` is from `hand.solve` on that state.
    """
    state, numbers = hand.find_state(job, name), hand.numbers_of(job, name)
    board = Board(units)
    masses = _mass(board, job, state, numbers=numbers)
    lifted = raised.steps(board, job, state, numbers=numbers)
    on, off = moved(job, state)
    ride = ride_height.steps(board, job, numbers=numbers, moved=(*off, *on))
    return (*masses, *lifted, *ride, *steps(numbers, by_hand, units))


def model_gradient(job: Job, name: str) -> float:
    """The full model's roll gradient of one state at straight ahead [rad/(m/s²)]."""
    model, settled = settle(mass.model(job, hand.find_state(job, name)), TURN)
    return float(roll.straight_ahead(model, settled).roll_gradient[0])


def _mass(board: Board, job: Job, state: State, *, numbers: HandNumbers) -> Iterable[Step]:
    """From axle masses and CG height to sprung mass and its CG."""
    v, w = job.vehicle, board.write
    on, off = moved(job, state)
    axles = (v.front, v.rear)
    minus = "".join(f" − {w(a.unsprung_mass, Of.MASS)}" for a in axles)
    loads = "".join(f" {sign} {w(load.mass, Of.MASS)}" for sign, load in (*off, *on))
    yield board.step(
        Part.MASS,
        ("mass on the springs", "sprung mass"),
        "mₛ = axle masses − unsprung masses" + (" ± loads" if loads else ""),
        put=f"{w(v.front_axle_mass, Of.MASS)} + {w(v.rear_axle_mass, Of.MASS)}{minus}{loads}",
        value=numbers.sprung_mass,
        kind=Of.MASS,
    )
    whole = f"({w(v.front_axle_mass, Of.MASS)} + {w(v.rear_axle_mass, Of.MASS)})"
    whole += f" × {w(v.cg_height, Of.LENGTH)}"
    unsprung = "".join(
        f" − {w(a.unsprung_mass, Of.MASS)} × {w(a.unsprung_cg_height, Of.LENGTH)}" for a in axles
    )
    high = "".join(
        f" {s} {w(load.mass, Of.MASS)} × {w(load.height, Of.LENGTH)}" for s, load in (*off, *on)
    )
    yield board.step(
        Part.MASS,
        ("height of what sits on the springs", "height of the sprung CG"),
        f"hₛ = (m · h − Σ mᵤ · hᵤ{' ± Σ load · height' if high else ''}) / mₛ",
        put=f"({whole}{unsprung}{high}) / {w(numbers.sprung_mass, Of.MASS)}",
        value=numbers.not_raised.cg_height,
        kind=Of.LENGTH,
    )
    yield _rear_share(board, job, numbers, items=(*off, *on))
    yield board.step(
        Part.MASS,
        ("part of it over the front axle", "front share of the sprung mass"),
        "front share = 1 − rear share",
        put=f"1 − {w(numbers.rear.share, Of.SHARE)}",
        value=numbers.front.share,
        kind=Of.SHARE,
    )
    if at_rest.off_centre(numbers):
        items = ride_height.aside(job, state, moved=(*off, *on))
        yield ride_height.cg_left(board, job, numbers=numbers, items=items)


def _rear_share(
    board: Board, job: Job, numbers: HandNumbers, *, items: Sequence[tuple[str, Load]]
) -> Step:
    v, w = job.vehicle, board.write
    at_rear = f"({w(v.rear_axle_mass, Of.MASS)} − {w(v.rear.unsprung_mass, Of.MASS)})"
    at_rear += f" × {w(v.wheelbase, Of.LENGTH)}"
    along = "".join(
        f" {s} {w(load.mass, Of.MASS)} × {w(load.behind_front_axle, Of.LENGTH)}"
        for s, load in items
    )
    sprung, base = w(numbers.sprung_mass, Of.MASS), w(v.wheelbase, Of.LENGTH)
    return board.step(
        Part.MASS,
        ("part of it over the rear axle", "rear share of the sprung mass"),
        "rear share = Σ m · x / (mₛ · wheelbase)   (x: behind the front axle)",
        put=f"({at_rear}{along}) / ({sprung} × {base})",
        value=numbers.rear.share,
        kind=Of.SHARE,
    )


def moved(job: Job, state: State) -> tuple[list[tuple[str, Load]], list[tuple[str, Load]]]:
    """Loads put on since the scales, and loads taken off, each with its sign."""
    weighed = [load for load in job.loads if load.on_when_weighed]
    on = [("+", load) for load in state.loads if load not in weighed]
    off = [("−", load) for load in weighed if load not in state.loads]
    return on, off
