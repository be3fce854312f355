"""A list of lengths that a person types on a page: read, cut from the fewest sticks, and put on paper."""

import re

from hoopwright.findings import UserError
from hoopwright.jobs.cut_papers import CutPaperWishes, label_sheet, saw_list, write_paper
from hoopwright.jobs.cuts import CutsFound, SawWishes, cuts_of_pieces
from hoopwright.jobs.made_pdf import PutPdf
from hoopwright.jobs.quotes import rates_known
from hoopwright.jobs.stick_rates import kerf_for, sticks_to_buy
from hoopwright.jobs.stock import StockWishes
from hoopwright.jobs.typed import unreadable
from hoopwright.progress import Progress, silent
from hoopwright.stock import Piece
from hoopwright.stock.pieces import MOST_PIECES, piece_faults, too_many
from hoopwright.stock.reading import ListedPiece
from hoopwright.store import ProjectFolder
from hoopwright.store.writing import make_folder
from hoopwright.tubes import TubeSize
from hoopwright.units import MM_PER_UNIT, LengthUnit, parse_length_mm

_BETWEEN = re.compile(r"[;\n]|,\s")
_TIMES = re.compile(r"(\d{1,5})\s*[x*]\s*(.+)", re.IGNORECASE)
_RUN_TOGETHER = re.compile(r",\d{3,}")
_WANTED = "lengths with '; ' or ', ' between them, such as 3385; 2 x 1990; 1460"


def typed_lengths(text: str) -> tuple[Piece, ...]:
    """`3385; 2 x 1990, 1460`: a piece for each length, named by its place in the list.

    A comma without a space behind it is the point of a decimal; with three figures or more behind it nobody knows.

    Raises:
        UserError: `TYPED-001`, `UNIT-001`; `CUTS-001` for what no saw cuts.
    """
    pieces: list[Piece] = []
    for part in (one.strip().rstrip(",") for one in _BETWEEN.split(text)):
        if not part:
            continue
        if _RUN_TOGETHER.search(part):
            raise unreadable(part, _WANTED)
        found = _TIMES.fullmatch(part)
        count, length = (int(found[1]), found[2]) if found else (1, part)
        piece = Piece(name=f"P{len(pieces) + 1}", length_mm=parse_length_mm(length), count=count)
        faults = piece_faults(piece)
        if faults:
            raise UserError(*faults)
        pieces.append(piece)
    if not pieces:
        raise unreadable(text, _WANTED)
    total = sum(piece.count for piece in pieces)
    if total > MOST_PIECES:
        raise UserError(too_many(total))
    return tuple(pieces)


def lengths_words(pieces: tuple[Piece, ...]) -> str:
    """What was understood of them."""
    metres = sum(piece.length_mm * piece.count for piece in pieces) / MM_PER_UNIT["m"]
    longest = max(piece.length_mm for piece in pieces)
    return f"{sum(piece.count for piece in pieces)} pieces, {metres:.3f} m, the longest {longest:g} mm"


def plan_lengths(
    folder: ProjectFolder,
    pieces: tuple[Piece, ...],
    tube: TubeSize,
    wishes: StockWishes,
    *,
    progress: Progress = silent,
) -> CutsFound:
    """Plan the cuts of a list over sticks to buy; the rack is not used, and nothing is recorded.

    Args:
        folder: The project whose rates hold.
        pieces: What is cut.
        tube: Of all of them.
        wishes: Sticks, saw and price, as for the bars of a project.
        progress: Told how far it is.

    Raises:
        UserError: `CUTS-...` for what cannot be.
    """
    rates = rates_known(None, folder).rates
    return cuts_of_pieces(
        "lengths",
        tuple(ListedPiece(piece=piece) for piece in pieces),
        SawWishes(
            offers=sticks_to_buy(wishes.offers, wishes.price, rates, tube, ""),
            kerf_mm=kerf_for(wishes.kerf_mm, rates),
            trim_mm=wishes.trim_mm,
            goal=wishes.goal,
            tube=tube,
            time_limit_s=wishes.time_limit_s,
        ),
        progress=progress,
    )


def put_length_papers(
    folder: ProjectFolder, found: CutsFound, *, date: str, paper: str = "A4", unit: LengthUnit = "mm"
) -> tuple[PutPdf, PutPdf]:
    """The list to saw by and the labels of a typed list, put with the papers of the project.

    Raises:
        UserError: `FILE-103` where another file is in the way; `STORE-002` where it cannot be written.
    """
    wishes = CutPaperWishes(title=f"{folder.path.name}, {found.name}", date=date, paper=paper, unit=unit)
    make_folder(folder.papers)
    return (
        write_paper(folder.papers / "lengths-saw-list.pdf", saw_list(found.groups, wishes), wishes),
        write_paper(folder.papers / "lengths-saw-labels.pdf", label_sheet(found.groups, wishes), wishes),
    )
