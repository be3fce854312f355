"""Who asks."""

from collections.abc import Mapping, MutableMapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

SCOPE_KEY = "hoopwright.asker"


class Who(StrEnum):
    """What a request comes from."""

    NOBODY = "nobody"
    LAPTOP = "laptop"
    DEVICE = "device"


@dataclass(frozen=True, kw_only=True)
class Asker:
    """Who asks, as the guard found.

    Args:
        who: The laptop that serves, a paired device, or nobody known.
        name: The device's name, as it is shown.
        device_id: The device; empty for others.
        workbench: Whether the workbench is for him, or the screen at the bender alone.
    """

    who: Who
    name: str = ""
    device_id: str = ""
    workbench: bool = False

    @property
    def device(self) -> str:
        """As what is read by him is kept: the name that the person gave the device, or that it was the laptop."""
        return "the laptop" if self.at_laptop else self.name

    @property
    def at_laptop(self) -> bool:
        """Whether he sits at the laptop that serves."""
        return self.who is Who.LAPTOP


NOBODY = Asker(who=Who.NOBODY)
LAPTOP = Asker(who=Who.LAPTOP, name="this laptop", workbench=True)


def asker_of(scope: Mapping[str, Any]) -> Asker:
    """Who asks; nobody where the guard did not say."""
    found = scope.get(SCOPE_KEY)
    return found if isinstance(found, Asker) else NOBODY


def name_asker(scope: MutableMapping[str, Any], asker: Asker) -> None:
    """Let what answers know who asks."""
    scope[SCOPE_KEY] = asker
