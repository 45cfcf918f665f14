"""Files are read in bounds and written whole; output that cannot go anywhere is told."""

import os
import stat
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from rollsim import files
from rollsim.cli import main
from rollsim.scenario import BYTE_ORDER_MARK, load, opened
from rollsim.scenario.embedded import embed

ROOT = Path(__file__).parents[1]
ARRIVES = ROOT / "scenarios" / "arrives-loaded-and-lifted.toml"
LOW_CAR = ROOT / "scenarios" / "low-car.toml"
LOG = ROOT / "scenarios" / "road-test-demo.csv"
FULL, ZERO = Path("/dev/full"), Path("/dev/zero")
devices = pytest.mark.skipif(not FULL.exists(), reason="needs the devices of Linux")


def run(capsys, *arguments):
    code = main([str(argument) for argument in arguments])
    out, err = capsys.readouterr()
    return code, out, err


def shell(line: str, **more) -> subprocess.CompletedProcess:
    """A command line with `rollsim` in it, in a shell."""
    return subprocess.run(
        ["bash", "-c", line.replace("rollsim ", f"{sys.executable} -m rollsim ")],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        timeout=60,
        **more,
    )


# Writing


def test_a_new_text_takes_the_place_of_the_old_one_with_its_rights(tmp_path):
    path = tmp_path / "job.html"
    path.write_text("old")
    path.chmod(0o640)
    files.write(path, "new\r\ntext")
    assert path.read_bytes() == b"new\r\ntext"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert list(tmp_path.iterdir()) == [path]


def test_a_write_that_fails_leaves_what_was_there(tmp_path):
    path = tmp_path / "job.html"
    path.write_text("old")
    with pytest.raises(UnicodeEncodeError):
        files.write(path, "x" * 100_000 + "\ud800")
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_write_that_fails_half_way_leaves_what_was_there(tmp_path):
    resource = pytest.importorskip("resource")
    path = tmp_path / "job.png"
    path.write_text("old")
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (10_000, before[1]))
    try:
        with pytest.raises(OSError, match="large"):
            files.write(path, b"x" * 100_000)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_full_disk_leaves_what_was_there(tmp_path, monkeypatch):
    path = tmp_path / "job.html"
    path.write_text("old")
    monkeypatch.setattr(Path, "replace", lambda *_: (_ for _ in ()).throw(OSError(28, "full")))
    with pytest.raises(OSError, match="full"):
        files.write(path, "new")
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("present", [True, False])
def test_a_link_is_refused_and_its_target_stays(capsys, tmp_path, present):
    target, link = tmp_path / "other.html", tmp_path / "job.html"
    if present:
        target.write_text("another's")
    link.symlink_to(target)
    code, _, err = run(capsys, "sheet", LOW_CAR, "-o", link)
    assert code == 2
    assert "is a link to another file; name the file itself" in err
    assert link.is_symlink()
    assert target.exists() == present
    assert not present or target.read_text() == "another's"
    link.rename(tmp_path / "new.toml")
    code, _, err = run(
        capsys, "road-test", ARRIVES, LOG, "--calibrate", "total", "-o", tmp_path / "new.toml"
    )
    assert code == 2
    assert ("exists already" if present else "is a link to another file") in err
    assert target.exists() == present


def test_what_is_no_file_is_not_written_over(capsys, tmp_path):
    os.mkfifo(tmp_path / "pipe.html")
    (tmp_path / "folder.html").mkdir()
    for name in ("pipe.html", "folder.html"):
        code, _, err = run(capsys, "sheet", LOW_CAR, "-o", tmp_path / name)
        assert code == 2
        assert "it is a folder or a device; name a file" in err


def test_a_sheet_is_written_onto_itself(capsys, tmp_path):
    path = tmp_path / "job.html"
    assert run(capsys, "sheet", LOW_CAR, "-o", path)[0] == 0
    first = opened(path).source()
    assert run(capsys, "sheet", path, "-o", path, "--units", "imperial")[0] == 0
    assert opened(path).source() == first
    assert first.text == LOW_CAR.read_text(encoding="utf-8")


def test_a_scenario_is_not_calibrated_onto_itself(capsys, tmp_path):
    path = tmp_path / "job.toml"
    path.write_bytes(ARRIVES.read_bytes())
    code, _, err = run(capsys, "road-test", path, LOG, "--calibrate", "total", "-o", path)
    assert code == 2
    assert "exists already; name a new file" in err
    assert path.read_bytes() == ARRIVES.read_bytes()


def test_commands_write_by_one_function():
    text = "".join(path.read_text("utf-8") for path in (ROOT / "rollsim").rglob("*.py"))
    assert text.count("files.write(") == 1  # in rollsim/cli/writing.py
    assert text.count("write_text(") == text.count(".write_bytes(") == 0
    assert text.count('.open("x') == 1
    assert text.count('"w"') == 0


# Calibrating what every command takes


def calibrated(capsys, scenario: Path, new: Path) -> str:
    code, _, err = run(capsys, "road-test", scenario, LOG, "--calibrate", "total", "-o", new)
    assert (code, err) == (0, "")
    return new.read_text(encoding="utf-8")


def test_a_sheet_and_a_byte_order_mark_are_calibrated_alike(capsys, tmp_path):
    plain = calibrated(capsys, ARRIVES, tmp_path / "plain.toml")
    marked = tmp_path / "marked.toml"
    marked.write_text(BYTE_ORDER_MARK + ARRIVES.read_text("utf-8"), encoding="utf-8")
    assert calibrated(capsys, marked, tmp_path / "from-marked.toml") == plain
    sheet = tmp_path / "job.html"
    assert run(capsys, "sheet", ARRIVES, "-o", sheet)[0] == 0
    assert calibrated(capsys, sheet, tmp_path / "from-sheet.toml") == plain
    assert load(tmp_path / "plain.toml").title == load(ARRIVES).title


def test_a_calibrated_file_that_could_not_be_read_is_not_written(capsys, tmp_path):
    text = ARRIVES.read_text("utf-8")
    spring = next(line for line in text.splitlines() if line.startswith("spring = "))
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "s.csv").write_text("travel_mm,force_N\n-500,-20000\n500,20000\n")
    (folder / "job.toml").write_text(text.replace(spring, 'spring = { table = "s.csv" }', 1))
    sheet = tmp_path / "job.html"
    sheet.write_text(embed(opened(folder / "job.toml").source()))
    for scenario in (folder / "job.toml", sheet):
        new = tmp_path / "new.toml"
        code, _, err = run(capsys, "road-test", scenario, LOG, "--calibrate", "total", "-o", new)
        assert (code, new.exists()) == (2, False)
        assert 'found "s.csv", but there is no such file; put the CSV beside the scenario' in err
    new = folder / "new.toml"
    assert "s.csv" in calibrated(capsys, sheet, new)


# Pipes and devices


def test_a_log_comes_through_a_pipe(capsys, tmp_path):
    code, named, _ = run(capsys, "road-test", LOW_CAR, LOG, "--json")
    assert code == 0
    os.mkfifo(tmp_path / "fifo")
    feed = threading.Thread(target=lambda: (tmp_path / "fifo").write_bytes(LOG.read_bytes()))
    feed.start()
    assert run(capsys, "road-test", LOW_CAR, tmp_path / "fifo", "--json") == (0, named, "")
    feed.join()
    done = shell(f"cat {LOG} | rollsim road-test {LOW_CAR} - --json")
    assert (done.stdout.decode(), done.stderr) == (named, b"")


def test_a_scenario_comes_through_a_pipe(tmp_path):
    done = shell(f"cat {LOW_CAR} | rollsim sheet - -o {tmp_path}/job.html")
    assert (done.returncode, done.stderr) == (0, b"")
    assert opened(tmp_path / "job.html").text == LOW_CAR.read_text("utf-8")


@devices
def test_what_never_ends_is_refused():
    lines = [["roll", "/dev/zero"], ["check", "-"]]
    lines += [["road-test", str(ARRIVES), "/dev/zero"], ["road-test", str(ARRIVES), "-"]]
    code = f"from rollsim.cli import main; print(*[main(line) for line in {lines}])"
    done = shell(f'ulimit -v 4000000; yes 1,2,3 | {sys.executable} -c "{code}"')
    assert done.stdout == b"2 2 2 2\n"
    for line, begins in zip(
        done.stderr.decode().splitlines(),
        (
            "zero: is larger than 100 kB; allowed less",
            "-: is larger than 100 kB; allowed less",
            "zero: is over 64 MB; allowed 64 MB",
            "-: is over 64 MB; allowed 64 MB",
        ),
        strict=True,
    ):
        assert line.startswith(begins)


@devices
def test_what_is_empty_is_refused(capsys):
    code, _, err = run(capsys, "check", "/dev/null")
    assert (code, err.startswith("null: title: missing")) == (2, True)
    code, _, err = run(capsys, "road-test", ARRIVES, "/dev/null")
    assert (code, err.startswith("null: is empty")) == (2, True)


# Output


@devices
@pytest.mark.parametrize(
    ("command", "unbuffered"),
    [(f"roll {LOW_CAR}", ""), ("size --help", "1"), ("--version", "")],
)
def test_output_to_a_full_disk_is_told(command, unbuffered):
    done = shell(f"PYTHONUNBUFFERED={unbuffered} rollsim {command} > /dev/full")
    assert done.returncode == 1
    assert done.stderr.decode() == (
        "rollsim: the answer cannot be written (No space left on device); make room, or write "
        "it to another place\n"
    )


# Of an answer that goes into a closed pipe: tests/test_cli.py.
@pytest.mark.parametrize("line", [f"roll {LOW_CAR} >&-", "--help >&-", "--help | true"])
def test_output_that_nobody_reads_ends_quietly(line):
    done = shell(f"set -o pipefail; rollsim {line}")
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")


@devices
@pytest.mark.parametrize(
    "line",
    [
        "check no-such-file.toml 2> /dev/full",
        "no-such-command 2> /dev/full",
        "no-such-command 2>&-",
    ],
)
def test_errors_that_nobody_reads_leave_the_exit_code(line):
    assert shell(f"rollsim {line}").returncode == 2
