"""Rates as a person types them: the file to fill in has no price, and what cannot be is refused by name."""

from decimal import Decimal

import pytest

from hoopwright.findings import UserError
from hoopwright.stock.money import Needs, TubeNeed, priced
from hoopwright.stock.rate_files import rates_from_bytes, rates_template, rates_with_sizes
from hoopwright.stock.rates import Minutes, Rates
from hoopwright.tubes import TubeSize

BIG = TubeSize(od_mm=45.0, wall_mm=2.5)


def read(text):
    return rates_from_bytes(text.encode(), "rates.toml")


def test_the_file_to_fill_in_has_no_price_in_it():
    rates = read(rates_template([(BIG, 'E355 "drawn"')]))
    assert (rates.minutes, rates.extras, rates.currency) == (Minutes(), (), "")
    assert [(rate.tube, rate.steel, rate.prices) for rate in rates.tubes] == [(BIG, "E355 drawn", ())]
    needs = Needs(
        tubes=(TubeNeed(tube=BIG, steel="", lengths_mm=(1000.0,), kg_per_m=2.62),), sheet_kg=1.0, bolts=1, bars=1,
        bends=1, copes=1, feet=1, weld_mm=100.0, plates=1, gussets=1,
    )  # fmt: skip
    assert len(priced(needs, rates).missing) == 11
    assert priced(needs, rates).discount is None
    assert priced(needs, rates).tax is None


def test_a_size_that_the_rates_do_not_have_stands_at_their_end_once():
    mine = '[[tube]]\nod = 38\nwall = 2.5\nper_metre = "4,20"\n[price]\nper_hour = 60\n'
    thin, asked = (
        TubeSize(od_mm=38.0, wall_mm=2.5),
        [(TubeSize(od_mm=38.0, wall_mm=2.5), "E235"), (BIG, "S355")],
    )
    more = rates_with_sizes(mine, asked)
    assert more.startswith(mine.rstrip())
    assert [(rate.tube, rate.prices != ()) for rate in read(more).tubes] == [(thin, True), (BIG, False)]
    assert read(more).per_hour == 60
    assert rates_with_sizes(more, asked) == more
    assert rates_with_sizes("[[tube]]\nper_kg = 3\n", asked) == "[[tube]]\nper_kg = 3\n"
    assert rates_with_sizes("[[tube", asked) == "[[tube"


def test_an_empty_file_is_one_without_rates():
    assert read("") == Rates()


def test_numbers_are_read_exactly_as_typed():
    rates = read(
        '[price]\nper_hour = 48.10\nsheet_per_kg = "4,25"\nbolt_each = 1\n[minutes]\nper_bend = "12.5"'
    )
    assert (rates.per_hour, rates.sheet_per_kg, rates.bolt_each) == (
        Decimal("48.10"),
        Decimal("4.25"),
        Decimal(1),
    )
    assert rates.minutes.per_bend == Decimal("12.5")


def test_lengths_with_units():
    rates = read(
        'kerf = "1/8 in"\n[[tube]]\nod = "1.75 in"\nwall = ".095 in"\nper_stick = 60\nstick = "20 ft"'
    )
    assert rates.kerf_mm == pytest.approx(3.175)
    assert rates.tubes[0].stick_mm == pytest.approx(6096.0)
    assert rates.tubes[0].tube.od_mm == pytest.approx(44.45)


@pytest.mark.parametrize(
    ("text", "code", "said"),
    [
        ("[price\n", "COST-001", "line 1"),
        ("[price]\nper_hour = 1e99999999999999999999", "COST-001", "rates.toml"),
        ("[price]\nper_huor = 3", "COST-002", "per_huor"),
        ("prices = 3", "COST-002", "Did you mean 'price'"),
        ("[price]\nper_hour = -1", "COST-002", "price, per_hour"),
        ("[price]\nper_hour = nan", "COST-002", "price, per_hour"),
        ("[price]\nper_hour = inf", "COST-002", "price, per_hour"),
        ("[price]\nper_hour = 100000001", "COST-002", "price, per_hour"),
        ("[minutes]\nper_bend = 100001", "COST-002", "minutes, per_bend"),
        ("[price]\nper_hour = true", "COST-002", "price, per_hour"),
        ('[price]\nper_hour = "1,234"', "COST-002", "two ways"),
        ('[price]\nper_hour = "1.234,50"', "COST-002", "two ways"),
        ('[price]\nper_hour = "fifty"', "COST-002", "'fifty' is not a number"),
        ("[tax]\npercent = 120", "COST-002", "more than 100"),
        ("[discount]\npercent = 101", "COST-002", "more than 100"),
        ("[quote]\nvalid_days = 0", "COST-002", "valid_days"),
        ("[quote]\nvalid_days = 2.5", "COST-002", "valid_days"),
        ('[quote]\nfrom = ["a\\nb"]', "COST-002", "one line"),
        ("decimals = 9", "COST-002", "decimals"),
        ("kerf = 80", "COST-002", "kerf"),
        ("[[tube]]\nod = 40\nwall = 30", "COST-002", "cannot be"),
        ("[[tube]]\nod = 40", "COST-003", "od and wall"),
        ("[[tube]]\nper_metre = 1\nper_kg = 2", "COST-003", "per_metre, per_kg"),
        ("[[tube]]\nper_stick = 1", "COST-003", "length of one"),
        ("[[tube]]\nper_metre = 1\n[[tube]]\nper_kg = 2", "COST-003", "tubes 1 and 2"),
        ("[discount]\npercent = 5\namount = 5", "COST-003", "discount"),
        ('[[extra]]\nwhat = "paint"\namount = 5\nhours = 5', "COST-003", "'paint'"),
        ("version = 2", "COST-003", "version 2"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_name(text, code, said):
    with pytest.raises(UserError) as stop:
        read(text)
    assert {finding.code for finding in stop.value.findings} == {code}
    assert any(said in f"{finding.sentence} {finding.todo}" for finding in stop.value.findings)


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"#" * 300_000])
def test_what_is_no_rates_file(content):
    with pytest.raises(UserError) as stop:
        rates_from_bytes(content, "x")
    assert stop.value.findings[0].code == "COST-001"
