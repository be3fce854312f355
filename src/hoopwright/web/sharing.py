"""The shop network as the laptop's page shows it: pairing a phone, and which devices may come in."""

import base64
from collections.abc import Callable
from dataclasses import dataclass

from nicegui import run, ui

from hoopwright.findings import UserError, as_text
from hoopwright.jobs.square_codes import square_code_svg
from hoopwright.store.devices import Device, DeviceList
from hoopwright.web.door.pairing import Pairing

_LOOK_S = 1.0


@dataclass(frozen=True, kw_only=True)
class Sharing:
    """What is shared.

    Args:
        address: Address on the shop network; empty while nothing is shared.
        devices: The paired devices.
        pairing: The code that holds.
    """

    address: str
    devices: DeviceList
    pairing: Pairing


def shop_network(sharing: Sharing, project: str) -> Callable[[], object]:
    """Build the dialog for the laptop's page; gives what opens it.

    Args:
        sharing: What is shared.
        project: Folder of the project, for the words that say how to share it.
    """
    dialog = ui.dialog().props('aria-label="Shop network"')
    with dialog, ui.card().classes("hw-dialog"):
        ui.label("Shop network").classes("hw-head")
        if not sharing.address:
            ui.label(
                "Only this machine is answered. To let phones in the shop come in, stop and start it so:"
            )
            ui.label(f"hoopwright open {project} --share").classes("hw-code")
            ui.button("Close", on_click=dialog.close).classes("hw-button")
            return dialog.open
        ui.label(sharing.address).classes("hw-address")
        ui.label(
            "Phones on the same network come in here once they are paired. What goes between them and this machine "
            "is not encrypted: share on a network that you trust."
        ).classes("hw-soft")
        box = ui.column().classes("w-full items-center gap-1")
        rows = ui.column().classes("w-full gap-1")
        ui.button("Close", on_click=dialog.close).classes("hw-button")
    _Shown(dialog, sharing, box, rows)
    return dialog.open


class _Shown:
    """Keeps the dialog as things are."""

    def __init__(self, dialog: ui.dialog, sharing: Sharing, box: ui.column, rows: ui.column) -> None:
        self._dialog, self._sharing, self._box, self._rows = dialog, sharing, box, rows
        self._code: str | None = None
        self._left: ui.label | None = None
        self._devices: object = None
        self._show_code()
        self._show_devices(())
        dialog.on_value_change(lambda event: None if event.value else sharing.pairing.stop())
        ui.timer(_LOOK_S, self._look)

    async def _look(self) -> None:
        if not self._dialog.value:
            return
        shown = self._sharing.pairing.shown()
        if (None if shown is None else shown.code) != self._code:
            self._show_code()
        elif shown is not None and self._left is not None:
            self._left.set_text(f"holds for {shown.left_s:.0f} s more")
        try:
            devices = await run.io_bound(self._sharing.devices.all)
        except UserError as error:
            ui.notify(as_text(error.findings[0]), type="warning", multi_line=True)
            return
        if devices != self._devices:
            self._show_devices(devices or ())

    def _show_code(self) -> None:
        shown = self._sharing.pairing.shown()
        self._code, self._left = None if shown is None else shown.code, None
        self._box.clear()
        with self._box:
            if shown is None:
                ui.button("Pair a device", on_click=self._start).classes("hw-button")
                return
            address = f"{self._sharing.address}pair"
            picture = base64.b64encode(square_code_svg(f"{address}?code={shown.code}").encode()).decode()
            ui.image(f"data:image/svg+xml;base64,{picture}").props(
                'alt="The pairing address as a square code" no-spinner'
            ).style("width: 180px; height: 180px; background: white")
            ui.label(f"{shown.code[:3]} {shown.code[3:]}").classes("hw-pairing").props('role="status"')
            ui.label(f"Read the square with the phone, or open {address} and type the letters.")
            self._left = ui.label(f"holds for {shown.left_s:.0f} s more").classes("hw-soft")
            ui.button("Stop pairing", on_click=self._stop).props("flat dense")

    def _start(self) -> None:
        self._sharing.pairing.start()
        self._show_code()

    def _stop(self) -> None:
        self._sharing.pairing.stop()
        self._show_code()

    def _show_devices(self, devices: tuple[Device, ...]) -> None:
        self._devices = devices
        self._rows.clear()
        with self._rows:
            ui.label("Paired devices").classes("hw-head")
            if not devices:
                ui.label("None yet.").classes("hw-soft")
            for device in devices:
                self._row(device)

    def _row(self, device: Device) -> None:
        async def allow(workbench: bool) -> None:
            await run.io_bound(self._sharing.devices.allow_workbench, device.device_id, workbench)

        async def revoke() -> None:
            await run.io_bound(self._sharing.devices.revoke, device.device_id)
            ui.notify(f"{device.name} is refused from now on")
            await self._look()

        with ui.row().classes("hw-row"):
            ui.label(f"{device.name}, {device.paired_on}")
            ui.space()
            ui.checkbox(
                "workbench too", value=device.workbench, on_change=lambda event: allow(bool(event.value))
            ).props(f'dense aria-label="{_plain(device.name)}: workbench too"')
            ui.button("Take out", on_click=revoke).props(
                f'flat dense aria-label="Take out {_plain(device.name)}"'
            )


def _plain(name: str) -> str:
    """A name without what has a meaning in the page library's list of properties."""
    return "".join(sign for sign in name if sign.isalnum() or sign in " -_.")
