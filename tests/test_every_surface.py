"""Every surface tells the same figure: text, JSON, page and sheet, in both systems of units.

The JSON is taken as it is printed; what a table says has to be its number, turned into the unit of
the reader by factors of the international pound and inch.
"""

import functools
import io
import json
import re
import textwrap
from contextlib import redirect_stdout

import pytest

from rollsim import roll, scenario, spring_check
from rollsim.cli import main, weigh_reports
from rollsim.cli.layout import WIDEST_LABEL
from rollsim.cli.records import state_record
from rollsim.page import answers, bars, springs_answer, tables
from rollsim.page.answers import Bend
from rollsim.page.bay_figures import table as bay_table
from rollsim.reader_units import NO_FIGURE, READER_UNITS, UnitSystem
from rollsim.sheet import facts, order, work_out
from rollsim.sheet.work import Work
from rollsim.tell.figures import Figure
from rollsim.tell.kinds import ACCELERATION, LEAN_PER_G
from rollsim.tell.names import state_words
from rollsim.tell.of_bars import BAR
from rollsim.tell.of_solve import AMOUNT_KINDS
from rollsim.tell.of_springs import AXLE
from rollsim.tell.of_states import STATE, listed
from rollsim.tell.of_swerve import SWERVE
from tests.fit_page import FILES, WITH_A_BAR, answered
from tests.test_cli_springs import LEAN, LIFT, LOAD
from tests.test_smoke import BAR as BAR_BY_TAPE
from tests.test_smoke import BOUNCE, TWIST

POUND, INCH, G = 0.45359237, 25.4, 9.80665
IN_IMPERIAL = {
    "kg": ("lb", 1.0 / POUND),
    "mm": ("in", 1.0 / INCH),
    "m": ("in", 1e3 / INCH),
    "N": ("lbf", 1.0 / POUND / G),
    "N/mm": ("lbf/in", INCH / POUND / G),
    "N*m/deg": ("lbf·in/deg", 1e3 / INCH / POUND / G),
    "N*m": ("lbf·in", 1e3 / INCH / POUND / G),
    "MPa": ("ksi", 1e6 * (INCH * 1e-3) ** 2 / (1e3 * POUND * G)),
}
IN_METRIC = {"m": ("mm", 1e3), "N*m/deg": ("N·m/deg", 1.0)}
SYSTEMS = list(UnitSystem)
EITHER = pytest.mark.parametrize("system", SYSTEMS, ids=lambda one: one.value)
STEMS = list(FILES)
FRAME_TWIST = ("weigh", "frame-twist", str(FILES["crew-cab-touring"]), *TWIST)
ANY = pytest.mark.parametrize("stem", STEMS)


def told(figure: Figure, number: float | None, system: UnitSystem, decimals: int) -> str:
    """What a table has to say of a number of the JSON."""
    if number is None:
        return NO_FIGURE
    turned = IN_IMPERIAL if system is UnitSystem.IMPERIAL else IN_METRIC
    _, factor = turned.get(figure.kind.unit, ("", 1.0))
    text = f"{number * factor:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def agrees(figure: Figure, cell: str, number: float | None, system: UnitSystem) -> bool:
    """Whether a cell says what the JSON does, with as many decimals as it has."""
    plain = cell.lstrip("+").partition(" (")[0]
    decimals = len(plain.partition(".")[2])
    return plain in (told(figure, number, system, decimals), "tips first" if number is None else "")


@functools.cache
def printed(command: str, stem: str, *options: str) -> str:
    out = io.StringIO()
    with redirect_stdout(out):
        assert main([command, str(FILES[stem]), *options]) == 0
    return out.getvalue()


def as_json(command: str, stem: str) -> dict:
    return json.loads(printed(command, stem, "--json"))


def in_text(text: str, label: str) -> list[str]:
    """Cells of every row with that label: one block of states after the other."""
    found, first = [], textwrap.wrap(label, WIDEST_LABEL)[0]
    for line in text.splitlines():
        if line.startswith(first + " "):
            found += line[len(first) :].replace("tips first", "tips_first").split()
    return [cell.replace("_", " ") for cell in found]


@functools.cache
def sheet_of(stem: str) -> Work:
    return work_out(scenario.load(FILES[stem]), samples=4)


@EITHER
@ANY
def test_the_figures_of_a_state(stem, system):
    units = READER_UNITS[system]
    states = as_json("roll", stem)["states"]
    text = printed("roll", stem, "--units", system.value)
    found = roll.results(scenario.load(FILES[stem]).job, (0.4 * G,))
    figures = listed(found)
    assert {one.name for one in figures} >= set(STATE) - {
        "right_secant_roll_gradient",
        "tray_secant_roll_gradient",
        "right_tray_secant_roll_gradient",
        "tray_static_lean",
    }
    for one in figures:
        cells = in_text(text, one.label(units))
        assert len(cells) == len(states), one.name
        for cell, state in zip(cells, states.values(), strict=True):
            assert agrees(one, cell, state[one.key], system), (one.name, cell, state[one.key])
    page = answered(FILES[stem])
    shown = tables.states_table(
        answers.Answer(page.scenario, page.sizing, Bend.LEFT, page.before, units=units)
    )
    # Driven empty is none of the states of `roll`.
    states |= {one.name: state_record(one) for one in page.before if one.name not in states}
    for one in listed(answers.distinct(page.before)):
        for name, cell in shown.loc[one.label(units)].items():
            (of,) = (name_ for name_ in states if state_words(name_) == name)
            assert agrees(one, cell, states[of][one.key], system), (one.name, cell)
    work = sheet_of(stem)
    lines = {line.name: line.cells for line in facts.states(work, units)}
    words = facts.states_named(work, figures=True)
    names = [one.name for one in work.before if state_words(one.name) in words]
    assert len(lines) >= 8
    for one, key in zip(SWERVE, ("overshoot", "overshoot_worn_dampers"), strict=True):
        bands = [
            "–".join(f"{100.0 * end:.0f}" for end in state["swerve"][key])
            for state in states.values()
        ]
        assert in_text(text, one.words) == bands[: len(found)]
        by_name = dict(zip(map(state_words, states), bands, strict=True))
        assert shown.loc[one.label(units)].to_dict().items() <= by_name.items()
        cells = lines[one.label(units)]
        assert [cell.words.partition(" → ")[0] for cell in cells] == [
            by_name[state_words(name)] for name in names
        ]
    for one in STATE.values():
        if one.label(units, iso=False) not in lines:
            continue
        for name, cell in zip(names, lines[one.label(units, iso=False)], strict=True):
            now = cell.words.partition(" → ")[0]
            assert agrees(one, now, states[name][one.key], system), (one.name, now)


@EITHER
@pytest.mark.parametrize("stem", WITH_A_BAR)
def test_the_figures_of_a_bar(stem, system):
    units = READER_UNITS[system]
    candidates = as_json("size", stem)["candidates"]
    page = answered(FILES[stem])
    of_page = answers.Answer(
        page.scenario, page.sizing, page.bend, page.before, page.bar, page.after, units=units
    )
    table = bars.ranked_table(of_page, rejected=True)
    for one in bars.DECIDING:
        places = bars.decimals(of_page)[one.label(units, iso=False)]
        column = table[one.label(units, iso=False)]
        for value, candidate in zip(column, candidates, strict=True):
            wanted = told(one, candidate[one.key], system, places)
            said = NO_FIGURE if value is None or value != value else f"{value:.{places}f}"
            assert said == wanted, (one.name, said, wanted)
    text = printed("size", stem, "--units", system.value)
    for rank, candidate in enumerate(candidates, 1):
        row = next((line for line in text.splitlines() if line.startswith(f"{rank:4d}  ")), None)
        if row is None:
            continue
        for name in ("lever", "roll_stiffness", "roll_gradient"):
            cells = row.split()
            assert any(agrees(BAR[name], cell, candidate[BAR[name].key], system) for cell in cells)
    work = sheet_of(stem)
    if work.bar is None:
        return
    ordered = dict(order.rows(work, units))
    chosen = as_json("size", stem)["choice"]
    for name in order.STRENGTH:
        value = ordered[BAR[name].words].partition(" ")[0]
        assert agrees(BAR[name], value, chosen[BAR[name].key], system), name


@EITHER
@ANY
def test_the_figures_of_an_axle(stem, system):
    units = READER_UNITS[system]
    record = as_json("springs", stem)["states"]
    text = printed("springs", stem, "--units", system.value)
    ends = {"front": text.index("Front axle\n"), "rear": text.index("Rear axle\n")}
    found = spring_check.spring_checks(scenario.load(FILES[stem]).job)
    for end, start in ends.items():
        stop = text.index(f"{end.capitalize()} axle: why")
        on_page = springs_answer.axle_table(found, end, units)
        for one in AXLE.values():
            label = one.label(units)
            if label not in on_page.index:
                continue
            numbers = [state[end][one.key] for state in record.values()]
            for cell, number in zip(on_page.loc[label], numbers, strict=True):
                assert agrees(one, cell, number, system), (one.name, cell, number)
            rows = [line for line in text[start:stop].splitlines() if line.startswith(label)]
            assert rows, one.name
            said = "".join(row[len(label) :] for row in rows).split()
            for cell in on_page.loc[label]:
                assert cell.split()[0] in said, (one.name, cell)


@EITHER
@pytest.mark.parametrize(
    "words", [LIFT, LOAD, LEAN, BAR_BY_TAPE, BOUNCE, FRAME_TWIST], ids=lambda words: words[1]
)
def test_the_figures_of_a_bay_test(words, system, monkeypatch, capsys):
    """The page takes its table from the same figures; their numbers are those of the JSON."""
    answers_told = []
    write = weigh_reports.told
    monkeypatch.setattr(
        weigh_reports,
        "told",
        lambda found, **how: answers_told.append(found) or write(found, **how),
    )
    units = READER_UNITS[system]
    assert main([*words, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert main([*words, "--units", system.value]) == 0
    text = " ".join(capsys.readouterr().out.split())
    figures = answers_told[-1].figures
    assert figures
    for one, (label, value, error, interval) in zip(
        figures, bay_table(figures, units).itertuples(index=False), strict=True
    ):
        assert label == one.label(units)
        for cell, key in ((value, one.key), (error, f"standard_error_{one.key}")):
            assert agrees(one, cell, found[key], system), (key, cell)
        low, _, high = interval.partition(" to ")
        for cell, number in zip((low, high), found[f"interval_95_{one.key}"], strict=True):
            assert agrees(one, cell, number, system), (one.key, cell)
        assert f"{one.words}: {value} {one.kind.unit_for(units)}".rstrip() in text


@EITHER
@pytest.mark.parametrize(
    ("seek", "what"),
    [("--most", "load.roof rack and tent.mass"), ("--least", "lift"), ("--least", "front bar")],
)
def test_the_figures_of_an_inverse_question(seek, what, system):
    """The page tells the sentence alone, which JSON has in metric units."""
    asked = (
        seek,
        what,
        "--so-that",
        "lean at 0.4 g <= 7 deg/g",
        "--so-that",
        "rear wheel lift >= 0.7 g",
    )
    found = json.loads(printed("solve", "crew-cab-touring", *asked, "--json"))
    text = printed("solve", "crew-cab-touring", *asked, "--units", system.value)
    flat = " ".join(text.split())
    if system is UnitSystem.METRIC:
        assert found["sentence"] in flat
    (kind,) = (one for one in AMOUNT_KINDS.values() if f"now_{one.key}" in found)
    now, _, _ = re.search(r"than now \(([0-9.]+)( [^)]*)?\)(.)", flat).groups()
    assert agrees(Figure("now", "", "", kind), now, found[f"now_{kind.key}"], system)
    for goal, limit, key in zip(
        found["conditions"], ("most 7.00 deg/g", "least 0.70 g"), ("deg_per_g", "g"), strict=True
    ):
        cells = in_text(text, f"{goal['quantity']}, at {limit}")
        names = ("with_least", "now", "with_answer", "with_most")
        assert len(cells) == len(names)
        for cell, name in zip(cells, names, strict=True):
            one = Figure(name, "", "", LEAN_PER_G if key == "deg_per_g" else ACCELERATION)
            assert agrees(one, cell, goal[f"{name}_{key}"], system), (name, cell)


def test_a_figure_that_differs_is_seen():
    one = STATE["total_mass"]
    assert agrees(one, "1990", 1990.4, UnitSystem.METRIC)
    assert agrees(one, "4387", 1990.0, UnitSystem.IMPERIAL)
    assert not agrees(one, "1991", 1990.4, UnitSystem.METRIC)
    assert not agrees(one, NO_FIGURE, 1990.4, UnitSystem.METRIC)
