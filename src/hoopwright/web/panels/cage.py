"""The cage."""

from hoopwright.web.bench import Bench


def build(bench: Bench) -> None:
    """Fill the tab."""
