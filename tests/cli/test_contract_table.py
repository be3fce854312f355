"""`hoopwright table`: keys, kinds, signs, and ways in and out."""

import math

import pytest

KEYS = {
    "straights_mm",
    "angles_deg",
    "rotations_deg",
    "rotations_total_deg",
    "arcs_mm",
    "developed_mm",
    "nodes_mm",
    "findings",
}
STAIR = "forward,left,up\n0,0,0\n500,0,0\n500,500,0\n500,500,500\n"


@pytest.fixture
def stair(tmp_path):
    file = tmp_path / "stair.csv"
    file.write_text(STAIR, encoding="utf-8")
    return file


def rows(path, *lines, head="straight_mm,rotation_deg,angle_deg"):
    path.write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
    return path


def test_keys_and_their_kinds(hoopwright, stair):
    keys = hoopwright.keys("table", stair, "--clr", "100")
    assert set(keys) >= KEYS
    assert [len(keys[name]) for name in ("straights_mm", "angles_deg", "rotations_deg", "arcs_mm")] == [
        3,
        2,
        2,
        2,
    ]
    assert len(keys["rotations_total_deg"]) == 2
    assert [len(node) for node in keys["nodes_mm"]] == [3, 3, 3, 3]
    for name in KEYS - {"findings", "nodes_mm", "developed_mm"}:
        assert all(type(value) is float for value in keys[name]), name
    assert type(keys["developed_mm"]) is float
    assert keys["findings"] == []


def test_two_right_angles(hoopwright, stair):
    """By hand: forward, then left, then up. The tangent length of 90 deg at radius 100 is 100."""
    keys = hoopwright.keys("table", stair, "--clr", "100", "--od", "40")
    assert keys["straights_mm"] == pytest.approx([400.0, 300.0, 400.0])
    assert keys["angles_deg"] == pytest.approx([90.0, 90.0])
    # normal of the first bend is up, of the second is forward; from up to forward about left: +90
    assert keys["rotations_deg"] == pytest.approx([0.0, 90.0])
    assert keys["rotations_deg"][0] == 0.0
    assert keys["developed_mm"] == pytest.approx(1100.0 + 100.0 * math.pi, rel=1e-14)
    assert keys["arcs_mm"] == pytest.approx([50.0 * math.pi] * 2, rel=1e-14)


def test_numbers_are_not_rounded(hoopwright, tmp_path):
    file = tmp_path / "odd.csv"
    file.write_text("forward,left,up\n0,0,0\n500,1,0\n900,300,1\n", encoding="utf-8")
    keys = hoopwright.keys("table", file, "--clr", "100")
    assert keys["developed_mm"] == sum(keys["straights_mm"]) + sum(keys["arcs_mm"])
    assert round(keys["developed_mm"], 6) != keys["developed_mm"]


def test_totals_wrap_at_a_half_turn(hoopwright, tmp_path):
    file = rows(tmp_path / "b.csv", "400,0,40", "400,120,40", "400,120,40", "400,-60,40", "400,,")
    keys = hoopwright.keys("table", file, "--clr", "100", "--from-bends")
    assert keys["rotations_deg"] == pytest.approx([0.0, 120.0, 120.0, -60.0])
    assert keys["rotations_total_deg"] == pytest.approx([0.0, 120.0, -120.0, 180.0])


def test_rebuilt_nodes_start_at_the_origin(hoopwright, tmp_path):
    file = rows(tmp_path / "b.csv", "400,0,90", "300,90,90", "400,,")
    keys = hoopwright.keys("table", file, "--clr", "100", "--from-bends")
    expected = [[0, 0, 0], [500, 0, 0], [500, 500, 0], [500, 500, 500]]
    assert [value for node in keys["nodes_mm"] for value in node] == pytest.approx(
        [value for node in expected for value in node], abs=1e-9
    )
    assert keys["straights_mm"] == pytest.approx([400.0, 300.0, 400.0])


def test_there_and_back(hoopwright, stair, tmp_path):
    there = hoopwright.keys("table", stair, "--clr", "100")
    lines = [
        f"{straight!r},{turn},{angle}"
        for straight, turn, angle in zip(
            there["straights_mm"], [*there["rotations_deg"], ""], [*there["angles_deg"], ""], strict=True
        )
    ]
    back = hoopwright.keys("table", rows(tmp_path / "b.csv", *lines), "--clr", "100", "--from-bends")
    assert [v for node in back["nodes_mm"] for v in node] == pytest.approx(
        [v for node in there["nodes_mm"] for v in node], abs=1e-9
    )


@pytest.mark.parametrize("radius", ["127", "12.7 cm", "5 in", '5"', "127mm", "0.127 m"])
def test_radius_in_any_unit(hoopwright, stair, radius):
    keys = hoopwright.keys("table", stair, "--clr", radius)
    assert keys["straights_mm"][0] == pytest.approx(373.0)


def test_bare_fraction_is_inches(hoopwright, stair):
    keys = hoopwright.keys("table", stair, "--clr", "4 1/2", "--od", "1 3/4")
    assert keys["straights_mm"][0] == pytest.approx(500.0 - 4.5 * 25.4)


def test_overlapping_bends_stop(hoopwright, stair):
    ran = hoopwright.run("table", stair, "--clr", "260", "--json")
    assert ran.status == 1
    assert set(ran.keys) == {"findings"}
    assert ran.codes == ["BAR-003"]
    assert ran.keys["findings"][0]["severity"] == "stop"


def test_short_straight_stops_for_a_clamp(hoopwright, stair):
    assert hoopwright.stops("table", stair, "--clr", "100", "--clamp", "310") == ["BAR-007"]
    hoopwright.keys("table", stair, "--clr", "100", "--clamp", "290")


@pytest.mark.parametrize(
    "text", ["", "forward,left,up\n", "a,b\n1,2\n", "forward,left,up\n0,0,x\n", "\x00\xff"]
)
def test_bad_file_stops_and_names_it(hoopwright, tmp_path, text):
    file = tmp_path / "bad.csv"
    file.write_text(text, encoding="latin-1")
    (finding, *_) = hoopwright.keys("table", file, "--clr", "100", status=1)["findings"]
    assert finding["code"].startswith(("CSV-", "BAR-"))
    assert "bad" in finding["sentence"] + " ".join(finding["objects"])


def test_missing_file_stops(hoopwright, tmp_path):
    assert hoopwright.stops("table", tmp_path / "none.csv", "--clr", "100") == ["CSV-001"]


def test_person_reads_the_same_numbers(hoopwright, stair):
    ran = hoopwright.run("table", stair, "--clr", "100")
    assert ran.status == 0
    for number in ("400.0", "300.0", "90.00", "157.1", "1414.2"):
        assert number in ran.out
