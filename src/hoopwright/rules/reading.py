"""A rule book from its TOML file, with every fault named by file and line. A book with a fault is no book."""

import tomllib
from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.rules.book import Book, Uncovered
from hoopwright.rules.book_keys import HeadKeys, NotDoneKeys
from hoopwright.rules.lines import lines_of
from hoopwright.rules.references import reference_faults, with_copied
from hoopwright.rules.refusals import BookFile, names_of
from hoopwright.rules.rule_reading import Read, read_rule

LARGEST_FILE_BYTES = 400_000
MOST_RULES = 1000
_MOST_FAULTS = 50
_LONGEST_LINE = 4000
_MOST_POINTS = 60
"""The standard reader takes seconds over a key of a thousand parts."""
_TABLES = ("book", "rule", "not_done")
_HEAD_TODO = (
    'Begin with [book] and id = "...", body = "...", edition = "...", unit = "mm" or "in"; then [[rule]].'
)


def read_book(path: FilePath) -> Book:
    """A rule book from a file.

    Raises:
        UserError: `RULE-001` when the file cannot be read, and what `book_from_text` raises.
    """
    try:
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise _stop("RULE-001", f"{path.name} is over 400 kB, which is no rule book", "Check the file.")
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        reason = error.strerror or "it cannot be read"
        raise _stop("RULE-001", f"{path.name}: {reason}", "Check the name.") from None
    except UnicodeDecodeError:
        raise _stop("RULE-001", f"{path.name} is not a text file", "Save it as plain text, UTF-8.") from None
    return book_from_text(text, path.name)


def book_from_text(text: str, file_name: str) -> Book:
    """A rule book from the text of a TOML file.

    Args:
        text: The text.
        file_name: Name that faults are told with.

    Raises:
        UserError: `RULE-002` when it is not TOML; `RULE-003` for keys that are not known; `RULE-004` for what is
            missing or cannot be read; `RULE-005` for a kind of check that is not known; `RULE-006` for a name that two
            rules have; `RULE-007` for rules that lean on each other in a circle, or on none; `RULE-008` for two
            editions in one file. All faults, 50 at most, are told at once in the
            order of lines.
    """
    keys, file = _parsed(text, file_name)
    head = _head(keys, file)
    context = {"unit": head.unit, "weight_unit": head.weight_unit}
    faults = [file.unknown_key((name,), "the file", name, _TABLES) for name in keys if name not in _TABLES]
    tables, copied_faults = with_copied(_tables(keys, "rule", file, faults), file)
    faults += copied_faults
    read = Read(file=file, head=head, context=context)
    rules = [read_rule(table, number, read, faults) for number, table in enumerate(tables)]
    faults += reference_faults(rules, file)
    not_done = _not_done(keys, file, faults)
    if not faults and not rules:
        faults.append(file.fault("RULE-004", ("book",), "the book has no rule", _HEAD_TODO))
    if faults:
        raise UserError(*sorted(faults, key=_line)[:_MOST_FAULTS])
    return Book(
        **{name: value for name, value in dict(head).items() if name != "provenance"},
        rules=tuple(rule for rule in rules if rule is not None),
        not_done=not_done,
    )


def _parsed(text: str, file_name: str) -> tuple[dict[str, Any], BookFile]:
    for number, line in enumerate(text.splitlines(), start=1):
        if len(line) > _LONGEST_LINE or line.count(".") > _MOST_POINTS:
            limit = f"{_LONGEST_LINE} letters or {_MOST_POINTS} points"
            what = f"{file_name}, line {number} has over {limit}, which is no rule book"
            raise _stop("RULE-002", what, "Break the line.")
    try:
        keys = tomllib.loads(text)
        lines = lines_of(text)
    # besides syntax: numbers of thousands of digits, endless lists
    except (ValueError, RecursionError) as error:
        what = f"{file_name} is not a rule book: {error}"
        raise _stop(
            "RULE-002", what, "Mend that line; text and numbers with a unit stand in quotes."
        ) from None
    return keys, BookFile(name=file_name, lines=lines)


def _head(keys: Mapping[str, Any], file: BookFile) -> HeadKeys:
    head = keys.get("book")
    if not isinstance(head, dict):
        if isinstance(head, list):
            what = "there are several [[book]] tables: one file holds one edition"
            raise UserError(file.fault("RULE-008", ("book", 1), what, _HEAD_TODO))
        raise UserError(file.fault("RULE-004", ("book",), "there is no [book] table", _HEAD_TODO))
    try:
        return HeadKeys.model_validate(head)
    except ValidationError as error:
        found = file.faults(error, ("book",), "[book]", names_of(HeadKeys))
        raise UserError(*found[:_MOST_FAULTS]) from None


def _tables(
    keys: Mapping[str, Any], name: str, file: BookFile, faults: list[Finding]
) -> list[dict[str, Any]]:
    tables = keys.get(name, [])
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        faults.append(
            file.fault(
                "RULE-004", (name,), f"'{name}' is not a list of tables", f"Head each with [[{name}]]."
            )
        )
        return []
    if len(tables) > MOST_RULES:
        faults.append(
            file.fault(
                "RULE-004", (name, MOST_RULES), f"there are over {MOST_RULES} of '{name}'", "Split the book."
            )
        )
        return []
    return tables


def _not_done(keys: Mapping[str, Any], file: BookFile, faults: list[Finding]) -> tuple[Uncovered, ...]:
    found = []
    for number, table in enumerate(_tables(keys, "not_done", file, faults)):
        try:
            found.append(Uncovered(**dict(NotDoneKeys.model_validate(table))))
        except ValidationError as error:
            faults += file.faults(error, ("not_done", number), "[[not_done]]", names_of(NotDoneKeys))
    return tuple(found)


def _line(finding: Finding) -> int:
    digits = finding.sentence.partition(", line ")[2].partition(":")[0]
    return int(digits) if digits.isdigit() else 0


def _stop(code: str, sentence: str, todo: str) -> UserError:
    return UserError(Finding(code=code, severity=Severity.STOP, sentence=f"{sentence}.", todo=todo))
