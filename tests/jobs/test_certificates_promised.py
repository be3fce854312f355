"""A certificate that is only promised, from the shop to the bar, the check and the file: told, never a pass."""

import pytest
from tests.jobs.dossier.making import words_of

from hoopwright.bender import TubeBatch
from hoopwright.findings import UserError
from hoopwright.jobs.batch_numbers import lacking_papers, number_findings, papers_of
from hoopwright.jobs.deliveries import take_delivery
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
BOOK = """\
[book]
id = "club"
body = "Hill Club"
edition = "2026"
unit = "mm"
provenance = "read"

[[rule]]
id = "steel"
kind = "material"
applies = "main hoop"
yield_least = 350
certificate = true
"""
HOSTILE = ["", "yes", "to follow", "to follow week 49", "EN 10204 3.1", "n/a", "c.pdf", "2026-03-14", "-"]


def told(keys, code):
    return [finding for finding in keys["findings"] if finding["code"] == code]


@pytest.fixture
def held(hoopwright, project, tmp_path, monkeypatch):
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    (tmp_path / "club.toml").write_text(BOOK, encoding="utf-8")
    hoopwright.keys("rules", "pin", project, tmp_path / "club.toml")
    return project


def test_blanks_are_refused_in_the_shop():
    with pytest.raises(UserError) as error:
        TubeBatch(name="B7", tube=TUBE, certificate="  ")
    assert [one.code for one in error.value.findings] == ["SHOP-001"]


@pytest.mark.parametrize("typed", HOSTILE)
def test_a_batch_without_the_number_of_its_certificate_is_told(typed):
    batch = TubeBatch(name="B7", tube=TUBE, steel="E355", heat_number="H-7", certificate=typed)
    (finding,) = number_findings([batch])
    assert (finding.code, finding.objects) == ("SHOP-053", ("B7",))
    assert lacking_papers(batch) == ("certificate",)
    assert ("no number" in papers_of(batch)) is bool(typed.strip())


def test_a_heat_number_that_is_only_promised_is_told():
    batch = TubeBatch(name="B7", tube=TUBE, heat_number="to follow", certificate="C-7")
    (finding,) = number_findings([batch])
    assert "without a heat number: 'to follow' has none" in finding.sentence
    assert lacking_papers(batch) == ("heat number", "steel")
    assert number_findings([TubeBatch(name="B7", tube=TUBE, heat_number="KXJ", certificate="C-7")]) == ()
    gone = TubeBatch(name="B7", tube=TUBE, certificate="yes", retired=True)
    assert number_findings([gone]) == ()


def test_the_commands_of_the_shop_and_the_rack_tell(hoopwright, held):
    tube = ("--tube", "45 x 2.5", "--heat", "H-7")
    (said,) = told(hoopwright.keys("batch", "add", "B7", *tube, "--certificate", "to follow"), "SHOP-053")
    assert said["objects"] == ["B7"]
    assert told(hoopwright.keys("batch", "show"), "SHOP-053")
    take_delivery(TubeBatch(name="B8", tube=TUBE, certificate="yes"), length_mm=6000.0, count=1)
    for command in ("rack", "plan", "order"):
        found = told(hoopwright.keys("stock", command, held), "SHOP-053")
        assert [one["objects"] for one in found] == [["B8"]], command
    assert told(hoopwright.keys("batch", "change", "B8", "--certificate", "3.1"), "SHOP-053")
    assert not told(hoopwright.keys("batch", "change", "B8", "--certificate", "C-8"), "SHOP-053")
    assert not told(hoopwright.keys("stock", "rack", held), "SHOP-053")


@pytest.mark.parametrize("typed", HOSTILE[1:])
def test_it_is_told_of_the_bar_in_the_check_and_in_the_file_and_passes_no_rule(hoopwright, held, typed):
    hoopwright.keys("batch", "add", "B7", "--tube", "45 x 2.5", "--yield", "400", "--heat", "tbc")
    cut = hoopwright.keys("bar", "cut-from", held, "MH", "--batch", "B7", "--certificate", typed)
    assert [one["objects"] for one in told(cut, "HELD-006")] == [["MH"], ["MH"]]
    rows = {row["part"]: row for row in hoopwright.keys("rules", "check", held)["rows"]}
    assert {row["verdict"] for row in rows.values()} == {"not checked"}
    assert f"'{typed}' has none" in rows["certificate"]["todo"]
    told_of = told(hoopwright.keys("check", held), "HELD-006")
    assert [(one["objects"], "heat" in one["sentence"]) for one in told_of] == [
        (["MH"], False),
        (["MH"], True),
    ]
    assert f"'{typed}' has none" in told_of[0]["sentence"]
    file = hoopwright.keys("dossier", held)
    assert "MH" in file["to_fill_in"]
    assert "MH" in told(file, "DOSS-002")[0]["objects"]
    assert told(file, "HELD-006")
    words = words_of(held / "papers" / "dossier.pdf")
    assert "give the number of its certificate" in words


def test_a_number_given_to_the_batch_later_counts_for_its_bars(hoopwright, held):
    tube = ("--tube", "45 x 2.5", "--yield", "400", "--heat", "to follow", "--certificate", "to follow")
    hoopwright.keys("batch", "add", "B7", *tube)
    hoopwright.keys("bar", "cut-from", held, "MH", "--batch", "B7")
    assert len(told(hoopwright.keys("check", held), "HELD-006")) == 2
    hoopwright.keys("batch", "change", "B7", "--heat", "H-7", "--certificate", "C-7")
    assert told(hoopwright.keys("check", held), "HELD-006") == []
    assert {row["verdict"] for row in hoopwright.keys("rules", "check", held)["rows"]} == {"pass"}
    hoopwright.keys("dossier", held)
    words = words_of(held / "papers" / "dossier.pdf")
    assert "C-7" in words
    assert "H-7" in words


def test_a_number_typed_for_a_bar_is_not_refused_by_a_promise_of_its_batch(hoopwright, held):
    hoopwright.keys("batch", "add", "B7", "--tube", "45 x 2.5", "--certificate", "to follow")
    (kept,) = hoopwright.keys("bar", "cut-from", held, "MH", "--batch", "B7", "--certificate", "C-9")[
        "tubes_used"
    ]
    assert kept["certificate"] == "C-9"
    hoopwright.keys("batch", "change", "B7", "--certificate", "C-7")
    assert hoopwright.stops("bar", "cut-from", held, "MH", "--batch", "B7", "--certificate", "C-9") == [
        "DOSS-010"
    ]
    (kept,) = hoopwright.keys("bar", "cut-from", held, "MH", "--batch", "B7", "--certificate", "yes")[
        "tubes_used"
    ]
    assert kept["certificate"] == "C-7"
