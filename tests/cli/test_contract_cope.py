"""`hoopwright cope`: keys, kinds, signs, and ways in and out."""

import math

import pytest
from pypdf import PdfReader

KEYS = {"points", "depth_mm", "findings"}
PLAIN = ("cope", "--header-od", "45", "--branch-od", "38", "--angle", "55")


def along(keys):
    return [one["along_mm"] for one in keys["points"]]


def test_keys_and_their_kinds(hoopwright):
    keys = hoopwright.keys(*PLAIN)
    assert set(keys) >= KEYS
    assert len(keys["points"]) == 360
    assert all(type(one["around_deg"]) is float and type(one["along_mm"]) is float for one in keys["points"])
    assert type(keys["depth_mm"]) is float
    assert keys["findings"] == []


@pytest.mark.parametrize("count", [3, 12, 37, 720])
def test_points_have_no_closing_one(hoopwright, count):
    keys = hoopwright.keys(*PLAIN, "--points", str(count))
    assert [one["around_deg"] for one in keys["points"]] == [k * 360.0 / count for k in range(count)]
    assert keys["depth_mm"] == pytest.approx(28.7194, abs=1e-3)


def test_numbers_are_not_rounded(hoopwright):
    """By the quadratic of a line and a cylinder at the heel."""
    worked_out = (22.5 + 19.0 * math.cos(math.radians(55.0))) / math.sin(math.radians(55.0))
    assert along(hoopwright.keys(*PLAIN))[0] == pytest.approx(worked_out, abs=1e-9)


def test_a_positive_offset_moves_the_branch_toward_its_90_degree_side(hoopwright):
    """There it sits lower on the header's shoulder, so that side runs on farther: its length is less."""
    plus = along(hoopwright.keys(*PLAIN, "--offset", "3", "--points", "12"))
    minus = along(hoopwright.keys(*PLAIN, "--offset", "-3", "--points", "12"))
    assert plus[3] < plus[9]
    assert plus[3] == pytest.approx(math.sqrt(22.5**2 - 22.0**2) / math.sin(math.radians(55.0)))
    assert minus == pytest.approx([plus[0], *plus[:0:-1]])


def test_no_cut_is_null(hoopwright):
    keys = hoopwright.keys(*PLAIN, "--offset", "5", "--points", "12")
    assert [k for k, value in enumerate(along(keys)) if value is None] == [3]
    (finding,) = keys["findings"]
    assert finding["code"] == "COPE-005"
    assert finding["measured"] == pytest.approx(1.5, abs=1e-6)


def test_wall_takes_the_farther_of_both_skins(hoopwright):
    outside = along(hoopwright.keys("cope", "--header-od", "45", "--branch-od", "45", "--angle", "60"))
    walled = hoopwright.keys(
        "cope", "--header-od", "45", "--branch-od", "45", "--angle", "60", "--wall", "2.5", "--points", "12"
    )
    assert walled["cut"] == "square"
    assert along(walled)[:7] == pytest.approx(
        [38.971, 33.750, 22.357, 11.902, 10.810, 13.274, 14.434], abs=5.1e-4
    )
    assert along(walled)[0] == pytest.approx(outside[0])


def test_lengths_in_any_unit(hoopwright):
    inches = hoopwright.keys(
        "cope", "--header-od", "1 3/4", "--branch-od", "1.5 in", "--angle", "45°", "--offset", "1/16",
        "--wall", ".095in",
    )  # fmt: skip
    plain = hoopwright.keys(
        "cope", "--header-od", "44.45", "--branch-od", "38.1", "--angle", "45", "--offset", "1.5875",
        "--wall", "2.413",
    )  # fmt: skip
    assert along(inches) == pytest.approx(along(plain))


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--angle", "3"), "COPE-003"),
        (("--angle", "0"), "COPE-002"),
        (("--angle", "nan"), "UNIT-002"),
        (("--header-od", "0"), "COPE-001"),
        (("--branch-od", "nan"), "UNIT-001"),
        (("--branch-od", "1e300"), "COPE-001"),
        (("--wall", "25"), "TUBE-001"),
        (("--offset", "60"), "COPE-007"),
        (("--points", "2"), "COPE-012"),
        (("--points", "1000000"), "COPE-012"),
        (("--saw", "0"), "COPE-001"),
        (("--cut", "square"), "COPE-001"),
        (("--cut", "round"), "TYPED-001"),
    ],
)
def test_what_stops_leaves_findings_alone_on_stdout(hoopwright, words, code):
    ran = hoopwright.run(*PLAIN, *words, "--json")
    assert ran.status == 1
    assert [finding["code"] for finding in ran.keys["findings"]] == [code]
    assert set(ran.keys) == {"findings"}


@pytest.mark.parametrize("words", [("--points", "many"), ("--nonsense", "1")])
def test_wrong_use(hoopwright, words):
    assert hoopwright.run(*PLAIN, *words).status == 2


def test_missing_option_is_wrong_use(hoopwright):
    assert hoopwright.run("cope", "--header-od", "45", "--branch-od", "38").status == 2


def test_what_a_person_reads(hoopwright):
    ran = hoopwright.run(*PLAIN, "--offset", "2", "--saw", "46", "--saw", "45")
    assert ran.status == 0
    assert ran.out.startswith("branch 38 mm on header 45 mm at 55°, offset 2 mm\n")
    assert "hole saw: 45 mm, 35.0° from square, offset 2.0 mm, the branch off toward its 90° side" in ran.out
    assert "two straight saw cuts" in ran.out
    assert "0° is the heel" in ran.out


def test_what_a_person_reads_where_it_cannot_be_sawn(hoopwright):
    ran = hoopwright.run(*PLAIN, "--offset", "5")
    assert ran.status == 0
    assert "hole saw: no" in ran.out
    assert "two straight saw cuts: no" in ran.out
    assert "overhangs the header by 1.5 mm" in ran.err


INCHES = ("cope", "--header-od", "1.75 in", "--branch-od", "1.5 in", "--angle", "55", "--offset", "1/8")


def test_what_is_typed_in_inches_is_read_in_inches(hoopwright):
    """By the quadratic of a line and a cylinder in inches: the length at the heel."""
    ran = hoopwright.run(*INCHES, "--saw", "1 3/4", "--unit", "in")
    assert ran.status == 0
    assert ran.out.startswith("branch 1.5 in on header 1.75 in at 55°, offset 0.125 in\n")
    turned = math.radians(55.0)
    at_heel = (math.sqrt(0.875**2 - 0.125**2) + 0.75 * math.cos(turned)) / math.sin(turned)
    row = next(line for line in ran.out.splitlines() if line.startswith("0 "))
    assert row.split() == ["0", "0.000", f"{at_heel:.3f}"]
    assert f"wrap {1.5 * math.pi:.3f} in wide" in ran.out
    assert "hole saw: 1.75 in, 35.0° from square, offset 0.125 in" in ran.out
    assert " mm" not in ran.out
    in_mm = hoopwright.keys(*INCHES)
    assert hoopwright.keys(*INCHES, "--unit", "in") == in_mm
    assert f"depth {in_mm['depth_mm'] / 25.4:.3f} in" in ran.out


def test_a_wrap_in_inches_has_inches_up_its_edge_and_a_round_seat(hoopwright, tmp_path):
    hoopwright.run(*INCHES, "--unit", "in", "--paper", tmp_path / "c.pdf")
    words = " ".join(PdfReader(tmp_path / "c.pdf").pages[0].extract_text().split())
    assert 'branch 1.5" end A, cut to header 1.75" at 55°' in words
    assert 'tube 1.500" (38.1 mm), 4.712" (119.7 mm) round; cut 1.589" (40.4 mm) deep' in words
    assert 'Lower edge square round the tube 3 1/2" (88.9 mm) from where the axes cross' in words
    assert {'1"', '1.5"', '2"', '2.5"'} <= set(words.split())
    assert "-0.000" not in words


def test_a_unit_that_is_none_stops(hoopwright):
    assert hoopwright.run(*PLAIN, "--unit", "cubit").status == 1


def test_square_tubes_have_no_heel(hoopwright, tmp_path):
    square = ("cope", "--header-od", "45", "--branch-od", "38", "--angle", "90")
    out = hoopwright.run(*square, "--paper", tmp_path / "c.pdf").out
    assert "heel" not in out.split("written:")[0]
    assert "mm at the 0° side," in out
    assert "mm at 180° from the 0° side," in out
    words = PdfReader(tmp_path / "c.pdf").pages[0].extract_text()
    assert "heel" not in words
    assert "toe" not in words


def test_no_turn_is_told_as_360_degrees(hoopwright):
    out = hoopwright.run("cope", "--header-od", "45", "--branch-od", "38", "--angle", "5").out
    assert "360°" not in out
    assert "86.8° from square: 452.5 mm at the heel" in out


def test_the_terminal_and_the_paper_tell_one_depth(hoopwright, tmp_path):
    out = hoopwright.run(
        *PLAIN, "--offset", "5", "--paper", tmp_path / "c.pdf", "--dxf", tmp_path / "c.dxf"
    ).out
    assert "depth 45.68 mm" in out
    assert "cut 45.7 mm" in PdfReader(tmp_path / "c.pdf").pages[0].extract_text()
