"""Plates, bolts, feet, certificates, helmets and belts against worked examples; each book is named beside its rule."""

import pytest
from tests.rules.judging import INCH, advised, ends, rows

# FIA 8.3.2.6 (edition not stated, after 2007), as quoted
FIA_PLATE = 'kind = "plate"\napplies = ["main hoop", "side bar"]\narea_least = "120 cm2"\nthickness_least = 3'


@pytest.mark.parametrize(
    ("sides", "thickness", "end"),
    [
        pytest.param("[120, 100]", 3, "pass", id="P1"),
        pytest.param("[110, 108]", 3, "fail", id="P2"),
        pytest.param("[130, 100]", 2.5, "fail", id="P3"),
    ],
)
def test_leg_plates(sides, thickness, end):
    assert ends(FIA_PLATE, f"sides = {sides}\nthickness = {thickness}") == end


def test_area_is_shown_in_square_centimetres_and_told_apart_from_its_limit():
    row = rows(FIA_PLATE, "sides = [110, 108]\nthickness = 3")[0]
    assert (row.measured_words, row.limit_words) == ("118.8 cm2", ">= 120 cm2")
    near = rows(FIA_PLATE, "sides = [120, 99.99]\nthickness = 3")[0]
    assert (near.verdict, near.measured_words) == ("fail", "119.99 cm2")


def test_leg_bolts():
    rule = 'kind = "bolts"\nleast = 3'  # P4
    assert [ends(rule, f"bolts = {count}\nbolted = true") for count in (2, 3)] == ["fail", "pass"]
    assert ends(rule, "bolted = false") == "not applicable"
    assert ends(rule, "bolted = true") == "not checked"


def test_backstay_plates_and_bolts():
    # P5, P6: NCR 2026 8.2, read
    plate = 'kind = "plate"\napplies = "backstay"\narea_least = "60 cm2"'
    assert [ends(plate, f"sides = [{side}, 60]") for side in (100, 90)] == ["pass", "fail"]
    bolts = 'kind = "bolts"\napplies = "backstay"\nsection_of = "2/3"\nreference = "main hoop"\nor_double_shear = true'
    legs = 'feet = [{ role = "main hoop", bolts = 3, bolt = "8 mm" }]'
    assert ends(bolts, f'bolts = 2\nbolt = "8 mm"\n{legs}') == "pass"
    assert ends(bolts, f'bolts = 1\nbolt = "8 mm"\ndouble_shear = false\n{legs}') == "fail"
    assert ends(bolts, f'bolts = 1\nbolt = "8 mm"\ndouble_shear = true\n{legs}') == "pass"
    assert ends(bolts, f'bolts = 1\nbolt = "8 mm"\n{legs}') == "not checked"
    assert ends(bolts, 'bolts = 2\nbolt = "8 mm"') == "not checked"


# NASA CCR 15.6.14 (c.2012), as quoted
NASA_PLATE = """kind = "plate"
area_most = "100 in2"
area_advised = "9 in2"
side_least = 2
side_most = 12
thickness_least = 0.080"""


@pytest.mark.parametrize(
    ("sides", "thickness", "end", "is_advised"),
    [
        ("[12, 8]", 0.080, "pass", False),
        ("[12, 8.5]", 0.080, "fail", False),
        ("[13, 7]", 0.080, "fail", False),
        ("[1.9, 10]", 0.080, "fail", False),
        ("[4, 2]", 0.080, "pass", True),
        ("[12, 8]", 0.079, "fail", False),
    ],
)
def test_plates_in_inches(sides, thickness, end, is_advised):
    case = f"sides = {sides}\nthickness = {thickness}"  # P7
    assert (ends(NASA_PLATE, case, head=INCH), advised(NASA_PLATE, case, head=INCH)) == (end, is_advised)


def test_area_of_several_planes_is_their_sum():
    case = "sides = [[12, 5], [12, 3]]\nthickness = 0.080"
    assert rows(NASA_PLATE, case, head=INCH)[0].measured == pytest.approx(96.0, rel=1e-12)


def test_plates_with_a_longest_side():
    rule = (
        'kind = "plate"\narea_most = "144 in2"\nside_most = 15'  # P8: SCCA, June 2007 and c.2009, as quoted
    )
    assert [ends(rule, f"sides = {sides}", head=INCH) for sides in ("[12, 12]", "[16, 9]")] == [
        "pass",
        "fail",
    ]


def test_bolted_plates_as_thick_as_the_wall():
    # P9: SCCA 9.4.E.C.b, as quoted
    rule = 'kind = "plate"\nfixing = "bolted"\nthickness_of_wall = true\nbacking_equal = true'
    foot = 'bolted = true\ntube = "1.5 x .120"\n'
    assert ends(rule, foot + "thickness = 0.125\nbacking = 0.125", head=INCH) == "pass"
    assert ends(rule, foot + "thickness = 0.095\nbacking = 0.095", head=INCH) == "fail"
    assert ends(rule, foot + "thickness = 0.125\nbacking = 0.095", head=INCH) == "fail"
    assert ends(rule, foot.replace("true", "false") + "thickness = 0.095", head=INCH) == "not applicable"


def test_plates_by_diameter():
    # P10: SCCA ProRally 5.6 (c.2003), as quoted: area in in2 at least 10 x OD in inches, sides at least 2 x OD
    rule = 'kind = "plate"\narea_per_od = "10 in"\nside_times_od = 2'
    for sides, end in (("[5, 3.5]", "pass"), ("[6, 3]", "fail")):
        assert ends(rule, f'tube = "1.75 x .095"\nsides = {sides}', head=INCH) == end


@pytest.mark.parametrize(("count", "end"), [(5, "fail"), (6, "pass"), (8, "pass"), (9, "fail")])
def test_attachments(count, end):
    feet = ", ".join(
        '{ role = "backstay" }' for _ in range(count)
    )  # P11: SCCA 9.4.E, proposal for 2008, as quoted
    assert ends('kind = "attachments"\nleast = 6\nmost = 8', f"feet = [{feet}]") == end


def test_sleeves_and_tabs():
    # P12: Formula SAE 2024 F.5.12.6, and 2014 T3.17.8; P13: F.5.4.3
    sleeve = 'kind = "distance"\nof = "sleeve length"\nleast = {}'
    assert [ends(sleeve.format(least), "measured = 75") for least in (75, 76)] == ["pass", "fail"]
    assert ends('kind = "distance"\nof = "sleeve each side"\nleast = 37.5', "measured = 37.5") == "pass"
    tab = 'kind = "ratio"\nof = "tab edge ratio"\nleast = 1.5'
    assert [ends(tab, f'measured = "{edge}/80"') for edge in (120, 119)] == ["pass", "fail"]


# NCR 2026 20.1.a and b, and 19.1, read
MSUK = """kind = "material"
process = "cold drawn seamless"
carbon_most = 0.3
manganese_most = 1.7
other_most = 0.6
yield_least = 350"""
HARNESS = 'kind = "material"\nprocess = "cold drawn seamless"\ntensile_least = 350'
GOOD = {"process": '"cold drawn seamless"', "carbon": 0.18, "manganese": 1.40, "other": 0.4, "yield": 420}


def certificate(**changed):
    keys = {**GOOD, **changed}
    return "certificate = { " + ", ".join(f"{key} = {value}" for key, value in keys.items()) + " }"


def test_certificates():
    assert ends(MSUK, certificate()) == "pass"  # M1
    assert ends(MSUK, certificate(carbon=0.31)) == "fail"  # M2
    assert ends(MSUK, certificate(**{"yield": 340}, tensile=450)) == "fail"  # M3, a mandatory member
    assert ends(HARNESS, certificate(**{"yield": 340}, tensile=450)) == "pass"  # M3, a harness bar
    assert ends(MSUK, certificate(process='"ERW"')) == "fail"  # M4
    assert ends(MSUK, 'steel = "E355"') == "not checked"


def test_steels_by_name():
    # M5: SCCA GCR 2026, as summarised
    rule = (
        'kind = "material"\nnot_process = "ERW"\nsteel = ["1020", "1025", "DOM", "4130", "T45", "Docol R8"]'
    )
    for steel, process, end in (
        ("1020", "ERW", "fail"),
        ("1020", "DOM", "pass"),
        ("AISI 4130", "seamless", "pass"),
    ):
        assert ends(rule, f'steel = "{steel}"\ncertificate = {{ process = "{process}" }}') == end


@pytest.mark.parametrize(("room", "end"), [(50, "pass"), (49.9, "fail")])
def test_helmet_line(room, end):
    assert (
        ends('kind = "helmet"\nleast = 50', f"helmet_line = {room}") == end
    )  # A16: Formula SAE 2024 F.5.6.3.a


@pytest.mark.parametrize(
    ("belt", "end", "is_advised"), [(45, "pass", True), (46, "fail", False), (10, "pass", False)]
)
def test_belts(belt, end, is_advised):
    # A17: FIA Art. 253 6.2 (2013), read
    rule = 'kind = "belts"\nbelow_most = 45\nbelow_advised = 10'
    assert (ends(rule, f"belt = {belt}"), advised(rule, f"belt = {belt}")) == (end, is_advised)


@pytest.mark.memory
@pytest.mark.parametrize(
    ("mass", "main", "front"),
    [(1000, "84,582 N", "39,472 N"), (1200, "99,292 N", "46,336 N"), (1350, "110,325 N", "51,485 N")],
)
def test_loads_of_a_test(mass, main, front):
    # H1: FIA homologation regulations, remembered; a person who had studied them has it so too: (m + 150 kg) x 9.80665
    for factor, words in ((7.5, main), (3.5, front)):
        rule = (
            f'kind = "load test"\nfactor = {factor}\nplus = "150 kg"\non = "the hoop"\nweight_basis = "kerb"'
        )
        (row,) = rows(rule, f"weight = {mass}")
        assert (row.verdict, row.limit_words) == ("not checked", words)


def test_what_a_load_test_may_leave_is_told_with_its_load_and_answered_by_hand():
    rule = 'kind = "load test"\nfactor = 2\non = "the hoop"\nweight_basis = "kerb"\ndisplacement_most = 50'
    (row,) = rows(rule, "weight = 1000")
    # 2 x 1000 kg x 9.80665 m/s2
    assert (row.verdict, row.limit_words) == ("not checked", "19,613 N, lasting displacement <= 50 mm")
    assert "by hand" in row.todo
    (unknown,) = rows(rule, "")
    assert (unknown.verdict, "give the weight" in unknown.todo + unknown.how) == ("not checked", True)
