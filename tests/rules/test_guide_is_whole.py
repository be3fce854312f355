"""The guide to rule books names every key, kind, role, measure and pattern that a book can use, and no other kind."""

import re
from pathlib import Path

import pytest

from hoopwright.cage.member import Role
from hoopwright.rules.book_keys import BASES, RULE_KEYS, HeadKeys
from hoopwright.rules.case_keys import FLAT, CaseKeys
from hoopwright.rules.case_tables import CarKeys, CertificateKeys, ExtentKeys, HoleKeys, PatternKeys
from hoopwright.rules.kinds.pattern import PATTERNS
from hoopwright.rules.kinds.registry import KINDS
from hoopwright.rules.kinds.tube_size import Band, Relax, Size
from hoopwright.rules.measures import MEASURES
from hoopwright.rules.refusals import names_of

GUIDE = (Path(__file__).parents[2] / "docs" / "rule-books.md").read_text(encoding="utf-8")
ROWS = dict(re.findall(r"^\| `([^`]+)`(?:, `[^`]+`)* \|(.*)\|$", GUIDE, flags=re.MULTILINE))
SHARED_ROWS = {"ratio": "distance"}


def words_in(text):
    return set(re.findall(r"[a-z][a-z_0-9]*", text))


@pytest.mark.parametrize("name", sorted(KINDS))
def test_every_key_of_every_kind_is_named(name):
    row = ROWS[SHARED_ROWS.get(name, name)]
    assert set(names_of(KINDS[name].limits)) - words_in(row) == set()


def test_every_other_name_is_there():
    tables = (
        HeadKeys,
        CaseKeys,
        CarKeys,
        CertificateKeys,
        ExtentKeys,
        HoleKeys,
        PatternKeys,
        Band,
        Relax,
        Size,
    )
    flat = [model for _, model in FLAT.values()]
    keys = {key for model in (*tables, *flat) for key in names_of(model)} | set(RULE_KEYS)
    assert keys - words_in(GUIDE) == set()
    names = [*BASES, *(role.value for role in Role), *MEASURES, *PATTERNS]
    assert [name for name in names if f"`{name}`" not in GUIDE] == []


def test_no_kind_is_named_that_is_not_there():
    listed = re.search(r"\| kind \| looks at.*?\n\n", GUIDE, flags=re.DOTALL)
    assert listed is not None
    heads = re.findall(r"^\| ((?:`[^`]+`(?:, )?)+) \|", listed[0], flags=re.MULTILINE)
    assert {name for head in heads for name in re.findall(r"`([^`]+)`", head)} == set(KINDS)
