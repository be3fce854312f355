"""Every finding code in the source is in `docs/findings.md` with a sentence, and the other way round."""

import ast
import re
from collections import defaultdict
from pathlib import Path

PROJECT = Path(__file__).parents[2]
ROOT = PROJECT / "src" / "hoopwright"
PAGE = PROJECT / "docs" / "findings.md"
CODE = re.compile(r"[A-Z]{2,8}-\d{3}")
ROW = re.compile(r"\|\s*(?P<code>[A-Z]{2,8}-\d{3})\s*\|(?P<means>[^|]*)\|")


def codes_in_source(root: Path) -> dict[str, set[str]]:
    """Each code that stands in the source as a whole string, and the packages that use it."""
    used: dict[str, set[str]] = defaultdict(set)
    for path in root.rglob("*.py"):
        package = path.relative_to(root).parts[0]
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and CODE.fullmatch(node.value):
                used[node.value].add(package)
    return dict(used)


def rows(text: str) -> list[tuple[str, str]]:
    return [(row["code"], row["means"].strip()) for row in ROW.finditer(text)]


def faults(used: dict[str, set[str]], listed: list[tuple[str, str]]) -> list[str]:
    codes = [code for code, _ in listed]
    return [
        *(
            f"{code} is used in {sorted(used[code])} and not listed"
            for code in sorted(set(used) - set(codes))
        ),
        *(f"{code} is listed and nowhere used" for code in sorted(set(codes) - set(used))),
        *(f"{code} is listed twice" for code in sorted({code for code in codes if codes.count(code) > 1})),
        *(f"{code} is listed without a sentence" for code, means in listed if len(means.split()) < 3),
        *(
            f"{code} means two things: {sorted(where)}"
            for code, where in sorted(used.items())
            if len(where) > 1
        ),
    ]


def test_codes_and_page_agree():
    assert faults(codes_in_source(ROOT), rows(PAGE.read_text(encoding="utf-8"))) == []


def test_each_fault_is_seen(tmp_path):
    for package, text in {
        "bars": "A = Finding(code='BAR-001')\nB = refuse('BAR-002', 'x')\n",
        "cage": "C = 'BAR-001'\n",
    }.items():
        (tmp_path / package).mkdir()
        (tmp_path / package / "it.py").write_text(text, encoding="utf-8")
    page = "| BAR-001 | nodes |\n| BAR-003 | two bends overlap |\n| BAR-003 | again and again |\n"
    assert faults(codes_in_source(tmp_path), rows(page)) == [
        "BAR-002 is used in ['bars'] and not listed",
        "BAR-003 is listed and nowhere used",
        "BAR-003 is listed twice",
        "BAR-001 is listed without a sentence",
        "BAR-001 means two things: ['bars', 'cage']",
    ]


def test_codes_in_prose_do_not_count(tmp_path):
    (tmp_path / "it.py").write_text('"""Raises `BAR-001` to `BAR-004`."""\n', encoding="utf-8")
    assert codes_in_source(tmp_path) == {}
