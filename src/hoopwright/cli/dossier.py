"""`hoopwright dossier`: the scrutineer's file, its photos and its log."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.default_command import group_that_does
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings
from hoopwright.cli.paper_options import day_of, paper_of, unit_of

if TYPE_CHECKING:
    from hoopwright.jobs.dossier.make import DossierMade
    from hoopwright.jobs.photos import PhotosAdded


app = typer.Typer(
    cls=group_that_does("make"),
    no_args_is_help=True,
    help="The scrutineer's file: drawing, members, rules, gaps, joints, photos, log, as one PDF. "
    "'hoopwright dossier PROJECT' makes it.",
)
Project = Annotated[Path, typer.Argument(help="Project folder.")]
Day = Annotated[str | None, typer.Option(help="Day, ISO 8601; today without.")]


@app.command()
def make(
    project: Project,
    paper: Annotated[str, typer.Option(help="Size of the pages: A4 or letter.")] = "A4",
    units: Annotated[str, typer.Option(help="mm or in: figures on the pages.")] = "mm",
    photos: Annotated[
        Path | None,
        typer.Option(help="Folder with photos to add first; each file's name begins with what it shows."),
    ] = None,
    date: Day = None,
    out: Annotated[
        Path | None, typer.Option(help="File to write; papers/dossier.pdf in the project without.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Make the file as one PDF. The same project, day and paper give the same bytes."""
    from hoopwright.jobs.dossier.make import DossierWishes, make_dossier
    from hoopwright.jobs.photos import add_photos
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        day = day_of(date)
        wishes = DossierWishes(
            date=day,
            paper=paper_of(paper),
            unit=unit_of(units),
            out=out,
        )
        folder = ProjectFolder(path=project)
        with progress_bar(as_json) as progress:
            added = None if photos is None else add_photos(folder, photos, date=day, progress=progress)
            made = make_dossier(folder, wishes, progress=progress)
        told = () if added is None else added.findings
        show(as_json, lambda: _keys(made, added), _text(made, added), (*told, *made.findings))


@app.command()
def photo(
    project: Project,
    place: Annotated[
        str, typer.Argument(help="What it shows: a joint such as MH/SB-L-B, a foot, a bar, or the cage.")
    ],
    file: Annotated[Path, typer.Argument(help="JPEG or PNG.")],
    words: Annotated[str, typer.Option(help="Caption.")] = "",
    date: Day = None,
    as_json: AsJson = False,
) -> None:
    """Add a photo: turned upright, made small, without place, time and camera."""
    from hoopwright.jobs.photos import add_photo
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        day = day_of(date)
        added = add_photo(ProjectFolder(path=project), place, file, date=day, words=words)
        show(as_json, lambda: _photo_keys(added), "\n".join(_photo_lines(added)), added.findings)


@app.command()
def note(
    project: Project,
    words: Annotated[str, typer.Argument(help="What was done.")],
    by: Annotated[str, typer.Option(help="Who.")] = "",
    date: Annotated[str | None, typer.Option(help="Day or time, ISO 8601; now without.")] = None,
    as_json: AsJson = False,
) -> None:
    """Write a line in the log of the build."""
    from hoopwright.jobs.notes import add_note
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        at = typed.now() if date is None else _when(date)
        line = add_note(ProjectFolder(path=project), words, at=at, by=by)
        show(as_json, lambda: dict(vars(line)), f"{line.date}  {line.words}")


def _when(text: str) -> str:
    """A day as typed, or a time with its zone."""
    return typed.day(text) if len(text.strip()) <= len("2026-03-14") else typed.moment(text).isoformat()


def _keys(made: "DossierMade", added: "PhotosAdded | None") -> dict[str, Any]:
    return {
        "file": str(made.file),
        "pages": made.pages,
        "members": made.members,
        "joints": made.joints,
        "photos": made.photos,
        "to_fill_in": list(made.to_fill_in),
        "state": made.state,
        "sha256": made.sha256,
        **({} if added is None else _photo_keys(added)),
    }


def _photo_keys(added: "PhotosAdded") -> dict[str, Any]:
    return {"added": [dict(vars(one)) for one in added.added], "known": list(added.known)}


def _photo_lines(added: "PhotosAdded") -> list[str]:
    lines = [f"photo of {one.place} kept as photos/{one.file}" for one in added.added]
    return lines + [f"{name} is in the project already" for name in added.known]


def _text(made: "DossierMade", added: "PhotosAdded | None") -> str:
    lines = [] if added is None else _photo_lines(added)
    return "\n".join(
        (
            *lines,
            f"{made.file}: {made.in_words}",
            f"made from the state {made.state}",
        )
    )
