"""The shop database with 100,000 logged bends: writing, and reading one die's bends and samples.

    python -m benchmarks.shop [--bends 100000] [--url postgresql://...]

Without an address a new SQLite file in a temporary folder is used.
"""

import argparse
import datetime as dt
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from benchmarks.timing import best_of, line
from hoopwright.bender import (
    AngleSample,
    CalibrationRecord,
    LoggedBend,
    Samples,
    ShopBender,
    ShopDie,
    TubeBatch,
)
from hoopwright.store.shop import Shop
from hoopwright.store.shop.backup import back_up
from hoopwright.store.shop.exchange import export_shop, import_shop
from hoopwright.tubes import TubeSize

_TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
_DIES = 10
_AT_ONCE = 5000


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--bends", type=int, default=100_000)
    parser.add_argument("--url", default="")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, Shop.open(asked.url or f"{folder}/shop.sqlite") as shop:
        _furnish(shop)
        start = time.perf_counter()
        bends = list(_bends(asked.bends))
        for first in range(0, len(bends), _AT_ONCE):
            shop.add_bends(bends[first : first + _AT_ONCE])
        line(f"{asked.bends:,} bends logged, {_AT_ONCE} in a turn", time.perf_counter() - start, "s", "-")
        one = iter(_bends(asked.bends + 1000))
        late = [bend for bend in one if int(bend.key) >= asked.bends]
        start = time.perf_counter()
        for bend in late:
            shop.add_bend(bend)
        line("one bend logged and synced", time.perf_counter() - start, "ms", "under 100 ms")
        read = best_of(lambda: _read(shop))
        line(f"one die's bends ({len(shop.bends(die='die 0')):,}) and samples read", read, "s", "under 0.5 s")
        line("the same, in time of this process alone", _busy(lambda: _read(shop)), "s", "under 0.5 s")
        of_one = best_of(lambda: shop.bends(die="die 0", batch="batch 3"))
        line("one die's bends of one batch read", of_one, "s", "under 0.5 s")
        _copies(shop, Path(folder))


def _busy(work: Callable[[], None]) -> float:
    """Least of five, as the processor counts it: other work on the machine is left out, s."""
    times = []
    for _ in range(5):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def _copies(shop: Shop, folder: Path) -> None:
    line("backup", best_of(lambda: _once(shop, folder), runs=1), "s", "-")
    line("export", best_of(lambda: export_shop(shop, folder / "out"), runs=1), "s", "-")
    with Shop.open(folder / "other.sqlite") as other:
        line(
            "import into an empty shop", best_of(lambda: import_shop(other, folder / "out"), runs=1), "s", "-"
        )


def _once(shop: Shop, folder: Path) -> None:
    back_up(shop, folder / "backup.sqlite")


def _read(shop: Shop) -> None:
    shop.bends(die="die 0")
    shop.calibrations(die="die 0")


def _furnish(shop: Shop) -> None:
    shop.add_bender(ShopBender(name="bender", swings="clockwise", clamp_mm=120.0))
    for k in range(_DIES):
        shop.add_die(ShopDie(name=f"die {k}", od_mm=45.0, clr_mm=137.5, reach_deg=180.0, bender="bender"))
        shop.add_batch(TubeBatch(name=f"batch {k}", tube=_TUBE))
    samples = Samples(tube=_TUBE, angles=(AngleSample(command_deg=90.0, released_deg=86.5),))
    for k in range(20):
        shop.add_calibration(CalibrationRecord(key=f"samples {k}", die=f"die {k % _DIES}", samples=samples))


def _bends(count: int) -> Iterator[LoggedBend]:
    start = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)
    for k in range(count):
        wanted = 10.0 + k % 100
        yield LoggedBend(
            key=f"{k}",
            time=start + dt.timedelta(minutes=k),
            bender="bender",
            die=f"die {k % _DIES}",
            batch=f"batch {k // _DIES % _DIES}",
            project="car",
            bar=f"B{k % 30}",
            bend_number=k % 5 + 1,
            wanted_deg=wanted,
            command_deg=wanted + 3.0,
            released_deg=wanted + 0.1,
            fed_from="A",
        )


if __name__ == "__main__":
    main()
