"""Tube sizes against worked examples; figures from the books that each is named with, as quoted or summarised there.

TS: sizes by list and weight. FS: the four-way test of student cars.
"""

import pytest
from tests.rules.judging import INCH, MM, advised, ends, rows

# FIA Appendix J 2009, Art. 253, 8.3.3, as quoted by a builders' forum
FIA_MAIN = 'kind = "tube size"\napplies = ["main hoop", "side hoop"]\nsizes = ["45 x 2.5", "50 x 2.0"]'
FIA_OTHER = 'kind = "tube size"\nbut = ["main hoop", "side hoop"]\nsizes = ["38 x 2.5", "40 x 2.0"]'
# Motorsport UK NCR 2026, Ch. 7 App. 3, 20.1.c.i and ii, read in the publisher's text
MSUK = FIA_MAIN + '\nalso = ["1.75 x .095 in", "2.0 x .083 in"]'
MSUK_OPTIONAL = FIA_OTHER + '\nalso = ["1.5 x .095 in", "1.6 x .083 in"]'
# SCCA GCR 2008-2009, 9.4.F; its 2699 and 2700 lb leave no gap for whole pounds
SCCA_F = """kind = "tube size"
bands = [
  { most = 1700, sizes = ["1.375 x .080"] },
  { below = 2700, sizes = ["1.500 x .095", "1.625 x .080"] },
  { sizes = ["1.750 x .095", "1.625 x .120"] },
]
relax = { od_over = ".250 in", wall = ".080 in" }"""
# SCCA GCR 2008, 9.4.5.E, formula cars and sports racers
SCCA_E = """kind = "tube size"
bands = [
  { most = 1500, sizes = ["1.375 x .095"] },
  { most = 2500, sizes = ["1.5 x .095"] },
  { sizes = ["1.500 x .120", "1.625 x .120", "1.750 x .095"] },
]"""
# BMW CCA Club Racing, App. A, as a structured summary has it
BMWCCA = """kind = "tube size"
bands = [
  { most = 1500, sizes = ["1.375 x .095"] },
  { most = 2500, sizes = ["1.5 x .095"] },
  { most = 3000, sizes = ["1.5 x .120", "1.75 x .095"] },
  { most = 4000, sizes = ["1.75 x .120"] },
  { sizes = ["2.0 x .120"] },
]"""
# ChampCar 3.1.1 and PCA Club Racing App. A, likewise
CHAMPCAR = """kind = "tube size"
bands = [{ most = 2500, sizes = ["1.5 x .095"] }, { sizes = ["1.75 x .095", "1.5 x .120"] }]"""
PCA = """kind = "tube size"
bands = [{ below = 2500, sizes = ["1.5 x .095"] }, { sizes = ["1.75 x .095", "1.5 x .120"] }]"""
# FIA drag racing 4.11.1, code A, German text as quoted
DRAG_A = """kind = "tube size"
sizes = [{ tube = "1.625 x .083", steel = ["4130", "Docol R8"] }, { tube = "1.625 x .118" }]"""
# NASA CCR 15.6.18, remembered
NASA = """kind = "tube size"
bands = [
  { most = 1500, sizes = ["1.375 x .095"] },
  { most = 2500, sizes = ["1.5 x .095"] },
  { most = 3000, sizes = ["1.5 x .120", "1.75 x .095"] },
  { sizes = ["1.75 x .120"] },
]"""


@pytest.mark.parametrize(
    ("rule", "case", "end"),
    [
        pytest.param(FIA_MAIN, 'tube = "45 x 2.5"', "pass", id="TS1"),
        pytest.param(FIA_MAIN, 'tube = "50 x 2.0"', "pass", id="TS2"),
        pytest.param(FIA_MAIN, 'tube = "48 x 2.3"', "fail", id="TS3"),
        pytest.param(FIA_MAIN, 'tube = "50 x 2.5"', "pass", id="TS4"),
        pytest.param(FIA_MAIN, 'tube = "40 x 3.0"', "fail", id="TS5"),
        pytest.param(FIA_OTHER, 'role = "backstay"\ntube = "38 x 2.5"', "pass", id="TS6a"),
        pytest.param(FIA_OTHER, 'role = "backstay"\ntube = "40 x 2.0"', "pass", id="TS6b"),
        pytest.param(FIA_OTHER, 'role = "backstay"\ntube = "40 x 1.9"', "fail", id="TS6c"),
        pytest.param(FIA_OTHER, 'role = "backstay"\ntube = "38 x 2.0"', "fail", id="TS6d"),
        pytest.param(MSUK, 'tube = "1.75 x 0.095 in"', "pass", id="TS7"),
        pytest.param(MSUK, 'tube = "44.45 x 2.413"', "pass", id="TS7mm"),
        pytest.param(FIA_MAIN, 'tube = "44.45 x 2.413"', "fail", id="TS8"),
        pytest.param(MSUK_OPTIONAL, 'role = "door bar"\ntube = "38.1 x 2.413"', "pass", id="TS9"),
    ],
)
def test_metric_sizes(rule, case, end):
    assert ends(rule, case) == end


def test_a_common_inch_tube_is_told_where_the_book_prints_none():
    (row,) = rows(FIA_MAIN, 'tube = "44.45 x 2.413"')
    assert "1.75 x 0.095 in is the inch size next to 45 x 2.5 mm: ask" in row.todo  # TS8


@pytest.mark.parametrize(
    ("rule", "weight", "tube", "end"),
    [
        pytest.param(SCCA_F, 1700, "1.375 x .080", "pass", id="TS10a"),
        pytest.param(SCCA_F, 1701, "1.375 x .080", "fail", id="TS10b"),
        pytest.param(SCCA_F, 2600, "1.500 x .095", "pass", id="TS11"),
        pytest.param(SCCA_F, 2700, "1.500 x .120", "fail", id="TS12"),
        pytest.param(SCCA_F, 2700, "1.625 x .120", "pass", id="TS13"),
        pytest.param(SCCA_F, 2000, "1.750 x .080", "pass", id="TS14"),
        pytest.param(SCCA_F, 2000, "1.700 x .080", "pass", id="TS15"),
        pytest.param(SCCA_F, 2800, "2.000 x .080", "pass", id="TS16"),
        pytest.param(SCCA_E, 2600, "1.500 x .120", "pass", id="TS17"),
        pytest.param(BMWCCA, 2500, "1.5 x .095", "pass", id="TS18a"),
        pytest.param(BMWCCA, 2501, "1.5 x .095", "fail", id="TS18b"),
        pytest.param(BMWCCA, 2501, "1.75 x .095", "pass", id="TS18c"),
        pytest.param(BMWCCA, 3001, "1.75 x .095", "fail", id="TS18d"),
        pytest.param(CHAMPCAR, 2501, "1.5 x .095", "fail", id="TS19a"),
        pytest.param(CHAMPCAR, 2501, "1.5 x .120", "pass", id="TS19b"),
        pytest.param(PCA, 2499, "1.5 x .095", "pass", id="TS20a"),
        pytest.param(PCA, 2500, "1.5 x .095", "fail", id="TS20b"),
    ],
)
def test_inch_sizes_by_weight(rule, weight, tube, end):
    assert ends(rule, f'weight = {weight}\ntube = "{tube}"', head=INCH) == end


def test_a_weight_at_an_edge_that_the_book_leaves_open_is_pointed_out():
    # ChampCar's summary says "under 2500" and "over 2500"
    rule = CHAMPCAR.replace('"] }, {', '"], note = "the book leaves 2500 lb open" }, {', 1)
    for weight, is_advised in ((2499, False), (2500, True)):
        assert advised(rule, f'weight = {weight}\ntube = "1.5 x .095"', head=INCH) is is_advised


def test_a_size_of_the_list_comes_before_the_relaxation():
    listed, relaxed = (
        rows(SCCA_F, f'weight = 2000\ntube = "{tube}"', head=INCH)[0]
        for tube in ("1.700 x .080", "1.750 x .070")
    )
    assert (listed.limit_words, listed.note) == ("1.625 x 0.08 in", "")  # TS15
    assert relaxed.verdict == "fail"
    (large,) = rows(SCCA_F, 'weight = 2800\ntube = "2 x .080"', head=INCH)
    assert "relaxation" in large.note  # TS16: no listed size, 1.625 + .250 < 2


@pytest.mark.parametrize(("wall", "end"), [(".086", "pass"), (".085", "pass"), (".084", "fail")])
def test_a_measured_wall_may_be_under_by_what_the_book_says(wall, end):
    # TS21: SCORE takes .010 in under nominal, as quoted
    rule = 'kind = "tube size"\nsizes = "1.5 x .095"\nwall_under = ".010 in"'
    assert ends(rule, f'tube = "1.5 x .095"\nwall_measured = "{wall} in"', head=INCH) == end


@pytest.mark.memory
@pytest.mark.parametrize(
    ("tube", "end"), [("1.5 x .120", "pass"), ("1.5 x .095", "fail"), ("1.75 x .095", "pass")]
)
def test_sizes_that_were_only_remembered(tube, end):
    assert ends(NASA, f'weight = 2900\ntube = "{tube}"', head=INCH) == end  # TS22


@pytest.mark.parametrize(
    ("tube", "steel", "end"),
    [
        ("1.625 x .083", "AISI 4130", "pass"),
        ("1.625 x .083", "mild", "fail"),
        ("1.625 x .118", "mild", "pass"),
        ("1.625 x .083", "", "not checked"),
    ],
)
def test_sizes_by_steel(tube, steel, end):
    assert ends(DRAG_A, f'tube = "{tube}"\nsteel = "{steel}"', head=INCH) == end  # TS23


# Formula SAE 2024 F.3.4.1, read whole; Formula Student UK T3.2.1, read
SIZE_A = 'kind = "section"\ni_least = 11320\narea_least = "173 mm2"\nod_least = 25\nwall_least = 2.0\nrounded = true'
SIZE_B = 'kind = "section"\ni_least = 8509\narea_least = "114 mm2"\nod_least = 25\nwall_least = 1.2\nrounded = true'
SIZE_B_UK = SIZE_B.replace("114", "119")
SIZE_D = 'kind = "section"\ni_least = 18015\narea_least = "126 mm2"\nod_least = 35\nwall_least = 1.2\nrounded = true'


@pytest.mark.parametrize(
    ("tube", "size_a", "size_b", "size_b_uk"),
    [
        pytest.param("25 x 2.5", "pass", "pass", "pass", id="FS1"),
        pytest.param("25.4 x 2.413", "pass", "pass", "pass", id="FS2"),
        pytest.param("25 x 2.0", "fail", "pass", "pass", id="FS3"),
        pytest.param("30 x 2.0", "pass", "pass", "pass", id="FS4"),
        pytest.param("28 x 2.0", "fail", "pass", "pass", id="FS5"),
        pytest.param("30 x 1.5", "fail", "pass", "pass", id="FS6"),
        pytest.param("25.4 x 1.6", "fail", "pass", "pass", id="FS7"),
        pytest.param("25 x 1.5", "fail", "fail", "fail", id="FS8"),
    ],
)
def test_sections_of_student_cars(tube, size_a, size_b, size_b_uk):
    ended = [ends(rule, f'tube = "{tube}"') for rule in (SIZE_A, SIZE_B, SIZE_B_UK)]
    assert ended == [size_a, size_b, size_b_uk]


def failing(rule, case):
    return {row.part for row in rows(rule, case) if row.verdict == "fail"}


def test_which_part_of_a_section_is_short():
    assert failing(SIZE_A, 'tube = "25 x 2.0"') == {"I", "area"}  # FS3
    assert failing(SIZE_A, 'tube = "28 x 2.0"') == {"area"}  # FS5
    assert failing(SIZE_A, 'tube = "30 x 1.5"') == {"wall", "area"}  # FS6


def test_the_books_own_example_size_passes_with_rounding_only():
    assert (
        ends(SIZE_B.replace("rounded = true", ""), 'tube = "25.4 x 1.6"') == "fail"
    )  # FS7: 8508.82 under 8509
    assert ends(SIZE_D, 'tube = "35 x 1.2"') == "pass"  # FS9


def test_a_size_that_the_book_names_itself_passes():
    # F.3.4.1 names 1.375 x .049 in for size D, 34.925 mm where it asks for 35.0
    case = 'tube = "1.375 x .049 in"'
    assert ends(SIZE_D, case) == "fail"
    assert ends(SIZE_D + '\nalso = "1.375 x .049 in"', case) == "pass"


@pytest.mark.memory
def test_a_tube_as_good_as_the_reference():
    # Baja SAE, remembered: stiffness and strength in bending of 25.4 x 3.05 mm, Sy 365 MPa; I 13,621 mm4, S 1072.5 mm3
    rule = """kind = "tube equivalent"
reference = "25.4 x 3.05"
reference_yield = 365
of = ["stiffness", "strength"]
wall_least = 1.57
carbon_least = 0.18"""
    certificate = "certificate = { carbon = 0.30, yield = 460 }"
    assert ends(rule, f'tube = "31.75 x 1.65"\n{certificate}', head=MM) == "pass"  # I 17,750, S 1,118
    assert ends(rule, f'tube = "25.4 x 2.4"\n{certificate}', head=MM) == "fail"
    assert ends(rule, 'tube = "31.75 x 1.65"', head=MM) == "not checked"
