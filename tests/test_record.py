"""The shop's record: sheets in, jobs out; bias and scatter as often right as they say."""

import json
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from rollsim.cli import main
from rollsim.equilibrium import settle
from rollsim.record import (
    JobRecord,
    Record,
    accuracy,
    accuracy_of,
    compared,
    embed_job,
    normal_leans,
    one_a_job,
    read_folder,
)
from rollsim.record.accuracy import NO_LEAN, NOT_PREDICTED, OTHER_BAR, TOO_LATE
from rollsim.record.kept import job_in
from rollsim.record.words import accuracy_words, left_out_words
from rollsim.roll import TURN, secant_roll_gradient
from rollsim.scenario.embedded import Source, embed
from tests.builders import ROOT, models

SHOPS, JOBS = 200, 30
SEEDS = range(18_000, 18_000 + SHOPS)  # fixed before the first run
CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
TEXT = CREW_CAB.read_text("utf-8")
DEG = math.pi / 180.0
ONLY = "--record: stands beside the bands; add --tolerances"


def job(
    plate: str = "", *, predicted: float = 2.0, measured: float = math.nan, **more
) -> JobRecord:
    given = {"vehicle": "van", "vehicle_class": "van", "case": "tour", "bar": "22 mm solid"} | more
    leans = {name: given.pop(name) * DEG for name in ("unladen", "before") if name in given}
    return JobRecord(
        registration=plate, predicted=predicted * DEG, measured=measured * DEG, **leans, **given
    )


@cache
def leans() -> np.ndarray:
    """Leans at 0.3 g [deg] by the model, of as many vehicles in one batch, each with its CG."""
    heights = np.random.default_rng(17_999).uniform(0.9, 1.1, JOBS)
    many = models(CREW_CAB)[-1].take(np.zeros(JOBS, dtype=int))
    model, settled = settle(replace(many, cg_height=many.cg_height * heights), TURN)
    at = 0.3 * 9.80665
    return np.degrees(at * secant_roll_gradient(model, settled, at))


def shop(seed: int, bias: float, scatter: float) -> list[JobRecord]:
    """The sheets of thirty invented jobs: ordered, tested, and made again with the model put right.

    The names run against the time of day. A third of the vehicles is measured again; one changes
    its bar after the model was put right, one has no plate: those two must not count.
    """
    draw = np.random.default_rng(seed)
    measured = leans() * (1.0 + bias + scatter * draw.standard_normal(JOBS))
    found = []
    for n, (predicted, read) in enumerate(zip(leans(), measured, strict=True)):
        day = {"date": f"2026-{1 + n % 12:02}-{1 + n % 28:02}"}
        about = {"plate": f"P {n}", "bar": f"{20 + n % 5} mm solid", **day}
        found += [
            job(**about, predicted=predicted, time="09:00:00", file=f"{n}-order.html"),
            job(**about, predicted=read, time="11:00:00", file=f"{n}-b.html"),
            job(**about, predicted=read, measured=read, time="17:00:00", file=f"{n}-after.html"),
        ]
        if n % 3 == 0:
            again = {**about, "predicted": read, "measured": read, "file": f"{n}-again.html"}
            found.append(job(**again, time="18:00:00"))
    other = {"plate": "other bar", "date": "2026-06-01"}
    return [
        *found,
        job(**other, predicted=2.0, bar="20 mm solid", time="09:00:00", file="x1.html"),
        job(
            **other, predicted=3.0, measured=3.0, bar="22 mm solid", time="10:00:00", file="x.html"
        ),
        job(predicted=2.0, measured=2.9, date="2026-06-01", file="bare.html"),
    ]


@pytest.mark.parametrize(("bias", "scatter"), [(0.04, 0.06), (-0.10, 0.02)])
def test_intervals_cover_as_often_as_they_say(bias, scatter, tmp_path):
    # Against the truth that the shops were drawn with: no formula of the program is in it. The
    # first shop is written as sheets and read from its folder.
    for one in shop(SEEDS[0], bias, scatter):
        sheet(tmp_path, one.file, one, "")
    shops = [read_folder(tmp_path).jobs, *(shop(seed, bias, scatter) for seed in SEEDS[1:])]
    assert len(shops[0]) == 3 * JOBS + JOBS // 3 + 3
    assert len(one_a_job(shops[0])) == JOBS + 3
    found = [accuracy_of(jobs) for jobs in shops]
    assert {(one.count, one.jobs) for one in found} == {(JOBS, JOBS)}
    of_bias = np.mean([low <= bias <= high for low, high in (one.bias.interval for one in found)])
    of_scatter = np.mean(
        [one.scatter_interval[0] <= scatter <= one.scatter_interval[1] for one in found]
    )
    assert 0.91 <= of_bias <= 0.99
    assert 0.91 <= of_scatter <= 0.99
    # And the standard errors are the spread of what so many shops find, within its own 2 σ.
    spread = np.std([one.bias.value for one in found], ddof=1)
    assert spread == pytest.approx(np.mean([one.bias.standard_error for one in found]), rel=0.12)
    spread = np.std([one.scatter for one in found], ddof=1)
    assert spread == pytest.approx(np.mean([one.scatter_error for one in found]), rel=0.12)
    assert left_out_words(compared(shops[0])) == (
        "measured with another bar than was predicted: x.html",
        "no registration: 1 sheet",
    )


def test_bias_and_scatter_by_hand():
    # Errors of -2, -1, 0, 1, 2 %: s = √2.5 %; t(4) = 2.776, χ²(4) = 0.4844 and 11.143 at 95 %
    # (any table of these distributions).
    found = accuracy([error / 100.0 for error in (-2.0, -1.0, 0.0, 1.0, 2.0)])
    s = math.sqrt(2.5) / 100.0
    assert found.bias.value == pytest.approx(0.0, abs=1e-15)
    assert found.bias.interval[1] == pytest.approx(2.776 * s / math.sqrt(5.0), rel=2e-4)
    assert found.scatter == pytest.approx(s)
    assert found.scatter_interval == pytest.approx(
        (s * math.sqrt(4.0 / 11.143), s * math.sqrt(4.0 / 0.4844)), rel=2e-4
    )
    assert accuracy([0.1] * 4) is None
    assert accuracy_words(found).startswith(
        "On this shop's 5 measured vehicles, the lean came out level with the prediction on "
        "average (standard error 0.7 %; 95 %: -2.0 % to +2.0 %), single vehicles scatter by 1.6 %"
    )


def year(plate: str, year: int, predicted: float, measured: float, **more) -> list[JobRecord]:
    """An order, the same sheet made again with the model put right, and the reading on it."""
    day = {"date": f"{year}-03-01", **more}
    return [
        job(plate, predicted=predicted, **day),
        job(plate, predicted=measured, measured=measured, **{**day, "date": f"{year}-03-04"}),
    ]


def errors(jobs: list[JobRecord]) -> list[float]:
    return [error for own in compared(jobs).errors.values() for error in own]


def test_a_corrected_model_does_not_judge_itself():
    found = accuracy_of([one for n in range(5) for one in year(f"P{n}", 2026, 2.0, 2.2)])
    assert (found.count, found.jobs) == (5, 5)
    assert found.bias.value == pytest.approx(0.1)
    assert accuracy_of(year("P", 2026, 2.0, 2.2) * 4) is None
    assert accuracy_of([]) is None


def test_a_sheet_made_again_with_another_bar_is_left_out_and_named():
    # Truth 10 % above the prediction; put right, the model takes a softer hole and predicts it.
    order, after = year("P", 2026, 2.0, 2.2)
    after = replace(after, bar="22 mm solid, softer hole", file="b.html")
    assert compared([order, after]).left_out == (("b.html", OTHER_BAR),)
    assert errors([order, after]) == []
    unmeasured = replace(after, measured=math.nan, date="2026-03-02")
    assert errors([order, unmeasured, after]) == []


def test_a_heavier_vehicle_next_year_is_a_job_of_its_own():
    # Predicted 2.0 and 3.0 deg, and both came true.
    both = [*year("P", 2025, 2.0, 2.0), *year("P", 2026, 3.0, 3.0)]
    assert errors(both) == pytest.approx([0.0, 0.0])
    # So is one whose first year was never measured, and one that was not predicted anew.
    assert errors([both[0], *both[2:]]) == pytest.approx([0.0])
    late = replace(both[3], file="late.html")
    assert compared([both[0], late]).left_out == (("late.html", TOO_LATE),)
    assert compared([replace(late, date="")]).left_out == (("late.html", NOT_PREDICTED),)


def test_a_reading_that_is_taken_again_takes_the_place_of_the_first():
    order, after = year("P", 2026, 2.0, 2.2)
    again = replace(after, measured=2.1 * DEG, date="2026-03-05")
    assert errors([order, after, again]) == pytest.approx([0.05])


def test_sheets_of_one_day_stand_in_the_order_of_the_day_not_of_their_names():
    order, after = year("P", 2026, 2.0, 2.2)
    order = replace(order, file="0-order.html")
    after = replace(after, date=order.date, file="0-after.html")
    assert errors([after, order]) == pytest.approx([0.1])  # sheets that keep no time
    order, after = replace(order, time="09:00:00"), replace(after, time="17:00:00")
    assert errors([after, order]) == pytest.approx([0.1])


def test_sheets_of_one_job_are_one_line_of_the_record():
    # Ordered, made again, measured twice: as it was first predicted, open as the last sheet says.
    order, after = year("P", 2026, 2.0, 2.2)
    order = replace(order, open_items=("not measured",), file="order.html")
    made_again = replace(order, predicted=2.2 * DEG, date="2026-03-02")
    again = replace(after, measured=2.1 * DEG, date="2026-03-05", file="again.html")
    (row,) = one_a_job([again, made_again, after, order])
    assert (row.date, row.file, row.open_items) == ("2026-03-01", "again.html", ())
    assert (row.predicted, row.measured) == (order.predicted, again.measured)
    # The next order, another bar, another case, half a year later: jobs of their own.
    others = (
        replace(order, date="2026-04-01"),
        replace(after, bar="24 mm solid"),
        replace(after, case="work week"),
        replace(after, date="2026-10-01"),
        replace(after, registration="Q"),
    )
    for other in others:
        assert list(one_a_job([order, after, other])).count(other) == 1
        assert len(one_a_job([order, after, other])) == 2
    bare = [replace(one, registration="") for one in (order, after)]
    assert len(one_a_job(bare)) == 2


def test_vehicles_are_counted_not_sheets():
    # Five bars on one vehicle are one vehicle; sheets without a plate may be copies of one.
    bars = [year("P", 2020 + n, 2.0, 2.2, bar=f"{18 + n} mm solid") for n in range(5)]
    assert accuracy_of([one for two in bars for one in two]) is None
    bare = [one for _ in range(5) for one in year("", 2026, 2.0, 2.2)]
    assert accuracy_of(bare) is None
    assert left_out_words(compared(bare)) == ("no registration: 10 sheets",)
    four = [one for n in range(4) for one in year(f"Q{n}", 2026, 2.0, 2.0)]
    found = accuracy_of([*four, *(one for two in bars for one in two)])
    assert (found.count, found.jobs) == (5, 9)
    assert found.bias.value == pytest.approx(0.1 / 5.0)
    assert accuracy_words(found).startswith("On this shop's 5 measured vehicles, 9 jobs, the lean")


def test_a_lean_that_says_nothing_does_not_count():
    order, after = year("P", 2026, 1e-310, 2.0)
    assert compared([order, replace(after, file="a.html")]).left_out == (("a.html", NO_LEAN),)


def test_normal_lean_counts_each_vehicle_once_and_none_under_five():
    vans = [job(f"P{n}", unladen=2.0 + 0.1 * n) for n in range(4)]
    again = job("p0", unladen=9.0, date="2026-01-01")
    cars = [job(f"C{n}", unladen=1.5, vehicle_class="car") for n in range(5)]
    copies = [job("", unladen=1.5, vehicle_class="bus") for _ in range(5)]
    assert normal_leans([*copies, *vans]) == ()
    assert [one.vehicle_class for one in normal_leans([*vans, again, *cars])] == ["car"]
    (of_cars, of_vans) = normal_leans([*vans, again, job("P9", unladen=2.4), *cars])
    assert (of_vans.vehicle_class, of_vans.count) == ("van", 5)
    assert of_vans.mean == pytest.approx(2.2 * DEG)
    assert of_cars.deviation == pytest.approx(0.0, abs=1e-12)


def sheet(folder: Path, name: str, of: JobRecord | None, text: str = TEXT) -> None:
    kept = "" if of is None else embed_job(of)
    head = '<div class="right">2025-11-02<br>rollsim 0.0.9<br>job.toml</div>'
    html = f"<html><head>{embed(Source('job.toml', text))}{kept}</head>{head}</html>"
    (folder / name).write_text(html, encoding="utf-8")


@pytest.fixture
def folder(tmp_path):
    where = tmp_path / "jobs"
    where.mkdir()
    first = TEXT + '\n[job]\nregistration = "AB 12"\n'
    sheet(where, "one.html", job("AB 12", date="2025-03-01", before=2.4), first)
    later = first.replace("touring load", "one year later") + 'lean_after = "2.1 deg"\n'
    sheet(where, "two.html", job("ab12", date="2026-03-01", measured=2.1), later)
    sheet(where, "old.html", None)
    (where / "foreign.html").write_text("<html>not ours</html>", encoding="utf-8")
    (where / "damaged.html").write_text((where / "one.html").read_text("utf-8")[:400], "utf-8")
    whole, kept = (where / "one.html").read_text("utf-8"), 'name="rollsim-job" content="'
    broken = whole.replace(kept, f"{kept}AAAA")
    (where / "broken.html").write_text(broken, "utf-8")
    (where / "bytes.html").write_bytes(b"\xff\xfe\x00sheet")
    (where / "link.html").symlink_to(where / "one.html")
    (where / "inside.html").mkdir()
    (where / "notes.txt").write_text("not a sheet", encoding="utf-8")
    return where


def test_a_folder_is_read_and_what_is_no_sheet_is_named(folder):
    found = read_folder(folder)
    assert [one.file for one in found.jobs] == ["one.html", "old.html", "two.html"]
    assert {one.file: one.why for one in found.skipped} == {
        "broken.html": "no job sheet of this program, or a damaged one",
        "bytes.html": "not UTF-8 text, so no job sheet as it was written",
        "damaged.html": "no job sheet of this program, or a damaged one",
        "foreign.html": "no job sheet of this program, or a damaged one",
        "inside.html": "no file",
        "link.html": "a link; put the sheet itself into the folder",
    }
    old = found.jobs[1]
    assert (old.date, old.version, old.vehicle) == ("2025-11-02", "0.0.9", "Demo crew-cab")
    assert not old.kept_leans
    assert math.isnan(old.predicted)
    assert old.open_items == ("its leans are not kept in it: make the sheet again",)
    assert [one.file for one in found.of("a-b 12")] == ["one.html", "two.html"]
    assert found.of("") == ()
    assert Record(()).of("AB12") == ()


@pytest.mark.parametrize(
    "wrong",
    [
        {"lean_before_deg": 91.0},
        {"lean_before_deg": 10**400},
        {"lean_before_deg": "2.4"},
        {"lean_before_deg": True},
        {"vehicle": 7},
        {"open_items": [7]},
        {"open_items": None},
    ],
)
def test_what_a_sheet_keeps_is_held_to_its_kind(wrong, monkeypatch):
    dumps = json.dumps
    monkeypatch.setattr("rollsim.record.kept.json.dumps", lambda data: dumps(data | wrong))
    html = embed(Source("job.toml", TEXT)) + embed_job(job())
    assert 'name="rollsim-job"' in html
    assert job_in(html, "a.html") is None


def test_a_sheet_that_keeps_less_is_an_older_one(monkeypatch):
    monkeypatch.setattr("rollsim.record.kept._TEXTS", ("date",))
    html = embed(Source("job.toml", TEXT)) + embed_job(job(date="2026-03-01"))
    monkeypatch.undo()
    back = job_in(html, "a.html")
    assert (back.date, back.vehicle) == ("2026-03-01", "")
    assert back.predicted == pytest.approx(2.0 * DEG)


def test_what_is_kept_comes_back():
    whole = job(
        "AB 12",
        measured=2.1,
        date="2026-03-01",
        time="17:05:00",
        version="1.0",
        part="SB-22",
        before=2.4,
        unladen=1.9,
        open_items=("lean after the work not measured",),
    )
    back = job_in(embed(Source("job.toml", TEXT)) + embed_job(whole), "")
    for name in JobRecord.__slots__:
        one, other = getattr(back, name), getattr(whole, name)
        is_lean = isinstance(other, float)
        assert one == (pytest.approx(other, rel=1e-9, nan_ok=True) if is_lean else other), name


def test_the_command_lists_jobs_and_starts_from_the_last_sheet(folder, tmp_path, capsys):
    new = tmp_path / "again.toml"
    asked = ["jobs", str(folder), "--vehicle", "ab-12", "-o", str(new)]
    assert main(asked) == 0
    told = capsys.readouterr().out
    assert "2 jobs on 2 sheets, of 3 jobs on 3 sheets" in " ".join(told.split())
    assert "link.html: a link; put the sheet itself into the folder" in told
    assert "one year later" in new.read_text("utf-8")
    # Last year's reading is not one of the work that comes: it does not travel along.
    assert 'registration = "AB 12"' in new.read_text("utf-8")
    assert "lean_after" not in new.read_text("utf-8")
    assert "The lean measured after the last work is taken out." in " ".join(told.split())
    assert main(["jobs", str(folder), "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert [one["lean_measured_deg"] for one in record["jobs"]] == [None, None, 2.1]
    assert "lean_measured_deg of a job is null: the sheet has none" in record["notes"]
    assert record["prediction_error"] is None
    assert (record["sheets"], record["without_registration"]) == (3, 0)
    # The vehicle's second year: ordered, tested, the reading typed in, the sheet made again.
    made = ["sheet", str(new), "--date", "2026-04-01", "--record", str(folder)]
    made += ["--shelf", str(ROOT / "scenarios" / "shelf-demo.csv"), "-o"]
    assert main([*made, str(folder / "x-order.html")]) == 0
    assert "Fewer than 5 vehicles" in capsys.readouterr().out
    assert "Fewer than 5 vehicles" not in (folder / "x-order.html").read_text("utf-8")
    assert main(["road-test", str(new), "--record", str(folder)]) == 0
    assert "Fewer than 5 vehicles" in capsys.readouterr().out
    new.write_text(new.read_text("utf-8") + 'lean_after = "2.5 deg"\n', "utf-8")
    assert main([*made, str(folder / "a-after.html")]) == 0
    order, after = read_folder(folder).of("AB12")[-2:]
    assert (order.file, after.file) == ("x-order.html", "a-after.html")
    assert order.part == after.part == "SB-25"
    found = compared(read_folder(folder).jobs)
    assert found.errors["AB12"][-1:] == pytest.approx([2.5 * DEG / order.predicted - 1.0], rel=1e-9)
    assert len(found.errors["AB12"]) == 1  # the first year was measured too late
    capsys.readouterr()
    for wrong, words in (
        (["jobs", str(folder / "none")], "cannot be read (No such file or directory)"),
        (["jobs", str(folder), "--vehicle", "ZZ"], "'ZZ', which is on no sheet"),
        (["jobs", str(folder), "-o", str(new)], "--output: needs --vehicle"),
        ([*asked[:-1], str(folder / "one.html")], "allowed a name that ends in .toml"),
        ([*asked[:-1], str(folder / "again.toml")], "which this command reads; name another"),
        (
            ["solve", str(new), "--most", "roof load", "--so-that", "x", "--record", str(folder)],
            ONLY,
        ),
        (["roll", str(new), "--record", str(folder)], ONLY),
    ):
        assert main(wrong) == 2
        assert words in capsys.readouterr().err


@pytest.mark.parametrize("name", ["/x.csv", "../x.csv", "a\0b.csv", ".bashrc", ".csv", "there.csv"])
def test_a_sheet_writes_no_file_but_plain_csv(name, tmp_path, capsys):
    where, new = tmp_path / "jobs", tmp_path / "new" / "again.toml"
    where.mkdir()
    new.parent.mkdir()
    (new.parent / "there.csv").write_text("mine", "utf-8")
    text = TEXT.replace('mount = "axle"', f'mount = "axle"\nshelf = {json.dumps(name)}')
    held = Source("job.toml", text, ((name, "part,section,material\n"),))
    html = embed(held) + embed_job(job("AB 12"))
    (where / "one.html").write_text(html, encoding="utf-8")
    assert main(["jobs", str(where), "--vehicle", "AB12", "-o", str(new)]) == 2
    told = capsys.readouterr().err
    assert (
        "is there and is another one" if name == "there.csv" else "allowed a plain name"
    ) in told
    assert [one.name for one in new.parent.iterdir()] == ["there.csv"]
    assert (new.parent / "there.csv").read_text("utf-8") == "mine"
