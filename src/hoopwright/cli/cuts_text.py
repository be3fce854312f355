"""Cutting plans as a person reads them, and options that more than one command has."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli.output import table_text
from hoopwright.units import LengthUnit, format_length, shown

if TYPE_CHECKING:
    from hoopwright.jobs.cuts import GroupCuts
    from hoopwright.stock import CutPlan

Goal = Annotated[
    bool, typer.Option("--fewest", help="The fewest sticks, whatever they cost; otherwise the least cost.")
]
Unit = Annotated[str, typer.Option(help="mm or in, of the lengths that are shown.")]
_SOURCES = {"buy": "buy", "rack": "rack", "offcut": "offcut"}


def plan_text(plan: "CutPlan", title: str, unit: LengthUnit) -> str:
    """Each stick with its parts, and how good the plan is."""
    rows = [
        [
            f"{stick.number} {_SOURCES[stick.offer.source]} {stick.offer.label}".rstrip(),
            format_length(stick.offer.length_mm, unit),
            format_length(stick.rest_mm, unit),
            ", ".join(f"{part.name} {format_length(part.length_mm, unit)}" for part in stick.parts),
        ]
        for stick in plan.sticks
    ]
    table = _left_last(["stick", "length", "left", "parts"], rows)
    head = [title] if title else []
    return "\n".join([*head, table, _how_good(plan)])


def _left_last(heads: list[str], rows: list[list[str]]) -> str:
    """A table whose last column runs on to the left."""
    lines = table_text(heads[:-1], [row[:-1] for row in rows]).split("\n")
    last = [heads[-1], *(row[-1] for row in rows)]
    wide = max(len(line) for line in lines)
    return "\n".join(f"{line.ljust(wide)}  {words}" for line, words in zip(lines, last, strict=True))


def _how_good(plan: "CutPlan") -> str:
    offcuts = f" and {plan.offcut_count} offcut{'s' * (plan.offcut_count != 1)}" if plan.offcut_count else ""
    sticks = f"{plan.stick_count} stick{'s' * (plan.stick_count != 1)}{offcuts}"
    proof = "proven best" if plan.proven_optimal else f"not proven; no plan has under {plan.lower_bound}"
    parts, waste = plan.parts_mm / 1000.0, 100.0 * plan.waste_ratio
    return f"{sticks}, {proof}; {shown(parts, 3)} m of parts, {shown(waste, 1)} % waste"


def spare_text(group: "GroupCuts", unit: LengthUnit) -> str:
    """What a spare would cost, or that spares are in the plan."""
    counted = group.plan.stick_count
    if group.spares_asked:
        return f"spares are in it; without them {counted} stick{'s' * (counted != 1)}"
    name = f"'{group.spare.name}', {format_length(group.spare.length_mm, unit)}"
    if group.spared is None:
        return f"a spare of {name} is proposed, not counted; these sticks do not hold it"
    more = group.spared.stick_count
    if more == counted and group.spared.offcut_count == group.plan.offcut_count:
        return f"a spare of {name} is proposed, not counted: the same sticks hold it"
    return f"a spare of {name} is proposed, not counted: with it {more} stick{'s' * (more != 1)}"


def sums_text(keys: Mapping[str, Any]) -> str:
    """Mass and price, as far as they are known."""
    told = []
    if keys["mass_kg"] is not None:
        told.append(f"parts {shown(keys['mass_kg'], 1)} kg, sticks {shown(keys['sticks_mass_kg'], 1)} kg")
    if keys["price"] is not None:
        told.append(f"sticks to buy {shown(keys['price'], 2)}, in your money")
    return "; ".join(told) or "mass and price: give --od and --wall, and --price"
