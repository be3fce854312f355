"""The workbench served as a person starts it, and a browser that looks at it."""

import os
import shutil
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from benchmarks.let_in import let_in
from tests.bending_hoop import CALIBRATION, HOOP
from tests.web.at_rest import at_rest
from tests.web.late import PATIENCE_MS, make_late
from tests.web.phones import Phone, Server
from tests.web.what_happened import PRESSES, tell_what_happened

from hoopwright.jobs.demo import run_demo_to_sheets
from hoopwright.web.serve import free_port

CHROMIUM = os.environ.get("HOOPWRIGHT_CHROMIUM", "/usr/bin/chromium")
FLAGS = (
    "--no-sandbox",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


@dataclass
class Served:
    """A running workbench."""

    url: str
    project: Path
    process: subprocess.Popen
    log: Path

    def kill(self):
        """As when the power goes."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


def environment(shop="none"):
    # the page library takes another way in when it believes that a test runs it
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTEST", "NICEGUI"))}
    return {**kept, "HOOPWRIGHT_SHOP": shop}


@contextmanager
def serving(project, *words, port=None, log, shop="none"):
    port = port or free_port()
    with log.open("ab") as out:
        process = subprocess.Popen(
            [
                sys.executable,
                "-m",
                "hoopwright",
                "open",
                str(project),
                "--port",
                str(port),
                "--no-browser",
                *words,
            ],
            stdout=out,
            stderr=out,
            env=environment(shop),
        )
    url = f"http://127.0.0.1:{port}/"
    try:
        wait_for(url, process, log)
        name, value = let_in(log)
        COOKIES[url] = {"name": name, "value": value, "url": url}
        yield Served(url, project, process, log)
    finally:
        process.terminate()
        try:
            process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            process.kill()


def wait_for(url, process, log):
    until = time.monotonic() + 60
    while time.monotonic() < until:
        if process.poll() is not None:
            raise AssertionError(log.read_text())
        try:
            urllib.request.urlopen(url, timeout=5).read()  # noqa: S310
        except urllib.error.HTTPError:
            return  # it answers, if only that nobody is let in yet
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.2)
        else:
            return
    raise AssertionError(f"no answer from {url}\n{log.read_text()}")


COOKIES = {}
"""What each running workbench knows its browser by, as if its printed address had been opened."""


@pytest.fixture(scope="session")
def demo_project(tmp_path_factory):
    """The demo before anything is handed over: no driver, no landing, no book."""
    folder = tmp_path_factory.mktemp("web") / "demo-car"
    run_demo_to_sheets(folder, date="2026-03-14")
    return folder


@pytest.fixture
def project(demo_project, tmp_path):
    """A copy of the demo project that a test may change."""
    return Path(shutil.copytree(demo_project, tmp_path / "car"))


NODES = {
    "MH": ("main hoop", "-900,610,0 -900,640,620 -900,505,1085 -900,-505,1085 -900,-640,620 -900,-610,0"),
    "BS-L": ("backstay", "-900,505,1085 -1600,560,200"),
    "HB": ("harness bar", "-900,632,450 -900,-632,450"),
}


@pytest.fixture(scope="session")
def small_kept(hoopwright, bodies, tmp_path_factory):
    """A hoop, a backstay with its mirror and a harness bar in a shell of known section, made in a second."""
    folder = tmp_path_factory.mktemp("small")
    triangles = bodies.section_soup()
    rows = np.zeros(len(triangles), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    rows["corners"] = triangles
    head = b"shell".ljust(80) + np.uint32(len(rows)).tobytes()
    (folder / "shell.stl").write_bytes(head + rows.tobytes())
    project = folder / "car"
    hoopwright.keys("new", project)
    hoopwright.keys("scan", project, folder / "shell.stl", "--unit", "mm", "--as-given")
    for name, (role, nodes) in NODES.items():
        (folder / "nodes.csv").write_text("\n".join(["forward,left,up", *nodes.split(), ""]))
        lands = [] if name == "MH" else ["--end-a", "MH"]
        hoopwright.keys("bar", "add", project, name, "--role", role, "--nodes", folder / "nodes.csv", *lands)
    hoopwright.keys("bar", "mirror", project, "BS-L", "BS-R")
    return project


@pytest.fixture
def small(small_kept, tmp_path):
    """A copy of the small project that a test may change."""
    return Path(shutil.copytree(small_kept, tmp_path / "car"))


@pytest.fixture
def hoop_project(hoopwright, tmp_path):
    """A hoop with its sheet, ready to be bent, as A3 and A7 have it."""
    car = tmp_path / "car"
    hoopwright.keys("new", car)
    (tmp_path / "hoop.csv").write_text(HOOP)
    (tmp_path / "cal.toml").write_text(CALIBRATION)
    hoop = ("MH", "--role", "main hoop", "--nodes", tmp_path / "hoop.csv", "--trim-a", "30", "--trim-b", "30")
    hoopwright.keys("bar", "add", car, *hoop)
    hoopwright.keys("calibrate", tmp_path / "cal.toml", "--project", car)
    hoopwright.keys("sheets", car, "--order", "A to B", "--swings", "clockwise")
    return car


@pytest.fixture
def served(project, tmp_path):
    with serving(project, log=tmp_path / "server.log") as running:
        yield running


@pytest.fixture
def serve_folder(tmp_path):
    """Serves a folder, whether there is a project in it or not."""
    with ExitStack() as running:
        yield lambda folder: running.enter_context(serving(folder, log=tmp_path / "server.log"))


@pytest.fixture(scope="session")
def chromium():
    playwright = pytest.importorskip("playwright.sync_api")
    if not Path(CHROMIUM).exists():
        if os.environ.get("HOOPWRIGHT_NEED_BROWSER"):
            pytest.fail(f"no browser at {CHROMIUM}")
        pytest.skip(f"no browser at {CHROMIUM}")
    playwright.expect.set_options(timeout=PATIENCE_MS)
    with playwright.sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    report = yield
    page_of = item.funcargs.get("page_of") if hasattr(item, "funcargs") else None
    if report.when == "call" and report.failed and page_of is not None:
        tell_what_happened(report, [page for context in page_of.contexts for page in context.pages])
    return report


@pytest.fixture
def page_of(chromium):
    """Opens pages; fails the test on any console error or request that left the machine."""
    opened, faults = [], []

    def page(url, *, width=1280, height=720, **context):
        at = chromium.new_context(viewport={"width": width, "height": height}, **context)
        opened.append(at)
        at.add_cookies([cookie for where, cookie in COOKIES.items() if url.startswith(where)])
        make_late(at)
        at.add_init_script(PRESSES)
        page = at.new_page()
        page.on("console", lambda told: faults.append(told.text) if told.type == "error" else None)
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("request", lambda asked: None if _is_ours(asked.url) else faults.append(f"left: {asked.url}"))
        page.goto(url)
        page.set_default_timeout(PATIENCE_MS)
        return page

    page.faults, page.contexts = faults, opened
    yield page
    for at in opened:
        at.close()
    assert faults == []


def _is_ours(url):
    return url.startswith(("http://127.0.0.1:", "ws://127.0.0.1:", "data:", "blob:"))


@pytest.fixture
def screenshot(request, tmp_path):
    """Keeps a picture of a page where `HOOPWRIGHT_SCREENSHOTS` says, else with the test's files."""
    folder = Path(os.environ.get("HOOPWRIGHT_SCREENSHOTS", tmp_path))
    folder.mkdir(parents=True, exist_ok=True)

    def keep(page, name):
        at_rest(page)
        page.screenshot(path=folder / f"{name}.png")

    return keep


@pytest.fixture
def hoop_server(hoop_project):
    server = Server(hoop_project)
    yield server
    server.kill()


@pytest.fixture
def phone(chromium, hoop_server):
    one = Phone(chromium, hoop_server)
    yield one
    one.context.close()
    assert one.faults == []
