"""The place where a file is dropped; the browser streams it to `uploads`."""

from collections.abc import Callable, Sequence
from typing import Any

from nicegui.element import Element
from nicegui.events import GenericEventArguments


class DropPlace(Element, component="dropping.js"):
    """A place that takes a file, dropped anywhere on the page or chosen.

    Args:
        address: Where the file is sent.
        suffixes: Ends of names that are offered to choose from.
        largest_bytes: Larger files are not even sent.
        on_arrived: Called with the token and the name of a file that came whole.
        on_refused: Called with why one was refused.
        what: What is dropped, in words.
        hint: Which files.
        many: Whether several may be dropped; they come one after the other.
    """

    def __init__(
        self,
        *,
        address: str,
        suffixes: Sequence[str],
        largest_bytes: int,
        on_arrived: Callable[[str, str], Any],
        on_refused: Callable[[str], Any],
        what: str = "scan",
        hint: str = "STL, PLY, OBJ, GLB, E57, LAS, LAZ, PTX, PTS or XYZ",
        many: bool = False,
    ) -> None:
        super().__init__()
        named = f"{what}s" if many else f"the {what}"
        files = "choose their files" if many else "choose its file"
        self._props["what"], self._props["hint"], self._props["many"] = what, hint, many
        self._props["words"] = f"Drop {named} on the page, or {files}"
        self._props["address"] = address
        self._props["largest"] = largest_bytes
        self._props["accept"] = ",".join(suffixes)

        def arrived(event: GenericEventArguments) -> Any:
            return on_arrived(str(event.args.get("token", ""))[:80], str(event.args.get("name", ""))[:120])

        def refused(event: GenericEventArguments) -> Any:
            return on_refused(str(event.args.get("text", ""))[:2000])

        self.on("arrived", arrived)
        self.on("refused", refused)
