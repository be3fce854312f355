"""How long work tells how far it is."""

from collections.abc import Callable

Progress = Callable[[str, float], None]
"""Called with what is being done and the share of it that is done, 0 to 1."""


def silent(_stage: str, _share: float) -> None:
    """Tells nobody."""
