"""Where the shop database is. Nothing heavy is imported here: a command that needs no shop must not wait for one."""

import os
import re
from dataclasses import dataclass
from pathlib import Path

import platformdirs

from hoopwright.findings import Finding, Severity, UserError

PLACE_VARIABLE = "HOOPWRIGHT_SHOP"
NO_SHOP = "none"
_SQLITE = re.compile(r"sqlite(?:\+\w+)?:/{2,3}(?P<file>[^?]*)(?:\?.*)?")


@dataclass(frozen=True, kw_only=True)
class ShopPlace:
    """Where a shop database is.

    Args:
        file: The SQLite file; None for a server.
        url: The server's address; empty for a file.
    """

    file: Path | None = None
    url: str = ""

    def __str__(self) -> str:
        """The place as it may be printed: without a password."""
        return re.sub(r"(://[^:/@]*):[^@]*@", r"\1:***@", self.url) if self.file is None else str(self.file)

    @property
    def is_there(self) -> bool:
        """Whether something is there to be opened; a server is taken to be."""
        return self.file is None or self.file.exists()


def shop_place(given: str | None = None) -> ShopPlace | None:
    """The shop that was named, or the one of the variable HOOPWRIGHT_SHOP, or the person's own; None for `none`.

    Raises:
        UserError: `SHOP-020` for a name that is no place.
    """
    text = (given or os.environ.get(PLACE_VARIABLE) or "").strip()
    if not text:
        return ShopPlace(file=platformdirs.user_data_path("hoopwright", appauthor=False) / "shop.sqlite")
    if text.lower() == NO_SHOP:
        return None
    if "://" not in text:
        return ShopPlace(file=_file(text))
    match = _SQLITE.fullmatch(text)
    if match is None:
        return ShopPlace(url=text)
    if match["file"] in ("", ":memory:"):
        raise cannot_be_opened(
            text, "it names no file", "Name a file, such as sqlite:////home/me/shop.sqlite."
        )
    return ShopPlace(file=_file(match["file"]))


def cannot_be_opened(place: object, why: str, todo: str) -> UserError:
    """The stop for a shop that cannot be reached."""
    return UserError(
        Finding(
            code="SHOP-020",
            severity=Severity.STOP,
            sentence=f"The shop database {place} cannot be opened: {why.strip().rstrip('.?')}.",
            todo=f"{todo} With {PLACE_VARIABLE}={NO_SHOP} the tool works without a shop.",
            objects=(str(place),),
        )
    )


def _file(text: str) -> Path:
    if "\0" in text:
        raise cannot_be_opened(text.replace("\0", "?"), "that is no name of a file", "Name a file.")
    return Path(text).expanduser().absolute()
