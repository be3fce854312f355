"""Faults of a rule book's file, each with the line that it stands on."""

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from hoopwright.findings import Finding, Severity
from hoopwright.rules.lines import Path, line_of


@dataclass(frozen=True, kw_only=True)
class BookFile:
    """A book's file while it is read.

    Args:
        name: Of the file.
        lines: Line of every key.
    """

    name: str
    lines: Mapping[Path, int]

    def fault(self, code: str, path: Path, sentence: str, todo: str, *objects: str) -> Finding:
        """A fault at a place of the file."""
        line = line_of(self.lines, path)
        at = f"{self.name}, line {line}" if line else self.name
        return Finding(
            code=code,
            severity=Severity.STOP,
            sentence=f"{at}: {sentence}.",
            todo=todo,
            objects=(self.name, *objects),
        )

    def faults(self, error: ValidationError, path: Path, where: str, keys: Iterable[str]) -> list[Finding]:
        """Faults of one table whose keys did not fit.

        Args:
            error: What the keys were refused for.
            path: Of the table.
            where: The table in words.
            keys: Names that the table knows.
        """
        known = sorted(keys)
        return [self._fault(one, path, where, known) for one in error.errors()]

    def _fault(self, error: ErrorDetails, path: Path, where: str, known: list[str]) -> Finding:
        place: Path = (*path, *error["loc"])
        key = next((part for part in reversed(error["loc"]) if isinstance(part, str)), "")
        if error["type"] == "extra_forbidden":
            inside = len(error["loc"]) > 1
            return self.unknown_key(place, where, key, () if inside else known)
        if error["type"] == "missing":
            return self.fault("RULE-004", place, f"{where}: {key} is missing", f"Add {key} = ...", key)
        reason = _reason(error)
        sentence = f"{where}: {key}: {reason}" if key else f"{where}: {reason}"
        return self.fault("RULE-004", place, sentence, _todo(error), key)

    def unknown_key(self, path: Path, where: str, key: str, known: Iterable[str]) -> Finding:
        """The fault of a key that nothing knows, with the nearest known one."""
        listed = sorted(known)
        near = difflib.get_close_matches(key, listed, n=1, cutoff=0.6)
        hint = f"Did you mean '{near[0]}'? " if near else ""
        todo = hint + (
            f"Known keys here: {', '.join(listed)}." if listed else "Leave it out, or see the guide."
        )
        return self.fault("RULE-003", path, f"{where}: '{key[:60]}' is not a key here", todo, key)


def names_of(model: type[BaseModel]) -> tuple[str, ...]:
    """The keys of a table as a person types them."""
    return tuple(field.alias or name for name, field in model.model_fields.items())


def _reason(error: ErrorDetails) -> str:
    typed = str(error["input"])[:60]
    context: Mapping[str, Any] = error.get("ctx") or {}
    if error["type"] in ("enum", "literal_error"):
        return f"'{typed}' is not one of {context['expected']}"
    if error["type"] == "string_pattern_mismatch":
        return (
            f"'{typed}' must be letters, digits, points, dashes and underscores, without spaces at its ends"
        )
    if error["type"] in ("model_type", "dict_type"):
        return f"'{typed}' is not a table"
    if error["type"] in ("tuple_type", "list_type"):
        return f"'{typed}' is not a list"
    return error["msg"].removeprefix("Value error, ").rstrip(".")


def _todo(error: ErrorDetails) -> str:
    if error["type"] in ("enum", "literal_error"):
        expected = str((error.get("ctx") or {}).get("expected", ""))
        names = [name.strip(" '") for name in expected.replace(" or ", ",").split(",")]
        near = difflib.get_close_matches(str(error["input"]), names, n=1, cutoff=0.6)
        return f"Did you mean '{near[0]}'?" if near else "Type one of those."
    return 'Correct that line; a number with a unit stands in quotes, such as "6 in".'
