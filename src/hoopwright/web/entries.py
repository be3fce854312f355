"""Entries for numbers as people type them; what was understood stands beneath."""

from collections.abc import Callable
from dataclasses import dataclass

from nicegui import ui

from hoopwright.bars import Node
from hoopwright.findings import UserError
from hoopwright.units import parse_angle_deg, parse_length_mm
from hoopwright.web.bench import Bench


@dataclass(frozen=True, eq=False, kw_only=True)
class Entry:
    """One number that is typed.

    Args:
        line: The line on the page.
        read: Reads what was typed.
    """

    line: ui.input
    read: Callable[[str], float]

    @property
    def text(self) -> str:
        """What stands there."""
        return str(self.line.value or "").strip()

    def value(self) -> float | None:
        """The number, or None where nothing was typed.

        Raises:
            UserError: `UNIT-...` for what cannot be read.
        """
        return self.read(self.text) if self.text else None

    def needed(self, usual: float) -> float:
        """The number, or the usual one where nothing was typed."""
        value = self.value()
        return usual if value is None else value


def length_entry(
    bench: Bench, label: str, *, value_mm: float | None = None, hint: str = "", name: str = ""
) -> Entry:
    """A length, in mm or inches, as a decimal or a fraction.

    Args:
        bench: The page, for its units.
        label: What it is.
        value_mm: What stands there.
        hint: What is said where nothing was typed.
        name: Accessible name, where the label alone does not say it.
    """
    shown = "" if value_mm is None else bench.length(value_mm)
    return _entry(label, shown, parse_length_mm, bench.length, hint, name)


def angle_entry(label: str, *, value_deg: float | None = None, hint: str = "", name: str = "") -> Entry:
    """An angle in degrees."""
    shown = "" if value_deg is None else f"{value_deg:g}"
    return _entry(label, shown, parse_angle_deg, lambda value: f"{value:g}°", hint, name)


def _entry(
    label: str,
    shown: str,
    read: Callable[[str], float],
    write: Callable[[float], str],
    hint: str,
    name: str,
) -> Entry:
    line = ui.input(label=label, value=shown).props("dense outlined hide-bottom-space").classes("grow")
    line.props["aria-label"] = name or label
    if hint:
        line.props["hint"] = hint

    def look() -> None:
        text = str(line.value or "").strip()
        line.props["error"] = False
        try:
            line.props["hint"] = f"= {write(read(text))}" if text else hint
        except UserError as error:
            line.props["error"] = True
            line.props["error-message"] = error.findings[0].sentence
        line.update()

    line.on("blur", look)
    return Entry(line=line, read=read)


def place_text(bench: Bench, place_mm: Node) -> str:
    """A place as it is typed: forward, left, up."""
    return ", ".join(bench.length(value).removesuffix(" mm") for value in place_mm)


def typed_place(text: str) -> Node:
    """Three lengths as people type them, separated by commas or semicolons.

    Raises:
        UserError: `UNIT-...` for what cannot be read, also where one of the three is missing.
    """
    parts = [part for part in text.replace(";", ",").split(",") if part.strip()]
    forward, left, up = (parse_length_mm(part) for part in [*parts, "", "", ""][: max(3, len(parts))][:3])
    return forward, left, up
