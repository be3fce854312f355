"""Every rule book that ships reads, agrees with its own cases, says where each line comes from and claims nothing."""

import re
from collections import defaultdict
from dataclasses import replace

import pytest
from tests.rules.shipped import EXAMPLE, FILES, TABLE, table
from tests.rules.test_typed_by_hand import facts
from tests.rules.topics import TOPICS, named_in, topics_of

from hoopwright.findings import Verdict
from hoopwright.rules.book import Provenance
from hoopwright.rules.cases import check_cases
from hoopwright.rules.coverage import Covered, coverage
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


def test_what_one_book_of_a_body_holds_its_others_hold_or_name_with_what_to_ask():
    of_body = defaultdict(list)
    for file in FILES:
        book = read_book(file)
        of_body[book.body].append(book)
    silent, known = [], 0
    for books in of_body.values():
        held = set().union(*map(topics_of, books))
        known += len(held) if len(books) > 1 else 0
        silent += [(book.book_id, held - topics_of(book) - named_in(book)) for book in books]
    assert [one for one in silent if one[1]] == []
    assert known > 40


def test_every_kind_of_rule_belongs_to_a_topic():
    kinds = {rule.kind for file in FILES for rule in read_book(file).rules}
    assert kinds - set().union(*(own for own, _ in TOPICS.values())) == {"question", "same tube"}


@BOOKS
def test_what_is_not_done_is_asked_by_hand_and_is_not_there_besides(file):
    book = read_book(file)
    for one in book.not_done:
        assert one.why, one.words
        if one.words in TOPICS:
            assert one.ask == TOPICS[one.words][1]
    assert named_in(book) & topics_of(book) == set()
    told = {row.words: row.needs for row in coverage(book) if row.covered is Covered.NOT_DONE}
    for one in book.not_done:
        assert told[one.words] == (f"{one.why}; ask by hand: {one.ask}" if one.ask else one.why)


def test_a_book_that_leaves_out_what_another_holds_would_be_seen():
    books = {file.stem: read_book(file) for file in FILES}
    bare = replace(books["scca-gcr-2026"], not_done=())
    assert "bend radius" in topics_of(books["scca-gcr-2008-2009"]) - topics_of(bare) - named_in(bare)
