"""The workbench in a headless browser: first view, drags of a node to new gaps, the server's share, memory.

    python -m benchmarks.workbench PROJECT [--bar NAME] [--node N] [--moves 60] [--chromium /usr/bin/chromium]

Server and browser run on this machine together. `PROJECT` is copied first; `hoopwright demo DIR` makes one. A full scan
is measured on a project that `hoopwright new` and `hoopwright scan` made; a bar is laid through it if there is
none.
"""

import argparse
import os
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.let_in import let_in
from benchmarks.timing import line
from hoopwright.web.serve import free_port

if TYPE_CHECKING:
    from playwright.sync_api import Page, Response

FLAGS = (
    "--no-sandbox",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def main() -> None:
    """Serve a copy of the project, look at it, drag, and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("project", type=Path)
    parser.add_argument("--bar")
    parser.add_argument("--node", type=int, default=2)
    parser.add_argument("--moves", type=int, default=60)
    parser.add_argument("--chromium", default="/usr/bin/chromium")
    parser.add_argument("--first", type=float, default=4.0, help="Seconds wanted for the first view.")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        project = Path(shutil.copytree(arguments.project, Path(folder) / "car"))
        bar = arguments.bar or _first_bar(project)
        print(f"load of this machine before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
        port = free_port()
        began = time.perf_counter()
        server = _serve(project, port)
        try:
            name, value = let_in(project.parent / "server.txt")
            line("from the command to the first answer", time.perf_counter() - began, "s", "soon")
            url = f"http://127.0.0.1:{port}/"
            _look(url, {"name": name, "value": value, "url": url}, server.pid, bar, arguments)
        finally:
            server.send_signal(signal.SIGTERM)
            server.wait(timeout=20)


def _first_bar(project: Path) -> str:
    """A bar with nodes of its own; one is laid through an empty cage."""
    from hoopwright.jobs.cage_bars import list_bars
    from hoopwright.store import ProjectFolder

    bars = list_bars(ProjectFolder(path=project))
    own = [one.member for one in bars if one.member.mirror_of is None and len(one.member.nodes_mm) > 2]
    if own:
        return own[0].member_id
    nodes = project.parent / "nodes.csv"
    nodes.write_text(
        "forward,left,up\n-2450,650,250\n-2450,660,700\n-2450,520,1330\n-2450,-520,1330\n-2450,-660,700\n-2450,-650,250\n"
    )
    words = ["bar", "add", str(project), "MH", "--role", "main hoop", "--nodes", str(nodes)]
    subprocess.run([sys.executable, "-m", "hoopwright", *words], check=True, env=_environment())
    return "MH"


def _environment() -> dict[str, str]:
    return {**os.environ, "HOOPWRIGHT_SHOP": "none"}


def _serve(project: Path, port: int) -> "subprocess.Popen[bytes]":
    words = ["open", str(project), "--port", str(port), "--no-browser"]
    with (project.parent / "server.txt").open("wb") as told:
        command = [sys.executable, "-m", "hoopwright", *words]
        return subprocess.Popen(command, env=_environment(), stdout=told, stderr=told)


def _look(url: str, cookie: dict[str, str], pid: int, bar: str, arguments: argparse.Namespace) -> None:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=arguments.chromium, args=list(FLAGS))
        context = browser.new_context(viewport={"width": 1280, "height": 720})
        context.add_cookies([cookie])
        page = context.new_page()
        server_ms: list[tuple[float, float]] = []
        page.on("response", lambda answer: _timed(answer, server_ms))
        began = time.perf_counter()
        page.goto(url)
        page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell", timeout=120_000)
        page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
        line(
            "first view: page asked to scan and bars drawn",
            time.perf_counter() - began,
            "s",
            f"{arguments.first:g}",
        )
        page.wait_for_timeout(6000)  # the finer scan
        page.get_by_role("button", name=re.compile(rf"^{re.escape(bar)}\b")).first.click()
        page.wait_for_timeout(2500)
        _drag(page, bar, arguments.node, arguments.moves)
        page.wait_for_timeout(300)
        times = page.evaluate("window.hoopwrightView.dragMs")
        page.keyboard.press("Escape")
        page.mouse.up()
        if not times or not server_ms:
            raise SystemExit(f"node {arguments.node} of {bar} could not be dragged")
        line(f"drag: asked to drawn, median of {len(times)}", statistics.median(times), "ms", "120")
        line("drag: asked to drawn, 95 %", _share(times, 0.95), "ms", "-")
        for name, part in (("", 0), (", on its core alone", 1)):
            values = [one[part] for one in server_ms]
            line(f"drag: the server's share{name}, median", statistics.median(values), "ms", "40")
            line(f"drag: the server's share{name}, 95 %", _share(values, 0.95), "ms", "-")
        line("memory of the server", _memory_mib(pid, "VmRSS"), "MiB", "1536")
        line("memory of the server at its peak", _memory_mib(pid, "VmHWM"), "MiB", "1536")
        browser.close()


def _timed(answer: "Response", server_ms: list[tuple[float, float]]) -> None:
    found = re.search(r"moved;dur=([0-9.]+), core;dur=([0-9.]+)", answer.headers.get("server-timing", ""))
    if found:
        server_ms.append((float(found.group(1)), float(found.group(2))))


def _drag(page: "Page", bar: str, node: int, moves: int) -> None:
    at = page.evaluate(f"hoopwrightView.onPage(hoopwrightView.bars.view({bar!r}).nodes_mm[{node - 1}])")
    page.mouse.move(at["x"], at["y"])
    page.mouse.down()
    for number in range(moves):
        page.mouse.move(at["x"] + (number % 7) - 3, at["y"] + (number % 5) - 2)
        page.wait_for_timeout(60)


def _share(values: list[float], share: float) -> float:
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def _memory_mib(pid: int, name: str) -> float:
    status = Path(f"/proc/{pid}/status").read_text()
    found = re.search(rf"{name}:\s+(\d+) kB", status)
    return int(found.group(1)) / 1024.0 if found else float("nan")


if __name__ == "__main__":
    main()
