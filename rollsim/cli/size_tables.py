"""Text tables of `rollsim size`: the choice, the ranked bars, before and after, what gets worse."""

import string
from collections.abc import Sequence

from rollsim.bar import ShelfBar
from rollsim.cli.layout import (
    Column,
    aligned,
    bullets,
    paragraph,
    section,
    side_by_side,
)
from rollsim.cli.tables import (
    closing,
    heading,
    of_states,
    over_ratings,
    rating_table,
)
from rollsim.cost_wording import these_bars, worse_words
from rollsim.pair_wording import pair_title, pair_words
from rollsim.reader_units import READER_UNITS, ReaderUnits, UnitSystem, in_units
from rollsim.remedies import Remedy
from rollsim.remedy_wording import HELP_TITLE, remedy_words
from rollsim.roll import StateResult
from rollsim.scenario import Scenario
from rollsim.sizing import Candidate, Sizing
from rollsim.tell.figures import Row, rows
from rollsim.tell.names import driven_empty_words, state_words
from rollsim.tell.of_bars import BAR, PART, SIZING
from rollsim.tell.of_cab_loss import cab_loss_words
from rollsim.tell.of_states import listed
from rollsim.tolerance.cab_loss import loss_of_choice
from rollsim.units import to_unit
from rollsim.wording import (
    HOW_TO_ASK,
    RANKING_WORDS,
    answer_words,
    caution_words,
    reasons,
    section_words,
)

MOST_REJECTED = 15
PAIRS_IN_A_BLOCK = 2
PASTE = "--json has the lines to paste into the file for each: change, under what_else_helps."
_WHOLE_WIDTH = 62  # of section and reason together
_PART_WIDTH, _RANKS_WIDTH = 24, 14
_TARGET = (
    *("target", "present", "bare", "limit", "linear_target", "linear_present"),
    *("required_roll_stiffness", "closed_form_roll_stiffness"),
)
_DECIDING = (
    *("front_load_transfer_share", "inner_rear_lift", "peak_stress", "safety_factor", "mass"),
)
_COMPARED = (
    *("roll_gradient", "secant_roll_gradient", "inner_front_lift", "inner_rear_lift"),
    *("tip_over_threshold", "tilt_table_ratio", "front_load_transfer_share", "rear_axle_mass"),
)


def size_report(
    scenario: Scenario,
    sizing: Sizing,
    before: Sequence[StateResult],
    *,
    helps: Sequence[Remedy] = (),
    left_out: Sequence[str] = (),
    system: UnitSystem = UnitSystem.METRIC,
) -> str:
    """What `rollsim size` prints.

    `before` is every state without the new bar, `helps` what else helps, where it was counted, and
    `left_out` what could help and was not counted.
    """
    units = READER_UNITS[system]
    shown = sizing.states or tuple(before)
    over = over_ratings(of_states(shown), units)
    loss = loss_of_choice(scenario.job, scenario.rear_bar, sizing)
    blocks = [
        heading(scenario, "which rear bar?"),
        *over,
        *map(paragraph, answer_words(sizing, units, assumed=scenario.assumed_of_rear)),
        *map(paragraph, filter(None, [cab_loss_words(loss)])),
        *([paragraph(HOW_TO_ASK)] if _may_ask_for_less(sizing) else []),
        *section(pair_title(sizing.pair), "\n\n".join(map(paragraph, pair_words(sizing, units)))),
        _target_table(sizing, units),
        *_candidate_tables(sizing, units),
        paragraph(RANKING_WORDS),
        *_before_and_after(sizing, before, units),
        *section(
            f"What gets worse with {these_bars(sizing)}",
            bullets(worse_words(sizing, before, units)),
        ),
        *section(HELP_TITLE, _helps(helps, units)),
        *map(paragraph, left_out),
        *rating_table(scenario.job, shown, units),
        *closing(scenario, shown, caution_words(sizing, units), units=units),
        *over,
    ]
    return "\n\n".join(blocks)


def _may_ask_for_less(sizing: Sizing) -> bool:
    return sizing.nothing_to_bring_back and sizing.new_front is None


def _helps(helps: Sequence[Remedy], units: ReaderUnits) -> str:
    """Each in a sentence; the change of the file stands in --json."""
    if not helps:
        return ""
    return f"{bullets(remedy_words(one, units) for one in helps)}\n\n{paragraph(PASTE)}"


def _target_table(sizing: Sizing, units: ReaderUnits) -> str:
    at = "straight ahead" if sizing.at is None else f"{to_unit(sizing.at, 'g'):g} g"
    unreached = "" if sizing.reachable else "none"
    lines = [
        Row(one.label(units).removesuffix(", deg/g"), (one.cell(sizing, units),))
        for one in map(SIZING.get, _TARGET)
    ]
    lines[0] = Row(f"target at {at}", lines[0].cells)
    lines[-2] = Row(lines[-2].label, (unreached or lines[-2].cells[0],))
    title = f"Lean per g (roll gradient) of {state_words(sizing.case)}, the state sized for, deg/g"
    said = [paragraph(title), side_by_side([""], lines)]
    if sizing.replaces:
        said.append(paragraph(f"The new bar replaces: {in_units(sizing.replaces, units)}"))
    return "\n".join(said)


def _candidate_tables(sizing: Sizing, units: ReaderUnits) -> tuple[str, ...]:
    """Every accepted bar, the first of the rejected ones, and which steel a letter means."""
    ranked = list(enumerate(sizing.candidates, start=1))
    names = list(dict.fromkeys(candidate.steel.name for _, candidate in ranked))
    letters = {name: _letter(n) for n, name in enumerate(names)}
    accepted = [item for item in ranked if item[1].accepted or sizing.nothing_to_bring_back]
    rejected = [item for item in ranked if item not in accepted]
    steels = bullets(f"{letter}: {name}" for name, letter in letters.items())
    hidden = len(rejected) - MOST_REJECTED
    more = f"\n… {hidden} more, see --json" if hidden > 0 else ""
    emptiest = state_words(sizing.emptiest)
    title = "On the list, none of them ordered" if sizing.nothing_to_bring_back else "Accepted"
    return (
        *section(
            f'{title}: {len(accepted)} of {len(ranked)} ("empty" is the emptiest state: '
            f"{emptiest}; lift: inner rear wheel)",
            _accepted_table(accepted, letters, units) if accepted else "",
        ),
        *section(
            f"Rejected: {len(rejected)} of {len(ranked)}",
            _rejected_table(rejected[:MOST_REJECTED], letters, units) + more if rejected else "",
        ),
        *section("Steels", steels),
        *section("On the shelf", _shelf_table(accepted, rejected, units)),
    )


def _shelf_table(
    accepted: Sequence[tuple[int, Candidate]],
    rejected: Sequence[tuple[int, Candidate]],
    units: ReaderUnits,
) -> str:
    """Each part that is listed, with the ranks of its holes; empty without a shelf."""
    shown: dict[ShelfBar, list[str]] = {}
    for rank, c in (*accepted, *rejected[:MOST_REJECTED]):
        if c.part is not None:
            shown.setdefault(c.part, []).append(str(rank))
    if not shown:
        return ""
    columns = (
        Column("part", _PART_WIDTH, left=True),
        Column("ranks", _RANKS_WIDTH, left=True),
        *(Column(one.heading(units), 14) for one in PART.values()),
    )
    return aligned(
        columns,
        [
            (part.part, ", ".join(ranks), *(one.cell(part, units) for one in PART.values()))
            for part, ranks in shown.items()
        ],
    )


def _accepted_table(
    items: Sequence[tuple[int, Candidate]], letters: dict[str, str], units: ReaderUnits
) -> str:
    shown = [BAR[name] for name in _DECIDING]
    columns = (*_bar_columns(units), *(Column(one.heading(units), 6) for one in shown))
    cells = [
        (*_bar_cells(n, c, letters, units=units), *(one.cell(c, units) for one in shown))
        for n, c in items
    ]
    return aligned(columns, cells)


def _rejected_table(
    items: Sequence[tuple[int, Candidate]], letters: dict[str, str], units: ReaderUnits
) -> str:
    columns = (
        *_bar_columns(units),
        Column("first reason", _WHOLE_WIDTH - _section_width(units), left=True),
    )
    cells = [(*_bar_cells(n, c, letters, units=units), reasons(c)[0]) for n, c in items]
    return aligned(columns, cells)


def _section_width(units: ReaderUnits) -> int:
    """Beside a section in millimetres stands its size in inches."""
    return 18 if units.length == "mm" else 22


def _bar_columns(units: ReaderUnits) -> tuple[Column, ...]:
    return (
        Column("rank", 4),
        Column("section", _section_width(units), left=True),
        Column("steel", 5, left=True),
        Column(BAR["lever"].heading(units), 5),
        Column(units.roll_stiffness.replace("/", " /"), 6),
        Column(BAR["roll_gradient"].heading(units), 5),
    )


def _bar_cells(
    rank: int, c: Candidate, letters: dict[str, str], *, units: ReaderUnits
) -> tuple[str, ...]:
    return (
        str(rank),
        section_words(c.section, units),
        letters[c.steel.name],
        *(BAR[name].cell(c, units) for name in ("lever", "roll_stiffness", "roll_gradient")),
    )


def _letter(number: int) -> str:
    """A to Z, then A1 and so on."""
    letters = string.ascii_uppercase
    turn, place = divmod(number, len(letters))
    return letters[place] + (str(turn) if turn else "")


def _before_and_after(
    sizing: Sizing, before: Sequence[StateResult], units: ReaderUnits
) -> tuple[str, ...]:
    """Every state as it is and with the bar, two columns each."""
    pairs = [pair for two in zip(before, sizing.states, strict=False) for pair in two]
    if not pairs:
        return ()
    titles = [
        f"{state_words(result.name)} {'now' if n % 2 == 0 else 'with bar'}"
        for n, result in enumerate(pairs)
    ]
    lines = rows(listed(pairs, _COMPARED), pairs, units)
    body = side_by_side(titles, lines, most=2 * PAIRS_IN_A_BLOCK)
    if words := driven_empty_words([one.name for one in before]):
        body = f"{body}\n\n{paragraph(words)}"
    return section("Every state now and with the chosen bar", body)
