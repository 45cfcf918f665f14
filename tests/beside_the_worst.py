"""How long does one session wait for its answers while another sends the worst?

`python -m tests.beside_the_worst` starts a server, sends each hostile text over a link and over the
text box and each hostile log, and takes those that keep the page longest. Then one session opens
vehicles and moves its slider, in turns alone and with another one beside it that sends one of them
over and over.
"""

import argparse
import asyncio
import itertools
import multiprocessing
import statistics
import time
import urllib.request
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from multiprocessing.synchronize import Event

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.asyncio.client import ClientConnection

from rollsim.scenario.packing import packed
from tests.hostile import LOGS, SHEETS, TEXT, TEXTS
from tests.many_sessions import (
    STEPS,
    Leans,
    Session,
    by_the_command,
    exchange,
    opened,
    server,
    vehicle,
)

MOVES, WHOLE = 9, 3  # moves of the slider in a turn; one in so many runs the whole page
LINKS = {"link to fit": "fit", "link to vehicle": "vehicle"}  # page that it opens
ANOTHER = "127.0.0.2"  # counts as another computer, and all its sessions as one reader
TEXT_WAYS = (*LINKS, "box")
KINDS = ("new vehicle", "slider move", "whole page")
Times = dict[str, list[float]]  # kind of answer: how long each took [s]


@dataclass(slots=True)
class Attacker:
    """The session that sends the worst: one input over and over, never the same text twice."""

    host: str
    socket: ClientConnection
    page: str
    ids: dict[str, str] = field(default_factory=dict)
    urls: list = field(default_factory=list)
    session: str = ""
    wrong: list[str] = field(default_factory=list)

    async def open(self, query: str = "") -> None:
        """Run the page from nothing, with what a link holds."""
        await exchange(self.socket, self._run(query), self._take)

    async def type(self, text: str) -> None:
        """Put a text into the box that holds the whole scenario."""
        message = self._run()
        widget = message.rerun_script.widget_states.widgets.add(id=self.ids["text_area"])
        widget.string_value = text
        await exchange(self.socket, message, self._take)

    async def upload(self, name: str, data: bytes) -> None:
        """Choose a file, as the browser does: ask for an address, put it there, run the page."""
        asked = BackMsg()
        asked.file_urls_request.request_id = "1"
        asked.file_urls_request.file_names.append(name)
        asked.file_urls_request.session_id = self.session
        await self.socket.send(asked.SerializeToString())
        while not self.urls:
            told = ForwardMsg()
            told.ParseFromString(await self.socket.recv())
            self._take(told)
        urls = self.urls.pop()
        await asyncio.to_thread(_put, f"http://{self.host}{urls.upload_url}", name, data)
        message = self._run()
        widget = message.rerun_script.widget_states.widgets.add(id=self.ids["file_uploader"])
        info = widget.file_uploader_state_value.uploaded_file_info.add()
        info.name, info.size, info.file_id = name, len(data), urls.file_id
        info.file_urls.CopyFrom(urls)
        await exchange(self.socket, message, self._take)

    def _run(self, query: str = "") -> BackMsg:
        message = BackMsg()
        message.rerun_script.page_name = self.page
        message.rerun_script.query_string = query
        return message

    def _take(self, told: ForwardMsg) -> None:
        match told.WhichOneof("type"):
            case "new_session":
                self.session = told.new_session.initialize.session_id
            case "file_urls_response":
                self.urls += told.file_urls_response.file_urls
            case "delta":
                element = told.delta.new_element
                kind = element.WhichOneof("type")
                if kind in ("text_area", "file_uploader"):
                    self.ids[kind] = getattr(element, kind).id
                if kind == "exception":
                    self.wrong.append(element.exception.message)


def _put(address: str, name: str, data: bytes) -> None:
    line = "rollsim-test-line"
    head = f'--{line}\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\n\r\n'
    request = urllib.request.Request(
        address,
        data=head.encode() + data + f"\r\n--{line}--\r\n".encode(),
        headers={"Content-Type": f"multipart/form-data; boundary={line}", **_cookie(address)},
        method="PUT",
    )
    with urllib.request.urlopen(request, timeout=60):
        pass


def _cookie(address: str) -> dict[str, str]:
    """What proves to the server that an upload comes from its own page."""
    host = "/".join(address.split("/")[:3])
    with urllib.request.urlopen(f"{host}/_stcore/health", timeout=60) as told:
        cookie = (told.headers["Set-Cookie"] or "").partition(";")[0]
    return {"Cookie": cookie, "X-Xsrftoken": cookie.partition("=")[2]}


def inputs() -> Iterator[str]:
    """Every hostile input over every way in, as "way: name"."""
    for name in TEXTS:
        yield from (f"{way}: {name}" for way in TEXT_WAYS)
    yield from (f"sheet: {name}" for name in SHEETS)
    yield from (f"log: {name}" for name in LOGS)


async def _send(host: str, one: str, until: Event | None) -> tuple[list[float], list[str]]:
    """Send one input, once or until told to stop: seconds of each time, and what went wrong."""
    way, _, name = one.partition(": ")
    times: list[float] = []
    wrong: list[str] = []
    page = LINKS.get(way, "road_test" if way == "log" else "vehicle")
    text = TEXTS[name][0]() if way in TEXT_WAYS else ""
    data = LOGS[name][0]() if way == "log" else SHEETS[name]().encode() if way == "sheet" else b""
    links = [packed(f"# {page} {n}\n{text}") for n in range(40)] if way in LINKS else []
    count = itertools.count()
    while True:
        async with opened(host, ANOTHER) as connection:
            attacker = Attacker(host, connection, page)
            if way not in LINKS:
                await attacker.open(f"scenario={packed(TEXT)}")
            while True:
                number = next(count)
                begun = time.monotonic()
                if way in LINKS:
                    await attacker.open(f"scenario={links[number % len(links)]}")
                elif way == "box":
                    await attacker.type(f"# box {number}\n{text}")
                else:
                    end = "html" if way == "sheet" else "csv"
                    await attacker.upload(f"{number}.{end}", data + b"\n" * (number % 50))
                times.append(time.monotonic() - begun)
                wrong += attacker.wrong
                attacker.wrong.clear()
                if until is None or until.is_set():
                    return times, wrong
                if way in LINKS:
                    break  # a link counts when a page is opened alone: each is a session


_until: Event | None = None


def _ready(until: Event) -> None:
    global _until  # an event reaches another process at its start alone
    _until = until


def _once(host: str, one: str) -> tuple[list[float], list[str]]:
    return asyncio.run(_send(host, one, None))


def _over_and_over(host: str, one: str) -> tuple[list[float], list[str]]:
    return asyncio.run(_send(host, one, _until))


@dataclass(slots=True)
class Reader:
    """The session that is timed: it opens a vehicle of its own in every turn."""

    host: str
    leans: list[Leans]  # of each vehicle, as the command tells them
    settled: float = 8.0  # s, after which the other has used what it has at once
    moves: int = MOVES
    turns: int = 0
    wrong: list[str] = field(default_factory=list)

    async def turn(self) -> Times:
        """Open the next vehicle, then move the slider: always the same walk."""
        number = self.turns % len(self.leans)
        self.turns += 1
        times: Times = {kind: [] for kind in KINDS}
        async with opened(self.host) as connection:
            session = Session(number, connection, query=f"scenario={packed(vehicle(number))}")
            begun = time.monotonic()
            shown = await session.run()
            times[KINDS[0]].append(time.monotonic() - begun)
            self._check(number, 0.4, shown)
            for move in range(1, self.moves + 1):
                lateral, part = STEPS[move % len(STEPS)], bool(move % WHOLE)
                begun = time.monotonic()
                shown = await session.run(lateral, part=part)
                times[KINDS[1] if part else KINDS[2]].append(time.monotonic() - begun)
                self._check(number, lateral, shown)
            self.wrong += session.wrong
        return times

    def _check(self, number: int, lateral: float, shown: Leans) -> None:
        wanted = {title: {lateral: lean[lateral]} for title, lean in self.leans[number].items()}
        if shown != wanted:
            self.wrong.append(f"vehicle {number} at {lateral} g: {shown}, not {wanted}")


@dataclass(slots=True)
class Outcome:
    """Times alone and beside, by what was sent; what was wrong with the answers to either."""

    alone: Times = field(default_factory=lambda: {kind: [] for kind in KINDS})
    beside: dict[str, Times] = field(default_factory=dict)
    sent: dict[str, list[float]] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)

    def words(self) -> str:
        """Median and 95th percentile alone, then beside each with how many times as long."""
        lines = [f"alone: {_words(self.alone)}"]
        both: Times = {kind: [] for kind in KINDS}
        for one, times in self.beside.items():
            for kind in KINDS:
                both[kind] += times[kind]
            lines.append(f"beside {one} ({len(self.sent[one])} sent): {self._against(times)}")
        lines.append(f"beside them all: {self._against(both)}")
        return "\n".join(lines)

    def _against(self, times: Times) -> str:
        ratios = (
            f"{statistics.median(times[kind]) / statistics.median(self.alone[kind]):.2f}"
            for kind in KINDS
        )
        return f"{_words(times)}; medians {', '.join(ratios)} times as long"


def _words(times: Times) -> str:
    return "; ".join(
        f"{kind} {statistics.median(took):.3f} s, p95 "
        f"{statistics.quantiles([*took, *took], n=20, method='inclusive')[-1]:.3f} s"
        for kind, took in times.items()
    )


def worst(host: str, pool: ProcessPoolExecutor, most: int) -> tuple[dict[str, float], list[str]]:
    """Send each input once: those that keep the page longest [s], and what went wrong."""
    took, wrong = {}, []
    for one in inputs():
        times, errors = pool.submit(_once, host, one).result()
        took[one] = times[0]
        wrong += [f"{one}: {error}" for error in errors]
    return dict(sorted(took.items(), key=lambda pair: -pair[1])[:most]), wrong


async def _measured(
    host: str, pool: ProcessPoolExecutor, until: Event, *, reader: Reader, sent: list[str]
) -> Outcome:
    outcome = Outcome()
    await reader.turn()  # pays for what is read at first
    for one in sent:
        for kind, times in (await reader.turn()).items():
            outcome.alone[kind] += times
        until.clear()
        sending = asyncio.wrap_future(pool.submit(_over_and_over, host, one))
        await asyncio.sleep(reader.settled)
        turned = await reader.turn()
        until.set()
        times, wrong = await sending
        held = outcome.beside.setdefault(one, {kind: [] for kind in KINDS})
        for kind in KINDS:
            held[kind] += turned[kind]
        outcome.sent.setdefault(one, []).extend(times)
        outcome.wrong += [f"{one}: {error}" for error in wrong]
    outcome.wrong += reader.wrong
    return outcome


def measure(
    host: str,
    rounds: int,
    sent: list[str] | None = None,
    *,
    most: int = 6,
    vehicles: int = 40,
    settled: float = 8.0,
    moves: int = MOVES,
) -> Outcome:
    """Time one session, in turns alone and beside each of what is sent; None finds the worst."""
    leans = [by_the_command(vehicle(number)) for number in range(vehicles)]
    context = multiprocessing.get_context("spawn")
    until = context.Event()
    with ProcessPoolExecutor(1, context, _ready, (until,)) as pool:
        wrong: list[str] = []
        if sent is None:
            found, wrong = worst(host, pool, most)
            print("\n".join(f"{s:.2f} s for {one}" for one, s in found.items()), flush=True)
            sent = list(found)
        reader = Reader(host, leans, settled, moves)
        outcome = asyncio.run(_measured(host, pool, until, reader=reader, sent=sent * rounds))
    outcome.wrong += wrong
    return outcome


def main() -> None:
    """The worst of all, told in words."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--rounds", type=int, default=6)
    asked.add_argument("--worst", type=int, default=6, help="how many inputs are sent")
    asked.add_argument("--send", action="append", help='"box: escapes"; else the worst are found')
    given = asked.parse_args()
    with server() as (host, _):
        found = measure(host, given.rounds, given.send, most=given.worst)
    print(f"{found.words()}\n{len(found.wrong)} wrong {found.wrong[:3]}")


if __name__ == "__main__":
    main()
