"""`hoopwright stock`: the sticks of a project, from the rack and to buy."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.cuts_text import Goal, Unit
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings
from hoopwright.cli.paper_options import Paper, day_of, paper_of, unit_of
from hoopwright.cli.shop_options import ShopOption
from hoopwright.cli.stock_text import order_text, project_text, rack_text, taken_keys, taken_text
from hoopwright.units import parse_length_mm

if TYPE_CHECKING:
    from hoopwright.jobs.made_pdf import PutPdf
    from hoopwright.jobs.stock import ProjectStock, StockWishes

app = typer.Typer(
    no_args_is_help=True, help="Sticks of a project: what is on the rack, how to cut it, what to buy."
)
Folder = Annotated[Path, typer.Argument(help="Project folder.")]
Sticks = Annotated[
    list[str] | None,
    typer.Option(
        "--stick", help="Stick that can be bought: LENGTH, LENGTH:COUNT or LENGTH:COUNT:PRICE. Repeatable."
    ),
]
Kerf = Annotated[
    str | None, typer.Option(help="What the saw takes between two parts; that of your rates, or 3, without.")
]
Trim = Annotated[str, typer.Option(help="Taken off each end of a whole stick.")]
Price = Annotated[
    str | None,
    typer.Option(
        help="Of sticks without one: 4.20/m or 25/stick, in your money; that of your rates without."
    ),
]
Only = Annotated[list[str] | None, typer.Option(help="Only this bar, cut already or not. Repeatable.")]
Together = Annotated[
    list[str] | None,
    typer.Option(help="Bars that share a batch, such as 'MH, FH'. Mirrored pairs do anyway."),
]
Spares = Annotated[bool, typer.Option("--spares", help="Cut the spares that are proposed, too.")]
NoRack = Annotated[bool, typer.Option("--no-rack", help="As if nothing were on the rack.")]
Limit = Annotated[float, typer.Option("--time-limit", help="How long to look for a better plan, s a size.")]
Least = Annotated[str, typer.Option("--least", help="Length from which what is left goes back to the rack.")]
Day = Annotated[str | None, typer.Option("--date", help="Day, YYYY-MM-DD; today without.")]


@app.command("plan")
def plan(
    project: Folder,
    stick: Sticks = None,
    kerf: Kerf = None,
    trim: Trim = "0",
    price: Price = None,
    fewest: Goal = False,
    only: Only = None,
    together: Together = None,
    spares: Spares = False,
    no_rack: NoRack = False,
    time_limit: Limit = 10.0,
    least: Least = "300",
    pdf: Annotated[Path | None, typer.Option(help="Write the list to saw by.")] = None,
    paper: Paper = "A4",
    unit: Unit = "mm",
    date: Day = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """The cutting plan of a project over the rack and sticks to buy; nothing is recorded."""
    from hoopwright.jobs.made_pdf import findings_of
    from hoopwright.jobs.stock_keys import stock_keys

    with stopping_on_findings(as_json):
        wishes = _wishes(stick, kerf, trim, price, fewest, only, together, spares, no_rack, time_limit, shop)
        found = _found(project, wishes, as_json)
        files = [] if pdf is None else [_paper(found, pdf, paper, unit, date, least, labels=False)]
        text = "\n".join([project_text(found, unit_of(unit)), *(f"written: {put.file}" for put in files)])
        keys = {**stock_keys(found), "files": [str(put.file) for put in files]}
        show(as_json, lambda: dict(keys), text, (*found.findings, *findings_of(files)))


@app.command("rack")
def rack(project: Folder, only: Only = None, shop: ShopOption = None, as_json: AsJson = False) -> None:
    """Which sticks and offcuts of a project's tube sizes the shop holds."""
    from hoopwright.jobs.rack import rack_keys, rack_of
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        found, findings = rack_of(ProjectFolder(path=project), only=tuple(only or ()), shop=shop)
        show(as_json, lambda: {"rack": rack_keys(found)}, rack_text(found), findings)


@app.command("order")
def order(
    project: Folder,
    stick: Sticks = None,
    kerf: Kerf = None,
    trim: Trim = "0",
    price: Price = None,
    fewest: Goal = False,
    only: Only = None,
    together: Together = None,
    spares: Spares = False,
    no_rack: NoRack = False,
    time_limit: Limit = 10.0,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """What to buy: sticks by size and steel, their mass, and the price at your rate."""
    from hoopwright.jobs.stock_keys import order_keys, order_sums

    with stopping_on_findings(as_json):
        wishes = _wishes(stick, kerf, trim, price, fewest, only, together, spares, no_rack, time_limit, shop)
        found = _found(project, wishes, as_json)
        show(
            as_json,
            lambda: {"order": order_keys(found), **order_sums(found), "identity": found.identity},
            order_text(found),
            found.findings,
        )


@app.command("labels")
def labels(
    project: Folder,
    pdf: Annotated[Path | None, typer.Option(help="Where it goes; the project's papers without.")] = None,
    stick: Sticks = None,
    kerf: Kerf = None,
    trim: Trim = "0",
    fewest: Goal = False,
    only: Only = None,
    together: Together = None,
    spares: Spares = False,
    no_rack: NoRack = False,
    time_limit: Limit = 10.0,
    least: Least = "300",
    paper: Paper = "A4",
    unit: Unit = "mm",
    date: Day = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Labels for the parts of the plan and for its offcuts, as PDF."""
    from hoopwright.jobs.stock_papers import LABELS_FILE
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        wishes = _wishes(stick, kerf, trim, None, fewest, only, together, spares, no_rack, time_limit, shop)
        found = _found(project, wishes, as_json)
        put = _paper(
            found,
            pdf or ProjectFolder(path=project).papers / LABELS_FILE,
            paper,
            unit,
            date,
            least,
            labels=True,
        )
        keys = {"files": [str(put.file)], "identity": found.identity}
        show(as_json, lambda: dict(keys), f"written: {put.file}", (*found.findings, *put.findings))


@app.command("take")
def take(
    project: Folder,
    plan: Annotated[
        str | None,
        typer.Option(
            "--plan",
            help="Code on the list that was sawn by: that plan as it was shown, so that no other option is needed.",
        ),
    ] = None,
    stick: Sticks = None,
    kerf: Kerf = None,
    trim: Trim = "0",
    price: Price = None,
    fewest: Goal = False,
    only: Only = None,
    together: Together = None,
    spares: Spares = False,
    time_limit: Limit = 10.0,
    least: Least = "300",
    date: Day = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Record that the plan was sawn: sticks used, offcuts back on the rack with batch and heat number."""
    from hoopwright.jobs.stock_taking import take_stock
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        wishes = _wishes(stick, kerf, trim, price, fewest, only, together, spares, False, time_limit, shop)
        with progress_bar(as_json) as progress:
            made = take_stock(
                ProjectFolder(path=project),
                wishes,
                date=day_of(date),
                plan=plan,
                least_mm=parse_length_mm(least),
                progress=progress,
            )
        text = taken_text(made, back=False, project=str(project))
        show(as_json, lambda: taken_keys(made), text, made.findings)


@app.command("put-back")
def put_back(
    project: Folder,
    plan: Annotated[str, typer.Option("--plan", help="Code that 'stock take' told.")],
    date: Day = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Take a recording back: its sticks are whole again, its offcuts gone, its bars not cut."""
    from hoopwright.jobs.stock_taking import put_back as job
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        made = job(ProjectFolder(path=project), plan, shop=shop, date=day_of(date))
        text = taken_text(made, back=True, project=str(project))
        show(as_json, lambda: taken_keys(made), text, made.findings)


def _wishes(
    stick: list[str] | None,
    kerf: str | None,
    trim: str,
    price: str | None,
    fewest: bool,
    only: list[str] | None,
    together: list[str] | None,
    spares: bool,
    no_rack: bool,
    time_limit: float,
    shop: str | None,
) -> "StockWishes":
    from hoopwright.jobs.stick_words import bar_names, stick_offer, stick_price
    from hoopwright.jobs.stock import StockWishes

    return StockWishes(
        offers=tuple(stick_offer(text) for text in stick or ()),
        kerf_mm=typed.maybe(parse_length_mm, kerf),
        trim_mm=parse_length_mm(trim),
        goal="fewest" if fewest else "least",
        price=typed.maybe(stick_price, price),
        only=tuple(only or ()),
        together=tuple(bar_names(text) for text in together or ()),
        spares=spares,
        rack=not no_rack,
        shop=shop,
        time_limit_s=time_limit,
    )


def _found(project: Path, wishes: "StockWishes", as_json: bool) -> "ProjectStock":
    from hoopwright.jobs.stock import stock_of
    from hoopwright.store import ProjectFolder

    with progress_bar(as_json) as progress:
        return stock_of(ProjectFolder(path=project), wishes, progress=progress)


def _paper(
    found: "ProjectStock",
    file: Path,
    paper: str,
    unit: str,
    date: str | None,
    least: str,
    *,
    labels: bool,
) -> "PutPdf":
    from hoopwright.jobs.cut_papers import CutPaperWishes, label_sheet, saw_list, write_paper

    wishes = CutPaperWishes(
        title=found.project,
        date=day_of(date),
        identity=found.identity,
        paper=paper_of(paper),
        unit=unit_of(unit),
        least_offcut_mm=parse_length_mm(least),
    )
    return write_paper(file, (label_sheet if labels else saw_list)(found.groups, wishes), wishes)
