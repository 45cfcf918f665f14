"""One list of bars over many vehicles: as single runs, whatever is stopped or broken."""

import csv
import os

import pytest

from rollsim import sizing
from rollsim.bar_range import (
    Change,
    answer,
    answer_all,
    fits,
    parts_of,
    read_changes,
    runs_of,
    summary_words,
)
from rollsim.bar_range import many as many_module
from rollsim.bar_range.runs import FITS, NONE, SAMPLES, WRONG, Run
from rollsim.cli import main
from rollsim.cli.progress import progress
from rollsim.scenario import loads, opened
from rollsim.scenario.editing import changed
from rollsim.scenario.shelf import with_shelf
from rollsim.tell.kinds import LEAN_PER_G
from rollsim.tell.of_bars import BAR
from rollsim.tolerance import band, lean_samples, ordered
from tests.builders import ROOT

CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
STEEL = "52CrMoV4 hardened and tempered"
SHELF = "part,section,material,centre_length_mm,arm_holes_mm,arm_splay_deg,bend_radius_mm\n" + (
    f"SB-22,22 mm solid,{STEEL},940,290/320,12,50\nSB-25,25 mm solid,{STEEL},940,320/350,12,50\n"
)
CHANGES = (
    "name;change.suspension_lift_rear;load.roof rack and tent.mass\n"
    "plain;;\nheavy;;120 kg\nwrong;60 m;\n"
)


@pytest.fixture(scope="module")
def runs():
    return list(runs_of([opened(CREW_CAB)], read_changes(CHANGES, "c.csv"), SHELF))


@pytest.fixture(scope="module")
def rows(runs):
    return [answer(run) for run in runs]


def test_rows_are_single_runs_to_the_digit(rows):
    text = with_shelf(CREW_CAB.read_text("utf-8"), SHELF)
    heavy = changed(text, {"load[2].mass": "120 kg"})
    for of, one in ((text, rows[0]), (heavy, rows[1])):
        assert [row["case"] for row in one] == ["work week", "touring"]
        for row in one:
            alone = loads(changed(of, {"target.case": row["case"]}), "a.toml")
            found = sizing.size(alone.job, alone.rear_bar)
            assert row["answer"] == (NONE if found.choice is None else FITS)
            assert row["in_the_way"] == "; ".join(one.value for one in found.in_the_way)
            if found.choice is not None:
                assert row["part"] == found.choice.part.part
                assert row["hole"] == str(found.choice.hole_number)
                for name in ("lever", "roll_gradient", "safety_factor", "mass"):
                    assert row[BAR[name].key] == repr(BAR[name].number(found.choice))
                hung, at = ordered(found.choice, alone.rear_bar), alone.job.target.at
                drawn = lean_samples(
                    alone.job, alone.tolerances, row["case"], at=at, bar=hung, count=SAMPLES
                )
                ends = [row[f"roll_gradient_band_{end}_deg_per_g"] for end in ("low", "high")]
                own = band(drawn)
                assert ends == [repr(LEAN_PER_G.number(end)) for end in (own.low, own.high)]
                assert own.low < found.choice.roll_gradient < own.high


def test_one_bad_vehicle_is_told_and_stops_nothing(rows):
    (wrong,) = rows[2]
    assert (wrong["change"], wrong["answer"]) == ("wrong", WRONG)
    assert 'change.suspension_lift_rear: found "60 m" (read as 60000 mm)' in wrong["error"]
    found = fits([row for one in rows for row in one])
    assert found.answers[WRONG] == 1
    *_, told = summary_words(found)
    assert told.startswith(
        "Error: crew-cab-touring.toml, wrong: change.suspension_lift_rear: found"
    )
    *_, last, more = summary_words(fits([wrong] * 7))
    assert (last, more) == (told, "and 2 more errors, in the CSV")


def test_stopped_and_started_again_it_ends_the_same(runs, rows, tmp_path, monkeypatch):
    kept, asked = tmp_path / "range.csv.part", []

    def counted(run):
        asked.append(run.change.name)
        return rows[runs.index(run)]

    monkeypatch.setattr(many_module, "answer", counted)
    stopped = answer_all(runs, kept)
    assert [next(stopped), next(stopped)] == rows[:2]
    stopped.close()
    with kept.open("a", encoding="utf-8") as file:
        file.write('["cut off in the mid')
    assert list(answer_all(runs, kept)) == rows
    assert asked == ["plain", "heavy", "wrong"]
    assert list(answer_all(runs, kept)) == rows  # all known
    assert len(asked) == 3
    other = list(runs_of([opened(CREW_CAB)], (Change("plain"),), SHELF.replace("SB", "XB")))
    monkeypatch.setattr(many_module, "answer", lambda run: [{"answer": "asked anew"}])
    assert list(answer_all(other, kept)) == [[{"answer": "asked anew"}]]
    # Nor is what another version of the program has answered.
    assert list(answer_all(runs, kept, version="2")) == [[{"answer": "asked anew"}]] * 3


def test_a_pool_goes_on_where_it_was(runs, rows, tmp_path):
    # Many are known, as after a night; the pool takes what is missing while the known are told.
    empty = [Run(f"{n}.toml", 'title = "no bar"', (), Change("")) for n in range(204)]
    asked, kept = [*empty, *runs], tmp_path / "range.csv.part"
    whole = [*([answer(run)[0]] for run in empty), *rows]
    stopped = answer_all(asked, kept, processes=1)
    assert [next(stopped) for _ in range(198)] == whole[:198]
    stopped.close()
    lines = kept.read_text("utf-8").splitlines()
    kept.write_text("\n".join([*lines, "5", '["x", [5]]', '["x", [{"answer": 5}]]', ""]), "utf-8")
    assert list(answer_all(asked, kept, processes=2)) == whole
    assert len(kept.read_text("utf-8").splitlines()) == 1 + len(asked)


def test_what_is_kept_is_never_another_file(runs, tmp_path):
    kept, mine = tmp_path / "range.csv.part", tmp_path / "mine.txt"
    mine.write_text("a download in the middle\n", "utf-8")
    kept.symlink_to(mine)
    with pytest.raises(OSError, match="a link to another file"):
        next(answer_all(runs, kept))
    kept.unlink()
    mine.rename(kept)
    with pytest.raises(OSError, match="none of this command's"):
        next(answer_all(runs, kept))
    assert kept.read_text("utf-8") == "a download in the middle\n"


def test_a_folder_by_the_command(rows, tmp_path, capsys):
    folder, out = tmp_path / "vehicles", tmp_path / "range.csv"
    folder.mkdir()
    (folder / "a.toml").write_text(CREW_CAB.read_text("utf-8"), encoding="utf-8")
    (folder / "b.toml").write_text('title = "no vehicle"', encoding="utf-8")
    (folder / "c.html").write_text("<html>no sheet</html>", encoding="utf-8")
    (folder / "d.toml").symlink_to(CREW_CAB)
    os.mkfifo(folder / "e.toml")  # opened, it would wait for ever
    bars = tmp_path / "shelf.csv"
    bars.write_text(SHELF.replace("SB-22", "=1+1; a").replace("SB-25", "=2; b"), "utf-8")
    line = ["range", str(folder), "--bars", str(bars), "--processes", "1", "-o"]
    for wrong in (bars, folder / "range.csv", folder / "a.toml"):
        assert main([*line, str(wrong)]) == 2
        told = capsys.readouterr().err
        assert ("name another" in told) is (wrong.suffix == ".csv")
    assert bars.read_text("utf-8").startswith("part,section")
    assert main([*line, str(out), "--record", str(folder)]) == 0
    told = capsys.readouterr().out
    assert told.startswith("3 vehicles and load cases: a bar fits 2, none fits 0")
    assert "skipped: c.html: holds no scenario, or a damaged one" in told
    assert "skipped: d.toml: a link or no file" in told
    assert "skipped: e.toml: a link or no file" in told
    assert "=2, b: chosen in 1" in told  # "; " stands between two bars
    assert "Fewer than 5 vehicles" in told
    with out.open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    assert {row["part"] for row in found[:2]} == {
        "'=1+1; a",
        "'=2; b",
    }  # no formula of a spreadsheet
    names = {"file", "change", "part", "accepted"}
    assert [{k: v for k, v in row.items() if v and k not in names} for row in found[:2]] == [
        {k: v for k, v in row.items() if v and k not in names} for row in rows[0]
    ]
    assert found[2]["error"].startswith("b.toml: ")
    assert not out.with_name("range.csv.part").exists()


def test_counts_by_hand():
    found = fits(
        [
            {"answer": FITS, "part": "A", "accepted": "A; B"},
            {"answer": FITS, "section": "22 mm solid", "steel": "S", "accepted": "B"},
            {"answer": NONE, "accepted": "", "in_the_way": "strength; balance"},
        ]
    )
    assert found.total == 3
    assert [(one.bar, one.chosen, one.accepted) for one in found.bars] == [
        ("A", 1, 1),
        ("B", 0, 2),
    ]
    assert found.in_the_way == {"strength": 1, "balance": 1}


def test_what_fits_none_is_told_as_well():
    # What a shop need not stock any more: the list of bars has it, the rows have not.
    found = fits([{"answer": FITS, "part": "SB-22", "accepted": "SB-22"}], parts_of(SHELF))
    assert [(one.bar, one.accepted) for one in found.bars] == [("SB-22", 1), ("SB-25", 0)]
    assert summary_words(found)[1:] == (
        "SB-22: chosen in 1, accepted in 1",
        "Accepted in none: SB-25.",
    )


def test_progress_is_a_bar_where_somebody_looks_on(monkeypatch, capsys):
    assert progress("vehicles") is None
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    tell = progress("vehicles", every=2)
    for done in range(1, 5):
        tell(done, 4)
    half, whole = "#" * 15 + "." * 15, "#" * 30
    assert capsys.readouterr().err == f"\r[{half}] 2 of 4 vehicles\r[{whole}] 4 of 4 vehicles\n"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "c.csv: is empty"),
        ("name,height\na,1\n", 'the heading "height" is no key'),
        ("name,a.b,a.b\nx,1,2\n", 'the heading "a.b" stands twice'),
        ("name,a.b\n", "has 0 rows; allowed 1 to 100000"),
        ("name,a.b\nx,1\nx,2\n", 'row 3: the name "x" stands twice'),
        ("name,a.b\nx,1,2\n", "row 2: more cells than headings"),
    ],
)
def test_changes_that_are_none_are_named(text, words):
    with pytest.raises(ValueError, match=r"c\.csv") as wrong:
        read_changes(text, "c.csv")
    assert words in str(wrong.value)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (("load.no such item.mass", "1 kg"), '0 load items are called "no such item"; allowed 1'),
        (("vehicle.name.x", "1"), "name holds a value or a list, not a table"),
        (("vehicle.no_such_key", "1"), "vehicle.no_such_key"),
    ],
)
def test_a_change_that_leads_nowhere_is_told_in_its_row(change, words):
    (run,) = runs_of([opened(CREW_CAB)], (Change("x", (change,)),), "")
    (row,) = answer(run)
    assert row["answer"] == WRONG
    assert words in row["error"]
