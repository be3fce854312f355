"""The cage in tables: members, bends, nodes, joints, pieces to cut, landings, gussets."""

from hoopwright.jobs.bar_tables import bends_table, cut_list_table, members_table, nodes_table
from hoopwright.jobs.joint_tables import gussets_table, joints_table, landings_table
from hoopwright.jobs.paper_source import MadePapers, PaperSource
from hoopwright.papers.table_files import csv_bytes, xlsx_bytes
from hoopwright.papers.words import CAUTIONS


def table_papers(source: PaperSource) -> MadePapers:
    """One workbook with a sheet for each table, and each table as CSV.

    Raises:
        UserError: `CAL-...` and `SHOP-...` for files that cannot be read.
    """
    tables = (
        members_table(source),
        bends_table(source),
        nodes_table(source),
        joints_table(source),
        cut_list_table(source),
        landings_table(source),
        gussets_table(source),
    )
    book = xlsx_bytes(
        tables,
        about=_about(source),
        title=f"{source.project.name} cage",
        date=source.date,
        unit=source.unit,
    )
    folder = "/".join(("tables", *filter(None, ("-".join(source.only),))))
    files = {f"{folder}/{table.name}.csv": csv_bytes(table, source.unit) for table in tables}
    return MadePapers(files={f"{folder}/cage.xlsx": book, **files})


def _about(source: PaperSource) -> tuple[tuple[str, str], ...]:
    bent = ", ".join(source.bent) or "none"
    return (
        ("project", source.project.name),
        ("date", source.date),
        ("identity", source.identity),
        ("lengths", "millimetres" if source.unit == "mm" else "inches, decimal"),
        ("axes", "forward, left, up; the origin on the centre plane of the car"),
        (
            "turns",
            "the turn of the bend plane before a bend: positive is clockwise looking from end A to end B",
        ),
        ("as bent", f"bars that were bent and measured stand as they came out: {bent}"),
        ("caution", CAUTIONS[0]),
        ("caution", CAUTIONS[1]),
    )
