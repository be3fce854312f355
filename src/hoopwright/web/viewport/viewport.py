"""The 3D view as an element of a page; what it draws is in the bundle built from `viewport/`."""

import inspect
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from nicegui.element import Element
from nicegui.events import GenericEventArguments

from hoopwright.bars import Node

BUILT = Path(__file__).parents[1] / "built" / "view"


class Viewport(Element, component="viewport.js", esm={"hoopwright-view": str(BUILT)}):
    """A view of shell and cage.

    Args:
        base: Where the server answers the view, with a slash at its end.
        dark: Dark colours.
    """

    def __init__(self, *, base: str, dark: bool = False) -> None:
        super().__init__()
        self.base = base
        self._props["base"] = base
        self._props["dark"] = dark
        self._acts: dict[str, list[Callable[[dict[str, Any]], Any]]] = {}

    def when(self, name: str, act: Callable[[dict[str, Any]], Any]) -> None:
        """Call `act` with what the person did.

        Args:
            name: `bar`, `metal`, `nothing`, `dragging`, `held`, `reached`, `moved`, `shell` or `ready`.
            act: Takes what is told of it. All that are told of one thing are told at once, so that none of them finds
                what another has changed for it: a click that picks a place chooses no bar, too.
        """
        acts = self._acts.setdefault(name, [])
        acts.append(act)
        if len(acts) > 1:
            return

        def told(event: GenericEventArguments) -> Any:
            told_of = event.args if isinstance(event.args, dict) else {}
            return _all_of([one(told_of) for one in acts])

        self.on(name, told)

    def show_cage(self, keys: dict[str, Any]) -> None:
        """Show bars; see `keys.cage_keys`."""
        self.run_method("showCage", keys)

    def load_shell(self, key: str) -> None:
        """Fetch the thinned scan of that key."""
        self.run_method("loadShell", key)

    def drop_shell(self) -> None:
        """Show no scan."""
        self.run_method("dropShell")

    def choose(self, bar_id: str | None) -> None:
        """Choose a bar, or none."""
        self.run_method("choose", bar_id)

    def hide(self, bar_ids: Sequence[str]) -> None:
        """Hide these bars and show all others."""
        self.run_method("hide", list(bar_ids))

    def show_shell(self, shown: bool) -> None:
        """Show or hide the shell."""
        self.run_method("showShell", shown)

    def look(self, side: str) -> None:
        """Look from left, right, front, rear, top or corner."""
        self.run_method("look", side)

    def look_at(self, place_mm: Node, across_mm: float = 600.0) -> None:
        """Look at a place from near."""
        self.run_method("lookAt", list(place_mm), across_mm)

    def cut(self, normal: Node | None, place_mm: Node = (0.0, 0.0, 0.0)) -> None:
        """Cut the scan away on the side of a plane that its normal points to; None shows all of it."""
        self.run_method("cut", None if normal is None else list(normal), list(place_mm))

    def show_marks(self, name: str, marks: Sequence[dict[str, Any]]) -> None:
        """Show lines, dots and words under a name, in the place of those before."""
        self.run_method("mark", name, list(marks))

    def show_tried(self, bars: Sequence[dict[str, Any]] | None) -> None:
        """Show bars as they would be, in the place of what they are; None shows the cage as it is."""
        self.run_method("showTried", None if bars is None else list(bars))

    def along(self, axis: str | None) -> None:
        """Hold drags to `forward`, `left` or `up`, or to none."""
        self.run_method("along", axis)

    def steps(self, small_mm: float, large_mm: float) -> None:
        """How far an arrow key moves a node, without and with Shift."""
        self.run_method("steps", small_mm, large_mm)

    def paint(self, dark: bool) -> None:
        """Light or dark."""
        self.run_method("paint", dark)


async def _all_of(answers: Sequence[Any]) -> None:
    for answer in answers:
        if inspect.isawaitable(answer):
            await answer
