"""`hoopwright quote`: what a cage costs at the person's own rates."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli.default_command import group_that_does
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings
from hoopwright.cli.paper_options import Paper, day_of, paper_of, unit_of
from hoopwright.cli.quote_text import quote_keys, quote_text, rates_keys, rates_text

if TYPE_CHECKING:
    from hoopwright.store import ProjectFolder


app = typer.Typer(
    cls=group_that_does("price"),
    no_args_is_help=True,
    help="What a cage costs at your own rates, in how many hours. 'hoopwright quote PROJECT' prices it; "
    "'hoopwright quote rates --write' makes a rates file to fill in.",
)


@app.command("price")
def price(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    rates: Annotated[
        Path | None,
        typer.Option(help="Rates file; rates.toml of the project, or your own, without."),
    ] = None,
    learnt: Annotated[
        bool, typer.Option("--learnt", help="Take the minutes of a bend from the shop's log of past jobs.")
    ] = False,
    pdf: Annotated[Path | None, typer.Option(help="Write the quote as this PDF.")] = None,
    paper: Paper = "A4",
    unit: Annotated[str, typer.Option(help="mm or in: tube sizes on the paper.")] = "mm",
    date: Annotated[str | None, typer.Option(help="Day of the quote, ISO 8601; today without.")] = None,
    as_json: AsJson = False,
) -> None:
    """Metres, bends, copes, welds, plates and mass of a cage, and what they cost. Nothing unknown counts as 0."""
    from hoopwright.jobs import quote_papers, quotes

    with stopping_on_findings(as_json):
        day = day_of(date)
        size = paper_of(paper)
        shown = unit_of(unit)
        folder = _folder(project)
        with progress_bar(as_json) as progress:
            made = quotes.quote_of(folder, date=day, given=rates, learnt=learnt, progress=progress)
            if pdf is not None:
                put = quote_papers.write_quote(folder, made, pdf, paper=size, unit=shown, progress=progress)
                made = replace(made, findings=(*made.findings, *put.findings))
        show(as_json, lambda: quote_keys(made, pdf), quote_text(made, pdf), made.findings)


@app.command("rates")
def rates(
    file: Annotated[Path | None, typer.Argument(help="Rates file; your own without.")] = None,
    write: Annotated[
        bool, typer.Option("--write", help="Make a file to fill in; one that is there stays as it is.")
    ] = False,
    project: Annotated[
        Path | None, typer.Option(help="A project: its rates, or with --write a block for each of its tubes.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Which rates count and what is typed in them; with --write a file to fill in, without any price."""
    from hoopwright.jobs import quotes

    with stopping_on_findings(as_json):
        folder = None if project is None else _folder(project)
        if write:
            made = quotes.write_rates(file, folder)
            show(
                as_json,
                lambda: {"file": str(made)},
                f"written: {made}\nType what you ask between the quotes.",
            )
            return
        known = quotes.rates_known(file, folder)
        show(as_json, lambda: rates_keys(known), rates_text(known), known.findings)


def _folder(project: Path) -> "ProjectFolder":
    from hoopwright.store import ProjectFolder

    return ProjectFolder(path=project)
