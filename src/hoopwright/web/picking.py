"""Picking a place in the picture: whoever asks is given the exact place on the full scan."""

import inspect
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from nicegui import run, ui

from hoopwright.bars import Node
from hoopwright.findings import UserError, as_text
from hoopwright.jobs.picks import axis_place, exact_place
from hoopwright.web.desk import Desk
from hoopwright.web.viewport import Viewport

_FARTHEST_MM = 50_000.0


@dataclass(frozen=True, kw_only=True)
class Picked:
    """What was picked.

    Args:
        place_mm: On the full scan, or on the axis of the bar; vehicle frame.
        toward: Direction square off the metal toward the eye; None on a bar.
        bar_id: The bar, or None for metal.
    """

    place_mm: Node
    toward: Node | None = None
    bar_id: str | None = None


@dataclass
class Picking:
    """One wish for a place at a time.

    Args:
        desk: The open project.
        view: The picture.
        words: What is to be picked, in words; empty when nothing is.
    """

    desk: Desk
    view: Viewport
    words: str = ""
    _act: Callable[[Picked], Any] | None = None
    _bars_too: bool = False
    _listeners: list[Callable[[], None]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.view.when("metal", self._metal)
        self.view.when("bar", self._bar)

    def __bool__(self) -> bool:
        """Whether a place is wanted."""
        return self._act is not None

    def when_changed(self, act: Callable[[], None]) -> None:
        """Call `act` when a place is wanted or no longer so."""
        self._listeners.append(act)

    def ask(self, words: str, act: Callable[[Picked], Any], *, bars_too: bool = False) -> None:
        """Let the person pick a place; a wish that was open is dropped.

        Args:
            words: What is to be picked, such as `one end of the tape`.
            act: Called with it.
            bars_too: Whether a bar may be picked; else a look through a bar means the metal behind it.
        """
        self._set(words, act, bars_too)

    def give_up(self) -> None:
        """Nothing is wanted any more."""
        self._set("", None, False)

    def _set(self, words: str, act: Callable[[Picked], Any] | None, bars_too: bool) -> None:
        self.words, self._act, self._bars_too = words, act, bars_too
        for listener in self._listeners:
            listener()

    async def _metal(self, told: dict[str, Any]) -> None:
        if self._act is None:
            return
        near, direction = _numbers(told.get("point_mm")), _numbers(told.get("direction"))
        if near is None or direction is None:
            return

        def found() -> Picked | None:
            shell = self.desk.shell()
            if shell is None:
                return None
            metal = exact_place(shell, near, direction)
            return Picked(place_mm=metal.place_mm, toward=metal.toward)

        await self._give(found)

    async def _bar(self, told: dict[str, Any]) -> None:
        near = _numbers(told.get("point_mm"))
        if self._act is None or near is None:
            return
        if not self._bars_too:
            ui.notify("A bar lies there, and metal is wanted: look from another side, or hide the bars.")
            return
        bar_id = str(told.get("bar_id"))
        await self._give(
            lambda: Picked(
                place_mm=axis_place(self.desk.seen().project.cage, bar_id, near),
                bar_id=bar_id,
            )
        )

    async def _give(self, found: Callable[[], Picked | None]) -> None:
        act = self._act
        try:
            picked = await run.io_bound(found)
        except UserError as error:
            ui.notify(as_text(error.findings[0]), multi_line=True, type="warning")
            return
        # the wish may have been dropped or changed meanwhile
        if picked is None or act is None or act is not self._act:
            return
        self.give_up()
        done = act(picked)
        if inspect.isawaitable(done):
            await done


def _numbers(told: Any) -> Node | None:
    """Three finite numbers of a page, or None."""
    if not isinstance(told, list) or len(told) != 3:
        return None
    if not all(isinstance(value, int | float) and math.isfinite(value) for value in told):
        return None
    forward, left, up = (float(value) for value in told)
    return (forward, left, up) if max(abs(forward), abs(left), abs(up)) <= _FARTHEST_MM else None
