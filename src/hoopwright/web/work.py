"""Long work in the background: how far it is, and a way to stop it."""

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

from nicegui import run, ui

from hoopwright.findings import UserError
from hoopwright.progress import Progress
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench

Result = TypeVar("Result")
_LOOK_S = 0.2


class GivenUpError(Exception):
    """The person stopped the work; nothing of it was kept."""


@dataclass
class Work:
    """Work that is going on.

    Args:
        title: What is done, in words.
    """

    title: str
    share: float = 0.0
    doing: str = ""
    _stop: threading.Event = field(default_factory=threading.Event)

    def progress(self, doing: str, share: float) -> None:
        """Told by the job how far it is; leaves the job when the person has stopped it.

        Raises:
            GivenUpError: When he has.
        """
        if self._stop.is_set():
            raise GivenUpError
        self.doing, self.share = doing, share

    def stop(self) -> None:
        """Stop at the next step."""
        self._stop.set()


async def work(
    bench: Bench, title: str, what: Callable[[ProjectFolder, Progress], Result], *, edits: bool = True
) -> Result | None:
    """Do long work in the background with its progress on the page, and show what came of it.

    Args:
        bench: The page.
        title: What is done, in words, such as `Fitting SB-L`.
        what: The work; it is told where to report.
        edits: Whether it changes the project: then one at a time.

    Returns:
        Its result; None where a finding stopped it, which is told, or the person did.
    """
    going = Work(title)
    with _Shown(going):
        try:
            if edits:
                return await bench.edit(lambda folder: what(folder, going.progress))
            return await run.io_bound(lambda: what(bench.desk.folder, going.progress))
        except UserError as error:
            bench.say(error.findings)
        except GivenUpError:
            bench.findings = ()
            ui.notify(f"{title}: stopped, nothing was kept")
            await bench.follow(again=True)
    return None


class _Shown:
    """A line at the top of the page while work goes on."""

    def __init__(self, going: Work) -> None:
        self._going = going
        # on the page itself: the part whose button was pressed may be drawn anew before the work ends
        with ui.context.client.content:
            self._line = ui.dialog().props('persistent seamless position=top aria-label="Work"')
            self._timer = ui.timer(_LOOK_S, self._look)
        with self._line, ui.card().classes("hw-work"):
            self._words = ui.label(going.title)
            self._bar = ui.linear_progress(0.0, show_value=False).props('aria-label="How far it is"')
            ui.button("Stop", on_click=going.stop).classes("hw-button")

    def _look(self) -> None:
        self._words.set_text(f"{self._going.title}: {self._going.doing}")
        self._bar.set_value(self._going.share)

    def __enter__(self) -> None:
        self._line.open()

    def __exit__(self, *_: object) -> None:
        self._timer.cancel()
        self._line.close()
        self._line.delete()
        self._timer.delete()
