"""A rule book in the scrutineer's file: its lines, answers to them, and the model's own checks beside."""

import re
from dataclasses import replace

from tests.jobs.dossier.making import made, pages_of, recorded, words_of

from hoopwright.jobs.checks import check_project
from hoopwright.papers.dossier import RuleLine, rule_parts
from hoopwright.papers.drawing import Box, Polyline
from hoopwright.store import ProjectFolder
from hoopwright.store.build_records import BookPin, HandAnswer

BOOK = """\
[book]
id = "hill-club-2026"
body = "Hill Club"
edition = "2026 issue 1"
unit = "mm"
provenance = "read"

[[rule]]
id = "radius"
page = "41"
clause = "8.3.2"
kind = "bend radius"
least_times_od = 3

[[rule]]
id = "hoop"
page = "43"
kind = "tube size"
applies = "main hoop"
sizes = ["50 x 2"]

[[rule]]
id = "helmet"
page = "47"
kind = "helmet"
least = 50
"""


def test_lines_of_a_book_stand_with_clause_limit_and_verdict(hoopwright, project, tmp_path):
    before = words_of(made(hoopwright, project)[1])
    assert "No rule book is pinned." in before
    (tmp_path / "hill-club-2026.toml").write_text(BOOK, encoding="utf-8")
    hoopwright.keys("rules", "pin", project, tmp_path / "hill-club-2026.toml")
    _, file = made(hoopwright, project)
    page = next(
        text for text in pages_of(file)[1:] if "Held to hill-club-2026, edition 2026 issue 1." in text
    )
    assert "It was typed from: Hill Club, rules." in page
    inspection = next(text for text in pages_of(file)[1:] if "in the inspector's words" in text)
    assert "Hill Club" in inspection
    # 137.5 mm on a tube of 45 mm
    assert re.search(r"8\.3\.2 41 .*3\.06 x .*pass", page)
    assert re.search(r"hoop 43 .*45 x 2\.5.*fail", page)
    assert re.search(r"helmet 47 .*not checked", page)
    # rows of the book are not told again among the model's own checks
    own = next(text for text in pages_of(file)[1:] if "What the model can measure of itself" in text)
    assert "rule radius" not in own
    assert "Hill Club" not in own.replace("It was typed from: Hill Club, rules.", "")


def test_an_answer_is_shown_though_its_book_is_gone(hoopwright, project):
    answer = HandAnswer(
        book_id="club", edition="2026", rule_id="seat-1", answer="pass", words="two hands moved it 0 mm",
        by="M. Arrow", date="2026-03-19",
    )  # fmt: skip
    recorded(
        project,
        book=BookPin(book_id="club", edition="2026", sha256="0" * 64),
        answers=(answer, replace(answer, edition="2025", words="of another edition")),
    )
    words = words_of(made(hoopwright, project)[1])
    assert "two hands moved it 0 mm" in words
    assert "of another edition" not in words
    assert "No line of a book was checked here" in words


def test_what_passed_the_same_check_stands_in_one_line_with_the_value_nearest_to_the_limit(
    hoopwright, project
):
    """Three bars: six ends, of which two land on the hoop; checks of the ends were a line each before."""
    report = check_project(ProjectFolder(path=project))
    meets = [row for row in report.rows if row.alike == "ends meet the bars that they land on"]
    assert len(meets) == 2
    _, file = made(hoopwright, project)
    words = words_of(file)
    assert words.count("ends meet the bars that they land on") == 1
    assert "2 together" in words
    worst = max(meets, key=lambda row: row.measured)
    assert f"nearest to the limit: {worst.about} {worst.check}. Of SB-L, SB-R" in words


def test_a_line_that_nobody_looked_at_has_room_to_write_on():
    asked = RuleLine(
        clause="5.2", page="15", requirement="Padding", limit="", value="", verdict="not checked", how="look"
    )
    for verdict, lines in (("not checked", 1), ("not applicable", 0)):
        drawn = [
            item
            for part in rule_parts([replace(asked, verdict=verdict)], 180.0)[1:]
            for item in part.draw(Box(left_mm=0.0, top_mm=0.0, width_mm=180.0, height_mm=part.height_mm))
        ]
        dotted = [item for item in drawn if isinstance(item, Polyline) and item.dash_mm]
        assert len(dotted) == lines
