"""Where to listen: on this machine alone, or on the shop network too."""

import socket
import sys

from hoopwright.findings import Finding, Severity, UserError

SHARED_PORT = 8655
"""Where a shared workbench listens unless another port is named: addresses on sheets and phones stay true."""
_NOWHERE = "192.0.2.1"
"""An address kept for documents (RFC 5737): asking the way to it sends nothing."""


def own_address() -> str:
    """This machine's address on its network.

    Raises:
        UserError: `WEB-081` without a network.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect((_NOWHERE, 9))
            address = str(probe.getsockname()[0])
        except OSError:
            address = "0.0.0.0"  # noqa: S104 - what is compared, not listened on
    if address == "0.0.0.0" or address.startswith("127."):  # noqa: S104
        raise _no_network("This machine is on no network, so that no phone could reach it.")
    return address


def named_address(host: str) -> str:
    """The address of this machine that a person named.

    Raises:
        UserError: `WEB-081` for what is no address of this machine, or stands for all of them.
    """
    try:
        found = socket.gethostbyname(host.strip())
    except (OSError, UnicodeError):
        raise _no_network(f"{host} is no address.") from None
    if found == "0.0.0.0":  # noqa: S104
        raise _no_network(f"{host} stands for every network that this machine is on.")
    return found


def listening(address: str, port: int) -> socket.socket:
    """A socket that listens.

    Raises:
        UserError: `WEB-080` when the port is taken, `WEB-081` for an address of another machine.
    """
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if sys.platform != "win32":  # there it would let two servers share the port
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((address, port))
    except (OSError, OverflowError) as error:
        made.close()
        if isinstance(error, OSError) and error.errno is not None and _is_foreign(address):
            raise _no_network(f"{address} is no address of this machine.") from None
        raise UserError(
            Finding(
                code="WEB-080",
                severity=Severity.STOP,
                sentence=f"Port {port} at {address} cannot be listened on: {error}.",
                todo="Stop what listens there, or name another with --port; without --port a free one is taken.",
                objects=(f"{address}:{port}",),
            )
        ) from None
    return made


def _is_foreign(address: str) -> bool:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.bind((address, 0))
        except OSError:
            return True
    return False


def _no_network(sentence: str) -> UserError:
    return UserError(
        Finding(
            code="WEB-081",
            severity=Severity.STOP,
            sentence=sentence,
            todo="Join the shop's network, or name this machine's address there with --host.",
        )
    )
