"""Which text names a certificate or a heat, and which only promises one or says what kind of paper it is."""

import pytest

from hoopwright.tubes.paper_numbers import certificate_number, heat_number

NO_NUMBER = [
    *("", " ", "\t\n", "\N{NO-BREAK SPACE}", "\N{ZERO WIDTH SPACE}", "-", "--", "?", "…", "n/a", "N.A.", "none", "nil"),
    *("yes", "YES", "ok", "Ja", "oui", "есть", "有", "to follow", "To  Follow", "TBC", "tba", "pending", "awaited"),
    *("0", "000", "No. 0", "1", "②", "½", "x2"[:1]),
    *("from the mill", "cert", "certificate", "c.pdf", "see file", "in the office", "with the supplier"),
    *("to follow week 49", "pending 2026", "TBC 4711", "4711 to follow", "ordered 12 March", "asked for, 2 calls"),
    *("3.1", "EN 10204 3.1", "EN 10204:2004 type 3.1", "EN10204-3.1", "3.1B", "2.2", "DIN 50049", "DIN 50049 3.1B"),
    *("EN 10305-1", "BS EN 10297-1:2003", "DIN EN ISO 10474", "ASTM A513", "SAE J524", "ISO 9001", "AISI 4130"),
    *("2026-03-14", "14.03.2026", "14/03/26", "14.3.", "dated 14.03.2026"),
    *("page 12", "folder 31", "2 pages", "box 44", "KW 12", "IMG_2031.jpg", "IMG_20260314_101500.jpg", "scan-12.pdf"),
]  # fmt: skip
NUMBERS = [
    *("C7", "C-9", "4711", "12/0042", "A-2026-0031", "EN 10204 3.1 no. 88123", "88123 (3.1)", "cert 4711, page 2"),
    *("no. 4711", "4711.pdf", "DE00123", "2026-1234", "00012", "W 771/3", "４７１１", "٤٧١١"),
    "Nr 12-34 from 14.03.2026",
]  # fmt: skip


@pytest.mark.parametrize("typed", NO_NUMBER)
def test_no_certificate_is_found_by_it(typed):
    assert certificate_number(typed) == ""


@pytest.mark.parametrize("typed", NUMBERS)
def test_a_certificate_is_found_by_it(typed):
    assert certificate_number(f"  {typed} ") == typed


@pytest.mark.parametrize(
    "typed", ["", "  ", "-", "?", "yes", "n/a", "to follow", "TBC", "heat no.", "not yet 12", "x"]
)
def test_no_heat_is_found_by_it(typed):
    assert heat_number(typed) == ""


@pytest.mark.parametrize("typed", ["H-7", "H48213", "4711", "KXJ", "AB", "51-2207", "heat KXJ"])
def test_a_heat_is_found_by_letters_alone(typed):
    assert heat_number(f" {typed}") == typed


@pytest.mark.parametrize("typed", NO_NUMBER)
def test_blanks_round_it_make_no_number(typed):
    assert certificate_number(f" {typed}\n") == ""
