"""The sentences of the source itself, with numbers put in, told in inches: nothing stays in mm or is mistaken."""

import ast
import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from hoopwright.units import told_in

ROOT = Path(__file__).parents[2] / "src" / "hoopwright"
NO_SENTENCES = ("cli", "web", "papers", "democar")
NUMERIC = re.compile(r"[+,]?(?:\.\d)?[fg]")
LENGTH = re.compile(r"_mm\b|_MM\b|_mm\[|\bx:\.0f\b")
NO_LENGTH = re.compile(r"_deg\b|_ratio\b|share|\+ 1$|count|bends\b")
SAID_IN_MM = re.compile(r"_up_mm$|per_metre_mm$")
"""Regions are named by how far up they lie, in mm; a ratio has no other unit."""
AS_TYPED = re.compile(r"(?<!\w)'[^']*'(?!\w)|(?<!\w)\"[^\"]*\"(?!\w)|such as \S+ mm|\d mm per metre")


@dataclass(frozen=True)
class Put:
    """A number put in the place of an expression."""

    expression: str
    digits: str


def strings(path):
    """Each whole string of a file that is no docstring, with numbers in the place of expressions."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    inside = {id(part) for node in ast.walk(tree) for part in _parts(node)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr | ast.Constant) and id(node) not in inside:
            words, put = filled(node, [])
            if words:
                yield node.lineno, words, put


def _parts(node):
    if isinstance(node, ast.JoinedStr):
        return [part for part in ast.walk(node) if part is not node]
    return [node.value] if isinstance(node, ast.Expr) else []


def filled(node, put):
    if isinstance(node, ast.Constant):
        return (node.value if isinstance(node.value, str) else ""), put
    words = ""
    for part in node.values:
        if isinstance(part, ast.Constant):
            words += part.value
            continue
        form = (
            ""
            if part.format_spec is None
            else "".join(one.value for one in part.format_spec.values if isinstance(one, ast.Constant))
        )
        if NUMERIC.fullmatch(form):
            digits = format(131.4 + 17.3 * len(put), form)
            put.append(Put(ast.unparse(part.value), digits))
            words += digits
        else:
            words += "Q"
    return words, put


def sentences():
    for path in sorted(ROOT.rglob("*.py")):
        name = path.relative_to(ROOT)
        if name.parts[0] not in NO_SENTENCES:
            for line, words, put in strings(path):
                if re.search(r"\d mm\b", words) and "\n" not in words:
                    yield pytest.param(words, put, id=f"{name}:{line}")


SENTENCES = list(sentences())


def test_the_sentences_were_found():
    assert len(SENTENCES) > 150


@pytest.mark.parametrize(("words", "put"), SENTENCES)
def test_every_length_follows_the_unit_and_no_other_number_does(words, put):
    told = told_in(words, "in")
    assert not re.search(r"\d mm\b", AS_TYPED.sub("", told)), told
    for one in put:
        there = re.search(rf"(?<![\d.]){re.escape(one.digits)}(?![\d.]*\d)", told) is not None
        if LENGTH.search(one.expression) and not SAID_IN_MM.search(one.expression):
            assert not there, (one, told)
        elif NO_LENGTH.search(one.expression):
            assert there, (one, told)
