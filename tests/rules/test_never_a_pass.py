"""Ways in which a check might have let something through."""

from dataclasses import replace

import pytest
from tests.rules.judging import INCH, ends

from hoopwright.cage.member import Role
from hoopwright.findings import UserError, Verdict
from hoopwright.rules.engine import check_book
from hoopwright.rules.facts import BarFacts, Certificate, Facts, Measured
from hoopwright.rules.reading import book_from_text
from hoopwright.tubes import TubeSize

HEAD = '[book]\nid = "b"\nbody = "B"\nedition = "1"\nunit = "mm"\nprovenance = "read"\n'
HOOP = BarFacts(bar_id="MH", role=Role.MAIN_HOOP, tube=TubeSize(od_mm=38.0, wall_mm=2.5))


def test_a_rule_that_is_off_takes_no_other_out_of_force():
    text = HEAD + '[[rule]]\nid = "wall"\nkind = "section"\nwall_least = 3\nunless = "remembered"\n'
    text += (
        '[[rule]]\nid = "remembered"\nkind = "tube size"\nsizes = "38 x 2.5"\nprovenance = "not verified"\n'
    )
    book, facts = book_from_text(text, "b.toml"), Facts(bars=(HOOP,))
    assert check_book(book, facts)[0].verdict is Verdict.FAIL
    assert check_book(book, facts, confirmed=frozenset({"remembered"}))[0].verdict is Verdict.NOT_APPLICABLE


def test_a_vector_from_the_lower_to_the_upper_end_has_no_angle():
    rule = 'kind = "angle"\nof = "vertical"\napplies = "backstay"\nleast = 30'
    assert ends(rule, "vector = [100, 0, 1000]") == "not checked"
    assert ends(rule, "vector = [-1000, 0, 0]") == "pass"


@pytest.mark.parametrize(
    ("steel", "wanted", "end"),
    [
        ("St45", "T45", "fail"),
        ("5T45", "T45", "pass"),
        ("AISI4130N", "4130", "pass"),
        ("14130", "4130", "fail"),
        ("E355", "E35", "fail"),
        ("e 355 + n", "E355", "pass"),
        ("steel R80", "R8", "fail"),
    ],
)
def test_a_steel_is_not_another_whose_name_holds_its_own(steel, wanted, end):
    assert ends(f'kind = "material"\nsteel = "{wanted}"', f'steel = "{steel}"') == end


@pytest.mark.parametrize(
    "rule",
    [
        'kind = "tube size"\nbands = [{ most = 1000, sizes = "45 x 2.5" }]',
        'kind = "one piece"\nweight_over = 1000',
    ],
)
def test_a_weight_without_its_basis_is_a_fault_of_the_book(rule):
    with pytest.raises(UserError) as error:
        book_from_text(f'{HEAD}[[rule]]\nid = "r"\n{rule}\n', "b.toml")
    (finding,) = error.value.findings
    assert (finding.code, "line 7: rule 'r'" in finding.sentence) == ("RULE-004", True)
    assert "weight_basis" in finding.todo
    book_from_text(f'{HEAD}[[rule]]\nid = "r"\n{rule}\nweight_basis = "kerb"\n', "b.toml")


def test_a_measure_that_nobody_took_is_not_checked_but_one_of_a_bar_that_is_not_there_does_not_apply():
    text = (
        HEAD
        + '[[rule]]\nid = "r"\nkind = "distance"\nof = "end to foot"\napplies = "hoop diagonal"\nmost = 100\n'
    )
    book = book_from_text(text, "b.toml")
    diagonal = BarFacts(bar_id="HD", role=Role.HOOP_DIAGONAL)
    for bars, verdict in (
        ((HOOP,), "not applicable"),
        ((HOOP, diagonal), "not checked"),
        (None, "not checked"),
    ):
        (row,) = check_book(book, Facts(bars=bars, measures=()))
        assert row.verdict == verdict
    other = Measured(name="end to foot", about="BS", role=Role.BACKSTAY, measured=10.0)
    assert check_book(book, Facts(bars=(HOOP, diagonal), measures=(other,)))[0].verdict is Verdict.NOT_CHECKED
    unnamed = BarFacts(bar_id="X")
    assert check_book(book, Facts(bars=(unnamed,), measures=()))[0].verdict is Verdict.NOT_CHECKED


def test_a_certificate_without_a_number_is_not_checked():
    assert (
        ends('kind = "material"\ncertificate = true', "certificate = { carbon = 0.2 }", head=INCH)
        == "not checked"
    )


@pytest.mark.parametrize(
    "typed", ["", "  ", "yes", "to follow", "TBC 4711", "EN 10204 3.1", "c.pdf", "2026-03-14", "0"]
)
def test_a_text_without_a_number_is_no_certificate(typed):
    rule = 'kind = "material"\ncertificate = true'
    assert ends(rule, f"certificate = {{ number = '{typed}' }}", head=INCH) == "not checked"
    assert ends(rule, "certificate = { number = 'C-7' }", head=INCH) == "pass"


@pytest.mark.parametrize(
    ("typed", "end"), [("to follow", "not checked"), ("yes", "not checked"), ("C-7", "pass")]
)
def test_what_a_promised_certificate_is_said_to_say_is_no_pass_but_may_fail(typed, end):
    rule = 'kind = "material"\nyield_least = 350'
    assert ends(rule, f"certificate = {{ number = '{typed}', yield = 350 }}", head=INCH) == end
    assert ends(rule, f"certificate = {{ number = '{typed}', yield = 349 }}", head=INCH) == "fail"


def test_the_row_says_what_was_typed_and_what_to_give():
    text = HEAD + '[[rule]]\nid = "r"\nkind = "material"\ncertificate = true\nyield_least = 350\n'
    bar = replace(HOOP, certificate=Certificate(number="to follow", yield_mpa=400.0))
    rows = check_book(book_from_text(text, "b.toml"), Facts(bars=(bar,)))
    assert {row.part: (row.verdict, row.todo) for row in rows} == dict.fromkeys(
        ("yield strength", "certificate"),
        (Verdict.NOT_CHECKED, "give the number of its certificate; 'to follow' has none in it"),
    )
