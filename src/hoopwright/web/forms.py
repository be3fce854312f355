"""Forms that are filled anew and keep what was typed in them and not taken yet."""

from collections import Counter
from collections.abc import Callable, Hashable, Mapping
from typing import Any, TypeVar

from nicegui import ui

from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.picks import draw_when_other

Result = TypeVar("Result")

_FIELDS = (ui.input, ui.textarea, ui.select, ui.checkbox)


class Form:
    """A part of the page with fields, which is filled anew while somebody may be typing in it.

    A choice that acts at once does not belong in it: put back, it would act again.

    Args:
        gap: Between what stands in it.
    """

    def __init__(self, *, gap: str = "gap-1") -> None:
        self._box = ui.column().classes(f"w-full {gap}")
        self._about: Hashable = None
        self._first: dict[str, Any] = {}

    def fill(self, fill: Callable[[], None], *, about: Hashable = None) -> None:
        """Fill it anew; what was typed and not taken stands in the fields of the same name again.

        Args:
            fill: Builds what stands in it.
            about: What it is of; what was typed of something else is dropped.
        """
        typed = self.typed() if about == self._about else {}
        self._about = about
        self._box.clear()
        with self._box:
            fill()
        fields = self._fields()
        self._first = {name: field.value for name, field in fields.items()}
        for name, value in typed.items():
            field = fields.get(name)
            if field is not None and (not isinstance(field, ui.select) or value in field.options):
                field.set_value(value)

    def typed(self) -> dict[str, Any]:
        """What stands in each field that is not as it was filled."""
        return {
            name: field.value
            for name, field in self._fields().items()
            if field.value != self._first.get(name)
        }

    def take(self, sent: Mapping[str, Any]) -> None:
        """What was sent is taken: its fields show what is kept now, but for those typed in since.

        Args:
            sent: What `typed` told when it was sent.
        """
        fields = self._fields()
        for name, value in sent.items():
            if name in fields and fields[name].value == value:
                fields[name].set_value(self._first.get(name))

    def settle(self, sent: Mapping[str, Any]) -> None:
        """What was sent is taken, and stands there until the form is filled anew.

        Args:
            sent: What `typed` told when it was sent.
        """
        self._first.update(sent)

    def _fields(self) -> dict[str, Any]:
        found: dict[str, Any] = {}
        seen: Counter[str] = Counter()
        for one in self._box.descendants():
            if isinstance(one, _FIELDS):
                name = _name(one)
                seen[name] += 1
                found[f"{name} {seen[name]}"] = one
        return found


def form_part(
    bench: Bench,
    key: Callable[[], Hashable],
    fill: Callable[[Form], None],
    *,
    about: Callable[[], Hashable] = lambda: None,
    gap: str = "gap-1",
) -> Form:
    """A form that is filled now, and anew whenever the key is another one.

    Args:
        bench: The page.
        key: What stands in it hangs on.
        fill: Builds it.
        about: What it is of.
        gap: Between what stands in it.
    """
    form = Form(gap=gap)
    draw_when_other(bench, key, lambda: form.fill(lambda: fill(form), about=about()))
    return form


async def edit_typed(
    bench: Bench,
    form: Form,
    what: Callable[[ProjectFolder], Result],
    *,
    bar_id: str | None = None,
    only: str | None = None,
) -> Result | None:
    """Do an edit as `Bench.edit` does; once it is kept, what was typed for it is taken.

    Args:
        bench: The page.
        form: In which it was typed.
        what: The edit.
        bar_id: The bar that it changes, where another window must not have changed it meanwhile.
        only: The text that was sent, where each field is kept for itself; all that was typed without.
    """
    sent = {name: value for name, value in form.typed().items() if only is None or value == only}
    done = await bench.edit(what, bar_id=bar_id)
    if done is not None:
        form.take(sent)
    return done


def clear_taken(sent: Mapping[Any, str]) -> None:
    """Empty the fields whose text was taken, but for those typed in since.

    Args:
        sent: Fields with `text` and `put`, and what stood in them when it was sent.
    """
    for entry, text in sent.items():
        if entry.text == text:
            entry.put("")


def _name(field: ui.element) -> str:
    props = field.props
    return str(props.get("aria-label") or props.get("label") or getattr(field, "text", "") or "")
