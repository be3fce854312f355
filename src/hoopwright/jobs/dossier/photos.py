"""The pages with photos: a slot for each place, filled where there is a photo."""

import hashlib
from collections.abc import Iterable

from hoopwright.cage import feet_of
from hoopwright.findings import Finding, Severity
from hoopwright.jobs.dossier.members import numbers_of
from hoopwright.jobs.dossier.places import photo_places
from hoopwright.jobs.dossier.source import DossierSource
from hoopwright.jobs.hand_measures import foot_name
from hoopwright.papers.dossier import PhotoSlot, Section, paragraph, slot_parts
from hoopwright.papers.small_photo import photo_size_px
from hoopwright.store.build_records import Photo


def photo_section(source: DossierSource) -> tuple[Section, tuple[Finding, ...]]:
    """The slots, those with a photo filled, and what a person should know of photos that are gone."""
    places = photo_places(source.papers.cage)
    by_place: dict[str, list[Photo]] = {}
    for photo in source.project.photos:
        by_place.setdefault(photo.place, []).append(photo)
    about = _about(source)
    slots: list[PhotoSlot] = []
    findings: list[Finding] = []
    for place in dict.fromkeys((*places.slots, *by_place)):
        photos = by_place.get(place, [])
        for photo in photos:
            slot, found = _slot(source, photo)
            slots.append(slot)
            findings += found
        if not photos:
            slots.append(PhotoSlot(place=place, about=about.get(place, "")))
    words = (
        "A slot for the whole cage, each joint and each foot. Where no photo was added yet, a print is stuck in. "
        "Photos were made small; time, place and camera are taken out of them."
    )
    parts = (paragraph(words, source.room_mm), *slot_parts(slots))
    return Section(title="Photos", parts=parts), tuple(findings)


def _about(source: DossierSource) -> dict[str, str]:
    """Which bars meet at a joint or stand on a foot, with their numbers on the line drawing, by place."""
    numbers = numbers_of(source)

    def words(names: Iterable[str]) -> str:
        return ", ".join(
            f"{numbers[name]} {source.papers.cage.member(name).role.value}"
            for name in names
            if name in numbers
        )

    joints = {
        cut.name: words((*(header.bar_id for header in cut.headers), cut.bar_id)) for cut in source.cuts
    }
    feet = {foot_name(foot.bar_id, foot.end): words([foot.bar_id]) for foot in feet_of(source.papers.cage)}
    return joints | feet


def _slot(source: DossierSource, photo: Photo) -> tuple[PhotoSlot, tuple[Finding, ...]]:
    words = ", ".join(part for part in (photo.words, photo.date) if part)
    path = source.folder.photos / photo.file
    try:
        content = path.read_bytes()
    except OSError:
        return PhotoSlot(place=photo.place), (_gone(photo, "cannot be read"),)
    if hashlib.sha256(content).hexdigest() != photo.sha256:
        return PhotoSlot(place=photo.place), (_gone(photo, "is not the one that was added"),)
    return PhotoSlot(place=photo.place, words=words, jpeg=content, size_px=photo_size_px(content)), ()


def _gone(photo: Photo, why: str) -> Finding:
    return Finding(
        code="DOSS-004",
        severity=Severity.WARNING,
        sentence=f"The photo of {photo.place} ({photo.file}) {why}; its slot stays empty.",
        todo="Copy it from a backup into the folder 'photos', or add the photo again.",
        objects=(photo.place, photo.file),
    )
