"""A book that mixes editions: each line says of which it is, and the report says that they are mixed."""

import pytest

BOOK = """\
[book]
id = "mixed"
body = "Hill Club"
edition = "2007 to 2014, as each line says"
mixes_editions = true
unit = "mm"
provenance = "quoted"

[[rule]]
id = "wall"
clause = "3"
edition = "2014"
kind = "section"
wall_least = 9

[[rule]]
id = "hoops"
clause = "4"
kind = "members"
applies = "main hoop"
least = 2
"""


@pytest.fixture
def car(hoop_held_to):
    return hoop_held_to(BOOK)


def test_each_line_says_its_edition_and_the_report_that_they_are_mixed(hoopwright, car):
    keys = hoopwright.keys("rules", "check", car)
    assert {row["rule_id"]: row["edition"] for row in keys["rows"]} == {"wall": "2014", "hoops": "not stated"}
    (mixed,) = (one for one in keys["findings"] if one["code"] == "HELD-023")
    assert mixed["sentence"] == (
        "mixed is no one edition: its lines are of 2014 (1), and of editions that their source does not state (1)."
    )
    failed = [one["sentence"] for one in keys["findings"] if one["code"] == "HELD-020"]
    assert "(rule wall, clause 3, Hill Club, edition 2014)" in failed[0]
    assert "(rule hoops, clause 4, Hill Club, edition not stated)" in failed[1]
    text = hoopwright.run("rules", "check", car).out
    assert "FAIL: wall (wall) [3, edition 2014], MH" in text
    assert "FAIL: hoops [4, edition not stated], main hoop" in text


def test_the_book_in_words_has_the_edition_of_each_line(hoopwright, car):
    keys = hoopwright.keys("rules", "show", car)
    assert keys["mixes_editions"] is True
    assert [one["edition"] for one in keys["rules"]] == ["2014", "not stated"]
    assert "HELD-023" in [one["code"] for one in keys["findings"]]
    assert "HELD-023" in [
        one["code"] for one in hoopwright.keys("rules", "show", "fia-253-undated")["findings"]
    ]
    wall, hoops = hoopwright.run("rules", "show", car).out.splitlines()[-2:]
    assert wall.split()[:3] == ["wall", "3", "2014"]
    assert hoops.split()[:4] == ["hoops", "4", "not", "stated"]


def test_a_book_of_one_edition_says_nothing_of_it(hoopwright, car, tmp_path):
    file = tmp_path / "mixed.toml"
    file.write_text(
        BOOK.replace('edition = "2014"\n', "").replace("mixes_editions = true\n", ""), encoding="utf-8"
    )
    keys = hoopwright.keys("rules", "check", car, "--book", file)
    assert {row["edition"] for row in keys["rows"]} == {"2007 to 2014, as each line says"}
    assert "HELD-023" not in [one["code"] for one in keys["findings"]]
    assert (
        ", edition"
        not in hoopwright.run("rules", "check", car, "--book", file, "--failed").out.split("\n\n")[1]
    )


def test_another_edition_is_refused_in_a_book_that_does_not_say_that_it_mixes(hoopwright, tmp_path):
    file = tmp_path / "mixed.toml"
    file.write_text(BOOK.replace("mixes_editions = true\n", ""), encoding="utf-8")
    (found,) = hoopwright.run("rules", "check", file, "--json").keys["findings"]
    assert (found["code"], "mixes_editions = true" in found["todo"]) == ("RULE-008", True)
