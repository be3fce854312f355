"""Edits of landings: each takes a cage and returns another; and which ends of bars stand on the shell."""

import math
from dataclasses import dataclass, replace

from hoopwright.cage.cage import Cage
from hoopwright.cage.landing import EndLetter, Landing, LandingKind
from hoopwright.cage.member import Member
from hoopwright.findings import Finding, Severity, UserError

_SIDE_MM = (20.0, 1000.0)
_SIZES_MM = {
    "length_mm": ("length", *_SIDE_MM),
    "width_mm": ("width", *_SIDE_MM),
    "wall_mm": ("height up the wall", 10.0, 500.0),
    "thickness_mm": ("thickness", 0.8, 20.0),
    "inside_radius_mm": ("inside radius", 0.2, 60.0),
}
_HEIGHT_MM = (10.0, 400.0)
_BOLT_MM = (4.0, 24.0)
_MOST_BOLTS = 16
_MOST_AREA_MM2 = 500_000.0
_K_RATIO = (0.2, 0.6)
_MOST_FOLDS = 4


@dataclass(frozen=True, kw_only=True)
class Foot:
    """An end of a bar that stands on the shell.

    Args:
        bar_id: The bar, mirrored bars included.
        end: Which end.
        landing: What is made there, under the name of this bar; None where nothing was chosen yet.
    """

    bar_id: str
    end: EndLetter
    landing: Landing | None


def put_landing(cage: Cage, landing: Landing) -> Cage:
    """The cage with this landing, in the place of the one that the end had.

    Raises:
        UserError: `CAGE-001` without such a bar, `CAGE-006` for a mirrored one, `LAND-001` for a landing that cannot
            be, `LAND-002` for an end that does not stand on the shell.
    """
    _stands_on_shell(cage, landing.bar_id, landing.end)
    check_landing(landing)
    _check_goes_together(landing)
    kept = tuple(one for one in cage.landings if (one.bar_id, one.end) != (landing.bar_id, landing.end))
    return replace(cage, landings=(*kept, landing))


def remove_landing(cage: Cage, bar_id: str, end: EndLetter) -> Cage:
    """The cage without the landing of one end.

    Raises:
        UserError: `CAGE-001`, `CAGE-006`, `LAND-003` when that end has none.
    """
    _own(cage, bar_id)
    kept = tuple(one for one in cage.landings if (one.bar_id, one.end) != (bar_id, end))
    if len(kept) == len(cage.landings):
        raise _refuse(
            "LAND-003",
            f"End {end} of bar {bar_id} has no landing.",
            "List them with 'hoopwright landing list PROJECT'.",
            bar_id,
        )
    return replace(cage, landings=kept)


def landing_at(cage: Cage, bar_id: str, end: EndLetter) -> Landing | None:
    """The landing of an end; that of the bar that it mirrors for a mirrored bar, under its own name.

    The turn of a mirrored bar's landing has the other sign.

    Raises:
        UserError: `CAGE-001`.
    """
    member = cage.member(bar_id)
    own = member.mirror_of or bar_id
    for landing in cage.landings:
        if (landing.bar_id, landing.end) == (own, end):
            turn = landing.turn_deg if member.mirror_of is None else -landing.turn_deg
            return replace(landing, bar_id=bar_id, turn_deg=turn)
    return None


def feet_of(cage: Cage) -> tuple[Foot, ...]:
    """Every end that stands on the shell, in the cage's order, with or without a landing."""
    return tuple(
        Foot(bar_id=member.member_id, end=letter, landing=landing_at(cage, member.member_id, letter))
        for member in cage.members
        for letter, end in _ends(member.end_a.kind, member.end_b.kind)
        if end == "shell"
    )


def free_ends_of(cage: Cage) -> tuple[Foot, ...]:
    """Every end of which nobody said what it lands on, in the cage's order: it may be a foot."""
    return tuple(
        Foot(bar_id=member.member_id, end=letter, landing=None)
        for member in cage.members
        for letter, end in _ends(member.end_a.kind, member.end_b.kind)
        if end == "free"
    )


def check_landing(landing: Landing) -> None:
    """Stop for a landing whose numbers cannot be.

    Raises:
        UserError: `LAND-001`.
    """
    for field, (what, least, most) in _SIZES_MM.items():
        value = getattr(landing, field)
        if value is not None:
            _within(landing, what, value, least, most, "mm")
    _within(landing, "turn", landing.turn_deg, -180.0, 180.0, "deg")
    _within(landing, "K", landing.k_ratio, *_K_RATIO, "")
    _within(landing, "number of folds", landing.most_folds, 0, _MOST_FOLDS, "")
    _within(landing, "number of bolts", landing.bolts, 0, _MOST_BOLTS, "")
    if landing.area_mm2 is not None:
        _within(landing, "wanted area", landing.area_mm2 / 100.0, 1.0, _MOST_AREA_MM2 / 100.0, "cm2")
    if landing.bolts:
        _within(landing, "bolt", landing.bolt_mm, *_BOLT_MM, "mm")
    if landing.kind is LandingKind.BOX:
        _within(landing, "height of the box", landing.height_mm, *_HEIGHT_MM, "mm")


def _check_goes_together(landing: Landing) -> None:
    wrong = _that_does_not_go(landing)
    if wrong:
        raise _refuse(
            "LAND-001", f"The landing of {_name(landing)} cannot be: {wrong[0]}.", wrong[1], landing.bar_id
        )


def _that_does_not_go(landing: Landing) -> tuple[str, str] | None:
    """What of a landing's kind does not go with the rest, and what to do."""
    if landing.kind is not LandingKind.BOX and landing.height_mm != 0.0:
        return "only a box has a height", "Leave the height out, or take a box."
    if landing.kind is LandingKind.BOX and landing.bolts:
        return "a box is welded, bolts have no plate to hold", "Leave the bolts out, or take a plate."
    if landing.kind is LandingKind.FOLDED and landing.turn_deg != 0.0:
        return (
            "a folded plate lies along its fold, so it has no turn",
            "Leave the turn out, or take a flat plate.",
        )
    if landing.kind is LandingKind.FOLDED and landing.most_folds < 1:
        return "a folded plate needs a fold", "Allow one fold, or take a flat plate."
    return None


def _within(
    landing: Landing, what: str, measured: float, least: float, most: float, measured_unit: str
) -> None:
    if math.isfinite(measured) and least <= measured <= most:
        return
    unit = f" {measured_unit}" if measured_unit else ""
    raise UserError(
        Finding(
            code="LAND-001",
            severity=Severity.STOP,
            sentence=f"The landing of {_name(landing)} cannot be: its {what} is {measured:g}{unit}, and must be "
            f"{least:g} to {most:g}{unit}.",
            todo="Correct the number; a bare length is mm.",
            objects=(landing.bar_id,),
            measured=measured if math.isfinite(measured) else None,
            limit=most if measured > most else least,
            unit=measured_unit,
        )
    )


def _stands_on_shell(cage: Cage, bar_id: str, end: EndLetter) -> None:
    member = _own(cage, bar_id)
    kind = (member.end_a if end == "A" else member.end_b).kind
    if kind != "shell":
        on = {"bar": "lands on another bar", "free": "lands on nothing"}[kind]
        raise _refuse(
            "LAND-002",
            f"End {end} of bar {bar_id} {on}, so there is nothing to land on the shell.",
            "Name an end that stands on the shell; 'hoopwright landing list PROJECT' has them all.",
            bar_id,
        )


def _own(cage: Cage, bar_id: str) -> Member:
    member = cage.member(bar_id)
    if member.mirror_of is not None:
        raise _refuse(
            "CAGE-006",
            f"Bar '{bar_id}' is the mirror of '{member.mirror_of}' and has no landings of its own.",
            f"Change the landing of '{member.mirror_of}', or free '{bar_id}' from the mirror first.",
            bar_id,
        )
    return member


def _ends(kind_a: str, kind_b: str) -> tuple[tuple[EndLetter, str], ...]:
    return ("A", kind_a), ("B", kind_b)


def _name(landing: Landing) -> str:
    return f"{landing.bar_id} end {landing.end}"


def _refuse(code: str, sentence: str, todo: str, bar_id: str) -> UserError:
    return UserError(
        Finding(code=code, severity=Severity.STOP, sentence=sentence, todo=todo, objects=(bar_id,))
    )
