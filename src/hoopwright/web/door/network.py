"""Whether the shop network is answered now, and where."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, eq=False)
class InShop:
    """Where the shop network comes in, from one beginning of sharing to its end.

    Two beginnings are never the same, even at one address: what was let in during the first is out during the second.

    Args:
        host: This machine's address on the shop network.
        port: Where it listens there.
    """

    host: str
    port: int

    @property
    def url(self) -> str:
        """The address as a person types it, with a slash at its end."""
        return f"http://{self.host}:{self.port}/"


@dataclass
class Network:
    """The shop network at this moment.

    Args:
        now: Where it comes in; None while nothing is shared.
    """

    now: InShop | None = None
