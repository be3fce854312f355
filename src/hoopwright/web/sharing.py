"""Sharing with the shop network: begun and ended while the workbench is open, off until it is asked for."""

import socket
from dataclasses import replace

from nicegui import run

from hoopwright.findings import Finding, UserError
from hoopwright.store.devices import DeviceList
from hoopwright.web.door.network import InShop, Network
from hoopwright.web.door.pairing import Pairing
from hoopwright.web.shop_listener import ShopListener
from hoopwright.web.shop_network import named_address, named_port, own_address

_TODO_HERE = {
    "WEB-080": "Stop what listens there, or type another port under Other address or port.",
    "WEB-081": "Join the shop's network and press again, or type this machine's address there under Other address "
    "or port.",
}


class Sharing:
    """What is shared with the shop network at this moment.

    Args:
        devices: The paired devices.
        pairing: The code that holds.
        network: What the guard knows of the network.
        listener: Listens there.
    """

    def __init__(
        self, *, devices: DeviceList, pairing: Pairing, network: Network, listener: ShopListener
    ) -> None:
        self.devices, self.pairing = devices, pairing
        self._network, self._listener = network, listener

    @property
    def address(self) -> str:
        """Address on the shop network, with a slash at its end; empty while nothing is shared."""
        now = self._network.now
        return "" if now is None else now.url

    async def begin(self, *, host: str = "", port: str = "") -> None:
        """Listen on the shop network, unless it is shared already.

        Args:
            host: This machine's address there, as typed; found where nothing is.
            port: As typed; the usual one where nothing is.

        Raises:
            UserError: `WEB-080` a port that is taken, `WEB-081` no network or no address of this machine,
                `WEB-089` what is no port.
        """
        if self._network.now is not None:
            return
        try:
            number = named_port(port)
            address = await run.io_bound(lambda: named_address(host) if host.strip() else own_address())
            if address is None:  # the server is closing
                return
            await self._listener.begin(InShop(host=address, port=number))
        except UserError as error:
            raise UserError(*(_said_here(one) for one in error.findings)) from None

    async def begin_on(self, bound: socket.socket, at: InShop) -> None:
        """Listen on a socket that is bound already, as `--share` asks."""
        await self._listener.begin(at, bound)

    async def end(self) -> None:
        """Refuse every device from here on, close what is open to them, and stop listening."""
        self.pairing.stop()
        await self._listener.end()
        self.pairing.stop()


def _said_here(finding: Finding) -> Finding:
    return replace(finding, todo=_TODO_HERE.get(finding.code, finding.todo))
