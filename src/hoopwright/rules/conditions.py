"""When a rule holds at all: what it asks of the car, of the bar and of the rest of the cage."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from hoopwright.cage.car import Car, WeightBasis
from hoopwright.cage.member import Role
from hoopwright.rules.facts import Facts
from hoopwright.rules.show import Show


class Holds(StrEnum):
    """Whether a condition holds."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True, kw_only=True)
class Held:
    """Whether a rule holds, and why not or what is missing to tell.

    Args:
        holds: Whether it does.
        why: Why it does not, or what to give.
    """

    holds: Holds
    why: str = ""


@dataclass(frozen=True, kw_only=True)
class Conditions:
    """When a rule holds. Every condition that is given must.

    Args:
        homologated_from: Cars homologated on this day or later.
        homologated_before: Cars homologated before this day.
        engine_over_cm3: Engines over this.
        engine_most_cm3: Engines up to this.
        weight_over_kg: Cars over this, on the book's basis.
        weight_most_kg: Cars up to this.
        is_open: Cars without a roof, or with one.
        if_fitted: Only where a bar of this role is there.
        unless_fitted: Only where none is there.
        required: Only bars that the book demands, or only others.
        fixing: Only feet that are welded, or bolted.
    """

    homologated_from: dt.date | None = None
    homologated_before: dt.date | None = None
    engine_over_cm3: float | None = None
    engine_most_cm3: float | None = None
    weight_over_kg: float | None = None
    weight_most_kg: float | None = None
    is_open: bool | None = None
    if_fitted: Role | None = None
    unless_fitted: Role | None = None
    required: bool | None = None
    fixing: Literal["welded", "bolted"] | None = None


_YES = Held(holds=Holds.YES)


def held_by_car(conditions: Conditions, facts: Facts, basis: WeightBasis | None, show: Show) -> Held:
    """Whether the conditions on the car and on the rest of the cage hold; those on one bar or foot are left out.

    Args:
        conditions: Of the rule.
        facts: What is known.
        basis: What the book's weights count.
        show: How values are put in words.
    """
    held = [
        *_homologation(conditions, facts.car),
        *_engine(conditions, facts.car),
        *_weight(conditions, facts.car, basis, show),
        *_open(conditions, facts.car),
        *_fitted(conditions, facts),
    ]
    return worst(held)


def worst(held: list[Held]) -> Held:
    """No before unknown before yes: what rules a rule out needs no more data."""
    for holds in (Holds.NO, Holds.UNKNOWN):
        why = [one.why for one in held if one.holds is holds]
        if why:
            return Held(holds=holds, why="; ".join(dict.fromkeys(why)))
    return _YES


def _homologation(conditions: Conditions, car: Car) -> list[Held]:
    start, end = conditions.homologated_from, conditions.homologated_before
    if start is None and end is None:
        return []
    try:
        day = dt.date.fromisoformat(car.homologated)
    except ValueError:
        return [Held(holds=Holds.UNKNOWN, why="give the day on which the car was homologated")]
    if (start is not None and day < start) or (end is not None and day >= end):
        return [Held(holds=Holds.NO, why=f"the car was homologated on {day.isoformat()}")]
    return [_YES]


def _engine(conditions: Conditions, car: Car) -> list[Held]:
    over, most = conditions.engine_over_cm3, conditions.engine_most_cm3
    return _between("engine", car.engine_cm3, over, most, lambda cm3: f"{cm3:g} cm3")


def _weight(conditions: Conditions, car: Car, basis: WeightBasis | None, show: Show) -> list[Held]:
    over, most = conditions.weight_over_kg, conditions.weight_most_kg
    if over is None and most is None:
        return []
    weight = car.weights_kg.get(basis) if basis is not None else None
    words = f"the weight of the car ({basis.value})" if basis is not None else "the weight of the car"
    return _between(words, weight, over, most, lambda kg: show.typed(kg, "kg"))


def _between(
    words: str, value: float | None, over: float | None, most: float | None, shown: Callable[[float], str]
) -> list[Held]:
    if over is None and most is None:
        return []
    if value is None:
        return [Held(holds=Holds.UNKNOWN, why=f"give {words}")]
    wanted = [f"over {shown(over)}"] if over is not None and value <= over else []
    wanted += [f"at most {shown(most)}"] if most is not None and value > most else []
    if wanted:
        return [Held(holds=Holds.NO, why=f"{words} is {shown(value)}: it is for {wanted[0]}")]
    return [_YES]


def _open(conditions: Conditions, car: Car) -> list[Held]:
    if conditions.is_open is None:
        return []
    if car.is_open is None:
        return [Held(holds=Holds.UNKNOWN, why="say whether the car has a roof")]
    if car.is_open is not conditions.is_open:
        return [Held(holds=Holds.NO, why="the car is open" if car.is_open else "the car has a roof")]
    return [_YES]


def _fitted(conditions: Conditions, facts: Facts) -> list[Held]:
    held = []
    for role, wanted in ((conditions.if_fitted, True), (conditions.unless_fitted, False)):
        if role is None:
            continue
        if facts.bars is None:
            held.append(Held(holds=Holds.UNKNOWN, why=f"say whether a {role} is fitted"))
            continue
        fitted = any(bar.role is role for bar in facts.bars)
        if not fitted and any(bar.role is None for bar in facts.bars):
            held.append(Held(holds=Holds.UNKNOWN, why="give every bar a role"))
        elif fitted is not wanted:
            held.append(Held(holds=Holds.NO, why=f"a {role} is fitted" if fitted else f"no {role} is fitted"))
    return held
