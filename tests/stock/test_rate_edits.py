"""Values changed in the text of a rates file, held against what a TOML reader reads before and after."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.findings import UserError
from hoopwright.stock.rate_edits import value_at, with_values
from hoopwright.stock.rate_files import rates_from_bytes, rates_template
from hoopwright.tubes import TubeSize

PLACES = (
    *(("currency",), ("kerf",), ("price", "per_hour"), ("minutes", "per_bend"), ("tax", "percent")),
    *(("discount", "percent"), ("tube", 0, "per_metre"), ("tube", 1, "per_metre")),
)
SIZES = [(TubeSize(od_mm=45.0, wall_mm=2.5), ""), (TubeSize(od_mm=38.0, wall_mm=2.5), "")]


def notes(text):
    return [line.partition("#")[2] for line in text.splitlines() if "#" in line]


@given(st.dictionaries(st.sampled_from(PLACES), st.sampled_from(["", "12", "4.20", "8,1", '"', "\\", "Ft"])))
def test_only_what_was_asked_changes_and_all_notes_stay(values):
    before = rates_template(SIZES)
    after = with_values(before, values, "rates.toml")
    assert notes(after) == notes(before)
    assert len(after.splitlines()) == len(before.splitlines())
    for place in PLACES:
        assert value_at(after, place) == values.get(place, value_at(before, place))


def test_a_note_stays_in_its_column():
    text = '[price]\nper_hour = ""        # of work\n'
    assert (
        with_values(text, {("price", "per_hour"): "85"}, "r") == '[price]\nper_hour = "85"      # of work\n'
    )


def test_what_is_not_there_yet_is_put_in():
    text = '# mine\ncurrency = "EUR"  # as printed\n\n[[tube]]\nod = 45\nwall = 2.5\nper_kg = 3\n\n# below\n[tax]\n'
    values = {
        ("kerf",): "2",
        ("price", "per_hour"): "80",
        ("tax", "percent"): "8.1",
        ("tube", 1, "od"): "38",
        ("tube", 1, "wall"): "2.5",
        ("tube", 1, "per_metre"): "6",
    }
    after = with_values(text, values, "rates.toml")
    assert notes(after) == notes(text)
    rates = rates_from_bytes(after.encode(), "rates.toml")
    assert (rates.kerf_mm, str(rates.per_hour), str(rates.tax_percent)) == (2.0, "80", "8.1")
    assert [str(rate.per_metre) for rate in rates.tubes] == ["None", "6"]
    assert str(rates.tubes[0].per_kg) == "3"


@pytest.mark.parametrize(
    "text",
    [
        'price = { per_hour = "80" }\n',
        'price.per_hour = "80"\n',
        '[price]\nper_hour = """80"""\n',
        '[price]\n"per_hour" = "80"\n',
    ],
)
def test_what_is_written_in_another_way_is_left_and_said(text):
    with pytest.raises(UserError) as stopped:
        with_values(text, {("price", "per_hour"): "90"}, "rates.toml")
    (found,) = stopped.value.findings
    assert found.code == "COST-027"
    assert "price per_hour" in found.sentence


def test_an_empty_file_gets_what_is_typed():
    after = with_values("", {("price", "per_hour"): "80", ("currency",): "CHF"}, "rates.toml")
    assert tomllib.loads(after) == {"currency": "CHF", "price": {"per_hour": "80"}}
