"""The shop's record: sheets in, jobs out; bias and scatter as often right as they say."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from rollsim.cli import main
from rollsim.record import (
    JobRecord,
    Record,
    accuracy,
    accuracy_of,
    embed_job,
    normal_leans,
    read_folder,
)
from rollsim.record.kept import job_in
from rollsim.record.words import accuracy_words
from rollsim.scenario.embedded import Source, embed
from tests.builders import ROOT

SHOPS, JOBS = 200, 30
SEEDS = range(18_000, 18_000 + SHOPS)  # fixed before the first run
TEXT = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text("utf-8")
DEG = math.pi / 180.0


def shop(seed: int, bias: float, scatter: float) -> tuple[np.ndarray, np.ndarray]:
    """Thirty invented jobs: predicted leans at 0.3 g [rad], and what a test then read."""
    draw = np.random.default_rng(seed)
    predicted = draw.uniform(1.2, 4.0, JOBS) * DEG
    return predicted, predicted * (1.0 + bias + scatter * draw.standard_normal(JOBS))


@pytest.mark.parametrize(("bias", "scatter"), [(0.04, 0.06), (-0.10, 0.02)])
def test_intervals_cover_as_often_as_they_say(bias, scatter):
    # Against the truth that the shops were drawn with: no formula of the program is in it.
    found = [accuracy(*shop(seed, bias, scatter)) for seed in SEEDS]
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


def test_bias_and_scatter_by_hand():
    # Errors of -2, -1, 0, 1, 2 %: s = √2.5 %; t(4) = 2.776, χ²(4) = 0.4844 and 11.143 at 95 %
    # (any table of these distributions).
    measured = [1.0 + error / 100.0 for error in (-2.0, -1.0, 0.0, 1.0, 2.0)]
    found = accuracy([1.0] * 5, measured)
    s = math.sqrt(2.5) / 100.0
    assert found.bias.value == pytest.approx(0.0, abs=1e-15)
    assert found.bias.interval[1] == pytest.approx(2.776 * s / math.sqrt(5.0), rel=2e-4)
    assert found.scatter == pytest.approx(s)
    assert found.scatter_interval == pytest.approx(
        (s * math.sqrt(4.0 / 11.143), s * math.sqrt(4.0 / 0.4844)), rel=2e-4
    )
    assert accuracy([1.0] * 4, [1.0] * 4) is None
    assert accuracy_words(found).startswith(
        "In this shop's 5 measured jobs the lean came out level with the prediction on average "
        "(standard error 0.7 %; 95 %: -2.0 % to +2.0 %), single jobs scatter by 1.6 % about that"
    )


def job(
    plate: str = "", *, predicted: float = 2.0, measured: float = math.nan, **more
) -> JobRecord:
    given = {"vehicle": "van", "vehicle_class": "van", "case": "tour", "bar": "22 mm solid"} | more
    leans = {name: given.pop(name) * DEG for name in ("unladen", "before") if name in given}
    return JobRecord(
        registration=plate, predicted=predicted * DEG, measured=measured * DEG, **leans, **given
    )


def test_a_corrected_model_does_not_judge_itself():
    # After a test the second sheet predicts what was measured: the first prediction counts.
    jobs = []
    for n in range(5):
        jobs.append(job(f"P{n}", predicted=2.0, date="2026-01-01"))
        jobs.append(job(f"p-{n}", predicted=2.2, measured=2.2, date="2026-02-01"))
    found = accuracy_of(jobs)
    assert found.count == 5
    assert found.bias.value == pytest.approx(0.1)
    assert accuracy_of(jobs[:8]) is None
    assert accuracy_of([]) is None


def test_normal_lean_counts_each_vehicle_once_and_none_under_five():
    vans = [job(f"P{n}", unladen=2.0 + 0.1 * n) for n in range(4)]
    again = job("p0", unladen=9.0)
    cars = [job("", unladen=1.5, vehicle_class="car") for _ in range(5)]
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
    later = first.replace("touring load", "one year later")
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
    assert "2 of 3 jobs" in told
    assert "link.html: a link; put the sheet itself into the folder" in told
    assert "one year later" in new.read_text("utf-8")
    assert main(["jobs", str(folder), "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert [one["lean_measured_deg"] for one in record["jobs"]] == [None, None, 2.1]
    assert "lean_measured_deg of a job is null: the sheet has none" in record["notes"]
    assert record["prediction_error"] is None
    assert main(["check", str(new)]) == 0
    capsys.readouterr()
    for wrong, words in (
        (["jobs", str(folder / "none")], "cannot be read (No such file or directory)"),
        (["jobs", str(folder), "--vehicle", "ZZ"], "'ZZ', which is on no sheet"),
        (["jobs", str(folder), "-o", str(new)], "--output: needs --vehicle"),
        (["roll", str(new), "--record", str(folder)], "add --tolerances"),
    ):
        assert main(wrong) == 2
        assert words in capsys.readouterr().err
