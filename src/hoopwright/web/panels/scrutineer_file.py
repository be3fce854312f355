"""The scrutineer's file: made, given photos, and its log written in."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Literal

from nicegui import events, ui

from hoopwright.jobs.dossier.make import DossierMade, DossierWishes, make_dossier
from hoopwright.jobs.notes import add_note
from hoopwright.jobs.paper_previews import now, today
from hoopwright.jobs.photos import PhotosAdded, add_sent_photo, places_for_photos
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.made import Made, fill_part, make
from hoopwright.web.paper_routes import paper_address
from hoopwright.web.picks import finding_list, when_open
from hoopwright.web.reading import read
from hoopwright.web.work import work

_LARGEST_BYTES = 80_000_000
_TOO_LARGE = "A photo of over 80 MB is not taken."
_FILE = "dossier.pdf"
_OLD = "OLD: the project has changed since"


@dataclass
class _State:
    """What this part of the page holds."""

    places: tuple[str, ...] = ()


def build(
    bench: Bench, paper: Callable[[], Literal["A4", "letter"]], look: Callable[[], Awaitable[None]]
) -> None:
    """Fill the part.

    Args:
        bench: The page.
        paper: Which paper is chosen.
        look: Looks at the papers again.
    """
    made: Made[DossierMade] = Made()
    _making(bench, made, paper, look)
    ui.label("Photos").classes("hw-head")
    _photos(bench)
    ui.label("Log of the build").classes("hw-head")
    _notes(bench)


def _making(
    bench: Bench,
    made: Made[DossierMade],
    paper: Callable[[], Literal["A4", "letter"]],
    look: Callable[[], Awaitable[None]],
) -> None:
    async def make_it() -> None:
        wishes = DossierWishes(date=today(), paper=paper(), unit=bench.units)
        await make(
            bench,
            made,
            "Making the scrutineer's file",
            lambda folder, progress: make_dossier(folder, wishes, progress=progress),
        )
        await look()

    ui.button("Make the scrutineer's file", on_click=make_it).classes("hw-button")

    def fill() -> None:
        done = made.report
        if done is None:
            return
        if made.version != bench.seen.version:
            ui.label(_OLD).classes("hw-finding")
        ui.label(f"{done.in_words}; state {done.state[:10]}")
        address = f"{paper_address(bench.view.base, _FILE)}?{done.sha256[:10]}"
        ui.link("Open the scrutineer's file", address, new_tab=True).classes("hw-link")
        finding_list(bench, done.findings)

    fill_part(bench, lambda: (id(made.report), made.version == bench.seen.version), fill)


def _photos(bench: Bench) -> None:
    state = _State()
    shows = ui.select([], label="What it shows", with_input=True).props("dense outlined").classes("w-full")
    words = ui.input("Caption").props("dense outlined").classes("w-full")

    async def places() -> None:
        found = await read(bench, places_for_photos)
        if found is not None and found != state.places:
            state.places = found
            shows.set_options(list(found), value=shows.value if shows.value in found else None)

    async def arrived(event: events.UploadEventArguments) -> None:
        place, caption, name = str(shows.value or ""), str(words.value or "").strip(), event.file.name
        if not place:
            ui.notify("Say first what the photo shows.")
            return
        if event.file.size() > _LARGEST_BYTES:  # a browser may send what it was told not to
            ui.notify(_TOO_LARGE)
            return
        content = await event.file.read()

        def keep(folder: ProjectFolder, _progress: object) -> PhotosAdded:
            return add_sent_photo(folder, place, name[:80], content, date=today(), words=caption)

        added = await work(bench, "Making the photo small", keep)
        if added is not None:
            ui.notify(f"Photo of {place} kept." if added.added else f"{name[:80]} is in the project already.")
            words.set_value("")

    ui.upload(
        label="Photo, JPEG or PNG",
        on_upload=arrived,
        on_rejected=lambda: ui.notify(_TOO_LARGE),
        auto_upload=True,
        max_file_size=_LARGEST_BYTES,
    ).props('accept=".jpg,.jpeg,.png,image/jpeg,image/png"').classes("w-full")
    when_open(bench, "Papers", lambda: bench.seen.version, places)


def _notes(bench: Bench) -> None:
    words = ui.textarea("What was done").props("dense outlined autogrow").classes("w-full")
    by = ui.input("By").props("dense outlined").classes("w-full")

    async def keep() -> None:
        said, who = str(words.value or ""), str(by.value or "")
        line = await work(
            bench, "Writing in the log", lambda folder, _progress: add_note(folder, said, at=now(), by=who)
        )
        if line is not None:
            words.set_value("")
            ui.notify("Written in the log.")

    ui.button("Write it in the log", on_click=keep).props("flat dense")
