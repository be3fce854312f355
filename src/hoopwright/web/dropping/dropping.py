"""The place where a scan is dropped; the browser streams it to `uploads`."""

from collections.abc import Callable, Sequence
from typing import Any

from nicegui.element import Element
from nicegui.events import GenericEventArguments


class DropPlace(Element, component="dropping.js"):
    """A place that takes one file, dropped anywhere on the page or chosen.

    Args:
        address: Where the file is sent.
        suffixes: Ends of names that are offered to choose from.
        largest_bytes: Larger files are not even sent.
        on_arrived: Called with the token and the name of a file that came whole.
        on_refused: Called with why one was refused.
    """

    def __init__(
        self,
        *,
        address: str,
        suffixes: Sequence[str],
        largest_bytes: int,
        on_arrived: Callable[[str, str], Any],
        on_refused: Callable[[str], Any],
    ) -> None:
        super().__init__()
        self._props["address"] = address
        self._props["largest"] = largest_bytes
        self._props["accept"] = ",".join(suffixes)

        def arrived(event: GenericEventArguments) -> Any:
            return on_arrived(str(event.args.get("token", ""))[:80], str(event.args.get("name", ""))[:120])

        def refused(event: GenericEventArguments) -> Any:
            return on_refused(str(event.args.get("text", ""))[:2000])

        self.on("arrived", arrived)
        self.on("refused", refused)
