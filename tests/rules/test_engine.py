"""What holds whatever the kind: off and confirmed, conditions, missing data, answers by hand, coverage, units."""

import datetime as dt
from dataclasses import replace
from types import MappingProxyType

import pytest
from tests.rules.judging import INCH, ends, rows

from hoopwright.cage.car import Car, WeightBasis
from hoopwright.cage.member import Role
from hoopwright.findings import Verdict
from hoopwright.rules.cases import check_cases
from hoopwright.rules.coverage import Covered, coverage
from hoopwright.rules.engine import OFF_WORDS, ByHand, cage_findings, check_book
from hoopwright.rules.facts import BarFacts, BendFacts, Facts
from hoopwright.rules.kinds.registry import KINDS
from hoopwright.rules.reading import book_from_text
from hoopwright.tubes import TubeSize

HOOP = BarFacts(bar_id="MH", role=Role.MAIN_HOOP, tube=TubeSize(od_mm=45.0, wall_mm=2.5), bends=())
BOOK = """[book]
id = "b"
body = "B"
edition = "2026"
unit = "mm"
[[rule]]
id = "hoop"
clause = "3.1"
page = "12"
kind = "tube size"
applies = "main hoop"
sizes = "50 x 2"
provenance = "not verified"
confidence = "medium"
[[rule]]
id = "welds"
kind = "question"
question = "Are all welds complete round the tube?"
provenance = "read"
[[not_done]]
clause = "3.9"
words = "types of removable joints"
why = "the drawings were not at hand"
"""


def book():
    return book_from_text(BOOK, "b.toml")


def test_what_was_only_remembered_is_off_until_confirmed():
    facts = Facts(bars=(HOOP,))
    off = check_book(book(), facts)[0]
    assert (off.verdict, off.note, off.is_off, off.about) == (Verdict.NOT_CHECKED, OFF_WORDS, True, "")
    on = check_book(book(), facts, confirmed=frozenset({"hoop"}))[0]
    assert (on.verdict, on.is_off, on.about, on.page, on.edition) == (Verdict.FAIL, False, "MH", "12", "2026")


def test_a_question_is_asked_and_an_answer_by_hand_is_kept_as_one():
    asked = check_book(book(), Facts())[1]
    assert (asked.verdict, asked.todo) == (Verdict.NOT_CHECKED, "Are all welds complete round the tube?")
    answer = ByHand(verdict=Verdict.PASS, words="looked at every weld", by="A. Welder", date="2026-03-02")
    told = check_book(book(), Facts(), answers={"welds": answer})[1]
    assert (told.verdict, told.is_by_hand) == (Verdict.PASS, True)
    assert told.how == "by hand: looked at every weld (A. Welder, 2026-03-02)"


def test_an_answer_by_hand_does_not_outvote_what_was_measured_nor_turn_an_off_rule_on():
    answer = {"hoop": ByHand(verdict=Verdict.PASS, words="looks fine", by="A", date="2026-03-02")}
    confirmed = check_book(book(), Facts(bars=(HOOP,)), confirmed=frozenset({"hoop"}), answers=answer)
    assert confirmed[0].verdict is Verdict.FAIL
    assert check_book(book(), Facts(bars=(HOOP,)), answers=answer)[0].verdict is Verdict.NOT_CHECKED


def test_coverage_lists_every_clause():
    told = [(row.rule_id or row.clause, row.covered) for row in coverage(book())]
    assert told == [("hoop", Covered.OFF), ("welds", Covered.ASKED), ("3.9", Covered.NOT_DONE)]
    assert coverage(book(), confirmed=frozenset({"hoop"}))[0].covered is Covered.CHECKED


@pytest.mark.parametrize("name", sorted(KINDS))
def test_nothing_known_is_never_a_pass(name):
    rule = next(text for kind, text in ONE_OF_EACH.items() if kind == name)
    assert ends(f'kind = "{name}"\n{rule}', "") == "not checked"


ONE_OF_EACH = {
    "tube size": 'sizes = "45 x 2.5"',
    "section": "i_least = 1",
    "tube equivalent": 'reference = "25 x 2.5"\nof = "area"',
    "same tube": 'as = "main hoop"',
    "material": "yield_least = 350",
    "bend radius": "least_times_od = 3",
    "ovality": "least = 0.9",
    "bends": "most = 4",
    "straight": "",
    "one piece": "",
    "angle": 'of = "vertical"\nleast = 30',
    "distance": 'of = "end to foot"\nmost = 100',
    "ratio": 'of = "height in door opening"\nmost = 0.5',
    "members": "most = 5",
    "pattern": 'place = "roof"\none_of = ["X", "V"]',
    "attachments": "most = 8",
    "plate": 'area_most = "100 in2"',
    "bolts": "least = 3",
    "gusset": "thickness_most = 5",
    "gussets at joint": "most = 2",
    "removable joints": "most = 4",
    "inspection hole": "least = 1",
    "helmet": "least = 50",
    "padding": "within = 150",
    "belts": "below_most = 20",
    "door opening": "circle_least = 400",
    "extent": "beyond_front_most = 0",
    "exit": "seconds_most = 7",
    "load test": 'factor = 7.5\non = "the main hoop"\nweight_basis = "kerb"',
    "question": 'question = "Is it so?"',
}


def test_every_kind_is_in_the_list_above():
    assert set(ONE_OF_EACH) == set(KINDS)


PIECE = 'kind = "one piece"\n'


@pytest.mark.parametrize(
    ("condition", "car", "end"),
    [
        ("homologated_from = 2007-01-01", 'homologated = "2007-01-01"', "pass"),
        ("homologated_from = 2007-01-01", 'homologated = "2006-12-31"', "not applicable"),
        ("homologated_from = 2007-01-01", "", "not checked"),
        ("homologated_from = 2007-01-01", 'homologated = "last year"', "not checked"),
        ('homologated_before = "2002-01-01"', 'homologated = "2001-12-31"', "pass"),
        ('homologated_before = "2002-01-01"', 'homologated = "2002-01-01"', "not applicable"),
        ("engine_over = 2000", "engine = 2000", "not applicable"),
        ("engine_over = 2000", "engine = 2001", "pass"),
        ("engine_most = 2000", "engine = 2000", "pass"),
        ("engine_most = 2000", "", "not checked"),
        ("weight_over = 2500", "weight = 2500", "not applicable"),
        ("weight_most = 2500", "weight = 2500", "pass"),
        ('weight_most = "2500 lb"', "", "not checked"),
        ("open_car = true", "open = true", "pass"),
        ("open_car = true", "open = false", "not applicable"),
        ("open_car = true", "", "not checked"),
    ],
)
def test_conditions_on_the_car(condition, car, end):
    assert ends(f"{PIECE}{condition}", f"one_piece = true\ncar = {{ {car} }}", head=INCH) == end


def test_a_condition_that_fails_needs_no_more_data():
    both = f"{PIECE}open_car = true\nengine_over = 2000"
    assert ends(both, "one_piece = true\ncar = { open = false }", head=INCH) == "not applicable"


@pytest.mark.parametrize(
    ("condition", "case", "end"),
    [
        ('if_fitted = "pillar bar"', 'bars = [{ role = "pillar bar", one_piece = true }]', "pass"),
        ('if_fitted = "pillar bar"', "", "not applicable"),
        ('if_fitted = "pillar bar"', "bars = [{ one_piece = true }]", "not checked"),
        ("required = true", "required = true", "pass"),
        ("required = true", "required = false", "not applicable"),
        ("required = true", "", "not checked"),
    ],
)
def test_conditions_on_bars(condition, case, end):
    assert ends(f'{PIECE}applies = "main hoop"\n{condition}', f"one_piece = true\n{case}") == end


def test_a_bar_without_a_role_is_told_and_passes_nothing():
    facts = Facts(bars=(replace(HOOP, role=None),))
    (finding,) = cage_findings(facts)
    assert (finding.code, finding.objects) == ("RULE-009", ("MH",))
    row = check_book(book(), facts, confirmed=frozenset({"hoop"}))[0]
    assert (row.verdict, row.todo) == (Verdict.NOT_CHECKED, "give the bar a role")


def test_a_rule_gives_way_to_the_one_that_is_met_instead():
    text = BOOK.partition("[[rule]]")[0] + 'provenance = "read"\n'
    text += '[[rule]]\nid = "wall"\nkind = "section"\nwall_least = 3\nunless = "sizes"\n'
    text += '[[rule]]\nid = "sizes"\nkind = "tube size"\nsizes = "45 x 2.5"\n'
    wall, sizes = check_book(book_from_text(text, "b.toml"), Facts(bars=(HOOP,)))
    assert (wall.verdict, sizes.verdict) == (Verdict.NOT_APPLICABLE, Verdict.PASS)
    small = Facts(bars=(replace(HOOP, tube=TubeSize(od_mm=38.0, wall_mm=2.5)),))
    assert {row.verdict for row in check_book(book_from_text(text, "b.toml"), small)} == {Verdict.FAIL}


def test_a_case_that_disagrees_is_told_with_its_line():
    text = BOOK.replace("[[not_done]]", '[[rule]]\nid = "q"\nkind = "helmet"\nleast = 50\nprovenance = "read"\n'
                        'case = [\n { expect = "pass", helmet_line = 49 } ]\n[[not_done]]')  # fmt: skip
    (wrong,) = check_cases(book_from_text(text, "b.toml"))
    assert (wrong.rule_id, wrong.line, wrong.expect, wrong.ended) == ("q", 26, "pass", "fail")


def test_inches_are_held_as_inches_and_shown_so():
    (row,) = rows('kind = "distance"\nof = "below hoop top"\nmost = 6', "measured = 6.04", head=INCH)
    assert (row.unit, row.limit, row.measured_words, row.limit_words) == ("in", 6.0, "6.040 in", "<= 6 in")
    (near,) = rows('kind = "distance"\nof = "below hoop top"\nmost = 6', "measured = 6.0004", head=INCH)
    assert (near.verdict, near.measured_words) == (Verdict.FAIL, "6.0004 in")


def test_a_weight_on_another_basis_does_not_count():
    text = BOOK.partition("[[rule]]")[0] + 'weight_basis = "no fuel no driver"\nprovenance = "read"\n'
    text += '[[rule]]\nid = "sizes"\nkind = "tube size"\nbands = [{ most = 1200, sizes = "45 x 2.5" }]\n'
    inch_book = book_from_text(text, "b.toml")
    for basis, verdict in ((WeightBasis.KERB, "not checked"), (WeightBasis.NO_FUEL_NO_DRIVER, "pass")):
        car = Car(weights_kg=MappingProxyType({basis: 1100.0}))
        (row,) = check_book(inch_book, Facts(car=car, bars=(HOOP,)))
        assert row.verdict == verdict
    heavy = Car(weights_kg=MappingProxyType({WeightBasis.NO_FUEL_NO_DRIVER: 1300.0}))
    assert "the list ends below 1300 kg" in check_book(inch_book, Facts(car=heavy, bars=(HOOP,)))[0].todo


@pytest.mark.parametrize(
    ("keys", "case", "end"),
    [
        # Motorsport UK 4.1 read: a diagonal; SCCA from 2007 as quoted: two tubes across each front door
        ('applies = "hoop diagonal"\nleast = 1', 'bars = [{ role = "hoop diagonal" }]', "pass"),
        ('applies = "hoop diagonal"\nleast = 1', 'bars = [{ role = "backstay" }]', "fail"),
        ('applies = "hoop diagonal"\nleast = 1', "bars = [{ tube = [45, 2.5] }]", "not checked"),
        ('applies = "door bar"\nleast = 2\non = "each side"', 'bars = [{ role = "door bar", side = "L" }]', "fail"),
        ('applies = "door bar"\nleast = 2\non = "driver\'s side"', 'bars = [{ role = "door bar", side = "L" }]',
         "not checked"),
        ('applies = "door bar"\nleast = 1\non = "other side"',
         'car = { driver_side = "R" }\nbars = [{ role = "door bar", side = "L" }]', "pass"),
        ('applies = "door bar"\nleast = 2\non = "each side"\nin_opening = true',
         'openings = [{ side = "L", crossed_by = ["door bar", "door bar"] }, { side = "R", crossed_by = "door bar" }]',
         "fail"),
        ('applies = "door bar"\nmost = 0', 'bars = [{ role = "door bar", side = "L" }]', "fail"),
    ],
)  # fmt: skip
def test_how_many_bars(keys, case, end):
    assert ends(f'kind = "members"\n{keys}', case) == end


@pytest.mark.parametrize(
    ("kind", "case", "end"),
    [
        ('kind = "pattern"\nplace = "roof"\none_of = ["X", "V"]',
         'patterns = [{ place = "roof", name = "V" }]', "pass"),
        ('kind = "pattern"\nplace = "roof"\nnone_of = "parallel"',
         'patterns = [{ place = "roof", name = "parallel" }]', "fail"),
        ('kind = "removable joints"\napplies = "main hoop"\nmost = 0',
         'joints = [{ roles = ["main hoop"], removable = true }]', "fail"),
        ('kind = "removable joints"\ngrade_least = "8.8"',
         'joints = [{ removable = true, grade = "10.9" }]', "pass"),
        ('kind = "removable joints"\ngrade_least = "8.8"',
         'joints = [{ removable = true, grade = "SAE 5" }]', "not checked"),
        ('kind = "bolts"\ngrade_least = ["8.8", "SAE 5"]', 'bolts = 3\ngrade = "SAE 8"', "pass"),
        ('kind = "bolts"\ngrade_least = "8.8"', 'bolts = 3\ngrade = "6.8"', "fail"),
        ('kind = "inspection hole"\nleast = 1\nper = "bar"\napplies = "main hoop"',
         'bars = [{ role = "main hoop" }]\nholes = [{ role = "main hoop", diameter = 5 }]', "pass"),
        ('kind = "inspection hole"\nto_weld_least = "3 in"', 'holes = [{ to_weld = "2 in" }]', "fail"),
        ('kind = "padding"\nwithin = 150', 'near = { MH = 120 }\nbars = [{ id = "MH", padding = 13 }]', "pass"),
        ('kind = "padding"\nwithin = 150', 'near = { MH = 120 }\nbars = [{ id = "MH", padding = 0 }]', "fail"),
        ('kind = "padding"\nwithin = 150', 'near = { MH = 120 }\nbars = [{ id = "MH" }]', "not checked"),
        ('kind = "padding"\nwithin = 150', 'near = { MH = 151 }\nbars = [{ id = "MH" }]', "pass"),
        ('kind = "padding"\nwithin = 150\nstandard = "SFI 45.1"',
         'near = { MH = 1 }\nbars = [{ id = "MH", padding = 13, padding_standard = "SFI 3.3" }]', "fail"),
        ('kind = "gussets at joint"\napplies = "hoop diagonal"\nleast = 2\ncrossing = true',
         "gussets = 1\ncrossing = true", "fail"),
        ('kind = "gussets at joint"\nleast = 2\ncrossing = true',
         "gussets = 0\ncrossing = false", "not applicable"),
        ('kind = "extent"\nbeyond_front_most = 0', "extent = { front = 900, front_mount = 880 }", "fail"),
        ('kind = "extent"\nbeyond_rear_most = 0', "extent = { rear = -2000, rear_mount = -2010 }", "pass"),
        ('kind = "door opening"\ncircle_least = 400', 'side = "L"\ncircle = 395', "fail"),
        ('kind = "exit"\nseconds_most = 7', "exit = 6.5", "pass"),
        ('kind = "material"\ncertificate = true', 'certificate = { number = " " }', "not checked"),
    ],
)  # fmt: skip
def test_kinds_without_a_worked_example(kind, case, end):
    assert ends(kind, case) == end


def test_a_day_with_a_time_counts_as_its_day():
    case = 'one_piece = true\ncar = { homologated = "2007-01-01" }'
    assert ends(f"{PIECE}homologated_from = {dt.datetime(2007, 1, 1, 12).isoformat()}", case) == "pass"


def test_a_bend_that_was_measured_wrongly_is_not_a_measurement():
    turned = BendFacts(angle_deg=90.0, narrow_mm=50.0, wide_mm=40.0)
    text = (
        BOOK.partition("[[rule]]")[0]
        + 'provenance = "read"\n[[rule]]\nid = "o"\nkind = "ovality"\nleast = 0.9\n'
    )
    (row,) = check_book(book_from_text(text, "b.toml"), Facts(bars=(replace(HOOP, bends=(turned,)),)))
    assert row.verdict is Verdict.NOT_CHECKED
