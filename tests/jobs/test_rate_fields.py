"""The usual rates as fields: what is typed in one is what the quote reckons with, and the notes of the file stay."""

from decimal import Decimal

import pytest

from hoopwright.cage import Cage, Member, Role
from hoopwright.findings import UserError
from hoopwright.jobs.cuts import StickPrice
from hoopwright.jobs.quotes import rates_known
from hoopwright.jobs.rate_fields import keep_rate_fields, keep_stick_price, rate_fields, tube_price_words
from hoopwright.jobs.stick_rates import sticks_to_buy
from hoopwright.jobs.typed_texts import keep_rates_text
from hoopwright.store import Project, ProjectFolder
from hoopwright.tubes import TubeSize

THICK, THIN = TubeSize(od_mm=45.0, wall_mm=2.5), TubeSize(od_mm=38.0, wall_mm=2.5)
NODES = ((0.0, 600.0, 0.0), (0.0, 600.0, 1000.0), (0.0, -600.0, 1000.0), (0.0, -600.0, 0.0))


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("HOOPWRIGHT_RATES", str(tmp_path / "own" / "rates.toml"))
    members = tuple(
        Member(member_id=name, role=role, nodes_mm=NODES, tube=tube, die="", clr_mm=137.0)
        for name, role, tube in (("MH", Role.MAIN_HOOP, THICK), ("FH", Role.FRONT_HOOP, THIN))
    )
    made = ProjectFolder(path=tmp_path / "car")
    made.create(Project(name="p", cage=Cage(members=members)))
    return made


def typed(fields, **by_label):
    said = {one.place: one.value for one in fields.fields}
    for label, value in by_label.items():
        (place,) = [one.place for one in fields.fields if label.replace("_", " ") in one.label]
        said[place] = value
    return said


def test_what_is_typed_in_a_field_counts_and_the_notes_stay(folder):
    fields = rate_fields(folder)
    assert {one.value for one in fields.fields} == {""}
    kept = keep_rate_fields(folder, fields, typed(fields, hour_of_work="85", Tax="8.1", Tube_45="5,20"))
    rates = rates_known(None, folder).rates
    assert (rates.per_hour, rates.tax_percent) == (Decimal(85), Decimal("8.1"))
    assert rates.tube_rate(THICK, "").per_metre == Decimal("5.20")
    assert "# of work" in kept.text
    again = rate_fields(folder)
    assert {one.label: one.value for one in again.fields if one.value} == {
        "An hour of work": "85",
        "Tax, %": "8.1",
        "Tube 45 x 2.5 mm: a metre": "5,20",
    }


def test_the_projects_own_rates_are_those_that_are_changed(folder):
    (folder.path / "rates.toml").write_text(
        "# ours\n[[tube]]\nod = 45\nwall = 2.5\nper_kg = 3\n", encoding="utf-8"
    )
    fields = rate_fields(folder)
    keep_rate_fields(folder, fields, typed(fields, Tube_45="3.10"))
    text = (folder.path / "rates.toml").read_text(encoding="utf-8")
    assert text.startswith('# ours\n[[tube]]\nod = 45\nwall = 2.5\nper_kg = "3.10"\n')


def test_what_cannot_be_and_what_was_changed_meanwhile_is_refused(folder):
    fields = rate_fields(folder)
    with pytest.raises(UserError) as stopped:
        keep_rate_fields(folder, fields, typed(fields, Discount="120", hour_of_work="1,234"))
    assert {finding.code for finding in stopped.value.findings} == {"COST-002"}
    keep_rates_text(folder, 'currency = "EUR"\n', was="")
    with pytest.raises(UserError) as stopped:
        keep_rate_fields(folder, fields, typed(fields, hour_of_work="85"))
    assert stopped.value.findings[0].code == "WEB-120"
    assert rates_known(None, folder).rates.currency == "EUR"


@pytest.mark.parametrize(
    ("price", "stick"), [(StickPrice(amount=4.2), 25.2), (StickPrice(amount=30.0, per_metre=False), 30.0)]
)
def test_a_price_typed_for_sticks_is_there_the_next_time(folder, price, stick):
    tubes = [(THICK, ""), (THIN, "")]
    assert keep_stick_price(folder, price, tubes, 6000.0) == ("45 x 2.5", "38 x 2.5")
    rates = rates_known(None, folder).rates  # as after a reload, and as the command has it
    for tube, steel in tubes:
        (offer,) = sticks_to_buy((), None, rates, tube, steel)
        assert (offer.length_mm, offer.price) == (6000.0, pytest.approx(stick))
    assert keep_stick_price(folder, StickPrice(amount=9.0), tubes, 6000.0) == ()
    assert rates_known(None, folder).rates == rates


def test_the_prices_that_are_kept_are_said_where_one_could_be_typed(folder):
    assert tube_price_words(folder) == ""
    keep_stick_price(folder, StickPrice(amount=4.2), [(THICK, "")], 6000.0)
    assert tube_price_words(folder) == "45 x 2.5 at 4.2 a metre"


def test_the_command_takes_a_kept_price_for_a_size_that_is_named(hoopwright, folder, tmp_path):
    keep_stick_price(folder, StickPrice(amount=4.2), [(THICK, "")], 6000.0)
    (tmp_path / "list.csv").write_text("name,length_mm,count\nA,2000,2\n", encoding="utf-8")
    asked = ("cuts", tmp_path / "list.csv", "--stick", "6000", "--kerf", "3")
    size = ("--od", "45", "--wall", "2.5")
    priced = [hoopwright.keys(*asked, *more).get("price") for more in ((), size, (*size, "--price", "5/m"))]
    assert priced == [None, pytest.approx(25.2), pytest.approx(30.0)]
