"""Kills a writer at random many times. Run by the tests as a program of its own; prints what it found as JSON.

    python kill_writers.py FILE KILLS SEED

Each round a forked child logs bends, uses sticks with their offcuts and keeps calibrations, and says on a pipe what
was acknowledged; it is killed after a random time. The parent then reads the shop.
"""

import contextlib
import datetime as dt
import json
import os
import signal
import sqlite3
import sys
import time
from dataclasses import replace
from itertools import count
from pathlib import Path

import numpy as np

from hoopwright.bender import (
    AngleSample,
    CalibrationRecord,
    LoggedBend,
    Samples,
    ShopBender,
    ShopDie,
    Stick,
    TubeBatch,
)
from hoopwright.store.shop import Shop
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
START = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)


def bend(key):
    return LoggedBend(
        key=key, time=START, bender="Red", die="45", batch="B1", wanted_deg=90.0, command_deg=93.0, released_deg=90.0,
        fed_from="A",
    )  # fmt: skip


def work(file, round_number, acknowledged):
    """Writes until it is killed."""
    with Shop.open(file) as shop:
        shop.add_bend(bend(f"first {round_number}"))
        os.write(acknowledged, f"bend first {round_number}\n".encode())
        for k in count():
            name = f"{round_number}-{k}"
            shop.add_bend(bend(f"one {name}"))
            os.write(acknowledged, f"bend one {name}\n".encode())
            shop.add_bend(bend(f"one {name}"))  # sent twice
            shop.add_bends([bend(f"two {name} {half}") for half in "ab"])
            os.write(acknowledged, f"pair two {name}\n".encode())
            stick = Stick(label=f"S {name}", batch="B1", length_mm=6000.0)
            shop.add_sticks([stick])
            offcut = Stick(label=f"O {name}", batch="B1", length_mm=900.0, cut_from=stick.label)
            shop.use_stick(replace(stick, state="used"), offcut)
            os.write(acknowledged, f"offcut {name}\n".encode())
            samples = Samples(tube=TUBE, angles=(AngleSample(command_deg=90.0, released_deg=86.0 + k % 4),))
            shop.add_calibration(CalibrationRecord(key=f"C {name}", die="45", samples=samples))
            os.write(acknowledged, f"calibration C {name}\n".encode())


def killed_round(file, round_number, wait_s, *, is_early):
    """What one child had acknowledged before it was killed: after its first bend, or while it opens the shop."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        with contextlib.suppress(BaseException):
            work(file, round_number, writing)
        os._exit(1)
    os.close(writing)
    first = b"" if is_early else os.read(reading, 1000)
    time.sleep(wait_s)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    with os.fdopen(reading, encoding="utf-8") as said:
        lines = (first.decode() + said.read()).splitlines()
    return lines, os.WIFSIGNALED(status)


def main():
    file, kills, seed = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    chance = np.random.default_rng(seed)
    with Shop.open(file) as shop:
        shop.add_bender(ShopBender(name="Red", swings="clockwise", clamp_mm=120.0))
        shop.add_die(ShopDie(name="45", od_mm=45.0, clr_mm=137.5, reach_deg=120.0, bender="Red"))
        shop.add_batch(TubeBatch(name="B1", tube=TUBE))
    acknowledged, really_killed = [], 0
    for k in range(kills):
        lines, was_killed = killed_round(file, k, chance.uniform(0.0, 0.08), is_early=k % 5 == 0)
        acknowledged += lines
        really_killed += was_killed
    print(
        json.dumps({"killed": really_killed, "acknowledged": len(acknowledged), **found(file, acknowledged)})
    )


def found(file, acknowledged):
    """Faults in what is kept against what was acknowledged."""
    with Shop.open(file) as shop:
        keys = [one.key for one in shop.bends(every=True)]
        sticks = {stick.label: stick for stick in shop.sticks(used=True)}
        calibrations = [one.key for one in shop.calibrations(every=True)]
    kept = set(keys)
    lost = [line for line in acknowledged if not is_kept(line, kept, sticks, set(calibrations))]
    pairs = {key[:-2] for key in keys if key.startswith("two ")}
    halves = [pair for pair in pairs if not {f"{pair} a", f"{pair} b"} <= kept]
    halves += [
        stick.label
        for stick in sticks.values()
        if (stick.state == "used") != (stick.label.replace("S ", "O ") in sticks) and not stick.cut_from
    ]
    with contextlib.closing(sqlite3.connect(file)) as raw:
        whole = raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        loose = raw.execute("PRAGMA foreign_key_check").fetchall()
        sequences = [
            row[0]
            for table in ("bend", "calibration", "bender_state", "die_state", "batch_state", "stick_state")
            for row in raw.execute(f"SELECT sequence FROM shop_{table}")  # noqa: S608
        ]
        last = raw.execute("SELECT last_sequence FROM shop_counter").fetchone()[0]
    return {
        "lost": lost,
        "halves": halves,
        "doubled": len(keys) - len(kept) + len(calibrations) - len(set(calibrations)),
        "whole": whole and not loose,
        "gaps": sorted(sequences) != list(range(1, last + 1)),
        "bends": len(keys),
    }


def is_kept(line, bends, sticks, calibrations):
    kind, _, name = line.partition(" ")
    if kind == "pair":
        return {f"{name} a", f"{name} b"} <= bends
    if kind == "offcut":
        return f"O {name}" in sticks and sticks[f"S {name}"].state == "used"
    return name in (bends if kind == "bend" else calibrations)


if __name__ == "__main__":
    main()
