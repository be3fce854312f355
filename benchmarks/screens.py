"""Screens at the bender, all at once: each bends its own bar and looks again as the page does.

    python -m benchmarks.screens [--screens 200] [--bends 4] [--pause-s 12] [--bars 200]

The server is `hoopwright open` as a process of its own, on the same machine. Each screen opens its bar, reads a bend,
waits as long as a bend takes, and asks in between every four seconds whether anything has changed. Every answer is
held against the records in the project at the end. With fewer bars than screens the others only watch.
"""

import argparse
import asyncio
import os
import secrets
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

import httpx

from benchmarks.let_in import let_in
from benchmarks.timing import line
from hoopwright.bender.rescue.records import Reading
from hoopwright.cage import Limits, Member, Role
from hoopwright.jobs.calibrations import calibrations_at_hand
from hoopwright.jobs.projects import start_project
from hoopwright.jobs.sheets import SheetWishes, sheet_of
from hoopwright.jobs.shop_at_hand import ShopAtHand
from hoopwright.store import IssuedSheet, ProjectFolder
from hoopwright.store.bending import last_stick
from hoopwright.tubes import TubeSize

_NODES = ((610.0, 0.0), (640.0, 620.0), (505.0, 1085.0), (-505.0, 1085.0), (-640.0, 620.0), (-610.0, 0.0))
_CALIBRATION = """\
od_mm = 45.0
wall_mm = 2.5
die = "45"
[[plain]]
clr_mm = 137.5
used_per_deg_mm = 2.3556
start_offset_mm = 11.5
constant_deg = 0.777
per_command_deg = 0.0301
"""
_DATE = "2026-03-14"
_LOOK_AGAIN_S = 4.0


@dataclass
class Told:
    """What the screens saw."""

    readings_s: list[float] = field(default_factory=list)
    looks_s: list[float] = field(default_factory=list)
    opens_s: list[float] = field(default_factory=list)
    acknowledged: dict[str, list[float]] = field(default_factory=dict)
    failed: int = 0
    asked_again: int = 0


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--screens", type=int, default=200)
    parser.add_argument("--bars", type=int, default=200)
    parser.add_argument("--bends", type=int, default=4)
    parser.add_argument("--pause-s", type=float, default=12.0)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as where:
        folder = _project(Path(where) / "car", asked.bars)
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        server, cookies = _serve(folder, port)
        before_s = _busy_s(server.pid)
        start = time.perf_counter()
        try:
            told = asyncio.run(_all(f"http://127.0.0.1:{port}", asked, cookies))
            memory, busy_s = _memory_mb(server.pid), _busy_s(server.pid) - before_s
        finally:
            server.send_signal(signal.SIGKILL)
            server.wait()
        _print(folder, told, memory, asked)
        line("processors busy with the server, on average", busy_s / (time.perf_counter() - start), "", "-")


def _project(path: Path, bars: int) -> ProjectFolder:
    """Hoops that are alike, each with a sheet."""
    folder = ProjectFolder(path=path)
    start_project(folder, "screens", Limits(gap_mm=10.0))
    (folder.calibrations / "cal.toml").write_text(_CALIBRATION, encoding="utf-8")
    opened = folder.open()
    hoop = Member(
        die="45",
        member_id="H",
        role=Role.MAIN_HOOP,
        nodes_mm=tuple((-900.0, left, up) for left, up in _NODES),
        tube=TubeSize(od_mm=45.0, wall_mm=2.5),
        clr_mm=137.5,
    )
    members = tuple(replace(hoop, member_id=f"H{number:03d}") for number in range(bars))
    project = replace(opened.project, cage=replace(opened.project.cage, members=members))
    calibrations = calibrations_at_hand(folder, members)
    first = sheet_of(project, members[0], calibrations, SheetWishes(date=_DATE), ShopAtHand())
    issued = []
    for member in members:
        made = sheet_of(project, member, calibrations, SheetWishes(date=_DATE), ShopAtHand())
        issued.append(
            IssuedSheet(
                bar_id=member.member_id,
                revision=1,
                identity=made.identity,
                date=_DATE,
                order="auto",
                swings=first.swings or None,
            )
        )
    folder.record(opened, replace(project, issued=tuple(issued)))
    return folder


def _serve(folder: ProjectFolder, port: int) -> "tuple[subprocess.Popen[bytes], dict[str, str]]":
    command = [
        sys.executable,
        "-m",
        "hoopwright",
        "open",
        str(folder.path),
        "--port",
        str(port),
        "--no-browser",
    ]
    environment = os.environ | {"HOOPWRIGHT_SHOP": "none"}
    log = folder.path.parent / "server.txt"
    with log.open("wb") as out:
        server = subprocess.Popen(command, env=environment, stdout=out, stderr=out)
    return server, dict([let_in(log)])


async def _all(address: str, asked: argparse.Namespace, cookies: dict[str, str]) -> Told:
    told = Told()
    limits = httpx.Limits(max_connections=None, max_keepalive_connections=None)
    async with httpx.AsyncClient(
        base_url=f"{address}/bend/_/api/", limits=limits, timeout=60.0, cookies=cookies
    ) as client:
        screens = [_screen(client, number, asked, told) for number in range(asked.screens)]
        await asyncio.gather(*screens)
    return told


async def _screen(client: httpx.AsyncClient, number: int, asked: argparse.Namespace, told: Told) -> None:
    bar, is_first = f"H{number % asked.bars:03d}", number < asked.bars
    await asyncio.sleep(asked.pause_s * number / asked.screens)
    whole = (await _timed(lambda: client.get(f"bar/{bar}"), told.opens_s, told)).json()
    state = whole["state"]
    looking = asyncio.create_task(_look_again(client, bar, told))
    for step in whole["steps"][: asked.bends]:
        await asyncio.sleep(asked.pause_s)
        if not is_first:
            continue
        body = {
            "bar": bar, "stick": state["stick"], "shown": state["number"], "key": secrets.token_hex(12),
            "released_deg": round(step["target_deg"], 1),
        }  # fmt: skip
        answer = await _timed(partial(client.post, "reading", json=body), told.readings_s, told)
        if answer.status_code == httpx.codes.OK:
            state = answer.json()["state"]
            told.acknowledged.setdefault(bar, []).append(body["released_deg"])
    looking.cancel()


async def _look_again(client: httpx.AsyncClient, bar: str, told: Told) -> None:
    while True:
        await asyncio.sleep(_LOOK_AGAIN_S)
        await _timed(lambda: client.get(f"stamp/{bar}"), told.looks_s, told)


async def _timed(
    ask: Callable[[], Awaitable[httpx.Response]], into: list[float], told: Told
) -> httpx.Response:
    """Ask until it is answered, as the page does; the time runs from the first asking."""
    start = time.perf_counter()
    while True:
        try:
            answer = await ask()
        except httpx.TransportError:
            told.asked_again += 1
            await asyncio.sleep(0.05)
        else:
            break
    into.append(time.perf_counter() - start)
    told.failed += answer.status_code != httpx.codes.OK
    return answer


def _print(folder: ProjectFolder, told: Told, memory_mb: float, asked: argparse.Namespace) -> None:
    kept = {}
    for number in range(asked.bars):
        stick = last_stick(folder, f"H{number:03d}")
        if stick is not None:
            kept[f"H{number:03d}"] = [one.released_deg for one in stick.records if isinstance(one, Reading)]
    lost = sum(kept.get(bar, []) != readings for bar, readings in told.acknowledged.items())
    line(
        f"{asked.screens} screens, {len(told.readings_s)} readings: median",
        _ms(told.readings_s, 50),
        "ms",
        "-",
    )
    line("a reading kept and answered, 95 of 100 within", _ms(told.readings_s, 95), "ms", "under 300 ms")
    line("a look whether anything changed, 95 of 100 within", _ms(told.looks_s, 95), "ms", "under 300 ms")
    line("a bar opened, 95 of 100 within", _ms(told.opens_s, 95), "ms", "-")
    line("asked again, the connection having been closed", told.asked_again, "", "-")
    line("answers that were refused or failed", told.failed, "", "0")
    line("bars whose records differ from what was acknowledged", lost, "", "0")
    line("memory of the server", memory_mb, "MB", "-")


def _ms(several_s: list[float], percent: int) -> float:
    return 1000.0 * statistics.quantiles(several_s, n=100)[percent - 1]


def _busy_s(pid: int) -> float:
    """Processor time of the server so far: it says what a busy machine's clock does not."""
    parts = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(parts[11]) + int(parts[12])) / os.sysconf("SC_CLK_TCK")


def _memory_mb(pid: int) -> float:
    status = Path(f"/proc/{pid}/status").read_text(encoding="utf-8")
    return float(status.partition("VmRSS:")[2].split()[0]) / 1024.0


if __name__ == "__main__":
    main()
