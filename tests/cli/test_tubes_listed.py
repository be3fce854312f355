"""The tubes that a book allows: the lightest ten, and how to see the rest."""

import pytest

BOOK = """\
[book]
id = "thin"
body = "Hill Club"
edition = "2026"
unit = "mm"
provenance = "read"

[[rule]]
id = "wall"
kind = "section"
wall_least = 1.5
"""


@pytest.fixture
def book(tmp_path):
    file = tmp_path / "thin.toml"
    file.write_text(BOOK, encoding="utf-8")
    return file


def test_the_lightest_ten_are_listed_and_how_many_more_there_are(hoopwright, book):
    keys = hoopwright.keys("tubes", "--book", book)
    passing = [one for one in keys["tubes"] if one["verdict"] == "pass"]
    assert len(passing) > 10
    text = hoopwright.run("tubes", "--book", book).out
    shown = text.split("\n\n")[1].splitlines()
    assert len(shown) == 12  # a head, ten tubes, and what is left
    for line, one in zip(shown[1:11], passing, strict=False):
        assert line.split()[0:3] == one["tube"].split()[0:3]
        assert f"{one['kg_per_m']:.2f}" in line
    assert shown[11] == f"and {len(passing) - 10} heavier ones that meet the limits; --all lists them"


def test_those_of_which_something_is_not_known_are_not_cut_short_in_silence(hoopwright, tmp_path):
    file = tmp_path / "thin.toml"
    file.write_text(BOOK + '[[rule]]\nid = "made"\nkind = "material"\nother_most = 1\n', encoding="utf-8")
    told = [
        one for one in hoopwright.keys("tubes", "--book", file)["tubes"] if one["verdict"] == "not checked"
    ]
    line = f"and {len(told) - 10} heavier ones such; --all lists them"
    assert line in hoopwright.run("tubes", "--book", file).out.splitlines()
    assert "heavier ones" not in hoopwright.run("tubes", "--book", file, "--all").out


def test_all_of_them_are_listed_on_request(hoopwright, book):
    passing = [one for one in hoopwright.keys("tubes", "--book", book)["tubes"] if one["verdict"] == "pass"]
    shown = hoopwright.run("tubes", "--book", book, "--all").out.split("\n\n")[1].splitlines()
    assert len(shown) == 1 + len(passing)
    assert "heavier ones" not in "".join(shown)
