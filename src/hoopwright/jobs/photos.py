"""Photos for the scrutineer's file: made small, kept in the project, under the name of what they show."""

import hashlib
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.bent_cage import cage_to_cut
from hoopwright.jobs.dossier.places import PhotoPlaces, photo_places
from hoopwright.jobs.paper_source import file_word
from hoopwright.papers.small_photo import SmallPhoto, read_small_photo
from hoopwright.papers.words import listed
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder
from hoopwright.store.build_records import Photo
from hoopwright.store.together import all_or_nothing

_ENDINGS = {".jpg", ".jpeg", ".png", ".heic", ".heif", ".webp", ".tif", ".tiff", ".bmp", ".gif", ".avif"}
_MOST_FILES = 400
_DIGITS = 10
_NAMED = 7


@dataclass(frozen=True, kw_only=True)
class PhotosAdded:
    """What came of adding photos.

    Args:
        added: As they are kept.
        known: Files that are in the project already.
        findings: Files that were not added, each with why.
    """

    added: tuple[Photo, ...]
    known: tuple[str, ...]
    findings: tuple[Finding, ...]


def add_photo(folder: ProjectFolder, place: str, file: Path, *, date: str, words: str = "") -> PhotosAdded:
    """Add one photo.

    Args:
        folder: The project.
        place: Joint, foot, bar or view of the whole that it shows, as the file names them.
        file: JPEG or PNG.
        date: Day of adding, ISO 8601.
        words: Caption.

    Raises:
        UserError: `PHOTO-...` for a file that cannot be taken, `DOSS-006` for a place that the cage does not have,
            `STORE-...`. Nothing changed then.
    """
    wanted = _Wanted(_the_place(folder, place), words, file.name, lambda: read_small_photo(file))
    return _keep(folder, [wanted], date)


def take_photo_out(folder: ProjectFolder, file: str) -> tuple[Photo, ...]:
    """Take a photo out of the file for the scrutineer; the small picture stays in the project's `photos`.

    Args:
        folder: The project.
        file: Its name in the project's `photos`.

    Returns:
        The photos that are left.

    Raises:
        UserError: `STORE-...`.
    """
    opened = folder.open()
    left = tuple(photo for photo in opened.project.photos if photo.file != file)
    folder.record(opened, replace(opened.project, photos=left))
    return left


def places_for_photos(folder: ProjectFolder) -> tuple[str, ...]:
    """Everything of the cage that a photo can show: the whole, joints, feet, bars.

    Raises:
        UserError: `STORE-...`, `CAL-...` for what cannot be read.
    """
    places = _places(folder)
    return (*places.slots, *places.bars)


def add_photos(folder: ProjectFolder, photos: Path, *, date: str, progress: Progress = silent) -> PhotosAdded:
    """Add all photos of a folder whose file names begin with what they show, such as `MH SB-L-B after welding.jpg`.

    What cannot be taken is told, and the others are added.

    Args:
        folder: The project.
        photos: The folder; folders in it are not looked into.
        date: Day of adding, ISO 8601.
        progress: Told how far it is.

    Raises:
        UserError: `DOSS-007` for a folder that is not there, `STORE-...`. Nothing changed then.
    """
    return add_photos_named(folder, _pictures_in(photos), date=date, progress=progress)


def add_photos_named(
    folder: ProjectFolder, files: Sequence[Path], *, date: str, progress: Progress = silent
) -> PhotosAdded:
    """Add photos whose file names begin with what they show; what cannot be taken is told.

    Args:
        folder: The project.
        files: The photos.
        date: Day of adding, ISO 8601.
        progress: Told how far it is.

    Raises:
        UserError: `STORE-...`. Nothing changed then.
    """
    places = _places(folder)
    wanted: list[_Wanted] = []
    findings: list[Finding] = []
    for file in files:
        found = places.of(file.stem)
        if found is None:
            findings.append(_names_nothing(places, file))
        else:
            wanted.append(_Wanted(*found, file.name, partial(read_small_photo, file)))
    made = _keep(folder, wanted, date, one_by_one=True, progress=progress)
    return replace(made, findings=(*findings, *made.findings))


@dataclass(frozen=True)
class _Wanted:
    """A photo that is to be kept."""

    place: str
    words: str
    name: str
    read: Callable[[], SmallPhoto]


def _the_place(folder: ProjectFolder, words: str) -> str:
    places = _places(folder)
    found = places.of(words)
    if found is None or found[1]:
        raise UserError(_no_such_place(places, words))
    return found[0]


def _places(folder: ProjectFolder) -> PhotoPlaces:
    return photo_places(cage_to_cut(folder, folder.open().project).cage)


def _pictures_in(photos: Path) -> list[Path]:
    try:
        files = [Path(entry.path) for entry in os.scandir(photos) if entry.is_file()]
    except OSError as error:
        raise UserError(
            Finding(
                code="DOSS-007",
                severity=Severity.STOP,
                sentence=f"{photos} is no folder that can be read: {error.strerror or error}.",
                todo="Name the folder with the photos.",
                objects=(str(photos),),
            )
        ) from error
    found = sorted(file for file in files if file.suffix.lower() in _ENDINGS and file.name[:1] != ".")
    if len(found) > _MOST_FILES:
        raise UserError(
            Finding(
                code="DOSS-007",
                severity=Severity.STOP,
                sentence=f"{photos} holds {len(found)} photos, more than the {_MOST_FILES} of one file.",
                todo="Put those of this cage in a folder of their own.",
                objects=(str(photos),),
                measured=float(len(found)),
                limit=float(_MOST_FILES),
            )
        )
    return found


def _keep(
    folder: ProjectFolder,
    wanted: Sequence[_Wanted],
    date: str,
    *,
    one_by_one: bool = False,
    progress: Progress = silent,
) -> PhotosAdded:
    """Keep photos, all or none; with `one_by_one` those that cannot be taken are told instead of stopping."""
    opened = folder.open()
    had = {(photo.place, photo.sha256) for photo in opened.project.photos}
    added: list[Photo] = []
    contents: dict[Path, bytes] = {}
    known: list[str] = []
    findings: list[Finding] = []
    for number, one in enumerate(wanted):
        progress("making photos small", number / len(wanted))
        try:
            small = one.read()
        except UserError as error:
            if not one_by_one:
                raise
            findings += (replace(finding, severity=Severity.WARNING) for finding in error.findings)
            continue
        sha256 = hashlib.sha256(small.jpeg).hexdigest()
        if (one.place, sha256) in had:
            known.append(one.name)
            continue
        had.add((one.place, sha256))
        name = f"{file_word(one.place)}-{sha256[:_DIGITS]}.jpg"
        contents[folder.photos / name] = small.jpeg
        added.append(Photo(place=one.place, file=name, sha256=sha256, words=one.words, date=date))
    if added:
        with all_or_nothing(contents) as put_in_place:
            folder.record(opened, replace(opened.project, photos=(*opened.project.photos, *added)))
            put_in_place()
    return PhotosAdded(added=tuple(added), known=tuple(known), findings=tuple(findings))


def _no_such_place(places: PhotoPlaces, place: str) -> Finding:
    return Finding(
        code="DOSS-006",
        severity=Severity.STOP,
        sentence=f"The cage has no joint, foot or bar '{place}' for a photo to show.",
        todo=f"Name one of: {listed((*places.slots, *places.bars), 60)}.",
        objects=(place,),
    )


def _names_nothing(places: PhotoPlaces, file: Path) -> Finding:
    return Finding(
        code="DOSS-008",
        sentence=f"{file.name} was not added: its name does not begin with a joint, a foot or a bar of the cage.",
        todo="Say what it shows when you add it, or name the file after that ('/' may be written '-' or '_'), such "
        f"as: {listed(places.slots, _NAMED)}.",
        objects=(file.name,),
    )
