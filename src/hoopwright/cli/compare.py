"""`hoopwright compare`: two layouts side by side."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings, table_text
from hoopwright.cli.paper_options import Paper, day_of, paper_of
from hoopwright.cli.quote_text import money_keys, quantity_keys
from hoopwright.units import parse_length_mm

if TYPE_CHECKING:
    from hoopwright.jobs.layout_figures import LayoutFigures
    from hoopwright.jobs.layouts_compared import Compared


def compare(
    first: Annotated[
        str, typer.Argument(help="Project folder; with @12 behind it, as it was at step 12 of its history.")
    ],
    second: Annotated[str, typer.Argument(help="The other, likewise.")],
    rates: Annotated[
        Path | None, typer.Option(help="Rates file; that of the second project, or your own, without.")
    ] = None,
    stick: Annotated[
        str | None, typer.Option(help="Length of sticks to count in; that of the rates, or 6 m, without.")
    ] = None,
    kerf: Annotated[str | None, typer.Option(help="What the saw takes; 3 mm without.")] = None,
    pdf: Annotated[Path | None, typer.Option(help="Write it as this PDF.")] = None,
    paper: Paper = "A4",
    date: Annotated[str | None, typer.Option(help="Day of the paper, ISO 8601; today without.")] = None,
    as_json: AsJson = False,
) -> None:
    """Bars added, taken out and changed; mass, metres, bends, welds, gaps, checks, sticks, hours and cost of both."""
    from hoopwright.jobs import layouts_compared as jobs
    from hoopwright.jobs.compare_papers import write_comparison
    from hoopwright.jobs.layout_figures import Sawing

    with stopping_on_findings(as_json):
        day = day_of(date)
        size = paper_of(paper)
        sawing = Sawing(
            stick_mm=None if stick is None else parse_length_mm(stick),
            kerf_mm=None if kerf is None else parse_length_mm(kerf),
        )
        folders = [jobs.layout_named(text) for text in (first, second)]
        with progress_bar(as_json) as progress:
            made = jobs.compare_layouts(*folders, date=day, given=rates, sawing=sawing, progress=progress)
            if pdf is not None:
                put = write_comparison(made, pdf, paper=size, date=day)
                made = replace(made, findings=(*made.findings, *put.findings))
        show(as_json, lambda: _keys(made, pdf), _text(made, pdf), made.findings)


def _text(made: "Compared", pdf: Path | None) -> str:
    heads = ["", "first", "second", "difference"]
    rows = [
        [f"{row.what}{f', {row.unit}' if row.unit else ''}", *row.words, row.difference_words]
        for row in made.rows
    ]
    parts = [
        f"first:  {made.first.label}\nsecond: {made.second.label}",
        _changes(made),
        table_text(heads, rows),
    ]
    parts.append("\n".join(made.notes))
    if pdf is not None:
        parts.append(f"written: {pdf}")
    return "\n\n".join(parts)


def _changes(made: "Compared") -> str:
    lines = [f"{one.bar_id} {one.kind}: {'; '.join(one.words)}" for one in made.changes]
    same = "1 bar is" if made.same == 1 else f"{made.same} bars are"
    return "\n".join([*lines, f"{same} as before"])


def _keys(made: "Compared", pdf: Path | None) -> dict[str, Any]:
    return {
        "first": _layout_keys(made.first),
        "second": _layout_keys(made.second),
        "changes": [{**vars(one), "words": list(one.words)} for one in made.changes],
        "same": made.same,
        "rows": [
            {
                "what": row.what,
                "unit": row.unit,
                "first": None if row.first is None else float(row.first),
                "second": None if row.second is None else float(row.second),
            }
            for row in made.rows
        ],
        "notes": list(made.notes),
        "pdf": None if pdf is None else str(pdf),
    }


def _layout_keys(one: "LayoutFigures") -> dict[str, Any]:
    verdicts = one.verdicts
    return {
        "label": one.label,
        "identity": one.quantities.identity,
        "quantities": quantity_keys(one.quantities),
        "smallest_gap_mm": one.smallest_gap_mm,
        "mean_gap_mm": one.mean_gap_mm,
        "verdicts": None
        if verdicts is None
        else {verdict.value: count for verdict, count in verdicts.items()},
        "stick_count": one.sticks,
        "money": None if one.priced is None else money_keys(one.priced),
    }
