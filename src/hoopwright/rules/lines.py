"""On which line of a TOML file each key stands. The standard reader gives values without places."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

Path = tuple[str | int, ...]

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SPACE = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BLANK = re.compile(r"[ \t]*")
_SCALAR = re.compile(r"[^,\]}#\n]+")
_QUOTED = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}'
    r"|'''.*?'{3,5}"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)


@dataclass
class _Walk:
    """A place in the text, and what was found on the way."""

    text: str
    at: int = 0
    counted_to: int = 0
    line: int = 1
    found: dict[Path, int] = field(default_factory=dict)
    arrays: dict[Path, int] = field(default_factory=dict)

    def take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            return ""
        self.at = match.end()
        return match[0]

    def sees(self, mark: str) -> bool:
        return self.text.startswith(mark, self.at)

    def here(self) -> int:
        """The line of this place; places come in order."""
        self.line += self.text.count("\n", self.counted_to, self.at)
        self.counted_to = self.at
        return self.line

    def note(self, path: Path) -> None:
        self.found.setdefault(path, self.here())


def lines_of(text: str) -> Mapping[Path, int]:
    """The line of every key, table and list entry of a text that is known to be TOML, by its path.

    Raises:
        RecursionError: For lists nested beyond what Python can follow.
    """
    walk = _Walk(text=text)
    table: Path = ()
    while walk.take(_SPACE) is not None and walk.at < len(text):
        before = walk.at
        if walk.sees("["):
            table = _header(walk)
        else:
            _pair(walk, table)
        if walk.at == before:  # not TOML after all
            break
    return walk.found


def line_of(lines: Mapping[Path, int], path: Path) -> int:
    """The line of a path, or of the nearest thing around it that has one; 0 for none."""
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return 0


def _header(walk: _Walk) -> Path:
    line_start = walk.at
    is_list = walk.sees("[[")
    walk.at += 2 if is_list else 1
    keys = _keys(walk)
    walk.take(_BLANK)
    end = walk.at + (2 if is_list else 1)
    walk.at = line_start
    path: Path = ()
    for number, key in enumerate(keys):
        path = (*path, key)
        if is_list and number == len(keys) - 1:
            walk.arrays[path] = walk.arrays.get(path, -1) + 1
        if path in walk.arrays:
            path = (*path, walk.arrays[path])
        walk.note(path)
    walk.at = end
    return path


def _pair(walk: _Walk, table: Path) -> None:
    start = walk.at
    keys = _keys(walk)
    walk.take(_BLANK)
    if not walk.sees("="):
        return
    end, walk.at = walk.at + 1, start
    for number in range(len(keys)):
        walk.note((*table, *keys[: number + 1]))
    walk.at = end
    walk.take(_BLANK)
    _value(walk, (*table, *keys))


def _keys(walk: _Walk) -> Path:
    keys: list[str] = []
    while True:
        walk.take(_BLANK)
        quoted = walk.sees('"') or walk.sees("'")
        keys.append(walk.take(_QUOTED)[1:-1] if quoted else walk.take(_BARE))
        walk.take(_BLANK)
        if not walk.sees(".") or (not keys[-1] and not quoted):
            return tuple(keys)
        walk.at += 1


def _value(walk: _Walk, path: Path) -> None:
    if walk.sees("["):
        _list(walk, path)
    elif walk.sees("{"):
        _inline(walk, path)
    elif walk.sees('"') or walk.sees("'"):
        walk.take(_QUOTED)
    else:
        walk.take(_SCALAR)


def _list(walk: _Walk, path: Path) -> None:
    walk.at += 1
    number = 0
    while walk.take(_SPACE) is not None and walk.at < len(walk.text) and not walk.sees("]"):
        before = walk.at
        walk.note((*path, number))
        _value(walk, (*path, number))
        walk.take(_SPACE)
        if walk.sees(","):
            walk.at += 1
        number += 1
        if walk.at == before:
            return
    walk.at += 1


def _inline(walk: _Walk, path: Path) -> None:
    walk.at += 1
    while walk.take(_SPACE) is not None and walk.at < len(walk.text) and not walk.sees("}"):
        before = walk.at
        _pair(walk, path)
        walk.take(_SPACE)
        if walk.sees(","):
            walk.at += 1
        if walk.at == before:
            return
    walk.at += 1
