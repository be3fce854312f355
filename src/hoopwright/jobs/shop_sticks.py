"""Sticks and offcuts of the shop: adding them, marking one as used with what is left of it, and taking that back."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from hoopwright.bender import Stick
from hoopwright.bender.shop_values import LONGEST_NOTE
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.sawn_plans import sawn_for
from hoopwright.jobs.shops import open_shop
from hoopwright.store.shop import Stored

_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_WHOLE_AGAIN = "put back with its stick"
_PUT_BACK = "put back"
"""How the note of every offcut begins that is no more since its stick is whole again."""


def sticks(where: str | None, *, batch: str | None = None, used: bool = False) -> tuple[Stick, ...]:
    """Sticks and offcuts on the rack; with `used` also those that are gone."""
    with open_shop(where) as shop:
        return shop.sticks(batch=batch, used=used)


def refuse_count(count: int) -> None:
    """Stop on a number of sticks that nobody takes in at once.

    Raises:
        UserError: `SHOP-041`.
    """
    if not 1 <= count <= 1000:
        raise UserError(
            Finding(
                code="SHOP-041",
                severity=Severity.STOP,
                sentence=f"{count} sticks cannot be added at once: 1 to 1000.",
                todo="Check the count.",
                measured=float(count),
                limit=1000.0,
            )
        )


def add_sticks(where: str | None, stick: Stick, count: int) -> tuple[Stored[Stick], ...]:
    """Keep a stick, or several that are labelled `label-1`, `label-2` and so on: all or none.

    Raises:
        UserError: `SHOP-041` for a count that cannot be; `SHOP-024`, `SHOP-025`.
    """
    refuse_count(count)
    labels = [stick.label] if count == 1 else [f"{stick.label}-{k}" for k in range(1, count + 1)]
    with open_shop(where) as shop:
        return shop.add_sticks(replace(stick, label=label) for label in labels)


def free_label(label: str, taken: Iterable[str]) -> str:
    """The label of what is left of a stick: the stick's with a letter, the first that is free."""
    known = set(taken)
    return next(
        f"{label}{letter}{number}"
        for number in ("", *range(1, 10_000))
        for letter in _LETTERS
        if f"{label}{letter}{number}" not in known
    )


def use_stick(
    where: str | None, label: str, *, offcut_mm: float | None = None, offcut_label: str = ""
) -> tuple[Stored[Stick], ...]:
    """Mark a stick as used and keep what is left of it, both or neither.

    Args:
        where: The shop.
        label: The stick.
        offcut_mm: Length of the offcut; None when nothing is kept.
        offcut_label: Label of the offcut; the stick's with a letter without.

    Raises:
        UserError: `SHOP-042` for a stick that is used already, or an offcut that is not shorter than it;
            `SHOP-024`, `SHOP-025`; `SHOP-026` where it was marked elsewhere meanwhile.
    """
    with open_shop(where) as shop:
        stick = shop.stick(label)
        _refuse_use(stick, offcut_mm)
        left = None
        if offcut_mm is not None:
            name = offcut_label or free_label(label, (one.label for one in shop.sticks(used=True)))
            left = Stick(label=name, batch=stick.batch, length_mm=offcut_mm, cut_from=label)
        return shop.use_stick(replace(stick, state="used"), left)


def put_stick_back(where: str | None, label: str) -> tuple[Stored[Stick], ...]:
    """Take the mark of a stick back: it lies on the rack again, and what was left of it counts as gone.

    Raises:
        UserError: `SHOP-052` for a stick that is not used, that a recorded plan was sawn from, that is itself no more
            since its own stick was put back, or of which an offcut was used since; `SHOP-025`; `SHOP-026` where it was
            marked elsewhere meanwhile. Nothing is kept then.
    """
    with open_shop(where) as shop:
        stick = shop.stick(label)
        left = [one for one in shop.sticks(used=True) if one.cut_from == label and not _is_no_more(one)]
        _refuse_putting_back(stick, left)
        gone = [
            replace(one, state="used", note=f"{_WHOLE_AGAIN}; {one.note}".removesuffix("; ")[:LONGEST_NOTE])
            for one in left
        ]
        return shop.use_sticks([(replace(stick, state="kept"), None), *((one, None) for one in gone)])


def _is_no_more(stick: Stick) -> bool:
    return stick.state == "used" and stick.note.startswith(_PUT_BACK)


def _refuse_use(stick: Stick, offcut_mm: float | None) -> None:
    why = ""
    if stick.state == "used":
        why = "is used already"
    elif offcut_mm is not None and not offcut_mm < stick.length_mm:
        why = f"is {stick.length_mm:g} mm long, so that {offcut_mm:g} mm cannot be left of it"
    if why:
        raise UserError(
            Finding(
                code="SHOP-042",
                severity=Severity.STOP,
                sentence=f"Stick '{stick.label}' {why}.",
                todo="Look at the label and at the length.",
                objects=(stick.label,),
                measured=offcut_mm,
                limit=stick.length_mm,
                unit="mm",
            )
        )


def _refuse_putting_back(stick: Stick, left: Sequence[Stick]) -> None:
    used = [one.label for one in left if one.state == "used"]
    plan = sawn_for(stick)
    if stick.state != "used":
        why, todo = "lies on the rack, so that there is no mark to take back", "Look at the label."
    elif plan:
        why, todo = (
            f"was sawn by {plan}",
            "Take that recording back as a whole, in its project: 'hoopwright stock put-back'.",
        )
    elif _is_no_more(stick):
        why, todo = f"is part of stick '{stick.cut_from}' again", "Look at the label."
    elif used:
        why, todo = (
            f"cannot be whole again: {', '.join(used)} was left of it and is used since",
            "Add what is really there with 'hoopwright stick add'.",
        )
    else:
        return
    raise UserError(
        Finding(
            code="SHOP-052",
            severity=Severity.STOP,
            sentence=f"Stick '{stick.label}' {why}. Nothing was kept.",
            todo=todo,
            objects=(stick.label,),
        )
    )
