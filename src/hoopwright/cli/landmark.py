"""`hoopwright landmark`: places that a person picks on the shell, or that the scan gives."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import (
    NEGATIVE_PLACES,
    AsJson,
    progress_bar,
    show,
    stopping_on_findings,
    table_text,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hoopwright.jobs.landmarks import FindingReport, KeptLandmark, LandmarkReport

app = typer.Typer(
    no_args_is_help=True,
    help="Landmarks: named places on the shell that a first cage and the door opening are taken from.",
)
Project = Annotated[Path, typer.Argument(help="Project folder.")]


@app.command("set", context_settings=NEGATIVE_PLACES)
def set_them(
    project: Project,
    places: Annotated[
        list[str],
        typer.Argument(
            metavar="NAME=F,L,U...",
            help="Left-hand places hoop_foot, front_foot, screen_corner, backstay_foot, front_strut; corners of a door "
            "opening door_opening_1, 2, 3, ...; or names of your own.",
        ),
    ],
    as_json: AsJson = False,
) -> None:
    """Type landmarks, or move those of the same names; 'landmark show' says where to put each."""
    from hoopwright.jobs.landmarks import set_landmarks
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        named = typed.named_places(places)
        with progress_bar(as_json) as progress:
            report = set_landmarks(ProjectFolder(path=project), named, progress=progress)
        show(as_json, lambda: _keys(report), _kept_text(report.kept), report.findings)


@app.command("show")
def show_all(project: Project, as_json: AsJson = False) -> None:
    """The landmarks that the project has, and where to put those that it has not."""
    from hoopwright.jobs.landmarks import landmarks_of
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        with progress_bar(as_json) as progress:
            report = landmarks_of(ProjectFolder(path=project), progress=progress)
        lines = [f"  {name}: {put}" for name, put in report.not_set.items()]
        text = _kept_text(report.kept) if report.kept else "no landmark yet"
        if lines:
            text = "\n".join([text, "", "not set, used when it is:", *lines])
        show(as_json, lambda: {**_keys(report), "not_set": dict(report.not_set)}, text, report.findings)


@app.command("remove")
def remove(
    project: Project,
    names: Annotated[list[str], typer.Argument(help="Which landmarks.")],
    as_json: AsJson = False,
) -> None:
    """Take landmarks out."""
    from hoopwright.jobs.landmarks import remove_landmarks
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        remove_landmarks(ProjectFolder(path=project), names)
        show(as_json, lambda: {"removed": names}, f"taken out: {', '.join(names)}")


@app.command("find")
def find(
    project: Project,
    keep: Annotated[
        bool,
        typer.Option(
            "--keep", help="Store those that are sure; a landmark that the project has stays as it is."
        ),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Look for landmarks in the scan; each with where, why, and what speaks against it."""
    from hoopwright.jobs.landmarks import find_landmarks
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        with progress_bar(as_json) as progress:
            report = find_landmarks(ProjectFolder(path=project), keep=keep, progress=progress)
        show(as_json, lambda: _found_keys(report), _found_text(report, keep))


def _keys(report: "LandmarkReport") -> dict[str, Any]:
    return {"landmarks": [vars(one) for one in report.kept]}


def _kept_text(kept: "Sequence[KeptLandmark]") -> str:
    rows = [
        [one.name, _at(one.place_mm), "not checked" if one.metal_mm is None else f"{one.metal_mm:.0f}"]
        for one in kept
    ]
    return table_text(["landmark", "forward, left, up mm", "to metal mm"], rows)


def _found_keys(report: "FindingReport") -> dict[str, Any]:
    return {
        "found": [
            {"name": name, "sure": one.sure, **vars(one), "from_picked_mm": report.picked_mm.get(name)}
            for name, one in report.found.items()
        ],
        "missing": dict(report.missing),
        "sills_climb_deg": report.climb_deg,
        "stored": list(report.stored),
    }


def _found_text(report: "FindingReport", keep: bool) -> str:
    rows = [
        [name, _at(one.place_mm), "sure" if one.sure else "not sure", _apart(report.picked_mm.get(name))]
        for name, one in report.found.items()
    ]
    parts = [table_text(["landmark", "forward, left, up mm", "", "from yours mm"], rows)] if rows else []
    for name, one in report.found.items():
        parts.append(f"{name}: {one.why}{f'; not sure: {one.doubt}' if one.doubt else ''}")
    parts += [f"{name}: not found: {why}" for name, why in report.missing.items()]
    if report.climb_deg is not None:
        climb = round(report.climb_deg, 1) + 0.0
        parts.append(f"the sills climb toward the nose by {climb:.1f}°; the search was made with them level")
    if report.stored:
        parts.append(f"stored: {', '.join(report.stored)}")
    elif keep:
        parts.append("nothing stored: nothing is sure that the project has not")
    return "\n".join(parts)


def _at(place_mm: "tuple[float, float, float]") -> str:
    return ", ".join(f"{value:.0f}" for value in place_mm)


def _apart(value_mm: float | None) -> str:
    return "" if value_mm is None else f"{value_mm:.0f}"
