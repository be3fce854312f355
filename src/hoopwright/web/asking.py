"""Questions that a job asks in the middle of its work, put to the person on the page."""

import threading
from typing import Any

from nicegui import ui

from hoopwright.jobs.questions import Ask, Question
from hoopwright.progress import Progress

_LOOK_S = 0.2
_LONGEST_S = 1800.0
_AFTER = {
    "unit": "Length, width and height of the shell as each unit would have it:",
    "nose": "A wrong answer does no harm: an arrow in the picture shows where the nose is then, and one press under "
    "'How it lies' turns the scan round.",
}


class Asking:
    """A question at a time, from the thread of a job to the page and back.

    Build it inside the page; it shows itself while a question is open.
    """

    def __init__(self) -> None:
        self._question: Question | None = None
        self._answer: str | None = None
        self._answered = threading.Event()
        self._gone = False
        self._dialog = ui.dialog().props('persistent aria-label="A question"')
        ui.timer(_LOOK_S, self._look)
        ui.context.client.on_delete(self._leave)

    def through(self, progress: Progress) -> Ask:
        """Asks on the page; while it waits it keeps telling `progress`, which stops it when the person stops the work.

        Nobody answers when the page was closed, or within half an hour.
        """

        def ask(question: Question) -> str | None:
            self._answer = None
            self._answered.clear()
            self._question = question
            try:
                for _ in range(int(_LONGEST_S / _LOOK_S)):
                    progress("waiting for your answer", 0.5)
                    if self._gone or self._answered.wait(_LOOK_S):
                        break
                return self._answer
            finally:
                self._question = None

        return ask

    def _look(self) -> None:
        question = self._question
        if question is None:
            if self._dialog.value:
                self._dialog.close()
        elif not self._dialog.value:
            self._show(question)
            self._dialog.open()

    def _show(self, question: Question) -> None:
        self._dialog.clear()
        with self._dialog, ui.card().classes("hw-ask"):
            ui.label(_head(question)).classes("hw-head")
            ui.label(question.sentence)
            if question.about in _AFTER:
                ui.label(_AFTER[question.about]).classes("hw-soft")
            if question.picture_svg:
                ui.html(question.picture_svg, sanitize=False).classes("w-full").props(
                    'role="img" aria-label="The scan from its side, with the name of each end"'
                )
            for number, choice in enumerate(question.choices):
                meaning = question.meanings[number] if number < len(question.meanings) else ""
                best = choice == question.proposal and question.is_likely
                words = f"{choice}: {meaning}" if meaning else choice
                button = ui.button(
                    f"{words}  (best guess)" if best and "guess" not in words else words,
                    on_click=lambda _, one=choice: self._take(one),
                ).props("no-caps align=left" if best else "no-caps align=left outline")
                button.classes("hw-button w-full" if best else "w-full")
            ui.button("Leave it unanswered", on_click=lambda: self._take(None)).props("flat no-caps")

    def _take(self, answer: str | None) -> None:
        self._answer = answer
        self._dialog.close()
        self._answered.set()

    def _leave(self, *_: Any) -> None:
        self._gone = True


def _head(question: Question) -> str:
    return {"unit": "Which unit is the scan in?", "nose": "Which way is forward?"}.get(
        question.about, "A question"
    )
