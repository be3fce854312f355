"""What the page puts in for a person who begins a rule can be read, and never counts before it was changed."""

import pytest

from hoopwright.findings import Verdict
from hoopwright.rules.book import Provenance
from hoopwright.rules.engine import check_book
from hoopwright.rules.facts import Facts
from hoopwright.rules.kinds.registry import KINDS
from hoopwright.rules.reading import book_from_text
from hoopwright.rules.starters import new_book, starters, with_rule


def test_every_kind_has_one():
    assert [one.kind for one in starters()] == list(KINDS)


@pytest.mark.parametrize("one", starters(), ids=lambda one: one.kind)
def test_it_can_be_read_and_is_off(one):
    book = book_from_text(with_rule(new_book("mine"), one), "mine.toml")
    rule = book.rules[-1]
    assert (rule.kind, rule.provenance) == (one.kind, Provenance.NOT_VERIFIED)


def test_two_of_a_kind_have_two_names():
    text = new_book("mine")
    ovality = next(one for one in starters() if one.kind == "ovality")
    for _ in range(3):
        text = with_rule(text, ovality)
    book = book_from_text(text, "mine.toml")
    assert [rule.rule_id for rule in book.rules] == ["tube size", "ovality", "ovality 2", "ovality 3"]


def test_an_example_that_nobody_changed_is_never_a_pass():
    text = new_book("mine")
    for one in starters():
        text = with_rule(text, one)
    rows = check_book(book_from_text(text, "mine.toml"), Facts())
    assert {row.verdict for row in rows} == {Verdict.NOT_CHECKED}
    assert all(row.is_off for row in rows)
