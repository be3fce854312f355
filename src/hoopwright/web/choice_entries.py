"""One of a few words, chosen beside fields that are typed in and read as those are."""

from collections.abc import Mapping

from nicegui import ui

from hoopwright.jobs.typed import unreadable


class Choice:
    """A list to choose from.

    Args:
        label: What it is.
        options: What can be chosen, and how it is said.
        value: What is chosen at first.
    """

    def __init__(self, label: str, options: Mapping[str, str], *, value: str = "") -> None:
        self._label = label
        self.first = value
        self.field = ui.select(dict(options), value=value if value in options else None, label=label)
        self.field.props("dense outlined").classes("w-full")

    @property
    def text(self) -> str:
        """What is chosen; empty for nothing."""
        return str(self.field.value or "")

    def put(self, text: str) -> None:
        """Choose for the person."""
        self.field.set_value(text if text in self.field.options else None)

    def value(self) -> str:
        """What is chosen.

        Raises:
            UserError: `TYPED-001` where nothing is.
        """
        if not self.text:
            raise unreadable("", f"or choose one in the list '{self._label}'")
        return self.text

    def maybe(self) -> str | None:
        """What is chosen; None for nothing."""
        return self.text or None
