"""`hoopwright cuts`: the fewest sticks for a list of pieces."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.cuts_text import Goal, Unit, plan_text, spare_text, sums_text
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings
from hoopwright.cli.paper_options import Paper, day_of, paper_of, unit_of
from hoopwright.units import LengthUnit, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.jobs.cuts import CutsFound
    from hoopwright.jobs.made_pdf import PutPdf
    from hoopwright.tubes import TubeSize


def cuts(
    file: Annotated[
        Path, typer.Argument(help="CSV: name,length_mm,count, and where wanted tube,steel,together,spare.")
    ],
    stick: Annotated[
        list[str],
        typer.Option(
            help="Stick that can be bought: LENGTH, LENGTH:COUNT or LENGTH:COUNT:PRICE. Repeatable."
        ),
    ],
    kerf: Annotated[str, typer.Option(help="What the saw takes between two parts.")],
    offcut: Annotated[
        list[str] | None, typer.Option(help="Offcut at hand: LENGTH or LENGTH:COUNT. Repeatable.")
    ] = None,
    trim: Annotated[str, typer.Option(help="Taken off each end of a whole stick.")] = "0",
    od: Annotated[str | None, typer.Option(help="Outside diameter, for masses.")] = None,
    wall: Annotated[str | None, typer.Option(help="Wall, for masses.")] = None,
    price: Annotated[
        str | None, typer.Option(help="Of sticks without one: 4.20/m or 25/stick, in your money.")
    ] = None,
    fewest: Goal = False,
    spare: Annotated[
        list[str] | None, typer.Option(help="Cut one more of this piece, counted apart. Repeatable.")
    ] = None,
    time_limit: Annotated[float, typer.Option(help="How long to look for a better plan, s.")] = 30.0,
    pdf: Annotated[
        Path | None, typer.Option(help="Write the list to saw by, with fields for heat numbers.")
    ] = None,
    labels: Annotated[Path | None, typer.Option(help="Write labels for parts and offcuts as PDF.")] = None,
    paper: Paper = "A4",
    unit: Unit = "mm",
    date: Annotated[str | None, typer.Option(help="Day on the papers, YYYY-MM-DD; today without.")] = None,
    as_json: AsJson = False,
) -> None:
    """Cut a list of pieces from the fewest sticks, or the cheapest; says whether that is proven."""
    from hoopwright.jobs import cuts as jobs
    from hoopwright.jobs.cut_keys import cuts_keys
    from hoopwright.jobs.made_pdf import findings_of
    from hoopwright.jobs.stick_words import stick_offer, stick_price

    with stopping_on_findings(as_json):
        shown = unit_of(unit)
        offers = (
            *(stick_offer(text) for text in stick),
            *(stick_offer(text, "offcut") for text in offcut or []),
        )
        wishes = jobs.SawWishes(
            offers=offers,
            kerf_mm=parse_length_mm(kerf),
            trim_mm=parse_length_mm(trim),
            goal="fewest" if fewest else "least",
            tube=_tube(od, wall),
            price=typed.maybe(stick_price, price),
            spares=tuple(spare or ()),
            time_limit_s=time_limit,
        )
        with progress_bar(as_json) as progress:
            found = jobs.cuts_of_file(file, wishes, progress=progress)
        written = _written(found, pdf, labels, paper=paper, unit=shown, date=date)
        notes = (*found.findings, *findings_of(written))
        text = "\n".join([_text(found, shown), *(f"written: {put.file}" for put in written)])
        show(as_json, lambda: {**cuts_keys(found), "files": [str(put.file) for put in written]}, text, notes)


def _tube(od: str | None, wall: str | None) -> "TubeSize | None":
    if (od is None) != (wall is None):
        raise typer.BadParameter("Give --od and --wall together.")
    return None if od is None or wall is None else typed.tube_size(f"{od} x {wall}")


def _written(
    found: "CutsFound",
    pdf: Path | None,
    labels: Path | None,
    *,
    paper: str,
    unit: LengthUnit,
    date: str | None,
) -> "tuple[PutPdf, ...]":
    if pdf is None and labels is None:
        return ()
    from hoopwright.jobs.cut_papers import CutPaperWishes, label_sheet, saw_list, write_paper

    wishes = CutPaperWishes(
        title=found.name,
        date=day_of(date),
        paper=paper_of(paper),
        unit=unit,
    )
    made = [(pdf, saw_list), (labels, label_sheet)]
    return tuple(
        write_paper(path, make(found.groups, wishes), wishes) for path, make in made if path is not None
    )


def _text(found: "CutsFound", unit: LengthUnit) -> str:
    from hoopwright.jobs.cut_keys import cuts_keys

    blocks = []
    for group in found.groups:
        blocks.append(plan_text(group.to_saw, group.title, unit))
        blocks.append(spare_text(group, unit))
    return "\n".join([*blocks, sums_text(cuts_keys(found))])
