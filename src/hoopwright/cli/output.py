"""How a command tells: text for a person, or JSON alone on stdout; progress and words on stderr."""

import io
import json
import re
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated, Any, TextIO

import typer

from hoopwright.findings import Finding, UserError, as_dict, as_text

if TYPE_CHECKING:
    from rich.progress import Progress as RichProgress

# a place such as -430,655,560 is no option
NEGATIVE_PLACES = {"ignore_unknown_options": True}
_NUMBER = re.compile(r"\s*(?:[-+±<>=≤≥~]*\s*\d|[-–?]?\s*$)")
"""A number, or nothing, or a dash for nothing."""
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON alone on stdout.")]


@contextmanager
def stopping_on_findings(as_json: bool) -> Iterator[None]:
    """Turn a job that stops into exit status 1 with its findings."""
    try:
        yield
    except KeyboardInterrupt:
        print("stopped; what was not finished was not kept", file=sys.stderr)
        raise typer.Exit(130) from None
    except UserError as error:
        if as_json:
            _print_json({"findings": [as_dict(finding) for finding in error.findings]})
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
        _print_json(content)
        return
    _lose_letters_only(sys.stdout)
    print(text)
    tell(found)


def is_terminal(stream: TextIO | None) -> bool:
    """Whether somebody sits at a stream; Python has none where it was closed from outside."""
    return stream is not None and stream.isatty()


def _print_json(content: dict[str, Any]) -> None:
    in_full = (getattr(sys.stdout, "encoding", None) or "utf-8").lower().replace("-", "") == "utf8"
    # a server goes on after its answer: whoever reads it must not wait for more
    print(json.dumps(content, ensure_ascii=not in_full, allow_nan=False), flush=True)


def _lose_letters_only(stream: TextIO | None) -> None:
    """Print a question mark for what a terminal's encoding has no letter for, such as a degree sign."""
    if isinstance(stream, io.TextIOWrapper):
        stream.reconfigure(errors="replace")


def tell(findings: Iterable[Finding]) -> None:
    """Findings on stderr, as a person reads them."""
    for finding in findings:
        print(as_text(finding), file=sys.stderr)


class ShownProgress:
    """A bar on stderr while long work goes on, out of the way while a question is asked."""

    def __init__(self, bar: "RichProgress | None") -> None:
        self._bar = bar

    def __call__(self, stage: str, share: float) -> None:
        """Show a stage and how much of it is done."""
        if self._bar is None:
            return
        self._bar.start()
        task = self._bar.task_ids[0] if self._bar.task_ids else self._bar.add_task(stage, total=1.0)
        self._bar.update(task, description=stage, completed=share)

    def pause(self) -> None:
        """Take the bar off the terminal until more is told."""
        if self._bar is not None:
            self._bar.stop()


@contextmanager
def progress_bar(as_json: bool) -> Iterator[ShownProgress]:
    """A bar on stderr while long work goes on; none where nobody watches."""
    if as_json or not is_terminal(sys.stderr):
        yield ShownProgress(None)
        return
    from rich.console import Console
    from rich.progress import BarColumn, TextColumn, TimeElapsedColumn
    from rich.progress import Progress as RichProgress

    columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    shown = ShownProgress(RichProgress(*columns, console=Console(stderr=True), transient=True))
    try:
        yield shown
    finally:
        shown.pause()


def table_text(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """A plain table: columns of numbers to the right, words and the first column to the left."""
    lines = [list(heads), *(list(row) for row in rows)]
    columns = list(zip(*lines, strict=True))
    widths = [max(map(len, column)) for column in columns]
    right = [k > 0 and all(map(_NUMBER.match, column[1:])) for k, column in enumerate(columns)]
    return "\n".join(
        "  ".join(
            cell.rjust(width) if to_right else cell.ljust(width)
            for cell, width, to_right in zip(line, widths, right, strict=True)
        ).rstrip()
        for line in lines
    )
