"""`hoopwright papers` as typed."""

import pytest


@pytest.fixture
def car(hoopwright, project, tmp_path):
    nodes = tmp_path / "hoop.csv"
    nodes.write_text("forward,left,up\n0,600,0\n0,600,1000\n0,-600,1000\n0,-600,0\n", encoding="utf-8")
    stay = tmp_path / "stay.csv"
    stay.write_text("forward,left,up\n0,300,1000\n-800,300,200\n", encoding="utf-8")
    hoopwright.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", nodes)
    hoopwright.keys("bar", "add", project, "BS-L", "--role", "backstay", "--nodes", stay, "--end-a", "MH")
    return project


def test_what_was_written_is_told_with_sizes(hoopwright, car):
    ran = hoopwright.run("papers", car, "--kind", "tables,glb", "--date", "2026-03-01")
    assert ran.status == 0
    assert "tables" in ran.out
    assert "kB" in ran.out
    assert str(car / "papers/tables") in ran.out
    assert (car / "papers/tables/cage.xlsx").is_file()
    assert (car / "papers/glb/the-whole-cage.glb").is_file()


def test_what_cannot_be_made_is_told_and_the_rest_is_made(hoopwright, car):
    ran = hoopwright.run("papers", car, "--kind", "plates,tables", "--date", "2026-03-01")
    assert ran.status == 0
    assert "plates: not made. There are no plates to make" in ran.out


def test_inches_and_another_folder(hoopwright, car, tmp_path):
    keys = hoopwright.keys(
        *("papers", car, "--kind", "tables", "--units", "in", "--date", "2026-03-01", "--out", tmp_path / "o")
    )
    assert keys["folder"] == str(tmp_path / "o")
    assert "forward [in],left [in],up [in]" in (tmp_path / "o/tables/nodes.csv").read_text("utf-8")
    assert not (car / "papers/tables").exists()


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--kind", "drawings"), "TYPED-001"),
        (("--size", "A3"), "TYPED-001"),
        (("--units", "cm"), "TYPED-001"),
        (("--date", "soon"), "TYPED-001"),
        (("--bar", "ZZ"), "CAGE-001"),
        (("--kind", "plates"), "FILE-104"),
        (("--root-gap", "9"), "JOINT-012"),
        (("--root-gap", "MH/ZZ-A: 1"), "JOINT-014"),
        (("--ovality", "MH 9: 40 x 46"), "JOINT-014"),
        (("--cut", "slanted"), "TYPED-001"),
    ],
)
def test_wrong_wishes_stop_with_a_code(hoopwright, car, words, code):
    assert hoopwright.stops("papers", car, *words)[0] == code
    assert not (car / "papers/tables").exists()


def test_copes_are_cut_as_wished_and_the_papers_say_what_they_were_made_from(hoopwright, car, tmp_path):
    """Root gap 1: the wrap's cut lies where `joints` with the same words has it, deeper in than without."""
    plain = hoopwright.keys(
        "papers", car, "--kind", "wraps", "--date", "2026-03-01", "--out", tmp_path / "plain"
    )
    wish = ("--root-gap", "1", "--cut", "square")
    gapped = hoopwright.keys(
        *("papers", car, "--kind", "wraps,tables", "--date", "2026-03-01", "--out", tmp_path / "gap", *wish)
    )
    assert gapped["identity"] != plain["identity"]
    dxf = "wraps/BS-L-end-A.dxf"
    assert (tmp_path / "gap" / dxf).read_bytes() != (tmp_path / "plain" / dxf).read_bytes()
