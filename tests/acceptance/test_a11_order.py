"""A cage's order: metres, mass, sticks, waste, the list with heat-number fields, price, and the spare."""

import re

import pytest
from pypdf import PdfReader

LENGTHS_MM = (
    *(3385, 1990, 1990, 1460, 1460, 1290, 1180, 1180, 1120),
    *(980, 980, 860, 860, 640, 640, 420, 420),
)


@pytest.fixture
def cage(tmp_path):
    file = tmp_path / "cage.csv"
    rows = [f"bar {number:02d},{length},1" for number, length in enumerate(LENGTHS_MM, start=1)]
    file.write_text("\n".join(["name,length_mm,count", *rows]), encoding="utf-8")
    return file


@pytest.fixture
def ordered(hoopwright, cage, tmp_path):
    words = ("--stick", "6000", "--kerf", "3", "--od", "38", "--wall", "2.5", "--price", "4.20/m")
    return hoopwright.keys("cuts", cage, *words, "--pdf", tmp_path / "list.pdf", "--date", "2026-03-01")


def test_sticks_waste_and_proof(ordered):
    assert ordered["parts_mm"] == pytest.approx(20_855.0, abs=1e-9)
    assert (ordered["stick_count"], ordered["lower_bound"], ordered["proven_optimal"]) == (4, 4, True)
    assert ordered["waste_ratio"] == pytest.approx(1.0 - 20_855.0 / 24_000.0, abs=1e-12)
    assert round(100.0 * ordered["waste_ratio"], 1) == 13.1
    cut = sorted(part["length_mm"] for stick in ordered["sticks"] for part in stick["parts"])
    assert cut == sorted(map(float, LENGTHS_MM))
    for stick in ordered["sticks"]:
        parts = [part["length_mm"] for part in stick["parts"]]
        assert sum(parts) + 3.0 * (len(parts) - 1) <= 6000.0


def test_mass_and_price(ordered):
    # pi/4 (38^2 - 33^2) mm2 of steel at 7850 kg/m3: 2.1887 kg/m
    assert ordered["mass_kg"] == pytest.approx(45.6, abs=0.1)
    assert ordered["price"] == pytest.approx(4 * 6.0 * 4.20, abs=1e-9)


def test_the_spare_is_proposed_and_not_counted(ordered, hoopwright, cage):
    spare = ordered["spares"][0]
    assert (spare["proposed"], spare["length_mm"], spare["asked"]) == ("bar 01", 3385.0, False)
    assert (spare["with_spares"]["stick_count"], spare["with_spares"]["lower_bound"]) == (5, 5)
    asked = hoopwright.keys("cuts", cage, "--stick", "6000", "--kerf", "3", "--spare", "bar 01")
    assert asked["stick_count"] == 4
    assert asked["spares"][0]["with_spares"]["stick_count"] == 5


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_list_has_each_stick_with_a_field_for_its_heat_number(hoopwright, cage, ordered, tmp_path, paper):
    file = tmp_path / f"{paper}.pdf"
    hoopwright.keys("cuts", cage, "--stick", "6000", "--kerf", "3", "--pdf", file, "--paper", paper)
    text = "".join(page.extract_text() for page in PdfReader(file).pages)
    assert text.count("heat number") == 4
    for stick in ordered["sticks"]:
        assert f"{stick['number']}   stick to buy" in text
    assert len(re.findall(r"bar \d\d", text)) >= len(LENGTHS_MM)
    assert not re.search(r"\b(safe|legal|approved)\b", text, re.IGNORECASE)


def test_three_sticks_do_not_suffice(hoopwright, cage):
    assert hoopwright.stops("cuts", cage, "--stick", "6000:3", "--kerf", "3") == ["CUTS-005"]
