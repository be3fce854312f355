"""Pictures of a fit: the trade-off, and the gap along the bar."""

from hoopwright.fitting.measuring import measure_bar
from hoopwright.fitting.offers import Offer, TradeOff
from hoopwright.geometry import Arc
from hoopwright.jobs.made_pdf import DrawnFiles, chart_of, findings_of
from hoopwright.papers.gap_chart import gap_chart
from hoopwright.papers.trade_chart import TradeRow, trade_chart
from hoopwright.shell.shell import Shell
from hoopwright.store import ProjectFolder
from hoopwright.store.writing import make_folder, write_whole


def draw_fit(folder: ProjectFolder, shell: Shell, found: TradeOff, chosen: Offer | None) -> DrawnFiles:
    """Draw the trade-off, and the gap along the bar that was taken or is nearest, into the papers.

    Raises:
        UserError: `STORE-002` when they cannot be written.
    """
    name, gap_mm = found.task.name, found.task.gap_mm
    rows = [
        TradeRow(
            bends=offer.bends,
            mean_mm=offer.mean_gap_mm,
            p90_mm=offer.p90_gap_mm,
            largest_mm=offer.largest_gap_mm,
            length_mm=offer.length_mm,
            chosen=offer is chosen,
        )
        for offer in found.offers
    ]
    pages = {f"{name}-trade-off": trade_chart(rows, title=f"{name}: what one more bend buys", gap_mm=gap_mm)}
    shown = chosen or min(found.offers, key=lambda offer: offer.mean_gap_mm, default=None)
    if shown is not None:
        landing_a_mm, landing_b_mm = found.task.landings_mm
        gaps = measure_bar(shell, shown.bar, landing_a_mm=landing_a_mm, landing_b_mm=landing_b_mm)
        title = f"{name} with {shown.bends} bends: gap to the shell"
        path = gaps.tube.path
        bends = [
            (float(start), float(start) + piece.length_mm)
            for start, piece in zip(path.starts_mm[:-1], path.pieces, strict=True)
            if isinstance(piece, Arc)
        ]
        pages[f"{name}-gap"] = gap_chart(gaps, target_mm=gap_mm, bends=bends, title=title)
    make_folder(folder.papers)
    charts = {file: chart_of(page) for file, page in pages.items()}
    for file, made in charts.items():
        write_whole(folder.papers / f"{file}.png", made.content)
    return DrawnFiles(
        files=tuple(f"papers/{file}.png" for file in charts), findings=findings_of(charts.values())
    )
