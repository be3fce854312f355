"""Sticks of a project as a person reads them."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from hoopwright.cli.cuts_text import plan_text
from hoopwright.cli.output import table_text
from hoopwright.units import LengthUnit, format_length, shown

if TYPE_CHECKING:
    from hoopwright.jobs.rack import RackSticks
    from hoopwright.jobs.stock import ProjectStock
    from hoopwright.jobs.stock_taking import Taken


def project_text(found: "ProjectStock", unit: LengthUnit) -> str:
    """The plan of each size, its spare, and what to buy."""
    blocks = [f"plan {found.identity} of {found.project}"]
    for group, spare in zip(found.groups, found.spares, strict=True):
        blocks.append(plan_text(group.to_saw, group.title, unit))
        about = f"{spare.bar_id}, {format_length(spare.length_mm, unit)}: {spare.why}"
        if group.spares_asked:
            blocks.append(f"the spare is in it: {about}")
        elif group.spared is None:
            blocks.append(f"spare proposed, not counted: {about}; these sticks do not hold it")
        else:
            bought = len(group.spared.bought)
            blocks.append(f"spare proposed, not counted: {about}; with it {bought} to buy")
        blocks.append("")
    return "\n".join([*blocks, order_text(found)])


def order_text(found: "ProjectStock") -> str:
    """What to buy."""
    if not found.order:
        return "nothing to buy: the rack holds it all"
    rows = [
        [
            f"{line.tube} {line.steel}".rstrip(),
            str(line.count),
            f"{line.length_mm:g}",
            shown(line.mass_kg, 1),
            "-" if line.price is None else shown(line.price, 2),
        ]
        for line in found.order
    ]
    told = [table_text(["to buy: tube mm", "sticks", "of mm", "kg", "price"], rows)]
    told += [
        f"{line.tube}, {line.length_mm:g} mm: of one heat, for {'; '.join(line.share_a_batch)}"
        for line in found.order
        if line.share_a_batch
    ]
    return "\n".join(told)


def rack_text(found: "Sequence[RackSticks]") -> str:
    """What the shop holds."""
    rows = [
        [
            f"{one.tube} {one.steel}".rstrip(),
            stick.label,
            f"{stick.length_mm:g}",
            stick.batch,
            f"offcut of {stick.cut_from}" if stick.cut_from else "stick",
        ]
        for one in found
        for stick in one.sticks
    ]
    none = [f"{one.tube} {one.steel}".rstrip() + ": none" for one in found if not one.sticks]
    table = [table_text(["tube mm", "label", "length mm", "batch", "kind"], rows)] if rows else []
    return "\n".join([*table, *none])


def taken_text(made: "Taken", *, back: bool, project: str) -> str:
    """What was recorded, and what takes it back."""
    sticks = ", ".join(stick.label for stick in made.used) or "none"
    offcuts = ", ".join(f"{one.label} {shown(one.length_mm, 0)} mm" for one in made.offcuts) or "none"
    if back:
        bars = ", ".join(made.bars) or "none"
        return f"back on the rack: {sticks}; gone from it: {offcuts}; not cut any more: {bars}"
    undo = f"take it back with: hoopwright stock put-back {project} --plan {made.identity}"
    return f"used: {sticks}; offcuts on the rack: {offcuts}; cut: {', '.join(made.bars)}\n{undo}"


def taken_keys(made: "Taken") -> dict[str, Any]:
    """What was recorded as JSON carries it."""
    return {
        "identity": made.identity,
        "used": [stick.label for stick in made.used],
        "offcuts": [
            {"label": one.label, "length_mm": one.length_mm, "batch": one.batch, "cut_from": one.cut_from}
            for one in made.offcuts
        ],
        "bars": list(made.bars),
    }
