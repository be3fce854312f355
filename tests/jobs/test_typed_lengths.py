"""A list of lengths typed on a page: what is understood, the plan of a whole cage's list, and what cannot be."""

import pytest
from pypdf import PdfReader

from hoopwright.findings import UserError
from hoopwright.jobs.stick_words import stick_offers, stick_price
from hoopwright.jobs.stock import StockWishes
from hoopwright.jobs.stock_words import bought_words, parts_words, proof_words, spare_words
from hoopwright.jobs.typed_lengths import lengths_words, plan_lengths, put_length_papers, typed_lengths
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize

CAGE = "3385; 2 x 1990; 1460, 1460\n1290; 2x1180; 1120; 980, 980; 860; 860; 640 ;640; 420; 420;"
TUBE = TubeSize(od_mm=38.0, wall_mm=2.5)


@pytest.fixture
def folder(hoopwright, tmp_path):
    hoopwright.keys("new", tmp_path / "car")
    return ProjectFolder(path=tmp_path / "car")


def test_a_list_of_seventeen_bars_takes_four_sticks(folder):
    """20 855 mm are more than three sticks of 6 m hold (18 m), and at 2.1887 kg/m 45.6 kg: reckoned by hand."""
    pieces = typed_lengths(CAGE)
    assert sum(piece.count for piece in pieces) == 17
    assert lengths_words(pieces) == "17 pieces, 20.855 m, the longest 3385 mm"
    wishes = StockWishes(offers=stick_offers("6 m"), price=stick_price("4,20/m"))
    found = plan_lengths(folder, pieces, TUBE, wishes)
    (group,) = found.groups
    assert proof_words(group) == "4 sticks. ✓ proven: no plan takes fewer."
    assert parts_words(group) == "20.855 m of parts, 45.6 kg, 13.1 % waste, the saw taking 3 mm"
    assert spare_words(group, "the longest").startswith(
        "A spare is proposed, not counted; with it 5 sticks, 1 more:"
    )
    assert bought_words(group) == "4 x 6000 mm, 52.5 kg, 100.80"
    for put in put_length_papers(folder, found, date="2026-01-01"):
        text = "".join(page.extract_text() for page in PdfReader(put.file).pages)
        assert text.count("heat") >= 4


def test_the_rates_of_the_person_hold_for_a_list_too(folder):
    (folder.path / "rates.toml").write_text(
        'kerf = 2.0\n[[tube]]\nod = 38\nwall = 2.5\nper_stick = "30"\nstick = "7 m"\n', encoding="utf-8"
    )
    (group,) = plan_lengths(folder, typed_lengths("6500"), TUBE, StockWishes()).groups
    assert bought_words(group).endswith("30.00")
    assert group.plan.task.rules.kerf_mm == 2.0


@pytest.mark.parametrize(
    ("text", "lengths_mm"),
    [
        ("44,45; 1,5 m", [44.45, 1500.0]),
        ("44,45, 30", [44.45, 30.0]),
        ('2 x 1 3/4"; 10 ft', [44.45, 44.45, 3048.0]),
        ("1200", [1200.0]),
    ],
)
def test_lengths_as_people_type_them(text, lengths_mm):
    read = [length for piece in typed_lengths(text) for length in [piece.length_mm] * piece.count]
    assert read == pytest.approx(lengths_mm)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "TYPED-001"),
        ("3385,1990,1990", "TYPED-001"),
        ("3385,1990", "TYPED-001"),
        ("-20", "CUTS-001"),
        ("0", "CUTS-001"),
        ("nan", "UNIT-001"),
        ("0 x 500", "CUTS-001"),
        ("9999 x 500", "CUTS-001"),
        ("4000 x 500; 4000 x 400", "CUTS-001"),
        ("long", "UNIT-001"),
    ],
)
def test_what_is_no_length_is_told(text, code):
    with pytest.raises(UserError) as stopped:
        typed_lengths(text)
    assert [finding.code for finding in stopped.value.findings] == [code]


def test_a_piece_longer_than_any_stick(folder):
    with pytest.raises(UserError) as stopped:
        plan_lengths(folder, typed_lengths("6500"), TUBE, StockWishes())
    assert [finding.code for finding in stopped.value.findings] == ["CUTS-004"]
