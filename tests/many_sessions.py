"""Many sessions at once on one server of the page, each with a vehicle of its own.

`python -m tests.many_sessions` runs twenty for three minutes; every session moves its slider as a
reader does, and each lean that it is told is held against the command's.
"""

import argparse
import asyncio
import contextlib
import io
import json
import random
import re
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.asyncio.client import ClientConnection, connect

from rollsim.cli import main as command
from rollsim.scenario.editing import changed
from rollsim.scenario.packing import packed

ROOT = Path(__file__).resolve().parents[1]
TEXT = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text("utf-8")
CASE = "touring"
STEPS = tuple(n / 10 for n in range(8))  # g; the command tells its curve there
WHOLE = 8  # one move in so many runs the whole page, the others the part that the slider moves
LARGEST_MESSAGE = 50_000_000  # bytes
PICTURE = re.compile(r'aria-label="([^"]*), seen from behind in a left bend: lean ([\d.]+) degrees')
MIB = 2**20
Leans = dict[str, dict[float, str]]  # title of a picture: lateral acceleration [g]: lean [deg]


def vehicle(number: int) -> str:
    """A scenario that no other number has."""
    changes = {
        "title": f"Vehicle {number}",
        "vehicle.cg_height": f"{640 + 3 * number} mm",
        "load[2].mass": f"{50 + number} kg",
        "rear_bar.sections": ["24 mm solid", "25 mm solid"],
    }
    return changed(TEXT, changes)


def by_the_command(text: str) -> Leans:
    """What `rollsim roll` and `rollsim size` tell of the loaded state, now and with the bar."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.toml"
        path.write_text(text, encoding="utf-8")
        now = _told("roll", path)["states"][CASE]["curve"]
        then = _told("size", path)["choice"]["states"][CASE]["curve"]
    return {
        title: {
            round(point["lateral_acceleration_g"], 2): f"{abs(point['roll_angle_deg']):.2f}"
            for point in curve
        }
        for title, curve in ((CASE, now), (f"{CASE}, with bar", then))
    }


def _told(name: str, path: Path) -> dict:
    with contextlib.redirect_stdout(io.StringIO()) as told:
        assert command([name, str(path), "--json"]) == 0
    return json.loads(told.getvalue())


@contextlib.contextmanager
def server() -> Iterator[tuple[str, int]]:
    """The page on a free port, as the README starts it: host with port, and process."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        host = f"127.0.0.1:{free.getsockname()[1]}"
    arguments = ["--server.headless", "true", "--server.port", host.partition(":")[2]]
    process = subprocess.Popen(
        [sys.executable, "-m", "streamlit", "run", "app.py", *arguments],
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        _wait_for(f"http://{host}/_stcore/health", process)
        yield host, process.pid
    finally:
        process.terminate()
        process.wait(timeout=20)


def _wait_for(health: str, process: subprocess.Popen) -> None:
    end = time.monotonic() + 60.0
    while True:
        assert process.poll() is None, "the server stopped"
        with contextlib.suppress(OSError), urllib.request.urlopen(health, timeout=2):
            return
        assert time.monotonic() < end, "the server did not answer within 60 s"
        time.sleep(0.1)


def memory(process: int) -> float:
    """Resident memory of a process [MiB]."""
    pages = int(Path(f"/proc/{process}/statm").read_text().split()[1])
    return pages * 4096 / MIB


def opened(host: str, computer: str = "127.0.0.1") -> connect:
    """A connection to the page, as the browser of that computer makes it."""
    address = f"ws://{host}/_stcore/stream"
    options = {"subprotocols": ["streamlit"], "origin": f"http://{host}"}
    options["local_addr"] = (computer, 0)
    return connect(address, max_size=LARGEST_MESSAGE, **options)


async def exchange(
    socket: ClientConnection, message: BackMsg, take: Callable[[ForwardMsg], object]
) -> None:
    """Send one message; take all that comes until the page has run."""
    await socket.send(message.SerializeToString())
    while True:
        told = ForwardMsg()
        told.ParseFromString(await asyncio.wait_for(socket.recv(), 120.0))
        take(told)
        if told.WhichOneof("type") == "script_finished" and told.script_finished in (
            ForwardMsg.FINISHED_SUCCESSFULLY,
            ForwardMsg.FINISHED_FRAGMENT_RUN_SUCCESSFULLY,
        ):
            return


@dataclass(slots=True)
class Session:
    """One reader: speaks to the server as the browser does."""

    number: int
    socket: ClientConnection
    query: str = ""
    slider: str = ""
    fragment: str = ""
    wrong: list[str] = field(default_factory=list)

    async def run(self, lateral: float | None = None, *, part: bool = False) -> Leans:
        """Have the page, or the slider's part of it, run; the leans that it then shows."""
        message = BackMsg()
        state = message.rerun_script
        state.query_string = self.query
        if lateral is not None:
            widget = state.widget_states.widgets.add(id=self.slider)
            widget.double_array_value.data.append(lateral)
        if part:
            state.fragment_id = self.fragment
        shown: Leans = {}
        at = 0.4 if lateral is None else lateral
        await exchange(self.socket, message, lambda told: self._take(told, shown, at))
        return shown

    def _take(self, told: ForwardMsg, shown: Leans, lateral: float) -> None:
        match told.WhichOneof("type"):
            case "page_info_changed":
                self.query = told.page_info_changed.query_string
            case "script_finished" if told.script_finished == (
                ForwardMsg.FINISHED_WITH_COMPILE_ERROR
            ):
                self.wrong.append("the page does not compile")
            case "delta":
                element = told.delta.new_element
                if element.WhichOneof("type") == "exception":
                    self.wrong.append(element.exception.message)
                if element.slider.label == "Lateral acceleration, g":
                    self.slider, self.fragment = element.slider.id, told.delta.fragment_id
                for title, lean in PICTURE.findall(element.markdown.body):
                    shown.setdefault(title, {})[lateral] = lean


@dataclass(slots=True)
class Outcome:
    """What came of it: seconds of every answer, what was wrong, memory over time [MiB]."""

    slider: list[float] = field(default_factory=list)
    whole: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    memory: list[float] = field(default_factory=list)

    def words(self) -> str:
        """Median and 95th percentile."""
        return "; ".join(
            f"{name}: {len(times)}, median {statistics.median(times):.3f} s, p95 "
            f"{statistics.quantiles(times, n=20, method='inclusive')[-1]:.3f} s"
            for name, times in (("slider moves", self.slider), ("whole pages", self.whole))
            if len(times) > 1
        )


@dataclass(frozen=True, slots=True)
class Wait:
    """How long the readers move their sliders once all are there, and between two moves [s]."""

    all_open: asyncio.Barrier
    seconds: float
    pause: float


async def _reader(host: str, number: int, leans: Leans, *, wait: Wait, outcome: Outcome) -> None:
    """Open the page, wait for the others, then move the slider until the time is over."""
    draw = random.Random(number)
    async with opened(host) as connection:
        reader = Session(number, connection, query=f"scenario={packed(vehicle(number))}")
        shown, lateral, moves = await reader.run(), 0.4, 0
        await wait.all_open.wait()
        until = time.monotonic() + wait.seconds
        while True:
            wanted = {title: {lateral: leans[title][lateral]} for title in leans}
            if shown != wanted:
                outcome.wrong.append(f"session {number} at {lateral} g: {shown}, not {wanted}")
            outcome.wrong += reader.wrong
            reader.wrong.clear()
            if time.monotonic() > until:
                return
            await asyncio.sleep(wait.pause * draw.uniform(0.5, 1.5))
            lateral = draw.choice([one for one in STEPS if one != lateral])
            moves += 1
            begun = time.monotonic()
            part = bool(moves % WHOLE)
            shown = await reader.run(lateral, part=part)
            (outcome.slider if part else outcome.whole).append(time.monotonic() - begun)


async def _watch(process: int, outcome: Outcome) -> None:
    while True:
        outcome.memory.append(memory(process))
        await asyncio.sleep(1.0)


async def _all(host: str, process: int, sessions: int, seconds: float, pause: float) -> Outcome:
    leans = [by_the_command(vehicle(number)) for number in range(sessions)]
    outcome, wait = Outcome(), Wait(asyncio.Barrier(sessions), seconds, pause)
    watch = asyncio.create_task(_watch(process, outcome))
    async with asyncio.TaskGroup() as group:
        for number in range(sessions):
            one = _reader(host, number, leans[number], wait=wait, outcome=outcome)
            group.create_task(one)
    watch.cancel()
    return outcome


def measure(host: str, process: int, sessions: int, seconds: float, pause: float) -> Outcome:
    """Let so many readers move their sliders for some seconds, `pause` seconds between moves."""
    return asyncio.run(_all(host, process, sessions, seconds, pause))


def main() -> None:
    """Twenty sessions against one, told in words."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--sessions", type=int, default=20)
    asked.add_argument("--seconds", type=float, default=180.0)
    asked.add_argument("--pause", type=float, default=1.0, help="between moves, s, ± half")
    given = asked.parse_args()
    with server() as (host, process):
        alone = measure(host, process, 1, min(given.seconds, 30.0), given.pause)
        print(f"alone: {alone.words()}; {len(alone.wrong)} wrong", flush=True)
        found = measure(host, process, given.sessions, given.seconds, given.pause)
        time.sleep(5.0)
        after = memory(process)
    third = len(found.memory) // 3
    print(
        f"{given.sessions} sessions: {found.words()}; {len(found.wrong)} wrong {found.wrong[:3]}\n"
        f"memory: {found.memory[0]:.0f} MiB at first, {found.memory[third]:.0f} after a third, "
        f"{found.memory[-1]:.0f} at the end, {after:.0f} with all sessions closed"
    )


if __name__ == "__main__":
    main()
