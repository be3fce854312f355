"""A bar as bent as a picture and as a bend table."""

from hoopwright.bars import centreline, write_bends_csv
from hoopwright.bender.as_bent.scanned import ScannedBar
from hoopwright.jobs.as_bent.bent_bar import BentBar
from hoopwright.jobs.made_pdf import DrawnFiles, chart_of
from hoopwright.papers.bent_chart import bent_chart
from hoopwright.store import ProjectFolder
from hoopwright.store.writing import make_folder, write_whole


def draw_bent(folder: ProjectFolder, made: BentBar) -> DrawnFiles:
    """Draw the bar as bent over the drawn one into the papers.

    Raises:
        UserError: `STORE-002` when it cannot be written.
    """
    over = [b - a for a, b in zip(made.drawn_table.angles_deg, made.table.angles_deg, strict=True)]
    page = bent_chart(
        centreline(made.drawn),
        centreline(made.bar),
        over,
        title=f"{made.bar_id} as bent over {made.bar_id} as drawn",
    )
    make_folder(folder.papers)
    chart = chart_of(page)
    write_whole(folder.papers / f"{made.bar_id}-as-bent.png", chart.content)
    return DrawnFiles(files=(f"papers/{made.bar_id}-as-bent.png",), findings=chart.findings)


def bends_csv(made: BentBar | ScannedBar) -> str:
    """The bend table found, as CSV."""
    return write_bends_csv(made.table)
