"""`hoopwright cuts` beside its plain case: offcuts, prices, sizes, spares, inches, and numbers that cannot be."""

import pytest

from hoopwright.units import MM_PER_INCH


@pytest.fixture
def listed(tmp_path):
    def write(*rows, head="name,length_mm,count"):
        file = tmp_path / "list.csv"
        file.write_text("\n".join((head, *rows)), encoding="utf-8")
        return file

    return write


def test_offcuts_go_first_and_are_not_counted(hoopwright, listed):
    keys = hoopwright.keys(
        "cuts", listed("a,2990,2", "b,1000,3"), "--stick", "6000", "--kerf", "3", "--offcut", "3000:2"
    )
    assert (keys["stick_count"], keys["offcut_count"], keys["lower_bound"]) == (1, 2, 1)
    assert [stick["source"] for stick in keys["sticks"]] == ["offcut", "offcut", "buy"]
    assert keys["waste_ratio"] == pytest.approx(1.0 - 8980.0 / 12_000.0)


def test_the_cheaper_sticks_are_taken_and_the_fewest_where_they_are_asked_for(hoopwright, listed):
    file = listed("a,2900,2")
    words = ("--stick", "3000::10", "--stick", "6000::25", "--kerf", "3")
    cheap, few = hoopwright.keys("cuts", file, *words), hoopwright.keys("cuts", file, *words, "--fewest")
    assert (cheap["stick_count"], cheap["price"]) == (2, 20.0)
    assert (few["stick_count"], few["price"]) == (1, 25.0)


def test_a_trim_at_each_end(hoopwright, listed):
    file = listed("a,2000,3")
    assert hoopwright.keys("cuts", file, "--stick", "6006", "--kerf", "3")["stick_count"] == 1
    keys = hoopwright.keys("cuts", file, "--stick", "6006", "--kerf", "3", "--trim", "0.1")
    assert keys["stick_count"] == 2


def test_sizes_are_planned_apart(hoopwright, listed):
    file = listed(
        "a,4000,1,45 x 2.5,",
        "b,1900,1,38 x 2.5,",
        "c,1900,1,38 x 2.5,S355",
        head="name,length_mm,count,tube,steel",
    )
    keys = hoopwright.keys("cuts", file, "--stick", "6000", "--kerf", "3", "--price", "25/stick")
    assert (keys["stick_count"], keys["lower_bound"], keys["price"]) == (3, 3, 75.0)
    assert [(s["number"], s["tube"], s["steel"]) for s in keys["sticks"]] == [
        (1, "38 x 2.5", ""),
        (2, "38 x 2.5", "S355"),
        (3, "45 x 2.5", ""),
    ]
    assert hoopwright.stops("cuts", file, "--stick", "6000:9", "--kerf", "3") == ["STOCK-001"]


def test_pieces_that_share_a_batch_are_not_cut_from_offcuts_of_unknown_ones(hoopwright, listed):
    """Two offcuts may be of two batches: each would hold one of the pair, and one new stick holds both."""
    rows, words = (
        ("l,1900,1,pair", "r,1900,1,pair"),
        ("--stick", "6000", "--kerf", "3", "--offcut", "2000", "--offcut", "2000"),
    )
    apart = hoopwright.keys("cuts", listed("l,1900,1", "r,1900,1"), *words)
    assert (apart["stick_count"], apart["offcut_count"]) == (0, 2)
    pair = hoopwright.keys("cuts", listed(*rows, head="name,length_mm,count,together"), *words)
    assert (pair["stick_count"], pair["offcut_count"]) == (1, 0)
    assert [finding["code"] for finding in pair["findings"]] == ["CUTS-008"]


def test_spares_in_the_list(hoopwright, listed):
    file = listed("a,2900,2,1", "b,500,1,", head="name,length_mm,count,spare")
    keys = hoopwright.keys("cuts", file, "--stick", "6000", "--kerf", "3")
    assert keys["stick_count"] == 2
    spare = keys["spares"][0]
    assert spare["asked"]
    names = [part["name"] for stick in spare["with_spares"]["sticks"] for part in stick["parts"]]
    assert names.count("a spare") == 1


def test_inches(hoopwright, listed):
    keys = hoopwright.keys("cuts", listed("a,59 29/32 in,4"), "--stick", "20 ft", "--kerf", "1/8")
    assert keys["stick_count"] == 1
    assert keys["sticks"][0]["parts"][0]["length_mm"] == pytest.approx((59 + 29 / 32) * MM_PER_INCH)
    ran = hoopwright.run(
        "cuts", listed("a,59 29/32 in,4"), "--stick", "20 ft", "--kerf", "1/8", "--unit", "in"
    )
    assert '59 7/8"' in ran.out or '59 15/16"' in ran.out


def test_short_of_time_it_says_how_far_it_is(hoopwright, listed):
    """Of a list that column generation is needed for, the first plan is made with no time at all."""
    rows = [f"p{k},{301 + 37 * k},{3 + k % 4}" for k in range(40)]
    keys = hoopwright.keys("cuts", listed(*rows), "--stick", "6000", "--kerf", "3", "--time-limit", "0")
    assert keys["lower_bound"] <= keys["stick_count"]
    if not keys["proven_optimal"]:
        assert keys["gap_ratio"] > 0.0
        assert "CUTS-007" in [finding["code"] for finding in keys["findings"]]


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        (("--stick", "6000", "--kerf", "-1"), ["CUTS-003"]),
        (("--stick", "6000", "--kerf", "7000"), ["CUTS-003", "CUTS-002"]),
        (("--stick", "30", "--kerf", "40"), ["CUTS-002"]),
        (("--stick", "0", "--kerf", "3"), ["CUTS-002"]),
        (("--stick", "-6000", "--kerf", "3"), ["CUTS-002"]),
        (("--stick", "6000:-4", "--kerf", "3"), ["CUTS-002"]),
        (("--stick", "6000:1000000000", "--kerf", "3"), ["CUTS-002"]),
        (("--stick", "6000", "--kerf", "3", "--trim", "3000"), ["CUTS-002"]),
        (("--stick", "6000", "--kerf", "3", "--time-limit", "nan"), ["CUTS-003"]),
        (("--stick", "1000", "--kerf", "3"), ["CUTS-004", "CUTS-004"]),
        (("--stick", "6000", "--kerf", "3", "--spare", "nobody"), ["CUTS-006"]),
        (("--stick", "6000:x", "--kerf", "3"), ["TYPED-001"]),
        (("--stick", "6000", "--kerf", "3", "--price", "4/kg"), ["TYPED-001"]),
        (("--stick", "6000", "--kerf", "3", "--price", "nan"), ["TYPED-001"]),
        (("--stick", "6000", "--kerf", "nan"), ["UNIT-001"]),
    ],
)
def test_numbers_that_cannot_be(hoopwright, listed, words, codes):
    assert hoopwright.stops("cuts", listed("a,3000,1", "b,2000,2"), *words) == codes


def test_too_long_is_told_with_its_line(hoopwright, listed):
    keys = hoopwright.keys("cuts", listed("a,300,1", "b,6001,1"), "--stick", "6000", "--kerf", "3", status=1)
    assert "list.csv, line 3: piece 'b' is 6001.0 mm" in keys["findings"][0]["sentence"]


def test_half_a_tube_is_wrong_use(hoopwright, listed):
    ran = hoopwright.run("cuts", listed("a,1,1"), "--stick", "6000", "--kerf", "3", "--od", "38")
    assert ran.status == 2


@pytest.mark.parametrize("option", ["--pdf", "--labels"])
def test_a_file_of_someone_else_is_not_written_over(hoopwright, listed, tmp_path, option):
    theirs = tmp_path / "mine.pdf"
    theirs.write_bytes(b"%PDF mine")
    words = ("cuts", listed("a,2990,2"), "--stick", "6000", "--kerf", "3", option)
    assert hoopwright.stops(*words, theirs) == ["FILE-103"]
    assert theirs.read_bytes() == b"%PDF mine"
    ours = tmp_path / "ours.pdf"
    for _ in range(2):
        hoopwright.keys(*words, ours)
    assert ours.read_bytes().startswith(b"%PDF-")
