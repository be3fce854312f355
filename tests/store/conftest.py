"""A shop on SQLite and on a real PostgreSQL server, started from Debian's own binaries."""

import datetime as dt
import os
import pwd
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

import pytest

from hoopwright.bender import LoggedBend, ShopBender, ShopDie, Stick, TubeBatch
from hoopwright.store.shop import Shop
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)


class PostgresServer:
    """A private server in a folder of its own, reached by a socket in it; the system's server is left alone."""

    def __init__(self, binaries):
        self.binaries = binaries
        self.folder = Path(tempfile.mkdtemp(prefix="hoopwright-pg-", dir="/tmp"))
        self.user = unprivileged() if os.geteuid() == 0 else None
        if self.user:
            os.chown(self.folder, *pwd.getpwnam(self.user)[2:4])
        self.process, self.made = None, 0
        self._run("initdb", "-D", self.data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-sync")
        self.start()

    @property
    def data(self):
        return self.folder / "data"

    def _run(self, program, *words):
        done = subprocess.run(
            [self.binaries / program, *words], user=self.user, cwd=self.folder, capture_output=True, text=True,
            check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr

    def start(self):
        words = ["-D", self.data, "-k", self.folder, "-c", "listen_addresses=", "-c", "fsync=off"]
        with (self.folder / "log").open("ab") as log:
            self.process = subprocess.Popen(
                [self.binaries / "postgres", *words], user=self.user, cwd=self.folder, stdout=log, stderr=log
            )
        for _ in range(600):
            ready = subprocess.run(
                [self.binaries / "pg_isready", "-q", "-h", self.folder], check=False, cwd="/"
            )
            if ready.returncode == 0:
                return
            assert self.process.poll() is None, (self.folder / "log").read_text()
            time.sleep(0.1)
        raise AssertionError((self.folder / "log").read_text())

    def stop(self):
        """At once, as a power cut does; what was committed is found again on the next start."""
        self._run("pg_ctl", "-D", self.data, "-m", "immediate", "stop")
        self.process.wait(60)

    def url(self, name):
        return f"postgresql://postgres@/{name}?host={self.folder}"

    def fresh(self):
        """The address of a new, empty database."""
        self.made += 1
        self._run("createdb", "-h", self.folder, "-U", "postgres", f"shop{self.made}")
        return self.url(f"shop{self.made}")

    def sql(self, name, text):
        self._run("psql", "-h", self.folder, "-U", "postgres", "-d", name, "-c", text)

    def remove(self):
        if self.process.poll() is None:
            self.stop()
        shutil.rmtree(self.folder)


def unprivileged():
    """A user that the server may run as: it refuses to be root."""
    known = {entry.pw_name for entry in pwd.getpwall()}
    return next(name for name in ("postgres", "nobody") if name in known)


@pytest.fixture(scope="session")
def postgres():
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if not found:
        why = "no PostgreSQL binaries: apt-get install postgresql"
        if os.environ.get("HOOPWRIGHT_NEED_POSTGRES") == "1":
            pytest.fail(why)
        pytest.skip(why)
    server = PostgresServer(found[-1].parent)
    yield server
    server.remove()


@pytest.fixture(params=["sqlite", "postgres"])
def place(request, tmp_path, monkeypatch):
    """Where an empty shop is, as a person types it."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))  # what a restore on a server keeps goes there
    if request.param == "sqlite":
        return str(tmp_path / "shop.sqlite")
    return request.getfixturevalue("postgres").fresh()


@pytest.fixture
def shop(place):
    with Shop.open(place) as opened:
        yield furnished(opened)


def furnished(shop):
    """With a bender, two dies and two batches."""
    shop.add_bender(
        ShopBender(name="Red", swings="anticlockwise", clamp_mm=120.0, stand={"wall_mm": [1, 2.5]})
    )
    shop.add_die(ShopDie(name="45", od_mm=45.0, clr_mm=137.5, reach_deg=120.0, bender="Red"))
    shop.add_die(ShopDie(name="38", od_mm=38.0, clr_mm=114.0, reach_deg=180.0, bender="Red", clamp_mm=90.0))
    shop.add_batch(TubeBatch(name="B1", tube=TUBE, steel="E355", heat_number="4711", yield_mpa=460.5))
    shop.add_batch(TubeBatch(name="C1", tube=TubeSize(od_mm=38.0, wall_mm=2.5)))
    shop.add_sticks([Stick(label="S1", batch="B1", length_mm=6000.0)])
    return shop


def logged(key="k", **changes):
    """A bend that can be."""
    values = {
        "key": key,
        "time": dt.datetime(2026, 3, 14, 9, 30, tzinfo=dt.timezone(dt.timedelta(hours=1))),
        "bender": "Red",
        "die": "45",
        "batch": "B1",
        "wanted_deg": 90.0,
        "command_deg": 93.1,
        "released_deg": 90.2,
        "fed_from": "A",
    }
    return LoggedBend(**{**values, **changes})


@pytest.fixture(scope="session")
def makes():
    """Makers of what the tests keep."""
    return type(
        "Makes", (), {"furnished": staticmethod(furnished), "bend": staticmethod(logged), "tube": TUBE}
    )
