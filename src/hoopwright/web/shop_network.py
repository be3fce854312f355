"""Where to listen: on this machine alone, or on the shop network too."""

import socket
import sys

from hoopwright.findings import Finding, Severity, UserError

SHARED_PORT = 8655
"""Where a shared workbench listens unless another port is named: addresses on sheets and phones stay true."""
_WAITING = 1024
"""Connections that may wait to be taken."""
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
        UserError: `WEB-081` for what is no address, stands for all of them, or for this machine alone.
    """
    try:
        found = socket.gethostbyname(host.strip())
    except (OSError, UnicodeError):
        raise _no_network(f"{host} is no address.") from None
    if found == "0.0.0.0":  # noqa: S104
        raise _no_network(f"{host} stands for every network that this machine is on.")
    if found == "127.0.0.1":
        raise _no_network(f"{host} stands for this machine alone, so that no phone could reach it.")
    return found


def named_port(typed: str) -> int:
    """The port that a person typed; the usual one for nothing.

    Raises:
        UserError: `WEB-089` for what is no port.
    """
    text = typed.strip()
    if not text:
        return SHARED_PORT
    if text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= 65_535:
        return int(text)
    raise UserError(
        Finding(
            code="WEB-089",
            severity=Severity.STOP,
            sentence=f"{text[:40]!r} is no port: a port is a whole number from 1 to 65535.",
            todo=f"Type such a number, or nothing for {SHARED_PORT}.",
        )
    )


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
        # two sockets that are only bound may share a port; the one that listens has it
        made.listen(_WAITING)
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
