"""Calculators that need no project."""

from dataclasses import dataclass
from pathlib import Path

from hoopwright.bars import (
    Bar,
    BendTable,
    Node,
    bend_table,
    check_bendable,
    end_miss_mm,
    nodes_from_table,
    read_bends_csv,
    read_nodes_csv,
    write_bends_csv,
    write_nodes_csv,
)
from hoopwright.findings import Finding, UserError, stopping
from hoopwright.tubes import SectionProperties, TubeSize, section_properties

_SHOWN_WALL_SHARE = 0.05


@dataclass(frozen=True, kw_only=True)
class TableResult:
    """A bend table with its nodes.

    Args:
        table: The bend table.
        nodes_mm: The nodes.
        miss_mm: How far end B of the compared file lands off, with end A and bend 1 held; None if none was.
        findings: What a person should know.
    """

    table: BendTable
    nodes_mm: tuple[Node, ...]
    miss_mm: float | None
    findings: tuple[Finding, ...]

    @property
    def bends_csv(self) -> str:
        """The bend table as CSV."""
        return write_bends_csv(self.table)

    @property
    def nodes_csv(self) -> str:
        """The nodes as CSV."""
        return write_nodes_csv(self.nodes_mm)


def table(
    file: Path, *, clr_mm: float, od_mm: float, from_bends: bool, clamp_mm: float, compare: Path | None
) -> TableResult:
    """Bend table of a node file, or nodes of a bend file.

    Args:
        file: CSV of nodes, or of bends.
        clr_mm: Centreline radius.
        od_mm: Outside diameter; any, for the table alone.
        from_bends: Whether `file` holds a bend table.
        clamp_mm: Straight that the clamp needs; 0 to leave it out.
        compare: A CSV of bends to hold against the bar.

    Raises:
        UserError: When a file cannot be read or the bar cannot be bent.
    """
    tube = TubeSize(od_mm=od_mm, wall_mm=od_mm * _SHOWN_WALL_SHARE)
    nodes = nodes_from_table(read_bends_csv(file, clr_mm)) if from_bends else read_nodes_csv(file)
    bar = Bar(name=file.stem, nodes_mm=nodes, clr_mm=clr_mm, tube=tube)
    findings = check_bendable(bar, clamp_mm=clamp_mm)
    stops = stopping(findings)
    if stops:
        raise UserError(*stops)
    made = read_bends_csv(file, clr_mm) if from_bends else bend_table(bar)
    miss = None if compare is None else end_miss_mm(bar, read_bends_csv(compare, clr_mm))
    return TableResult(table=made, nodes_mm=nodes, miss_mm=miss, findings=findings)


def tube(od_mm: float, wall_mm: float) -> SectionProperties:
    """Section properties of a tube.

    Raises:
        UserError: `TUBE-001`.
    """
    return section_properties(TubeSize(od_mm=od_mm, wall_mm=wall_mm))
