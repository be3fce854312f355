"""The shop: opening it, and keeping and changing what is in it."""

import contextlib
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

from hoopwright.bender import ShopBender, ShopDie, TubeBatch, record_as_keys
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.batch_numbers import number_findings
from hoopwright.progress import Progress, silent
from hoopwright.store.shop import NO_SHOP, PLACE_VARIABLE, Shop, ShopPlace, Stored, shop_place
from hoopwright.store.shop.backup import Restored, back_up, restore
from hoopwright.store.shop.exchange import Exchanged, export_shop, import_shop
from hoopwright.store.shop_place import cannot_be_opened

Word = Literal["bender", "die", "batch"]
_LARGEST_STAND_BYTES = 200_000

as_keys = record_as_keys
"""A record as JSON carries it."""


@contextlib.contextmanager
def open_shop(where: str | None = None) -> Iterator[Shop]:
    """The shop that was named, or the one of HOOPWRIGHT_SHOP, or the person's own; made where there is none yet.

    Raises:
        UserError: `SHOP-040` where the tool was told to work without one; `SHOP-020` to `SHOP-023`, `SHOP-029`.
    """
    with Shop.open(_place(where)) as shop:
        yield shop


def refuse_missing(where: str | None) -> None:
    """Stop where a shop was named that is not there: reading must not make an empty one.

    Raises:
        UserError: `SHOP-020`.
    """
    place = None if where is None else shop_place(where)
    if place is not None and not place.is_there:
        raise cannot_be_opened(place, "there is no such file", "Look at the name.")


def _place(where: str | None) -> ShopPlace:
    place = shop_place(where)
    if place is None:
        raise UserError(
            Finding(
                code="SHOP-040",
                severity=Severity.STOP,
                sentence=f"There is no shop: {PLACE_VARIABLE} or --shop says '{NO_SHOP}'.",
                todo="Name one with --shop FILE or --shop ADDRESS.",
            )
        )
    return place


def add_bender(where: str | None, bender: ShopBender) -> Stored[ShopBender]:
    """Keep a new bender; raises `SHOP-024` for a name that is kept with other values."""
    with open_shop(where) as shop:
        return shop.add_bender(bender)


def add_die(where: str | None, die: ShopDie) -> Stored[ShopDie]:
    """Keep a new die; raises `SHOP-024`, and `SHOP-025` for a bender that is not kept."""
    with open_shop(where) as shop:
        return shop.add_die(die)


def certificate_number(typed: str | None) -> str:
    """The certificate of a batch as it was given; empty where none was.

    Raises:
        UserError: `SHOP-051` for one that was given without its number.
    """
    if typed is not None and not typed.strip():
        raise UserError(
            Finding(
                code="SHOP-051",
                severity=Severity.STOP,
                sentence="A certificate was given without its number; nothing was kept.",
                todo="Type the number that stands on it, or leave the certificate out where there is none.",
            )
        )
    return typed or ""


def add_batch(where: str | None, batch: TubeBatch) -> Stored[TubeBatch]:
    """Keep a new tube batch, and tell which of its numbers is lacking; raises `SHOP-024` for a name that is kept."""
    with open_shop(where) as shop:
        return with_numbers_told(shop.add_batch(batch))


def with_numbers_told(stored: Stored[TubeBatch]) -> Stored[TubeBatch]:
    """A batch that was kept, with what number of its papers is lacking."""
    return replace(stored, findings=(*stored.findings, *number_findings((stored.record,))))


def change(
    where: str | None, word: Word, name: str, changes: Mapping[str, Any], *, shown: int | None = None
) -> Stored[Any]:
    """Keep a further version of a bender, die or batch; what is None in `changes` stays.

    Args:
        where: The shop.
        word: What it is.
        name: Its name.
        changes: Fields with what they are to be.
        shown: The version that the person had before his eyes; None where nobody knows.

    Raises:
        UserError: `SHOP-025` when it is not kept, `SHOP-026` when it was changed elsewhere meanwhile.
    """
    typed = {key: value for key, value in changes.items() if value is not None}
    with open_shop(where) as shop:
        old: Any = getattr(shop, word)(name)
        version = old.version if shown is None else shown
        add: Callable[..., Stored[Any]] = getattr(shop, f"add_{word}")
        kept: Stored[Any] = add(replace(old, **typed, version=version), change=True)
    return with_numbers_told(kept) if word == "batch" else kept


def retire(
    where: str | None, word: Word, name: str, *, back: bool = False, shown: int | None = None
) -> Stored[Any]:
    """Take a bender, die or batch out of use, or back into it; what was measured with it stays. As `change`."""
    return change(where, word, name, {"retired": not back}, shown=shown)


def benders(where: str | None, name: str | None = None, *, retired: bool = False) -> tuple[ShopBender, ...]:
    """Benders of the shop, or one."""
    with open_shop(where) as shop:
        return shop.benders(retired=retired) if name is None else (shop.bender(name),)


def dies(where: str | None, name: str | None = None, *, retired: bool = False) -> tuple[ShopDie, ...]:
    """Dies of the shop, or one."""
    with open_shop(where) as shop:
        return shop.dies(retired=retired) if name is None else (shop.die(name),)


def batches(where: str | None, name: str | None = None, *, retired: bool = False) -> tuple[TubeBatch, ...]:
    """Tube batches of the shop, or one."""
    with open_shop(where) as shop:
        return shop.batches(retired=retired) if name is None else (shop.batch(name),)


def read_stand(file: Path) -> dict[str, Any]:
    """How a bender stands in its room, from a TOML file, as it is.

    Raises:
        UserError: `SHOP-043` when the file cannot be read.
    """
    try:
        if file.stat().st_size > _LARGEST_STAND_BYTES:
            raise _no_stand(file, "it is over 200 kB")
        return tomllib.loads(file.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise _no_stand(file, error.strerror or str(error)) from None
    except (ValueError, RecursionError) as error:
        raise _no_stand(file, f"it is no TOML: {error}") from None


def _no_stand(file: Path, why: str) -> UserError:
    return UserError(
        Finding(
            code="SHOP-043",
            severity=Severity.STOP,
            sentence=f"{file.name}: {why}.",
            todo="Check the file.",
            objects=(str(file),),
        )
    )


@dataclass(frozen=True, kw_only=True)
class ShopContents:
    """What is in the shop.

    Args:
        place: Where it is, without a password.
        counts: How many there are of each sort; those in use.
        calibrations: Key, die, batch, tube and day of each calibration in force.
    """

    place: str
    counts: Mapping[str, int]
    calibrations: tuple[Mapping[str, str], ...]


def contents(where: str | None) -> ShopContents:
    """Where the shop is and what is in it."""
    with open_shop(where) as shop:
        kept = shop.calibrations()
        counts = {
            "benders": len(shop.benders()),
            "dies": len(shop.dies()),
            "batches": len(shop.batches()),
            "sticks": len(shop.sticks()),
            "calibrations": len(kept),
            "bends": shop.count_bends(),
        }
        listed = tuple(
            {"key": r.key, "die": r.die, "batch": r.batch, "tube": str(r.tube), "date": r.date} for r in kept
        )
        return ShopContents(place=str(shop.place), counts=counts, calibrations=listed)


def back_up_shop(where: str | None, file: Path) -> int:
    """Copy the whole shop into one file; returns how many bends it holds. Raises `SHOP-031`, `STORE-002`."""
    with open_shop(where) as shop:
        return back_up(shop, file)


def restore_shop(where: str | None, file: Path, *, progress: Progress = silent) -> Restored:
    """Go back to a copy, which is looked through first; what was there is kept.

    Raises:
        UserError: `SHOP-021`, `SHOP-022`, `STORE-002`; `SHOP-040`.
    """
    place = _place(where)
    progress("looking through the copy", 0.1)
    return restore(place, file)


def export_all(where: str | None, folder: Path) -> Exchanged:
    """Write the whole shop into a folder of plain files. Raises `SHOP-031`, `STORE-002`."""
    with open_shop(where) as shop:
        return export_shop(shop, folder)


def import_all(where: str | None, folder: Path) -> Exchanged:
    """Take an export in, all or nothing; what is kept already is not doubled.

    Raises:
        UserError: `SHOP-009`, `SHOP-024`, `SHOP-032`.
    """
    with open_shop(where) as shop:
        return import_shop(shop, folder)
