"""Recordings of cuts that were broken off between the shop and the project: the next look finishes them.

Whether the shop has a recording is asked of the shop: by what follows the record of a stick that it was made from, with
the key of the recording in its note; never of how far a process says that it came.
"""

import contextlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from hoopwright.bender import Stick
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store import ProjectFolder
from hoopwright.store.shop_place import ShopPlace, shop_place
from hoopwright.store.takings import (
    Taking,
    begin_taking,
    end_taking,
    keep_tubes,
    read_taking,
    taking_file,
    taking_locked,
)

if TYPE_CHECKING:
    from hoopwright.store.shop import Shop


@dataclass(frozen=True, kw_only=True)
class Finished:
    """What became of a recording that was broken off.

    Args:
        taking: The recording; None where there was none, or it came to nothing.
        findings: What a person should know of it.
    """

    taking: Taking | None = None
    findings: tuple[Finding, ...] = ()


def finish_taking(folder: ProjectFolder, shop: str | None) -> Finished:
    """Finish a recording that was broken off, if there is one.

    Args:
        folder: The project.
        shop: The shop; the person's own without.

    Raises:
        UserError: `STOCK-015` where the shop that would know cannot be looked into, `STORE-013` where it cannot be
            told what was to be recorded; `STORE-002`, `SHOP-...`. Nothing is lost by it.
    """
    if not taking_file(folder).is_file():
        return Finished()
    with taking_locked(folder):
        return finish_locked(folder, shop)


def look_at_taking(folder: ProjectFolder, shop: str | None) -> tuple[Finding, ...]:
    """The same for one who only looks: what cannot be finished now is told, and does not stop him."""
    try:
        return finish_taking(folder, shop).findings
    except UserError as error:
        return tuple(replace(finding, severity=Severity.WARNING) for finding in error.findings)


def finish_locked(folder: ProjectFolder, shop: str | None) -> Finished:
    """The same for one who holds the lock; raises as `finish_taking`."""
    taking = read_taking(folder)
    if taking is None:
        return Finished()
    place = shop_place(shop)
    if not _is_in(place, taking):
        if place is None or str(place) != taking.shop or not place.is_there:
            raise UserError(_other_shop(folder, taking, place))
        end_taking(folder)
        return Finished(findings=(_came_to_nothing(taking),))
    keep_tubes(folder, taking)
    end_taking(folder)
    return Finished(taking=taking, findings=(_finished(taking),))


def record_taking(folder: ProjectFolder, shop: "Shop", taking: Taking) -> None:
    """Tell the shop and then the project; the caller holds the lock.

    Raises:
        UserError: `SHOP-...` where the shop does not take it, `STORE-002` where the project cannot be written; what the
            shop has then is told by `STOCK-017`, and the next look finishes it.
    """
    begin_taking(folder, taking)
    try:
        shop.use_sticks(_pairs(taking))
    except UserError:
        # an answer that was lost on its way is no answer: only the shop says that it has nothing of it
        with contextlib.suppress(UserError):
            if not _is_in(shop.place, taking):
                end_taking(folder)
        raise
    try:
        keep_tubes(folder, taking)
        end_taking(folder)
    except UserError as error:
        raise UserError(*error.findings, _half(taking)) from error


def _pairs(taking: Taking) -> list[tuple[Stick, Stick | None]]:
    if taking.back:
        return [(stick, None) for stick in (*taking.offcuts, *taking.sticks)]
    left = {offcut.cut_from: offcut for offcut in taking.offcuts}
    return [(stick, left.get(stick.label)) for stick in taking.sticks]


def _is_in(place: ShopPlace | None, taking: Taking) -> bool:
    """Whether the shop has it: it takes all sticks or none, so the next record of one of them tells of all."""
    if place is None or not place.is_there:
        return False
    from hoopwright.store.shop import Shop

    first = taking.sticks[0]
    with Shop.open(place) as shop:
        versions = shop.stick_versions(first.label)
    return first in versions[first.version : first.version + 1]


def _what(taking: Taking) -> str:
    return "The taking back" if taking.back else "The recording"


def _finished(taking: Taking) -> Finding:
    sticks = _names([stick.label for stick in taking.sticks])
    bars = _names([used.bar_id for used in taking.tubes])
    done = (
        f"sticks {sticks} are on the rack again, bars {bars} count as not cut"
        if taking.back
        else f"sticks {sticks} are used, bars {bars} are cut"
    )
    return Finding(
        code="STOCK-014",
        severity=Severity.NOTE,
        sentence=f"{_what(taking)} of plan {taking.plan} was broken off after the shop had it. It is finished now: "
        f"{done}.",
        todo="Look at what is asked now; 'hoopwright stock put-back' takes a recording back.",
        objects=(taking.plan,),
    )


def _came_to_nothing(taking: Taking) -> Finding:
    return Finding(
        code="STOCK-016",
        sentence=f"{_what(taking)} of plan {taking.plan} was broken off before the shop had it. Nothing of it was "
        "kept.",
        todo="Record it again.",
        objects=(taking.plan,),
    )


def _half(taking: Taking) -> Finding:
    return Finding(
        code="STOCK-017",
        severity=Severity.STOP,
        sentence=f"{_what(taking)} of plan {taking.plan} is in the shop, and could not be written to the project.",
        todo="Mend what is named. The next 'hoopwright stock plan' or 'take' finishes it; nothing is counted twice.",
        objects=(taking.plan,),
    )


def _other_shop(folder: ProjectFolder, taking: Taking, place: ShopPlace | None) -> Finding:
    here = "no shop is at hand" if place is None else f"this is {place}"
    return Finding(
        code="STOCK-015",
        severity=Severity.STOP,
        sentence=f"{_what(taking)} of plan {taking.plan} in the shop {taking.shop} was broken off, and whether that "
        f"shop has it cannot be looked up: {here}.",
        todo=f"Name that shop with --shop or HOOPWRIGHT_SHOP. If it is gone for good, delete {taking_file(folder)}.",
        objects=(taking.plan,),
    )


def _names(names: Sequence[str]) -> str:
    return ", ".join(names) or "none"
