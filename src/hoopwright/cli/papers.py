"""`hoopwright papers`: files for other programs and for cutting."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.cut_options import Cut, Order, Ovality, RootGap, cut_wishes
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings, table_text
from hoopwright.cli.paper_options import day_of, paper_of, unit_of

if TYPE_CHECKING:
    from hoopwright.jobs.paper_files import PaperKind, PapersMade

_ALL = "all"


def papers(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    kind: Annotated[
        str,
        typer.Option(help="wraps, plates, floor, step, glb, tables, several with commas, or all."),
    ] = _ALL,
    bar: Annotated[list[str] | None, typer.Option(help="Only this bar. Repeatable.")] = None,
    size: Annotated[str, typer.Option(help="Size of printed pages: A4 or letter.")] = "A4",
    units: Annotated[str, typer.Option(help="mm or in: figures on pages and in tables.")] = "mm",
    root_gap: RootGap = None,
    ovality: Ovality = None,
    cut: Cut = "outside",
    order: Order = None,
    shell: Annotated[bool, typer.Option("--shell", help="Put the shell into the GLB file.")] = False,
    date: Annotated[str | None, typer.Option(help="Day of making, ISO 8601; today without.")] = None,
    out: Annotated[
        Path | None, typer.Option(help="Folder to write into; the project's papers without.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Write wraps, plates, floor drawings, solids, a model to look at, and tables."""
    from hoopwright.jobs import paper_files as jobs
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        wishes = jobs.PaperWishes(
            date=day_of(date),
            kinds=_kinds(kind),
            only=tuple(dict.fromkeys(bar or ())),
            paper=paper_of(size),
            unit=unit_of(units),
            cut=cut_wishes(root_gap, ovality, cut, order),
            out=out,
            with_shell=shell,
        )
        with progress_bar(as_json) as progress:
            made = jobs.make_papers(ProjectFolder(path=project), wishes, progress=progress)
        show(as_json, lambda: _keys(made), _text(made), made.findings)


def _kinds(text: str) -> "tuple[PaperKind, ...]":
    from hoopwright.jobs.paper_files import KINDS

    words = [word.strip() for word in text.split(",")]
    chosen = {typed.one_of(word, (*KINDS, _ALL), "a kind of paper") for word in words}
    return KINDS if _ALL in chosen else tuple(kind for kind in KINDS if kind in chosen)


def _keys(made: "PapersMade") -> dict[str, Any]:
    return {
        "folder": str(made.folder),
        "identity": made.identity,
        "files": [vars(file) for file in made.files],
        "skipped": [{"kind": kind, "why": why} for kind, why in made.skipped],
        "old": list(made.old),
    }


def _text(made: "PapersMade") -> str:
    kinds = dict.fromkeys(file.kind for file in made.files)
    rows = [_row(made, kind) for kind in kinds]
    lines = [table_text(["kind", "files", "new or changed", "size", "folder"], rows)]
    lines += [f"{kind}: not made. {why}" for kind, why in made.skipped]
    lines += [f"now OLD: {made.folder / 'old' / name}" for name in made.old]
    lines.append(f"made from identity {made.identity}")
    return "\n".join(lines)


def _row(made: "PapersMade", kind: str) -> list[str]:
    files = [file for file in made.files if file.kind == kind]
    fresh = sum(file.state != "as before" for file in files)
    total = sum(file.size_bytes for file in files)
    places = dict.fromkeys(str((made.folder / file.name).parent) for file in files)
    return [kind, str(len(files)), str(fresh), _size(total), ", ".join(places)]


def _size(size_bytes: int) -> str:
    return f"{size_bytes / 1e6:.1f} MB" if size_bytes >= 1e6 else f"{size_bytes / 1e3:.0f} kB"
