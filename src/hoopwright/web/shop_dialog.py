"""The shop network as the laptop's page shows it: sharing begun and ended, a phone paired, devices taken out."""

from collections.abc import Callable

from nicegui import run, ui

from hoopwright.findings import UserError, as_text
from hoopwright.store.devices import Device
from hoopwright.web.door.asking import Asker
from hoopwright.web.findings_words import finding_words
from hoopwright.web.pairing_box import PairingBox
from hoopwright.web.sharing import Sharing
from hoopwright.web.shop_network import SHARED_PORT

_LOOK_S = 1.0
_OFF = (
    "Sharing is off: only this machine is answered. Begin it to let phones and tablets in the shop come in: they lead "
    "through each bend, and take the readings. Each is paired once with a code that stands here."
)
_CAUTION = (
    "What goes between phones and this machine is not encrypted: whoever can listen on the network can read it, and "
    "could come in as that phone. Share on the shop's own network with a password, never on one for guests, and stop "
    "when nobody bends."
)
_SYSTEM = (
    "The system may ask whether this program may be reached from the network: say yes for private networks only. "
    "Sharing ends when the workbench is stopped, and is off when it is started again."
)


def shop_button(sharing: Sharing, asker: Asker) -> None:
    """The button at the top of the laptop's page, which says whether anything is shared; none on other pages.

    Args:
        sharing: What is shared.
        asker: Who has the page open.
    """
    if not asker.at_laptop:
        return
    button = ui.button("Shop network", on_click=_shop_dialog(sharing)).props("flat dense")

    def say() -> None:
        button.set_text("Shop network: shared" if sharing.address else "Shop network")

    say()
    ui.timer(_LOOK_S, say)


def _shop_dialog(sharing: Sharing) -> Callable[[], object]:
    dialog = ui.dialog().props('aria-label="Shop network"')
    with dialog, ui.card().classes("hw-dialog"):
        ui.label("Shop network").classes("hw-head")
        shown = _Shown(dialog, sharing)
        ui.button("Close", on_click=dialog.close).classes("hw-button")
    return shown.open


class _Shown:
    """Keeps the dialog as things are, whichever window changed them."""

    def __init__(self, dialog: ui.dialog, sharing: Sharing) -> None:
        self._dialog, self._sharing = dialog, sharing
        self._address: str | None = None
        self._devices: tuple[Device, ...] | None = None
        self._off = ui.column().classes("w-full gap-2")
        with self._off:
            self._build_off()
        self._on = ui.column().classes("w-full gap-2")
        with self._on:
            self._build_on()
        self._told = ui.label().classes("hw-near").props('role="alert"').style("white-space: pre-line")
        self._rows = ui.column().classes("w-full gap-1")
        self._tell("")
        self._follow()
        self._show_devices(())
        dialog.on_value_change(lambda event: None if event.value else sharing.pairing.stop())
        ui.timer(_LOOK_S, self._look)

    async def open(self) -> None:
        """Open the dialog as things are."""
        self._tell("")
        self._follow()
        self._dialog.open()
        await self._look()

    def _build_off(self) -> None:
        ui.label(_OFF)
        ui.label(_CAUTION).classes("hw-soft")
        ui.label(_SYSTEM).classes("hw-soft")
        with ui.expansion("Other address or port").props("dense").classes("w-full"):
            self._host = ui.input("This machine's address on the shop network").props("dense outlined")
            self._port = ui.input("Port").props("dense outlined")
            ui.label(f"Nothing typed: the address is found, and the port is {SHARED_PORT}.").classes(
                "hw-understood"
            )
        self._begin = ui.button("Begin sharing", on_click=self._start).classes("hw-button")

    def _build_on(self) -> None:
        ui.label("Sharing is on. Paired phones and tablets on the same network come in here:")
        self._at = ui.label().classes("hw-address")
        ui.label(_CAUTION).classes("hw-soft")
        self._pairing = PairingBox(self._sharing)
        ui.button("Stop sharing", on_click=self._stop).classes("hw-button")
        ui.label("Stops at once: every phone is refused, and none stays connected.").classes("hw-understood")

    async def _start(self) -> None:
        self._tell("")
        self._begin.disable()
        try:
            await self._sharing.begin(host=str(self._host.value or ""), port=str(self._port.value or ""))
            if not await run.io_bound(self._sharing.devices.all):
                self._sharing.pairing.start()
        except UserError as error:
            self._tell("\n".join(finding_words(one, "mm") for one in error.findings))
        finally:
            self._begin.enable()
        self._follow()

    async def _stop(self) -> None:
        self._tell("")
        await self._sharing.end()
        self._follow()
        ui.notify("Sharing has stopped: every phone is refused")

    def _tell(self, words: str) -> None:
        self._told.set_text(words)
        self._told.set_visibility(bool(words))

    def _follow(self) -> None:
        address = self._sharing.address
        if address != self._address:
            self._address = address
            self._off.set_visibility(not address)
            self._on.set_visibility(bool(address))
            self._at.set_text(address)
        self._pairing.follow()

    async def _look(self) -> None:
        if not self._dialog.value:
            return
        self._follow()
        try:
            devices = await run.io_bound(self._sharing.devices.all)
        except UserError as error:
            ui.notify(as_text(error.findings[0]), type="warning", multi_line=True)
            return
        if devices != self._devices:
            self._show_devices(devices or ())

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
