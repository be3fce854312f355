"""Kills an import, a restore and an upgrade at random. Run by the tests as a program of its own; prints JSON.

    python kill_copies.py FOLDER KILLS SEED

`FOLDER` holds `out` (an export of many bends) and `copy.sqlite` (a backup of the same shop).
"""

import contextlib
import json
import os
import shutil
import signal
import sqlite3
import sys
import time
from pathlib import Path

import numpy as np

from hoopwright.store.shop import Shop
from hoopwright.store.shop.backup import restore
from hoopwright.store.shop.exchange import import_shop
from hoopwright.store.shop.opening import OWN_MIGRATIONS, Migrations
from hoopwright.store.shop_place import shop_place

STEP = """
from alembic import op
revision, down_revision, branch_labels, depends_on = "0003", "0002", None, None
def upgrade():
    op.execute("CREATE TABLE shop_new (n INTEGER)")
    op.execute("UPDATE shop_bend SET note = 'upgraded'")
"""


def take_in(file, folder):
    with Shop.open(file) as shop:
        import_shop(shop, folder / "out")


def go_back(file, folder):
    restore(shop_place(str(file)), folder / "copy.sqlite")


def upgrade(file, folder):
    Shop.open(file, migrations=Migrations(folder=folder / "steps", versions=("0001", "0002", "0003")))


def killed(work, file, folder, wait_s):
    """Whether a child was killed before it was done; None waits for its end."""
    child = os.fork()
    if child == 0:
        with contextlib.suppress(BaseException):
            work(file, folder)
            os._exit(0)
        os._exit(1)
    if wait_s is not None:
        time.sleep(wait_s)
        os.kill(child, signal.SIGKILL)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


def state(file):
    """How many bends there are, and how many of them an upgrade has touched."""
    with contextlib.closing(sqlite3.connect(file)) as raw:
        whole = raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        tables = raw.execute("SELECT count(*) FROM sqlite_master WHERE name = 'shop_new'").fetchone()[0]
        version = raw.execute("SELECT version_num FROM shop_version").fetchall()
        bends = raw.execute("SELECT count(*) FROM shop_bend").fetchone()[0]
        touched = raw.execute("SELECT count(*) FROM shop_bend WHERE note = 'upgraded'").fetchone()[0]
        last = raw.execute("SELECT last_sequence FROM shop_counter").fetchone()[0]
    return [whole, tables, version, bends, touched, last]


def main():
    folder, kills, seed = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    chance = np.random.default_rng(seed)
    shutil.copytree(OWN_MIGRATIONS.folder, folder / "steps")
    (folder / "steps" / "versions" / "v0003.py").write_text(STEP)
    empty = folder / "empty.sqlite"
    Shop.open(empty).close()
    found = {}
    for work, start in ((take_in, empty), (go_back, empty), (upgrade, folder / "copy.sqlite")):
        begun = time.monotonic()
        shutil.copy(start, folder / "whole.sqlite")
        killed(work, folder / "whole.sqlite", folder, None)
        longest_s = time.monotonic() - begun
        before, after = state(start), state(folder / "whole.sqlite")
        states, count = [], 0
        for k in range(kills):
            file = folder / f"{work.__name__}-{k}.sqlite"
            shutil.copy(start, file)
            count += killed(work, file, folder, chance.uniform(0.0, longest_s))
            states.append(state(file))
        found[work.__name__] = {
            "killed": count,
            "before": before,
            "after": after,
            "half": [one for one in states if one not in (before, after)],
        }
    print(json.dumps(found))


if __name__ == "__main__":
    main()
