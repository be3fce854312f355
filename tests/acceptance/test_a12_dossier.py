"""The scrutineer's file of a hoop and two side bars: numbered drawing, members, as-bent record, photo slots."""

import math
import re

import pytest
from PIL import Image
from pypdf import PdfReader

CLAIMS = re.compile(r"\b(safe|unsafe|safely|legal|legally|approved|approves|certified)\b", re.IGNORECASE)


@pytest.fixture(scope="module")
def dossier(hoopwright, files, tmp_path_factory):
    """Pages of the file as text, after a taped hoop, a note and a photo."""
    folder = tmp_path_factory.mktemp("a12")
    project = folder / "car"
    hoopwright.keys("new", project)
    feet = ("--end-a", "shell", "--end-b", "shell")
    hoopwright.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv", *feet)
    ends = ("--end-a", "shell", "--end-b", "free")
    nodes = files / "side_bar.csv"
    hoopwright.keys("bar", "add", project, "SB-L", "--role", "side bar", "--nodes", nodes, *ends)
    hoopwright.keys("bar", "mirror", project, "SB-L", "SB-R")
    hoopwright.keys("calibrate", files / "cal-1.toml", "--project", project)
    tape = ("--tape", "feet 1252", "--tape", "knees 1317.4")
    hoopwright.keys("asbent", project, "MH", *tape, "--keep", "--date", "2026-03-20")
    hoopwright.keys("dossier", "note", project, "hoop tried in the car", "--date", "2026-03-21")
    Image.linear_gradient("L").save(folder / "foot.png")
    hoopwright.keys("dossier", "photo", project, "MH foot A", folder / "foot.png")
    keys = hoopwright.keys("dossier", project, "--date", "2026-03-24")
    return keys, [" ".join(page.extract_text().split()) for page in PdfReader(keys["file"]).pages]


def page_of(pages, title):
    return next(text for text in pages[1:] if title in text)


def test_every_member_is_numbered_on_the_drawing_and_in_the_table(dossier):
    keys, pages = dossier
    assert keys["members"] == 3
    drawing = [text for text in pages if "Line drawing, every member numbered" in text][1:]
    assert len(drawing) == 4
    views = re.findall(r"from (?:the )?(?:front|rear|left|right|behind|above)\b", " ".join(drawing))
    assert len(set(views)) == 6
    assert len(views) == 7
    for text in drawing:
        for number, name in ((1, "MH main hoop"), (2, "SB-L side bar"), (3, "SB-R side bar")):
            assert f"{number} {name}" in text
    table = page_of(pages, "Members")
    for number, name in ((1, "MH main hoop"), (2, "SB-L side bar"), (3, "SB-R side bar")):
        assert f"{number} {name} 45 mm 2.5 mm" in table
    # A5: straights of 467.6, 631.2 and 617.0 and its angles, at the radius of 137.5
    along = 467.6 + 631.2 + 617.0 + math.radians(31.63 + 49.76) * 137.5
    assert [float(one) for one in re.findall(r"(\d+\.\d) mm ?2 of radius", table)] == pytest.approx(
        [along] * 2, abs=0.3
    )
    assert table.count("31.6°, 49.8°") == 2
    assert table.count("2 of radius 137.5") == 2


def test_the_hoop_stands_as_the_tape_found_it(dossier):
    """A7: both shoulders 0.34° over, knees within 0.05° of the drawing."""
    _, pages = dossier
    rows = re.findall(r"MH (\d) 137\.5 mm 137\.5 mm (\d+\.\d+)° (\d+\.\d+)°", " ".join(pages))
    over = [float(bent) - float(drawn) for _, drawn, bent in rows]
    assert over == pytest.approx([0.0, 0.34, 0.34, 0.0], abs=0.06)


def test_heat_numbers_are_left_to_the_certificates(dossier):
    keys, _ = dossier
    assert keys["to_fill_in"] == ["MH", "SB-L", "SB-R"]
    assert [finding["code"] for finding in keys["findings"]][:2] == ["DOSS-001", "DOSS-002"]


def test_photo_slots_log_and_forms_are_there(dossier):
    keys, pages = dossier
    assert keys["photos"] == 1
    photos = page_of(pages, "Photos")
    assert "MH foot A 2026" in photos
    assert "MH foot B" in photos
    assert "hoop tried in the car" in page_of(pages, "Build log")
    assert "signature" in page_of(pages, "Declaration of the builder")
    assert "signature" in page_of(pages, "Inspection")


def test_nothing_says_what_only_the_scrutineer_can(dossier):
    _, pages = dossier
    assert CLAIMS.findall(" ".join(pages)) == []
