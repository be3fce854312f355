"""Lengths as people type them. The inch is 25.4 mm exactly (agreement of 1959)."""

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.findings import Severity, UserError
from hoopwright.units import MM_PER_FOOT, MM_PER_INCH, format_inches, format_length, parse_length_mm

READ = {
    # bare numbers are mm; a comma is a decimal comma
    "44.45": 44.45,
    "44,45": 44.45,
    "1,5": 1.5,
    ".5": 0.5,
    ",5": 0.5,
    "5.": 5.0,
    "0,234": 0.234,
    "0,500": 0.5,
    "12,3456": 12.3456,
    "  45 ": 45.0,
    "007": 7.0,
    "1e3": 1000.0,
    "1.2e-05": 1.2e-05,
    # suffixes
    "45mm": 45.0,
    "45 MM": 45.0,
    "4,5 cm": 45.0,
    "1.25 m": 1250.0,
    "1.5 in": 38.1,
    '1.5"': 38.1,
    "1,75 inches": 44.45,
    "1 inch": 25.4,
    "2 ft": 609.6,
    "2'": 609.6,
    "2 feet": 609.6,
    "1 foot": 304.8,
    "2.5 ft": 762.0,
    "5''": 127.0,
    # fractions: inches unless said
    "3/4": 19.05,
    "1 3/4": 44.45,
    '1-3/4"': 44.45,
    "1 - 3/4 in": 44.45,
    '1 3/4"': 44.45,
    "1 3 / 4 in": 44.45,
    "1  3/4": 44.45,
    "1 1/2 mm": 1.5,
    "7/4": 44.45,
    # feet and inches
    "2' 6 1/2\"": 774.7,
    "2'6-1/2\"": 774.7,
    "2' 6\"": 762.0,
    "2'-6\"": 762.0,
    "2' 6''": 762.0,
    "2'6": 762.0,
    "2 ft 6 in": 762.0,
    "2ft 6,5in": 774.7,
    "0' 11 15/16\"": 303.2125,
    # typographic marks
    "2′ 6½″".replace("½", " 1/2"): 774.7,
    "1 3/4”": 44.45,
    "2’ 6 1/2”": 774.7,
    "1–3/4″": 44.45,
    "45\u00a0mm": 45.0,
    # signs
    "-12.5": -12.5,
    "−12,5": -12.5,
    "- 3/4": -19.05,
    "-1 3/4": -44.45,
    "-2' 6\"": -762.0,
    "+45": 45.0,
}

REFUSED = [
    "",
    "   ",
    "mm",
    "-",
    "'",
    '"',
    "/",
    "nan",
    "NaN",
    "inf",
    "-inf",
    "1e400",
    "0x10",
    "1_000",
    "abc",
    "45 kg",
    "45 mm mm",
    "45 mm 3",
    "--5",
    "+-5",
    "5-",
    # more than one reading
    "1,234",
    "12,345 mm",
    "1,500e3",
    "1.234,5",
    "1,234.5",
    "1,234,567",
    "1.234.567",
    "1 234",
    "1 234,5",
    "1'000",
    "12'005",
    "1’000",
    # fractions and feet that cannot be
    "1/0",
    "1 3/0",
    "1 3/",
    "/4",
    "1/2/3",
    "1.5 3/4",
    "1 -3/4 -",
    "2' 12\"",
    "2' -1 -2",
    "2' 3' 4\"",
    "2' --6\"",
    "2' 1 m",
    # too long to be a length, and never a traceback
    "9" * 400,
    "9" * 5000 + "/3",
    "1/" + "9" * 5000,
    "1" * 400 + "' 2\"",
]


@pytest.mark.parametrize(("text", "length_mm"), READ.items())
def test_is_read_as_a_person_means_it(text, length_mm):
    assert parse_length_mm(text) == pytest.approx(length_mm, rel=1e-12)


@pytest.mark.parametrize("text", REFUSED, ids=lambda text: text[:20] or "empty")
def test_is_refused_rather_than_guessed(text):
    with pytest.raises(UserError) as stopped:
        parse_length_mm(text)
    (finding,) = stopped.value.findings
    assert finding.code == "UNIT-001"
    assert finding.severity is Severity.STOP
    assert finding.objects == (text,)
    assert finding.todo
    assert len(finding.sentence) < 120


def test_a_bare_number_takes_the_unit_asked_for_and_a_suffix_wins_over_it():
    assert parse_length_mm("1.5", bare_unit="in") == pytest.approx(38.1)
    assert parse_length_mm("2", bare_unit="ft") == 2 * MM_PER_FOOT
    assert parse_length_mm("38.1 mm", bare_unit="in") == 38.1


def test_a_bare_fraction_is_inches_whatever_a_bare_number_is():
    assert parse_length_mm("3/4", bare_unit="mm") == parse_length_mm("3/4", bare_unit="in")


@given(st.text(alphabet="0123456789.,/'\"-+ einmft°xX", max_size=16) | st.text(max_size=12))
def test_any_text_is_read_as_a_finite_length_or_refused(text):
    with contextlib.suppress(UserError):
        assert math.isfinite(parse_length_mm(text))


@given(st.floats(-1e6, 1e6), st.integers(0, 6))
def test_what_is_written_in_mm_is_read_back(length_mm, decimals):
    written = format_length(length_mm, decimals=decimals)
    assert parse_length_mm(written) == pytest.approx(length_mm, abs=0.5000001 * 10.0**-decimals)


@given(st.floats(-1e5, 1e5), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_what_is_written_in_inches_is_read_back(length_mm, denominator):
    written = format_inches(length_mm, denominator=denominator)
    assert parse_length_mm(written) == pytest.approx(length_mm, abs=0.5000001 * MM_PER_INCH / denominator)


@given(st.integers(-5000, 5000), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_a_tape_mark_keeps_its_fraction(steps, denominator):
    length_mm = steps / denominator * MM_PER_INCH
    assert parse_length_mm(format_inches(length_mm, denominator=denominator)) == pytest.approx(length_mm)


@pytest.mark.parametrize(
    ("length_mm", "written"),
    [(44.45, '1 3/4"'), (19.05, '3/4"'), (25.4, '1"'), (0.0, '0"'), (-44.45, '-1 3/4"'), (-0.1, '0"')],
)
def test_inches_read_like_a_tape(length_mm, written):
    assert format_inches(length_mm) == written
    assert format_length(length_mm, "in") == written


def test_mm_have_no_negative_zero():
    assert format_length(-0.01) == "0.0 mm"
    assert format_length(627.84) == "627.8 mm"
    assert format_length(627.84, decimals=2) == "627.84 mm"
