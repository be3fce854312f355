"""Every rule book that ships reads, agrees with its own cases, says where each line comes from and claims nothing."""

import re

import pytest
from tests.rules.shipped import EXAMPLE, FILES, TABLE, table
from tests.rules.test_typed_by_hand import facts

from hoopwright.findings import Verdict
from hoopwright.rules.book import Provenance
from hoopwright.rules.cases import check_cases
from hoopwright.rules.engine import check_book
from hoopwright.rules.reading import read_book
from hoopwright.rules.rows import overall

BOOKS = pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
NO_LIMIT = ("question", "load test")
ADDRESS = re.compile(r"https?://\S+")
CLAIMS = re.compile(r"\b(?:safe|unsafe|safely|legal|legally|approved|approves|certified)\b", re.IGNORECASE)


def test_there_are_books():
    assert len(FILES) > 40


@BOOKS
def test_read_cases_agree(file):
    book = read_book(file)
    assert book.book_id == file.stem
    assert check_cases(book, basis="read") == ()


@pytest.mark.memory
@BOOKS
def test_remembered_cases_agree(file):
    assert check_cases(read_book(file), basis="memory") == ()


@BOOKS
def test_every_line_says_how_it_is_known_and_from_where(file):
    book = read_book(file)
    for rule in book.rules:
        assert rule.source or book.source, rule.rule_id
        if rule.provenance is Provenance.NOT_VERIFIED:
            assert rule.confidence, rule.rule_id
            assert {case.basis for case in rule.cases} <= {"memory"}, rule.rule_id


@BOOKS
def test_every_line_has_words_and_every_limit_a_pass_and_a_fail(file):
    for rule in read_book(file).rules:
        assert rule.words, rule.rule_id
        if rule.kind not in NO_LIMIT:
            assert {Verdict.PASS, Verdict.FAIL} <= {case.expect for case in rule.cases}, rule.rule_id


@BOOKS
def test_no_clause_stands_twice(file):
    rules = read_book(file).rules
    words = [(rule.clause, rule.words) for rule in rules]
    limits = [
        (rule.clause, rule.kind, rule.limits, rule.roles, rule.but, rule.conditions)
        for rule in rules
        if rule.kind not in NO_LIMIT
    ]
    assert len(set(words)) == len(words)
    assert all(limits.count(one) == 1 for one in limits)


@BOOKS
def test_a_book_claims_nothing_and_sends_to_the_current_text(file):
    text = file.read_text(encoding="utf-8")
    assert CLAIMS.search(ADDRESS.sub("", text)) is None
    assert "current official text" in " ".join(read_book(file).cautions)


def test_weights_have_a_basis_where_sizes_go_by_them():
    for file in FILES:
        book = read_book(file)
        for rule in book.rules:
            by_weight = bool(getattr(rule.limits, "bands", ())) or rule.conditions.weight_over_kg is not None
            assert not by_weight or (rule.weight_basis or book.weight_basis), (file.stem, rule.rule_id)


def test_the_table_of_books_is_as_they_are():
    assert TABLE.read_text(encoding="utf-8") == table()


def test_the_example_of_a_club_judges_a_known_cage():
    book = read_book(next(file for file in FILES if file.stem == EXAMPLE))
    found: dict[str, list[Verdict]] = {}
    for row in check_book(book, facts()):
        found.setdefault(row.rule_id, []).append(row.verdict)
    ends = {rule_id: overall(verdicts).value for rule_id, verdicts in found.items()}
    assert ends == {
        "hoop": "pass",
        "radius": "pass",
        "ovality": "fail",
        "front-leg": "fail",
        "backstay": "fail",
        "foot-plate": "fail",
        "helmet": "fail",
    }
