"""What a database says when something is wrong, as findings."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import (
    ArgumentError,
    DBAPIError,
    InterfaceError,
    NoSuchModuleError,
    OperationalError,
)

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store.shop_place import ShopPlace, cannot_be_opened

_LACKING = ("does not exist", "no such", "violates")
_BUSY = ("locked", "busy", "lock timeout", "deadlock")
_NO_ROOM = ("full", "readonly", "read-only", "disk i/o", "unable to open", "no space")
_SERVER = (
    "See that the server runs, that the address is right, and that the database was made ('createdb NAME')."
)
_DRIVERS = "Install what the address needs; for PostgreSQL: pip install 'hoopwright[postgres]'."


@contextmanager
def translated(place: ShopPlace, *, opening: bool = False) -> Iterator[None]:
    """Turn what the database says into a stop with a finding.

    Args:
        place: The place.
        opening: Whether nothing was asked yet but to be let in.

    Raises:
        UserError: `SHOP-020`, `SHOP-021`, `SHOP-023`, `SHOP-029`.
    """
    try:
        yield
    except DBAPIError as error:
        is_gone = error.connection_invalidated or isinstance(error, OperationalError | InterfaceError)
        if is_gone and opening and place.file is None:
            raise cannot_be_opened(
                place, " ".join(str(error.orig or error).split())[:300], _SERVER
            ) from error
        raise _of_driver(place, error.orig or error, is_gone=is_gone) from error
    except sqlite3.Error as error:
        raise _of_driver(place, error) from error
    except UnicodeDecodeError as error:  # a name in a damaged file
        raise damaged(place, str(error)) from error


@contextmanager
def addressed(place: ShopPlace) -> Iterator[None]:
    """Turn an address that cannot be used into a stop with a finding.

    Raises:
        UserError: `SHOP-020`.
    """
    try:
        yield
    except (NoSuchModuleError, ModuleNotFoundError) as error:
        raise cannot_be_opened(place, f"its driver is not installed ({error})", _DRIVERS) from None
    except (ArgumentError, ValueError) as error:
        raise cannot_be_opened(place, f"it is no address: {error}", "Look at the address again.") from None


def _of_driver(place: ShopPlace, error: BaseException, *, is_gone: bool = False) -> UserError:
    said = " ".join(str(error).split())
    lower = said.lower()
    if any(sign in lower for sign in _BUSY):
        return busy(place)
    if place.file is not None and any(sign in lower for sign in _NO_ROOM):
        return cannot_be_opened(
            place, said, "Free some space, or see that the file and its folder can be written."
        )
    if place.file is not None:
        return damaged(place, said)
    if is_gone:
        return lost(place, said)
    if any(sign in lower for sign in _LACKING):
        return damaged(place, said)
    return cannot_be_opened(place, said, "See what the server lets this user do.")


def damaged(place: object, why: str) -> UserError:
    """The stop for something that is no whole shop database."""
    return UserError(
        Finding(
            code="SHOP-021",
            severity=Severity.STOP,
            sentence=f"{place} is no shop database, or it is damaged: {why.strip().rstrip('.')}.",
            todo="Nothing was changed. Name the right file, or restore a backup: 'hoopwright restore FILE'.",
            objects=(str(place),),
        )
    )


def newer(place: object, version: str, known: str) -> UserError:
    """The stop for a database of a later program."""
    return UserError(
        Finding(
            code="SHOP-022",
            severity=Severity.STOP,
            sentence=f"{place} has version {version[:20]}; this program reads up to {known}.",
            todo="Nothing was changed. Use a newer version of the tool.",
            objects=(str(place),),
        )
    )


def lost(place: object, why: str, *, in_doubt: bool = False) -> UserError:
    """The stop for a server that does not answer any more."""
    kept = "Whether the last step was kept is not known" if in_doubt else "Nothing of this step was kept"
    return UserError(
        Finding(
            code="SHOP-023",
            severity=Severity.STOP,
            sentence=f"The shop database {place} does not answer: {why.strip().rstrip('.')[:300]}. {kept}.",
            todo="See that the server runs and can be reached, and give it again: the same reading sent twice is "
            "kept once.",
            objects=(str(place),),
        )
    )


def busy(place: object) -> UserError:
    """The stop for a database that another process holds for too long."""
    return UserError(
        Finding(
            code="SHOP-029",
            severity=Severity.STOP,
            sentence=f"The shop database {place} is held by another process. Nothing of this step was kept.",
            todo="Try again in a moment.",
            objects=(str(place),),
        )
    )
