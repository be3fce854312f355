"""What people type on a page: read as they type it, with what was understood beside it."""

from collections.abc import Callable
from typing import Any, Generic, TypeVar

from nicegui import ui

from hoopwright.bars import Node
from hoopwright.findings import UserError
from hoopwright.jobs.typed import place, tube_size
from hoopwright.tubes import TubeSize
from hoopwright.units import MM_PER_INCH, LengthUnit, format_length, parse_length_mm
from hoopwright.web.bench import Bench
from hoopwright.web.findings_words import job_words
from hoopwright.web.picking import Picked

Read = TypeVar("Read")


class Entry(Generic[Read]):
    """A field that is typed in.

    Args:
        label: What it is.
        read: Reads what was typed.
        words: What was understood, in words.
        value: What stands in it at first.
        hint: Shown while nothing is typed.
        said: What a screen reader says it is; the label without.
        stands_for: What the first value stands for, where it is rounded to be read; so it is read while left alone.
    """

    def __init__(
        self,
        label: str,
        read: Callable[[str], Read],
        words: Callable[[Read], str],
        *,
        value: str = "",
        hint: str = "",
        said: str = "",
        stands_for: Read | None = None,
    ) -> None:
        self._read, self._words, self._hint = read, words, hint
        self.first = value.strip()
        self._stands_for = stands_for
        self._whole = ui.column().classes("hw-entry")
        with self._whole:
            self.row = ui.row().classes("hw-row")
            with self.row:
                self.field = ui.input(label, value=value).props("dense outlined").classes("grow")
                self.field.props(f'aria-label="{said or label}"')
            self.understood = ui.label(hint).classes("hw-understood")
        self.field.on_value_change(self._look)
        self._look()

    @property
    def text(self) -> str:
        """What was typed."""
        return str(self.field.value or "").strip()

    def put(self, text: str) -> None:
        """Type something for the person."""
        self.field.set_value(text)

    def hint(self, words: str) -> None:
        """Say something else while nothing is typed."""
        self._hint = words
        self._look()

    def follow_units(self, bench: Bench, *, in_inches: str = "") -> None:
        """Say hint and what was understood in the units of the page, whenever these are switched.

        Args:
            bench: The page.
            in_inches: The hint while the page is in inches, where other examples are typed then; turned without.
        """
        hint = self._hint

        def turn() -> None:
            self._hint = in_inches if in_inches and bench.units == "in" else job_words(hint, bench.units)
            self._look()

        bench.when_changed(turn, on=self.field)
        turn()

    def delete(self) -> None:
        """Take the field off the page."""
        self._whole.delete()

    def value(self) -> Read:
        """What was typed, read.

        Raises:
            UserError: When it cannot be read.
        """
        if self._stands_for is not None and self.text == self.first:
            return self._stands_for
        return self._read(self.text)

    def maybe(self) -> Read | None:
        """What was typed, read; None where nothing was."""
        return self.value() if self.text else None

    def _look(self, *_: Any) -> None:
        if not self.text:
            self.understood.set_text(self._hint)
            self.understood.classes(remove="hw-near")
            return
        try:
            words = self._words(self.value())
            self.understood.set_text(f"= {words}" if words else self._hint)
            self.understood.classes(remove="hw-near")
        except UserError as error:
            self.understood.set_text(f"{error.findings[0].sentence} {error.findings[0].todo}")
            self.understood.classes(add="hw-near")


def length_entry(
    label: str, *, value: str = "", hint: str = "", said: str = "", stands_for_mm: float | None = None
) -> Entry[float]:
    """A length; what was understood is shown in both units."""
    return Entry(
        label, parse_length_mm, both_units, value=value, hint=hint, said=said, stands_for=stands_for_mm
    )


def fine_entry(label: str, *, value: str = "") -> Entry[float]:
    """A length of a tube, where sixteenths of an inch are too coarse."""
    return Entry(
        label,
        parse_length_mm,
        lambda length_mm: f"{length_mm:g} mm, {length_mm / MM_PER_INCH:.3f} in",
        value=value,
    )


def text_entry(label: str, *, value: str = "", hint: str = "", said: str = "") -> Entry[str]:
    """Words."""
    return Entry(label, str, lambda _: "", value=value, hint=hint, said=said)


def tube_entry(label: str, *, value: str = "") -> Entry[TubeSize]:
    """A tube."""
    return Entry(label, tube_size, lambda tube: f"{tube} mm", value=value)


def place_entry(
    bench: Bench, label: str, *, what: str, value: str = "", hint: str = "", bars_too: bool = False
) -> Entry[Node]:
    """A place: typed, or picked in the picture.

    Args:
        bench: The page.
        label: What it is.
        what: What is to be picked, in words.
        value: What stands in it at first.
        hint: Shown while nothing is typed.
        bars_too: Whether a bar may be picked.
    """
    entry = Entry(
        label,
        place,
        lambda at_mm: place_words(at_mm, bench.units),
        value=value,
        hint=hint or "forward, left, up",
    )
    entry.follow_units(bench)

    def taken(picked: Picked) -> None:
        entry.put(as_typed(picked.place_mm))

    with entry.row:
        ui.button("Pick", on_click=lambda: bench.picking.ask(what, taken, bars_too=bars_too)).props(
            f'flat dense no-caps aria-label="Pick {what} in the picture"'
        )
    return entry


def as_typed(at_mm: Node) -> str:
    """A place as a person types it, in mm."""
    return ", ".join(f"{value + 0.0:.1f}" for value in at_mm)


def place_words(at_mm: Node, unit: LengthUnit = "mm") -> str:
    """A place in words."""
    names = (("forward", "back"), ("left", "right"), ("up", "down"))
    steps = (f"{bare_length(abs(value), unit)} {names[axis][value < 0]}" for axis, value in enumerate(at_mm))
    return ", ".join(steps) + (" mm" if unit == "mm" else "")


def bare_length(value_mm: float, unit: LengthUnit) -> str:
    """A length as one of several on a line: mm alone without their unit."""
    return f"{value_mm:.1f}" if unit == "mm" else format_length(value_mm, unit)


def both_units(length_mm: float) -> str:
    """A length in mm and in inches."""
    return f"{format_length(length_mm)}, {format_length(length_mm, 'in')}"
