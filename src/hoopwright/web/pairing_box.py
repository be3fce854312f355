"""The pairing code as letters and as a square, for as long as it holds."""

import base64

from nicegui import ui

from hoopwright.jobs.square_codes import square_code_svg
from hoopwright.web.sharing import Sharing


class PairingBox:
    """What the laptop shows of pairing.

    Args:
        sharing: What is shared.
    """

    def __init__(self, sharing: Sharing) -> None:
        self._sharing = sharing
        self._box = ui.column().classes("w-full items-center gap-1")
        self._shown: object = None
        self._left: ui.label | None = None

    def follow(self) -> None:
        """Show the code that holds now, or how to get one."""
        shown, address = self._sharing.pairing.shown(), self._sharing.address
        now = (address, None if shown is None else shown.code)
        if now != self._shown:
            self._shown = now
            self._draw()
        elif shown is not None and self._left is not None:
            self._left.set_text(f"holds for {shown.left_s:.0f} s more")

    def _draw(self) -> None:
        shown, address = self._sharing.pairing.shown(), f"{self._sharing.address}pair"
        self._left = None
        self._box.clear()
        with self._box:
            if shown is None:
                ui.button("Pair a device", on_click=self._start).classes("hw-button")
                return
            picture = base64.b64encode(square_code_svg(f"{address}?code={shown.code}").encode()).decode()
            ui.image(f"data:image/svg+xml;base64,{picture}").props(
                'alt="The pairing address as a square code" no-spinner'
            ).style("width: 180px; height: 180px; background: white")
            ui.label(f"{shown.code[:3]} {shown.code[3:]}").classes("hw-pairing").props('role="status"')
            ui.label(f"Read the square with the phone, or open {address} and type the letters.")
            self._left = ui.label(f"holds for {shown.left_s:.0f} s more").classes("hw-soft")
            ui.button("Stop pairing", on_click=self._stop).props("flat dense")

    def _start(self) -> None:
        if self._sharing.address:
            self._sharing.pairing.start()
        self.follow()

    def _stop(self) -> None:
        self._sharing.pairing.stop()
        self.follow()
