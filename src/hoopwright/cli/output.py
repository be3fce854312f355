"""How a command tells: text for a person, or JSON alone on stdout; progress and words on stderr."""

import json
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Annotated, Any

import typer

from hoopwright.findings import Finding, UserError, as_dict, as_text
from hoopwright.progress import Progress, silent

AsJson = Annotated[bool, typer.Option("--json", help="Print JSON alone on stdout.")]


@contextmanager
def stopping_on_findings(as_json: bool) -> Iterator[None]:
    """Turn a job that stops into exit status 1 with its findings."""
    try:
        yield
    except UserError as error:
        if as_json:
            print(
                json.dumps({"findings": [as_dict(finding) for finding in error.findings]}, ensure_ascii=False)
            )
        else:
            tell(error.findings)
        raise typer.Exit(1) from None


def show(
    as_json: bool, keys: Callable[[], dict[str, Any]], text: str, findings: Iterable[Finding] = ()
) -> None:
    """Print a result.

    Args:
        as_json: JSON alone, or text.
        keys: Makes the JSON keys; `findings` is added unless it is there.
        text: What a person reads.
        findings: What goes with the result.
    """
    found = tuple(findings)
    if as_json:
        content = keys()
        content.setdefault("findings", [as_dict(finding) for finding in found])
        print(json.dumps(content, ensure_ascii=False, allow_nan=False))
        return
    print(text)
    tell(found)


def tell(findings: Iterable[Finding]) -> None:
    """Findings on stderr, as a person reads them."""
    for finding in findings:
        print(as_text(finding), file=sys.stderr)


@contextmanager
def progress_bar(as_json: bool) -> Iterator[Progress]:
    """A bar on stderr while long work goes on; none where nobody watches."""
    if as_json or not sys.stderr.isatty():
        yield silent
        return
    from rich.console import Console
    from rich.progress import BarColumn, TextColumn, TimeElapsedColumn
    from rich.progress import Progress as RichProgress

    columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    with RichProgress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("starting", total=1.0)

        def tell_bar(stage: str, share: float) -> None:
            bar.update(task, description=stage, completed=share)

        yield tell_bar


def table_text(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """A plain table: first column to the left, the others to the right."""
    lines = [list(heads), *(list(row) for row in rows)]
    widths = [max(len(line[k]) for line in lines) for k in range(len(lines[0]))]
    return "\n".join(
        "  ".join(
            cell.ljust(width) if k == 0 else cell.rjust(width)
            for k, (cell, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in lines
    )
