"""What was built, in the scrutineer's file: heat numbers, bars as bent, readings, measures and the log."""

import re

import pytest
from tests.jobs.dossier.making import DAY, codes, made, pages_of, recorded, used, words_of

from hoopwright.bender import Stick, TubeBatch
from hoopwright.findings import UserError
from hoopwright.jobs.dossier.make import DossierWishes, make_dossier
from hoopwright.jobs.tube_choices import tube_choices
from hoopwright.jobs.tubes_used import SaidTube, is_said, say_cut_from, say_not_cut
from hoopwright.store import ProjectFolder
from hoopwright.store.build_records import LogLine
from hoopwright.store.shop import Shop
from hoopwright.tubes import TubeSize


def test_heat_numbers_are_those_of_the_records_or_a_line_to_write_on(
    hoopwright, project, tmp_path, monkeypatch
):
    keys, _ = made(hoopwright, project)
    assert keys["to_fill_in"] == ["MH", "SB-L", "SB-R"]
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    with Shop.open(tmp_path / "shop.sqlite") as shop:
        tube = TubeSize(od_mm=45.0, wall_mm=2.5)
        shop.add_batch(
            TubeBatch(name="B7", tube=tube, steel="cold drawn", heat_number="H48213", certificate="C-1207")
        )
        shop.add_batch(TubeBatch(name="B8", tube=tube, heat_number="H99999"))
    recorded(
        project,
        tubes_used=(
            used("MH", batch="B7", stick="S1"),
            used("SB-L", steel="typed steel", heat_number="H50077", certificate="C-9"),
        ),
    )
    keys, file = made(hoopwright, project)
    assert keys["to_fill_in"] == ["SB-R"]
    words = words_of(file)
    for known in ("H48213", "C-1207", "cold drawn", "H50077", "C-9", "typed steel"):
        assert known in words, known
    # a batch of the shop that no bar is said to be cut from is nobody's heat number
    assert "H99999" not in words


def test_a_bar_as_bent_is_listed_beside_the_drawing(hoopwright, project):
    """A7 of the acceptance: both shoulders 0.34° over by the tape."""
    drawn = words_of(made(hoopwright, project)[1])
    assert "every bar counts as drawn" in drawn
    tape = ("--tape", "feet 1252", "--tape", "knees 1317.4")
    bent = hoopwright.keys("asbent", project, "MH", *tape, "--keep", "--date", "2026-03-20")
    over = bent["kinds"][1]["over_deg"]
    assert over == pytest.approx(0.34, abs=0.05)
    _, file = made(hoopwright, project)
    words = words_of(file)
    assert f"73.81° {73.814 + over:.2f}°" in words or f"73.81° {73.81 + over:.2f}°" in words
    for known in (
        "with a tape, 2026-03-20",
        "1252.0 mm",
        "1317.4 mm",
        "bar MH measured with a tape: it counts as bent",
    ):
        assert known in words, known


def test_readings_of_the_bender_are_in_the_record_and_the_log(hoopwright, project):
    hoopwright.keys("sheets", project, "--date", "2026-03-15")
    hoopwright.keys("bend", project, "MH", "--reading", "73.81")
    _, file = made(hoopwright, project)
    words = words_of(file)
    assert "Read at the bender" in words
    assert "bar MH, stick 1 begun from sheet" in words
    record = next((project / "bending").glob("*.jsonl"))
    record.write_bytes(record.read_bytes().replace(b"73.81", b"72.81", 1))
    keys, file = made(hoopwright, project)
    assert "DOSS-005" in codes(keys)
    assert "Read at the bender" not in words_of(file)


def test_numbers_measured_by_hand_are_in_the_record(hoopwright, project):
    hoopwright.keys("measured", project, "MH", "--bend", "1", "--ovality", "40.9/46.2")
    _, file = made(hoopwright, project)
    assert re.search(r"Measured by hand .*MH 1 ovality 40\.9 mm / 46\.2 mm ?20", words_of(file))
    assert "measured at MH: ovality" in words_of(file)
    inspection = next(text for text in pages_of(file)[1:] if "in the inspector's words" in text)
    assert "greatest and least diameter" in inspection
    assert "46.2 mm and 40.9 mm (MH bend 1)" in inspection
    hoopwright.keys("measured", project, "MH", "--bend", "2", "--ovality", "40.8/46.2")
    hoopwright.keys(
        "measured", project, "MH foot A", "--value", "plate length=110", "--value", "plate width=100"
    )
    _, file = made(hoopwright, project)
    assert "46.2 mm and 40.8 mm (MH bend 2)" in words_of(file)
    landings = next(text for text in pages_of(file)[1:] if "Feet that stand on the shell" in text)
    assert "MH foot A measured by hand: see As built" in landings
    assert "MH foot B none chosen" in landings


def test_the_tube_of_a_bar_is_said_from_the_shop(hoopwright, project, tmp_path, monkeypatch, state):
    assert hoopwright.stops("bar", "cut-from", project, "MH", "--stick", "S1") == ["DOSS-010"]
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    with Shop.open(tmp_path / "shop.sqlite") as shop:
        for name, od in (("B7", 45.0), ("B8", 38.0)):
            tube = TubeSize(od_mm=od, wall_mm=2.5)
            shop.add_batch(TubeBatch(name=name, tube=tube, heat_number=f"H-{name}", certificate="C-1207"))
            shop.add_sticks([Stick(label=f"S-{name}", batch=name, length_mm=6000.0)])
    before = state(project)
    for wrong, code in (
        (("--stick", "S-B8"), "DOSS-010"),
        (("--stick", "S-B7", "--batch", "B8"), "DOSS-010"),
        (("--batch", "B7", "--heat", "H-B9"), "DOSS-010"),
        (("--stick", "S-B9"), "SHOP-025"),
        ((), "DOSS-010"),
    ):
        assert hoopwright.stops("bar", "cut-from", project, "MH", *wrong) == [code], wrong
    assert hoopwright.stops("bar", "cut-from", project, "MH", "XX", "--heat", "H1") == ["CAGE-001"]
    assert state(project) == before
    (kept,) = hoopwright.keys("bar", "cut-from", project, "MH", "--stick", "S-B7", "--steel", "cold drawn")[
        "tubes_used"
    ]
    assert (kept["heat_number"], kept["certificate"], kept["batch"]) == ("H-B7", "C-1207", "B7")
    keys, file = made(hoopwright, project)
    assert keys["to_fill_in"] == ["SB-L", "SB-R"]
    assert "H-B7" in words_of(file)
    assert "bar MH cut: heat H-B7, batch B7, stick S-B7" in words_of(file)
    # said otherwise since it was shown: nothing is kept; taken back, the file has its dotted field again
    folder, shown = ProjectFolder(path=project), tube_choices(ProjectFolder(path=project), "MH")
    assert set(shown.alike) >= {"MH"}
    assert [one.label for one in shown.tube.sticks] == ["S-B7"]
    hoopwright.keys("bar", "cut-from", project, "MH", "--heat", "H-2")
    said = state(project)
    for late in (
        lambda: say_cut_from(folder, ("MH",), SaidTube(batch="B7"), date="2026-03-14", shown=shown.said),
        lambda: say_not_cut(folder, ("MH",), date="2026-03-14", shown=shown.said),
    ):
        with pytest.raises(UserError) as stopped:
            late()
        assert [one.code for one in stopped.value.findings] == ["DOSS-012"]
    assert state(project) == said
    hoopwright.keys("bar", "cut-from", project, "MH", "--take-back")
    assert not is_said(folder.open().project.tube_of["MH"])
    assert hoopwright.stops("bar", "cut-from", project, "MH", "--take-back") == ["DOSS-010"]
    keys, file = made(hoopwright, project)
    assert "MH" in keys["to_fill_in"]
    assert "bar MH: what was said of its tube was taken back" in words_of(file)


def test_notes_stand_in_the_log_by_day_and_no_undo_takes_them(hoopwright, project):
    hoopwright.keys("dossier", "note", project, "second", "--date", "2026-03-12", "--by", "M. Arrow")
    hoopwright.keys("dossier", "note", project, "first", "--date", "2026-03-02")
    hoopwright.keys("bar", "remove", project, "SB-R")
    hoopwright.keys("undo", project)
    words = words_of(made(hoopwright, project)[1])
    assert re.search(r"2026-03-02 first written in .*2026-03-12 second M\. Arrow", words)
    assert hoopwright.stops("dossier", "note", project, "  ") == ["DOSS-009"]
    assert hoopwright.stops("dossier", "note", project, "x" * 2001) == ["DOSS-009"]


def test_nothing_is_written_where_the_shop_cannot_be_read(hoopwright, project, tmp_path, monkeypatch, state):
    recorded(project, tubes_used=(used("MH", batch="B7"),))
    (tmp_path / "shop.sqlite").write_bytes(b"no database" * 100)
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    before = state(project)
    with pytest.raises(UserError) as stopped:
        make_dossier(ProjectFolder(path=project), DossierWishes(date=DAY))
    assert stopped.value.findings[0].code.startswith("SHOP-")
    assert state(project) == before


def test_the_log_goes_by_the_moment_and_not_by_the_letters(hoopwright, project):
    lines = ("2026-03-14T09:00:00+02:00", "2026-03-14T08:00:00+00:00", "2026-03-14", "some day")
    recorded(project, log_lines=tuple(LogLine(date=date, words=f"entry {date}") for date in lines))
    _, file = made(hoopwright, project)
    said = words_of(file)
    places = [said.index(f"entry {lines[k]}") for k in (3, 2, 0, 1)]
    assert places == sorted(places)
    assert "2026-03-14 07:00 UTC" in said
