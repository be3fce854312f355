"""A text file edited in the page: numbered lines, faults beside it, kept only when it holds, never over another's."""

import asyncio
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from nicegui import run, ui

from hoopwright.findings import Finding, UserError, as_text
from hoopwright.jobs.typed_texts import TypedText
from hoopwright.web.bench import Bench
from hoopwright.web.parts import counted

_ROW = "white-space: pre-line"
_PAUSE_MS = 400


@dataclass(frozen=True, kw_only=True)
class TextKind:
    """What is edited.

    Args:
        title: In words.
        read: The text as it is on the disk.
        faults: What is wrong with a text.
        keep: Keeps a text, given the hash of the one that was begun from.
        kept: Called when it was kept.
        keys: Where the reader finds what may be typed.
        beside: Fills a place under the faults, given how the text is read and how it is put back.
    """

    title: str
    read: Callable[[], TypedText]
    faults: Callable[[str], tuple[Finding, ...]]
    keep: Callable[[str, str], TypedText]
    kept: Callable[[], Any]
    keys: str = ""
    beside: Callable[[Callable[[], str], Callable[[str], None]], None] | None = None


async def edit_text(bench: Bench, kind: TextKind) -> None:
    """Open the text in a dialog over the page."""
    try:
        now = await run.io_bound(kind.read)
    except UserError as error:
        bench.say(error.findings)
        return
    if now is not None:
        _Editor(kind, now).open()


class _Editor:
    """The dialog; it stays open until the person leaves it."""

    def __init__(self, kind: TextKind, now: TypedText) -> None:
        self._kind, self._now, self._saved = kind, now, now.text
        self._refused: str | None = None
        self._one_keeping = asyncio.Lock()
        # on the page and not in the part that opened it: that part is filled anew when another window edits the
        # project, and took the text with it
        with ui.context.client.content:
            self._dialog = ui.dialog().props(f'maximized persistent aria-label="{kind.title}"')
        with self._dialog, ui.card().classes("hw-edit"):
            with ui.row().classes("hw-row"):
                ui.label(kind.title).classes("hw-head")
                self._told = ui.label().classes("hw-soft").props('role="status"')
                ui.space()
                ui.button("Keep it", on_click=self._keep).classes("hw-button")
                ui.button("Read it again", on_click=self._again).props("flat dense")
                ui.button("Close", on_click=self._close).props("flat dense")
            with ui.row().classes("hw-edit-body"):
                with ui.row().classes("hw-edit-text"):
                    self._gutter = ui.label().classes("hw-gutter").props("aria-hidden=true")
                    self._field = ui.textarea(value=now.text).props(
                        f"autogrow borderless debounce={_PAUSE_MS} spellcheck=false "
                        f'aria-label="Text of {now.file.name}"'
                    )
                with ui.column().classes("hw-edit-beside"):
                    self._side = (
                        ui.column().classes("hw-edit-faults").props('aria-label="Faults" role="region"')
                    )
                    if kind.beside is not None:
                        kind.beside(lambda: self._text, self._put)
        self._field.on_value_change(self._look)

    def open(self) -> None:
        """Show it."""
        self._dialog.on("hide", self._dialog.delete)
        self._dialog.open()
        self._number()
        with self._dialog:
            ui.timer(0.05, self._look, once=True)

    @property
    def _text(self) -> str:
        return str(self._field.value or "")

    def _put(self, text: str) -> None:
        self._field.set_value(text)
        # what was put in stands at the end: show it
        self._dialog.client.run_javascript(
            "setTimeout(() => { const box = document.querySelector('.hw-edit-text'); "
            "if (box) box.scrollTop = box.scrollHeight; }, 200)"
        )

    def _number(self) -> None:
        lines = self._text.count("\n") + 1
        self._gutter.set_text("\n".join(str(number) for number in range(1, lines + 1)))

    async def _look(self, *_: Any) -> None:
        self._number()
        typed = self._text
        if typed != self._refused:
            self._refused = None
        faults = await run.io_bound(self._kind.faults, typed)
        # why the same text was not kept stands there already, and says more
        if faults is not None and typed == self._text and typed != self._refused:
            self._show(faults)

    def _show(self, faults: tuple[Finding, ...]) -> None:
        changed = "" if self._text == self._saved else ", not kept yet"
        words = counted(len(faults), "fault") if faults else "no fault found"
        self._told.set_text(f"{words}{changed}")
        self._side.clear()
        with self._side:
            if not faults:
                ui.label("✓ It can be read.").classes("hw-soft")
            for one in faults:
                ui.label(as_text(one)).classes("hw-finding").style(_ROW)
            if self._kind.keys:
                ui.label(self._kind.keys).classes("hw-soft")

    async def _keep(self) -> None:
        # pressed twice, the second would find the first to be another's change
        async with self._one_keeping:
            kept = await self._kept_as_typed()
        if kept:
            await self._kind.kept()

    async def _kept_as_typed(self) -> bool:
        typed = self._text
        try:
            kept = await run.io_bound(self._kind.keep, typed, self._now.sha256)
        except UserError as error:
            self._refused = typed
            self._show(error.findings)
            with self._dialog:
                ui.notify("Nothing was kept: see what stands beside the text.", type="warning")
            return False
        if kept is None:
            return False
        aside = " The one before is put aside." if self._now.sha256 not in ("", kept.sha256) else ""
        self._now, self._saved, self._refused = kept, typed, None
        if self._text == typed:
            self._show(())
        else:
            await self._look()
        with self._dialog:
            ui.notify(f"✓ {kept.file.name} kept.{aside}")
        return True

    async def _again(self) -> None:
        if self._text != self._saved and not await self._sure("Read the file again and lose what you typed?"):
            return
        try:
            now = await run.io_bound(self._kind.read)
        except UserError as error:
            self._show(error.findings)
            return
        if now is not None:
            self._now, self._saved, self._refused = now, now.text, None
            self._field.set_value(now.text)

    async def _close(self) -> None:
        if self._text == self._saved or await self._sure("Close and lose what you typed and did not keep?"):
            self._dialog.close()

    async def _sure(self, question: str) -> bool:
        with self._dialog, ui.dialog().props('aria-label="Sure?"') as asked, ui.card().classes("hw-dialog"):
            ui.label(question)
            with ui.row():
                ui.button("Yes, lose it", on_click=lambda: asked.submit(True)).props("flat dense")
                ui.button("No, go on typing", on_click=lambda: asked.submit(False)).classes("hw-button")
        answer = await asked
        asked.delete()
        return bool(answer)
