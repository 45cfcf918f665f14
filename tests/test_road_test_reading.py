"""Logs as people have them: read alike in any dress, or refused in words."""

import csv
import io
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from rollsim.road_test import Choice, LogError, Role, RollKind, column_names, parse_log, read_log
from rollsim.road_test.reading import LARGEST_LOG

ROOT = Path(__file__).parents[1]
G = 9.80665
ROWS = 400
PLAIN = ("time_s", "lateral_acceleration_g", "roll_rate_deg_s", "yaw_rate_deg_s", "speed_m_s")


def readings():
    """Time [s], lateral [g], roll rate and yaw rate [deg/s], speed [m/s], at 20 Hz."""
    time = np.arange(ROWS) / 20.0
    return (
        time,
        np.round(0.3 * np.sin(time), 4),
        np.round(3.0 * np.cos(time), 4),
        np.round(12.0 * np.sin(time), 4),
        np.round(8.0 + np.sin(time), 4),
    )


def text(columns, names=PLAIN, *, delimiter=",", comma=False, above=""):
    """A CSV of these columns."""
    out = io.StringIO()
    out.write(above)
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\n")
    writer.writerow(names)
    for row in zip(*columns, strict=True):
        cells = [cell if isinstance(cell, str) else f"{cell:.6f}" for cell in row]
        writer.writerow([cell.replace(".", ",") for cell in cells] if comma else cells)
    return out.getvalue().encode()


def read(data, **choices):
    return parse_log(data, "log.csv", {Role(role): Choice(*c) for role, c in choices.items()})


def refused(data, **choices):
    with pytest.raises(LogError) as wrong:
        read(data, **choices)
    return str(wrong.value)


def assert_same(found):
    time, lateral, roll, yaw, speed = readings()
    assert found.time == pytest.approx(time, abs=1e-5)
    assert found.lateral == pytest.approx(lateral * G, rel=1e-5, abs=1e-4)
    assert found.roll == pytest.approx(np.radians(roll), rel=1e-5, abs=1e-4)
    assert found.yaw_rate == pytest.approx(np.radians(yaw), rel=1e-5, abs=1e-4)
    assert found.speed == pytest.approx(speed, rel=1e-5)
    assert found.kind is RollKind.RATE


START = datetime(2026, 5, 1, 23, 59, 55, tzinfo=UTC)


def clock(seconds, form):
    return [(START + timedelta(seconds=float(s))).strftime(form) for s in seconds]


def dressed():
    """The same readings in many dresses."""
    time, lateral, roll, yaw, speed = readings()
    rest = (lateral, roll, yaw, speed)
    radians = (lateral * G, np.radians(roll), np.radians(yaw), 3.6 * speed)
    words = ("Lat acc (g)", "Roll rate (deg/s)", "Gyro yaw (deg/s)", "Speed (m/s)")
    yield "names of the design", text((time, *rest))
    yield "milliseconds", text((1e3 * time, *rest), ("t", *PLAIN[1:]))
    yield (
        "nanoseconds since long ago",
        text(
            ([f"{1746000000000000000 + round(t * 1e9)}" for t in time], *rest),
            ("t", *PLAIN[1:]),
        ),
    )
    yield "ISO 8601", text((clock(time, "%Y-%m-%dT%H:%M:%S.%fZ"), *rest), ("when time", *PLAIN[1:]))
    yield (
        "ISO 8601, a blank",
        text((clock(time, "%Y-%m-%d %H:%M:%S.%f"), *rest), ("Timestamp", *PLAIN[1:])),
    )
    yield "a clock past midnight", text((clock(time, "%H:%M:%S.%f"), *rest), ("t", *PLAIN[1:]))
    yield "semicolons and decimal commas", text((time, *rest), delimiter=";", comma=True)
    yield "decimal commas in quotation marks", text((time, *rest), comma=True)
    yield "tabs", text((time, *rest), delimiter="\t")
    yield "a logger's names", text((time, *rest), ("Time (s)", *words))
    yield (
        "rad and m/s²",
        text(
            (time, *radians),
            (
                "Time",
                "Lateral acceleration [m/s²]",
                "Roll rate [rad/s]",
                "yawRate (rad/s)",
                "v (km/h)",
            ),
        ),
    )
    yield "lines above", text((time, *rest), above="# a logger\nserial;17\n\n")
    yield (
        "a line of units",
        text(
            (
                ["s", *[f"{t:.3f}" for t in time]],
                *(
                    [unit, *[f"{x:.6f}" for x in column]]
                    for unit, column in zip(
                        ("m/s2", "rad/s", "rad/s", "km/h"), radians, strict=True
                    )
                ),
            ),
            ("time", "lateral acc", "roll rate", "yaw rate", "speed"),
        ),
    )
    yield (
        "other columns",
        text((time, ["=1+1"] * ROWS, *rest, ["x"] * ROWS), ("time_s", "note", *PLAIN[1:], "more")),
    )
    yield "a byte order mark", b"\xef\xbb\xbf" + text((time, *rest))
    yield "Windows line ends", text((time, *rest)).replace(b"\n", b"\r\n")


@pytest.mark.parametrize("data", [d for _, d in dressed()], ids=[name for name, _ in dressed()])
def test_every_dress_reads_alike(data):
    assert_same(read(data))


def test_a_unit_is_told_by_the_name_or_asked_for_never_taken_from_the_size():
    time, lateral, roll, yaw, speed = readings()
    names = ("t", "lateral acc", "roll rate", "yaw rate (rad/s)", "v")
    data = text((time, lateral * G, np.radians(roll), np.radians(yaw), speed), names)
    told = refused(data).splitlines()
    assert len(told) == 2
    assert 'column "lateral acc": its name tells no unit; allowed g, m/s2; name it with' in told[0]
    assert told[1].endswith("allowed deg/s, rad/s; name it with --roll-rate COLUMN UNIT")
    found = read(data, lateral=("lateral acc", "m/s2"), roll_rate=("roll rate", "rad/s"))
    assert_same(found)
    shown = {one.role: (one.column, one.unit, one.guessed) for one in found.columns}
    assert shown[Role.LATERAL] == ("lateral acc", "m/s2", False)
    assert shown[Role.YAW_RATE] == ("yaw rate (rad/s)", "rad/s", True)
    plain = read(text(readings()))
    assert not any(one.guessed for one in plain.columns)


def test_axes_of_a_sensor_are_not_taken_for_those_of_the_vehicle():
    # Which way a phone lies is found from all six; from two of them it would be a guess.
    time, lateral, roll, yaw, speed = readings()
    for names in (("t", "ay (g)", "wx (deg/s)", "wz (deg/s)", "v"), ("t", "y", "x", "z", "v")):
        told = refused(text((time, lateral, roll, yaw, speed), names))
        assert "found no column that looks like lateral acceleration" in told
    told = refused(text(readings(), ("t", "Acc Y (g)", "Gyro X (deg/s)", "Gyro Z (deg/s)", "v")))
    assert '"Acc Y (g)", "Gyro X (deg/s)", "Gyro Z (deg/s)": axes of a sensor; all six' in told


def test_position_where_it_is_logged():
    time, lateral, roll, yaw, speed = readings()
    east, north = 40.0 * np.sin(time), 30.0 * np.cos(time)
    degrees = np.degrees(np.array([east / np.cos(np.radians(48.0)), north]) / 6.371e6)
    degrees += np.array([[11.0], [48.0]])
    for names, columns in (
        (("position_x_m", "position_y_m"), (east, north)),
        (("longitude_deg", "latitude_deg"), degrees),
        (("Longitude", "Latitude"), degrees),
    ):
        cells = [[f"{x:.9f}" for x in column] for column in columns]
        cells = [[one if n % 10 == 0 else "" for n, one in enumerate(row)] for row in cells]
        cells[0][0], cells[1][0] = "0", "0"  # no fix yet
        found = read(text((time, lateral, roll, yaw, speed, *cells), PLAIN + names)).position
        known = np.flatnonzero(np.isfinite(found))
        assert known.tolist() == list(range(10, ROWS, 10))
        apart = (found - (east + 1j * north))[known]
        assert np.abs(apart - apart[0]).max() < 0.01
    assert read(text((time, lateral, roll, yaw, speed, east), (*PLAIN, "latitude_deg"))) is not None
    assert read(text(readings())).position is None


def test_the_unit_in_a_documented_name_stands():
    # Rates below 0.3 deg/s were read as rad/s: 57 times as much.
    time, lateral, roll, yaw, speed = readings()
    found = read(text((time, lateral, 0.05 * roll, yaw, speed)))
    assert found.roll == pytest.approx(np.radians(0.05 * roll), abs=1e-6)
    assert not any(one.guessed for one in found.columns)


def test_all_axes_under_documented_names():
    time, lateral, roll, yaw, speed = readings()
    names = ("pitch_rate_rad_s", "longitudinal_acceleration_g", "vertical_acceleration_m_s2")
    found = read(text((time, lateral, roll, yaw, speed, roll, lateral, lateral), PLAIN + names))
    assert found.pitch_rate == pytest.approx(roll)
    assert found.longitudinal == pytest.approx(lateral * G)
    assert found.vertical == pytest.approx(lateral)


def test_a_line_above_names_the_unit_that_made_the_angle():
    time, lateral, roll, yaw, _ = readings()
    above = "# Roll angle by: inertial unit 7\n"
    names = (*PLAIN[:2], "roll_angle_deg", PLAIN[3])
    data = text((time, lateral, roll, yaw), names, above=above)
    assert read(data).angle_by == "inertial unit 7"


def test_columns_that_are_named():
    found = read(
        text(readings(), ("a", "b", "c", "d", "e")),
        time=("a", "s"),
        lateral=("b", "g"),
        roll_rate=("c", "deg/s"),
        yaw_rate=("d", "deg/s"),
        speed=("e", "m/s"),
    )
    assert_same(found)


def test_an_angle_and_a_rate():
    time, lateral, roll, yaw, _ = readings()
    data = text((time, lateral, roll, yaw), (*PLAIN[:2], "roll_angle_deg", "roll rate deg/s"))
    assert read(data).kind is RollKind.RATE  # what a sensor measures itself
    assert read(data, roll_angle=("roll_angle_deg", "deg")).kind is RollKind.ANGLE


def test_blanks_are_left_out_and_slow_columns_taken():
    columns = [list(map("{:.6f}".format, column)) for column in readings()]
    columns[4] = [cell if n % 20 == 0 else "" for n, cell in enumerate(columns[4])]
    columns[1][7] = "NaN"
    found = read(text(columns))
    assert np.isnan(found.lateral[7])
    assert np.isfinite(found.speed).sum() == ROWS / 20


def test_names_of_columns():
    assert column_names(text(readings()), "log.csv") == PLAIN


def changed(row, column, cell):
    columns = [list(map("{:.6f}".format, one)) for one in readings()]
    columns[column][row] = cell
    return text(columns)


WRONG = {
    "empty": (b"", "log.csv: is empty"),
    "blank": (b"\n \n\n", "log.csv: is empty"),
    "words": (b"hello\nworld\n", "found no row of numbers"),
    "header alone": (b"time_s,ay,roll\n", "found no row of numbers"),
    "no header": (text(readings()).split(b"\n", 1)[1], "no column names above"),
    "binary": (bytes(range(256)) * 9, "is not text; allowed is CSV"),
    "workbook": (b"PK\x03\x04" + bytes(99), "is a spreadsheet workbook or an archive"),
    "UTF-16": (text(readings()).decode().encode("utf-16"), "is text in UTF-16"),
    "a formula": (
        changed(5, 1, "=A1*2"),
        'log.csv: column "lateral_acceleration_g": line 7: found "=A1*2", a formula',
    ),
    "a word": (changed(9, 2, "high"), 'line 11: found "high"; allowed is a number'),
    "thousands": (changed(9, 2, "1.234,5"), "both comma and point"),
    "few rows": (b"".join(text(readings()).splitlines(True)[:50]), "found 49 numbers"),
    "time runs back": (changed(100, 0, "1.0"), "runs back after 4.950 s"),
    "too slow": (
        text((10.0 * readings()[0], *readings()[1:])),
        "runs at 2 Hz; allowed 10 to 500 Hz",
    ),
    "time in ms under a name in s": (
        text((1e3 * readings()[0], *readings()[1:])),
        "in s the log runs at 0.02 Hz; allowed 10 to 500 Hz; it looks like ms",
    ),
    "no roll": (
        text(readings()[:2], PLAIN[:2]),
        "found no column that looks like roll rate or roll angle; there are "
        '"time_s", "lateral_acceleration_g"; name it with --roll-rate or --roll-angle',
    ),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_cannot_be_read(case):
    data, words = WRONG[case]
    assert words in refused(data)


def test_wrong_choices_are_told_together():
    found = refused(text(readings()), lateral=("acc", "g"), speed=("speed_m_s", "furlongs"))
    assert '--lateral: no column "acc"; there are "time_s"' in found
    assert '--speed: found the unit "furlongs"; allowed m/s, km/h, mph, kn' in found


def test_many_wrong_cells_are_counted():
    columns = [list(map("{:.6f}".format, one)) for one in readings()]
    columns[1] = ["=1+1"] * ROWS
    lines = refused(text(columns)).splitlines()
    assert len(lines) == 4
    assert lines[-1] == f"log.csv: and {ROWS - 3} more cells like these"


def test_a_log_of_200_MB_is_refused_unread(tmp_path):
    path = tmp_path / "long.csv"
    with path.open("wb") as file:
        file.write(text(readings()))
        file.truncate(200_000_000)
    with pytest.raises(LogError, match=r"is 200 MB; allowed 64 MB, .* export at 100 Hz"):
        read_log(path)
    assert LARGEST_LOG == 64_000_000


def test_from_a_file(tmp_path):
    path = tmp_path / "log.csv"
    path.write_bytes(text(readings()))
    assert_same(read_log(path))
    for wrong, words in ((tmp_path / "none.csv", "no such file"), (tmp_path, "is a folder")):
        with pytest.raises(LogError, match=words):
            read_log(wrong)


def test_hours_of_log():
    time, *rest = readings()
    time[-1] = 5 * 3600.0
    assert "lasts 5.0 hours; allowed 4" in refused(text((time, *rest)))


@pytest.mark.parametrize("cell", ["1_0", "1e308", "1e400", "-1e21"])
@pytest.mark.parametrize("row", [0, 1, 200, ROWS - 1])
@pytest.mark.parametrize("column", [0, 1, 2])
def test_a_number_that_is_none_is_refused_with_row_and_column(cell, row, column):
    columns = [list(map(str, values)) for values in readings()]
    columns[column][row] = cell
    told = refused(text(columns))
    assert f'column "{PLAIN[column]}": line {row + 2}: found "{cell}"; allowed' in told
    assert "correct or empty the cell" in told


@pytest.mark.parametrize(("cell", "stands"), [("9999", True), ("-1e4", True), ("10001", False)])
@pytest.mark.parametrize("column", [1, 2])
def test_a_reading_that_no_sensor_gives_is_refused(cell, stands, column):
    # A spike of 1e15 in one row, taken in, moved the measured lean per g by 14 per cent.
    columns = [list(map(str, values)) for values in readings()]
    columns[column][200] = cell
    if stands:
        assert parse_log(text(columns), "log.csv").time.size == ROWS
    else:
        told = refused(text(columns))
        assert f'column "{PLAIN[column]}": line 202: found "{cell}"' in told
        assert "allowed are numbers up to 10000; correct or empty the cell" in told


def test_a_time_that_stands_still_is_told():
    time, *rest = readings()
    assert "time: is the same in every row" in refused(text((0.0 * time + 5.0, *rest)))


def test_the_line_is_right_after_blank_lines_and_lines_in_cells():
    names, *rows = text(readings()).decode().splitlines()
    names, rows = f"{names},note", [f"{row},ok" for row in rows]
    rows[10] = rows[10].replace("ok", '"two\nlines"')
    rows[20:20] = ["", "", ""]
    rows[60] = "x" + rows[60]
    assert "line 63: found" in refused("\n".join((names, *rows)).encode())


def test_a_row_that_never_ends_is_refused():
    start = text(readings()).decode()
    for end in ("11," * 40_000, '"\n",' * 30_000):
        told = refused(f"{start}{end}".encode())
        assert "the row is longer than 100,000 characters; drop columns" in told


def test_a_log_of_60_MB_and_700_columns_takes_less_than_a_gibibyte(tmp_path):
    path = tmp_path / "wide.csv"
    more = "," + ",".join(["1.23456"] * 695)
    names = [*PLAIN, *(f"channel {n}" for n in range(695))]
    rows = text(readings()).decode().splitlines()[1:]
    with path.open("w") as file:
        file.write(",".join(names) + "\n")
        for n in range(10_600):
            file.write(f"{n / 20:.2f},{rows[n % ROWS].partition(',')[2]}{more}\n")
    assert 59e6 < path.stat().st_size < LARGEST_LOG
    code = (
        "import sys\nfrom rollsim.road_test import read_log\nfrom tests.hostile import peak\n"
        "print(len(read_log(sys.argv[1]).time))\nprint(peak())"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, path], cwd=ROOT, capture_output=True, text=True, check=True
    )
    rows_read, memory = done.stdout.split()
    assert int(rows_read) == 10_600
    assert float(memory) < 1024  # MiB
