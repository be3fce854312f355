"""Killed between any two writes, two processes at once, a server gone in the middle: nothing lost, nothing doubled."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import event, text

from hoopwright.findings import UserError
from hoopwright.store.shop import Shop
from hoopwright.store.shop.backup import back_up
from hoopwright.store.shop.bends import keep_bends
from hoopwright.store.shop.engines import writing
from hoopwright.store.shop.exchange import export_shop

KILLER = Path(__file__).parent / "kill_writers.py"


@pytest.mark.skipif(sys.platform == "win32", reason="forks")
@pytest.mark.parametrize("kills", [25, pytest.param(1000, marks=pytest.mark.slow)])
def test_killed_at_random_nothing_acknowledged_is_lost_and_nothing_is_doubled(tmp_path, kills):
    file = tmp_path / "shop.sqlite"
    done = subprocess.run(
        [sys.executable, KILLER, file, str(kills), "11"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert said["killed"] == kills
    assert said["acknowledged"] >= kills * 4 // 5  # every fifth is killed while it opens the shop
    assert (said["lost"], said["halves"], said["doubled"]) == ([], [], 0)
    assert said["whole"]
    assert not said["gaps"]


@pytest.mark.skipif(sys.platform == "win32", reason="forks")
@pytest.mark.parametrize("kills", [6, pytest.param(100, marks=pytest.mark.slow)])
def test_an_import_a_restore_and_an_upgrade_that_are_killed_are_done_or_not_begun(tmp_path, makes, kills):
    with Shop.open(tmp_path / "source.sqlite") as shop:
        makes.furnished(shop).add_bends([makes.bend(f"k{k}") for k in range(400)])
        export_shop(shop, tmp_path / "out")
        back_up(shop, tmp_path / "copy.sqlite")
    program = Path(__file__).parent / "kill_copies.py"
    done = subprocess.run(
        [sys.executable, program, tmp_path, str(kills), "5"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert set(said) == {"take_in", "go_back", "upgrade"}
    for work, found in said.items():
        assert found["half"] == [], work
        assert found["before"] != found["after"], work
        assert found["before"][0], work
        assert found["after"][0], work
    assert sum(found["killed"] for found in said.values()) >= kills


WRITER = """
import sys
from datetime import UTC, datetime
from hoopwright.bender import LoggedBend
from hoopwright.store.shop import Shop
with Shop.open(sys.argv[1]) as shop:
    sys.stdin.readline()
    new = 0
    for k in range(60):
        bend = LoggedBend(
            key=f"k{k}", time=datetime(2026, 1, 1, tzinfo=UTC), bender="Red", die="45", batch="B1", wanted_deg=90.0,
            command_deg=93.0, released_deg=90.0, fed_from="A",
        )
        new += shop.add_bend(bend).is_new
        own = LoggedBend(**{**vars(bend), "key": f"{sys.argv[2]}{k}"})
        new += shop.add_bend(own).is_new
    print(new)
"""


def test_processes_at_once_keep_each_reading_once(place, makes):
    """Three stations send the same 60 readings, and 60 of their own."""
    with Shop.open(place) as shop:
        makes.furnished(shop)
    stations = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, place, name],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for name in "abc"
    ]
    for station in stations:
        station.stdin.write("\n")
        station.stdin.flush()
    new = [int(station.communicate(timeout=200)[0]) for station in stations]
    with Shop.open(place) as shop:
        bends = shop.bends()
    assert sum(new) == len(bends) == 60 + 3 * 60
    assert [bend.sequence for bend in bends] == list(range(bends[0].sequence, bends[0].sequence + len(bends)))


def half_a_turn(shop):
    with writing(shop.engine, shop.place) as turn:
        turn.connection.execute(text("INSERT INTO shop_bender (name) VALUES ('half')"))
        turn.next_sequence()
        raise KeyboardInterrupt


def test_a_turn_that_ends_in_a_fault_leaves_nothing(shop, makes):
    with pytest.raises(KeyboardInterrupt):
        half_a_turn(shop)
    with shop.engine.connect() as connection:
        assert connection.execute(text("SELECT count(*) FROM shop_bender")).scalar() == 1
    assert shop.add_bend(makes.bend()).is_new


def test_a_file_held_for_too_long_is_told(tmp_path, makes, monkeypatch):
    monkeypatch.setattr("hoopwright.store.shop.engines.WAIT_S", 0.2)
    file = tmp_path / "shop.sqlite"
    with Shop.open(file) as first, Shop.open(file) as second:
        makes.furnished(first)
        with writing(first.engine, first.place), pytest.raises(UserError) as stopped:
            second.add_bend(makes.bend())
        assert [finding.code for finding in stopped.value.findings] == ["SHOP-029"]
        assert second.add_bend(makes.bend()).is_new


def test_a_server_held_for_too_long_is_told(postgres, makes, monkeypatch):
    monkeypatch.setattr("hoopwright.store.shop.engines.WAIT_S", 0.2)
    url = postgres.fresh()
    with Shop.open(url) as first, Shop.open(url) as second:
        makes.furnished(first)
        with writing(first.engine, first.place), pytest.raises(UserError) as stopped:
            second.add_bend(makes.bend())
        assert [finding.code for finding in stopped.value.findings] == ["SHOP-029"]
        assert second.add_bend(makes.bend()).is_new


CUT_ALL_OTHERS = (
    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
    "WHERE pid <> pg_backend_pid() AND datname = current_database()"
)


def cut_between(shop, first, second):
    """The line is cut after the first bend was written."""
    with writing(shop.engine, shop.place) as turn:
        keep_bends(turn, [first])
        with shop.engine.connect() as other:
            other.execute(text(CUT_ALL_OTHERS))
        keep_bends(turn, [second])


def test_a_server_that_drops_the_line_in_the_middle_has_kept_nothing_half(postgres, makes):
    with Shop.open(postgres.fresh()) as shop:
        makes.furnished(shop)
        two = [makes.bend("a"), makes.bend("b")]
        with pytest.raises(UserError) as stopped:
            cut_between(shop, *two)
        assert [finding.code for finding in stopped.value.findings] == ["SHOP-023"]
        assert "Nothing of this step was kept" in stopped.value.findings[0].sentence
        assert shop.bends(every=True) == ()
        assert [one.is_new for one in shop.add_bends(two)] == [True, True]


def test_a_server_that_is_gone_and_comes_back(postgres, makes):
    with Shop.open(postgres.fresh()) as shop:
        makes.furnished(shop).add_bend(makes.bend("a"))
        postgres.stop()
        try:
            with pytest.raises(UserError) as stopped:
                Shop.open(shop.place)
            assert [finding.code for finding in stopped.value.findings] == ["SHOP-020"]
            for work in (lambda: shop.add_bend(makes.bend("b")), shop.bends):
                with pytest.raises(UserError) as stopped:
                    work()
                assert [finding.code for finding in stopped.value.findings] == ["SHOP-023"]
                assert "see that the server runs" in stopped.value.findings[0].todo.lower()
        finally:
            postgres.start()
        assert not shop.add_bend(makes.bend("a")).is_new
        assert shop.add_bend(makes.bend("b")).is_new
        assert [bend.key for bend in shop.bends()] == ["a", "b"]


def test_a_line_cut_at_the_commit_is_told_as_not_known(postgres, makes):
    with Shop.open(postgres.fresh()) as shop:
        makes.furnished(shop)

        def cut_then_commit(connection):
            with shop.engine.connect() as other:
                pid = connection.connection.driver_connection.info.backend_pid
                other.execute(text("SELECT pg_terminate_backend(:pid)"), {"pid": pid})

        event.listen(shop.engine, "commit", cut_then_commit)
        with pytest.raises(UserError) as stopped:
            shop.add_bend(makes.bend())
        event.remove(shop.engine, "commit", cut_then_commit)
        assert stopped.value.findings[0].code == "SHOP-023"
        assert "is not known" in stopped.value.findings[0].sentence
        shop.add_bend(makes.bend())
        assert len(shop.bends()) == 1
