"""Members: how many bars of a role there must or may be, in the cage, on a side or across a door opening."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from pydantic import Field

from hoopwright.cage.member import Role, Side
from hoopwright.rules.driver_facts import MIRRORED
from hoopwright.rules.facts import Facts
from hoopwright.rules.kinds.limits import LeastAndMost
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show, one_of
from hoopwright.rules.typed_values import Count

On = Literal["cage", "each side", "driver's side", "other side"]


class MembersLimits(LeastAndMost):
    """Keys of a rule on how many bars there are."""

    least_count: Count | None = Field(None, alias="least")
    most_count: Count | None = Field(None, alias="most")
    on: On = "cage"
    in_opening: bool = False


@dataclass(frozen=True, kw_only=True)
class _Counted:
    """Bars that were counted, and how many more there may be of which too little is known."""

    certain: int
    uncertain: int = 0
    give: str = ""
    note: str = ""


def words(limits: MembersLimits, show: Show) -> str:
    """The requirement in words."""
    told = [] if limits.least_count is None else [f"at least {limits.least_count}"]
    told += [] if limits.most_count is None else [f"at most {limits.most_count}"]
    where = "" if limits.on == "cage" else f" on {'the ' if limits.on != 'each side' else ''}{limits.on}"
    return (
        f"number of bars {' and '.join(told)}{where}{' across the door opening' if limits.in_opening else ''}"
    )


def check(limits: MembersLimits, facts: Facts, scope: Scope) -> Iterator[Outcome]:
    """Count the bars of the rule's roles where it says."""
    for side, outcome in _checked(limits, facts, scope):
        yield replace(outcome, side=side)


def _checked(limits: MembersLimits, facts: Facts, scope: Scope) -> Iterator[tuple[Side, Outcome]]:
    what = one_of(role.value for role in scope.roles) or "bar"
    sides = _sides(limits.on, facts.car.driver_side)
    if sides is None:
        yield "", not_checked("", "say on which side the driver sits")
        return
    for side in sides:
        counted = _in_opening(facts, scope, side) if limits.in_opening else _bars(facts, scope, side)
        about = f"{what} {side}".strip()
        if counted is None:
            give = "the corners of the door openings" if limits.in_opening else "the bars of the cage"
            yield side, not_checked(about, f"give {give}")
            continue
        for outcome in _held(limits, about, what, counted):
            yield side, replace(outcome, note=counted.note, is_advisory=bool(counted.note))


def _sides(on: On, driver_side: str) -> tuple[Side, ...] | None:
    if on in ("cage", "each side"):
        return ("",) if on == "cage" else ("L", "R")
    if driver_side not in ("L", "R"):
        return None
    return ("L",) if (driver_side == "L") is (on == "driver's side") else ("R",)


def _bars(facts: Facts, scope: Scope, side: str) -> _Counted | None:
    if facts.bars is None:
        return None
    taken = [bar for bar in facts.bars if bar.role is not None and scope.takes(bar.role)]
    roleless = [bar for bar in facts.bars if bar.role is None] if scope.roles or scope.but else []
    sideless = [bar for bar in taken if side and not bar.side]
    give = ("give every bar a role; " if roleless else "") + (
        "say on which side each bar is" if sideless else ""
    )
    return _Counted(
        certain=sum(not side or bar.side == side for bar in taken),
        uncertain=len(roleless) + len(sideless),
        give=give.removesuffix("; "),
    )


def _in_opening(facts: Facts, scope: Scope, side: str) -> _Counted | None:
    found = [one for one in facts.openings or () if not side or one.side == side]
    crossed: list[tuple[Role, ...] | None] = [one.crossed_by for one in found]
    if not crossed or None in crossed:
        return None
    return _Counted(
        certain=sum(scope.takes(role) for roles in crossed for role in roles or ()),
        note=MIRRORED if any(one.is_mirrored for one in found) else "",
    )


def _held(limits: MembersLimits, about: str, what: str, counted: _Counted) -> Iterator[Outcome]:
    least, most = limits.least_count, limits.most_count
    if least is not None:
        if counted.certain < least <= counted.certain + counted.uncertain:
            yield not_checked(about, counted.give)
        else:
            short = least - counted.certain
            todo = f"Add {short} {what}{'s' if short > 1 else ''}."
            yield held_against(counted.certain, least, "least", about=about, how="counted", todo=todo)
    if most is not None:
        if counted.certain <= most < counted.certain + counted.uncertain:
            yield not_checked(about, counted.give)
        else:
            over = counted.certain - most
            todo = f"Take out {over} {what}{'s' if over > 1 else ''}."
            yield held_against(counted.certain, most, "most", about=about, how="counted", todo=todo)
