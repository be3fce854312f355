"""Books and rates edited as texts: faults told with their lines, nothing lost, nothing overwritten."""

import pytest

from hoopwright.findings import UserError
from hoopwright.jobs.typed_texts import (
    book_faults,
    book_text,
    keep_book_text,
    keep_rates_text,
    rates_text,
)
from hoopwright.store import ProjectFolder

BOOK = """\
[book]
id = "my-club"
body = "My club"
edition = "2026"
unit = "mm"
provenance = "read"
[[rule]]
id = "hoop"
kind = "tube size"
applies = "main hoop"
sizes = ["45 x 2.5"]
"""


@pytest.fixture
def folder(hoopwright, tmp_path):
    hoopwright.keys("new", tmp_path / "car")
    books = tmp_path / "car" / "books"
    books.mkdir()
    (books / "my-club.toml").write_text(BOOK)
    return ProjectFolder(path=tmp_path / "car")


def codes(error):
    return [one.code for one in error.value.findings]


def test_a_faulty_text_is_not_kept_and_its_line_is_told(folder):
    now = book_text(folder, "my-club")
    assert now.text == BOOK
    faulty = BOOK.replace("sizes", "sise")
    assert any("line 11" in one.sentence for one in book_faults(faulty, "my-club"))
    with pytest.raises(UserError) as error:
        keep_book_text(folder, "my-club", faulty, was=now.sha256)
    assert all(code.startswith("RULE-") for code in codes(error))
    assert now.file.read_text() == BOOK


def test_a_kept_text_puts_the_one_before_aside(folder):
    now = book_text(folder, "my-club")
    other = BOOK.replace("45 x 2.5", "50 x 2")
    kept = keep_book_text(folder, "my-club", other, was=now.sha256)
    assert kept.text == other
    (aside,) = (now.file.parent / "replaced").iterdir()
    assert aside.read_text() == BOOK


def test_a_text_that_another_window_changed_is_not_overwritten(folder):
    first = second = book_text(folder, "my-club")
    keep_book_text(folder, "my-club", BOOK.replace("45 x 2.5", "50 x 2"), was=first.sha256)
    with pytest.raises(UserError) as error:
        keep_book_text(folder, "my-club", BOOK + "\n", was=second.sha256)
    assert codes(error) == ["WEB-120"]
    assert "50 x 2" in first.file.read_text()


def test_a_case_that_ends_otherwise_is_a_fault(folder):
    told = book_faults(BOOK + 'case = [{ tube = "40 x 2", expect = "pass" }]\n', "my-club")
    assert [one.code for one in told] == ["WEB-122"]


@pytest.mark.parametrize("name", ["../cage", "nothing-of-the-kind"])
def test_no_other_file_can_be_edited_as_a_book(folder, name):
    with pytest.raises(UserError) as error:
        book_text(folder, name)
    assert codes(error) == ["HELD-010"]


def test_a_book_that_came_with_the_tool_is_not_edited(folder):
    with pytest.raises(UserError) as error:
        book_text(folder, "champcar-3")
    assert codes(error) == ["WEB-121"]


def test_rates_begin_as_a_form_and_are_kept_as_the_persons_own(folder, tmp_path, monkeypatch):
    own = tmp_path / "own" / "rates.toml"
    monkeypatch.setenv("HOOPWRIGHT_RATES", str(own))
    form = rates_text(folder)
    assert (form.file, form.sha256) == (own, "")
    with pytest.raises(UserError) as error:
        keep_rates_text(folder, form.text + "\nhello", was="")
    assert codes(error) == ["COST-001"]
    assert not own.exists()
    kept = keep_rates_text(folder, form.text, was="")
    assert own.read_text() == form.text
    with pytest.raises(UserError) as error:
        keep_rates_text(folder, form.text, was="")
    assert codes(error) == ["WEB-120"]
    keep_rates_text(folder, form.text + "\n", was=kept.sha256)
    assert (tmp_path / "own" / "rates.before.toml").read_text() == form.text
