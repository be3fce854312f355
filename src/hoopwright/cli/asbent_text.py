"""A bar as bent, as a person reads it and as JSON."""

import math
from typing import TYPE_CHECKING, Any

from hoopwright.cli.output import table_text
from hoopwright.units import format_length

if TYPE_CHECKING:
    from hoopwright.bars import BendTable
    from hoopwright.bender.as_bent import KindResult
    from hoopwright.bender.as_bent.scanned import ScannedBar
    from hoopwright.jobs.as_bent import BentBar


def bent_text(made: "BentBar") -> str:
    """Bends, distances and nodes, drawn beside bent."""
    where = f", taken at the bender ({made.taped_on})" if made.taped_on else ""
    parts = [f"{made.bar_id} as bent, from {_SOURCE[made.source]}{where}", ""]
    parts += [_kind_line(kind) for kind in made.kinds]
    if made.kinds and not made.can_tell:
        parts.append("cannot tell: see below; the figures that follow are the likeliest, no more")
    parts += ["", _bend_rows(made)]
    parts += ["", _distance_rows(made)] if made.distances else []
    parts += ["", _node_rows(made)]
    return "\n".join(part for k, part in enumerate(parts) if part or (k and parts[k - 1]))


_SOURCE = {"tape": "tape distances", "readings": "readings of its bends", "scan": "a scan of it"}


def _kind_line(kind: "KindResult") -> str:
    way = "over" if kind.over_deg >= 0.0 else "under"
    open_ = "" if kind.told else "   (cannot tell)"
    return f"{kind.kind.name}: {abs(kind.over_deg):.2f}° {way} (± {kind.sd_deg:.2f}°){open_}"


def _sd(value: float) -> str:
    return f"{value:.2f}" if value >= 0.05 or value == 0.0 else f"{value:.3f}"


def _bend_rows(made: "BentBar") -> str:
    drawn, bent = made.drawn_table, made.table
    rows = [
        [
            str(k + 1),
            f"{drawn.angles_deg[k]:.2f}",
            f"{angle:.2f}",
            f"{angle - drawn.angles_deg[k]:+.2f}",
            _sd(made.angle_sds_deg[k]),
            f"{drawn.rotations_deg[k]:.2f}",
            f"{bent.rotations_deg[k]:.2f}",
        ]
        for k, angle in enumerate(bent.angles_deg)
    ]
    heads = ["bend", "drawn °", "bent °", "over °", "±", "rotation drawn °", "bent °"]
    straights = ", ".join(
        f"{b:.1f} ({b - a:+.1f})" for a, b in zip(drawn.straights_mm, bent.straights_mm, strict=True)
    )
    return f"{table_text(heads, rows)}\nstraights, trim mark to trim mark (less drawn): {straights} mm"


def _distance_rows(made: "BentBar") -> str:
    rows = [
        [
            f"{row.key}: {row.words}",
            f"{row.drawn_mm:.1f}",
            "" if row.tape_mm is None else f"{row.tape_mm:.1f}",
            f"{row.bent_mm:.1f}",
        ]
        for row in made.distances
    ]
    return table_text(["distance", "drawn mm", "taped mm", "bent mm"], rows)


def _node_rows(made: "BentBar") -> str:
    rows = []
    for k, (drawn, bent) in enumerate(zip(made.drawn.nodes_mm, made.bar.nodes_mm, strict=True)):
        sd = [f"{made.node_sds_mm[k]:.1f}"] if made.node_sds_mm else []
        rows.append([str(k + 1), *(f"{x:.1f}" for x in bent), f"{math.dist(drawn, bent):.1f}", *sd])
    heads = [
        "node as bent",
        "forward mm",
        "left mm",
        "up mm",
        "off drawn mm",
        *(["±"] if made.node_sds_mm else []),
    ]
    laid = "as it goes best in the car" if made.is_best_laid else "with its ends where the drawn ones are"
    return f"{table_text(heads, rows)}\nlaid {laid}"


def bent_keys(made: "BentBar") -> dict[str, Any]:
    """The same as JSON keys."""
    keys: dict[str, Any] = {
        "bar_id": made.bar_id,
        "source": made.source,
        "can_tell": made.can_tell,
        "drawn": _table_keys(made.drawn_table),
        "as_bent": _table_keys(made.table),
        "over_deg": [b - a for a, b in zip(made.drawn_table.angles_deg, made.table.angles_deg, strict=True)],
        "angle_sds_deg": list(made.angle_sds_deg),
        "kinds": [
            {
                "name": one.kind.name,
                "bends": list(one.kind.bends),
                "over_deg": one.over_deg,
                "sd_deg": one.sd_deg,
                "told": one.told,
                "taken_as_alike": one.alike,
            }
            for one in made.kinds
        ],
        "next_distance": None if made.next_distance is None else vars(made.next_distance),
        "distances": [vars(row) for row in made.distances],
        "taped_on": made.taped_on,
        "nodes_mm": [list(node) for node in made.bar.nodes_mm],
        "drawn_nodes_mm": [list(node) for node in made.drawn.nodes_mm],
        "node_sds_mm": list(made.node_sds_mm),
    }
    return keys if made.scanned is None else keys | {"scan": scanned_keys(made.scanned)}


def scanned_text(found: "ScannedBar") -> str:
    """The bend table of a scanned bar."""
    table = found.table
    rows = []
    for k, straight in enumerate(table.straights_mm):
        cells = [str(k + 1), f"{straight:.1f}", _sd(found.straight_sds_mm[k])]
        if k < len(table.angles_deg):
            cells += [
                f"{table.rotations_deg[k]:.2f}",
                _sd(found.rotation_sds_deg[k]),
                f"{table.angles_deg[k]:.2f}",
                _sd(found.angle_sds_deg[k]),
            ]
        rows.append([*cells, *[""] * (7 - len(cells))])
    clr = (
        "no bends"
        if not table.angles_deg
        else f"radius {format_length(table.clr_mm)} (± {found.clr_sd_mm:.1f})"
    )
    return "\n".join(
        [
            table_text(["", "straight mm", "±", "rotation °", "±", "angle °", "±"], rows),
            f"outside diameter {found.od_mm:.2f} mm (± {found.od_sd_mm:.2f}), {clr}, developed length "
            f"{table.developed_mm:.1f} mm",
            f"from {found.used_count} points that scatter {found.noise_mm:.2f} mm; {found.left_out_count} left out",
            "± is one standard deviation from that scatter alone; which end is A is not known from the scan",
        ]
    )


def scanned_keys(found: "ScannedBar") -> dict[str, Any]:
    """The same as JSON keys."""
    return {
        **_table_keys(found.table),
        "od_mm": found.od_mm,
        "od_sd_mm": found.od_sd_mm,
        "clr_sd_mm": found.clr_sd_mm if found.table.angles_deg else None,
        "straight_sds_mm": list(found.straight_sds_mm),
        "rotation_sds_deg": list(found.rotation_sds_deg),
        "angle_sds_deg": list(found.angle_sds_deg),
        "scan_nodes_mm": [list(node) for node in found.nodes_mm],
        "noise_mm": found.noise_mm,
        "used_count": found.used_count,
        "left_out_count": found.left_out_count,
    }


def _table_keys(table: "BendTable") -> dict[str, Any]:
    return {
        "straights_mm": list(table.straights_mm),
        "rotations_deg": list(table.rotations_deg),
        "angles_deg": list(table.angles_deg),
        "clr_mm": table.clr_mm,
        "developed_mm": table.developed_mm,
    }
