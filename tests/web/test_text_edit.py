"""A text that is kept twice in haste, or kept while its faults are looked for: what is said of it is so."""

import asyncio
from pathlib import Path

import pytest
from nicegui import Client, core, run, ui
from nicegui.page import page

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.typed_texts import TypedText
from hoopwright.web.text_edit import TextKind, _Editor

CHANGED = Finding(
    code="WEB-120", severity=Severity.STOP, sentence="It was changed meanwhile.", todo="Read it again."
)


class Disk:
    """A file, and how often it was said to be kept."""

    def __init__(self):
        self.text, self.told = "first", 0

    @property
    def now(self):
        return TypedText(file=Path("my-club.toml"), text=self.text, sha256=self.text)

    def keep(self, text, was):
        if was != self.text:
            raise UserError(CHANGED)
        self.text = text
        return self.now

    async def kept(self):
        self.told += 1


@pytest.fixture
def disk():
    return Disk()


@pytest.fixture
def editor(disk):
    with Client(page("/"), request=None) as client, client.layout:
        kind = TextKind(
            title="A book", read=lambda: disk.now, faults=lambda _: (), keep=disk.keep, kept=disk.kept
        )
        yield _Editor(kind, disk.now)
    client.delete()


@pytest.fixture
def held(monkeypatch):
    """Work in the background, each piece of which ends when it is let go."""
    pieces = []

    async def hold(work, *given):
        gone = asyncio.Event()
        pieces.append(gone)
        await gone.wait()
        return work(*given)

    monkeypatch.setattr(run, "io_bound", hold)
    return pieces


async def quiet():
    for _ in range(5):
        await asyncio.sleep(0)


def typed(editor, text, monkeypatch):
    monkeypatch.setattr(core, "loop", asyncio.get_running_loop())
    editor._field.set_value(text)


def beside(editor):
    return [one.text for one in editor._side.descendants() if isinstance(one, ui.label)]


def test_pressed_twice_it_is_kept_and_nobody_is_said_to_have_changed_it(editor, disk, held, monkeypatch):
    async def go():
        typed(editor, "second", monkeypatch)
        await quiet()
        pressed = [asyncio.ensure_future(editor._keep()) for _ in range(2)]
        await quiet()
        while not all(one.done() for one in pressed):
            for piece in held:
                piece.set()
            await quiet()

    asyncio.run(go())
    assert (disk.text, disk.told) == ("second", 2)
    assert beside(editor) == ["✓ It can be read."]


def test_why_it_was_not_kept_stays_when_its_faults_were_looked_for_meanwhile(editor, disk, held, monkeypatch):
    async def go():
        typed(editor, "second", monkeypatch)
        await quiet()
        disk.text = "of another window"
        pressed = asyncio.ensure_future(editor._keep())
        await quiet()
        looked, kept = held
        kept.set()
        await pressed
        looked.set()
        await quiet()

    asyncio.run(go())
    assert disk.text == "of another window"
    assert len(beside(editor)) == 1
    assert "It was changed meanwhile." in beside(editor)[0]
