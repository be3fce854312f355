"""The file that goes to the scrutineer, with its photos and the log of the build."""

from dataclasses import dataclass

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.jobs.dossier.make import DossierMade, DossierWishes, make_dossier
from hoopwright.jobs.notes import add_note
from hoopwright.jobs.paper_previews import now, today
from hoopwright.jobs.photos import add_photo, add_photos_named, places_for_photos, take_photo_out
from hoopwright.web.bench import Bench
from hoopwright.web.dropping import DropPlace
from hoopwright.web.entries import text_entry
from hoopwright.web.findings_words import finding_line
from hoopwright.web.forms import clear_taken
from hoopwright.web.made import Made, fill_part, make
from hoopwright.web.paper_routes import paper_address
from hoopwright.web.parts import counted, table
from hoopwright.web.picks import finding_list, older, pick_table, when_open
from hoopwright.web.reading import read
from hoopwright.web.uploads import PHOTO
from hoopwright.web.work import work

_MOST_TOLD = 20
_BY_NAME = "as each file's name says"


@dataclass
class _State(Made[DossierMade]):
    """What this page last made."""

    told: str = ""
    photo: str = ""


def build(bench: Bench) -> None:
    """Fill the tab."""
    state = _State()
    fill_part(bench, lambda: bench.seen.project.car, lambda: _who(bench), gap="gap-1")
    paper = ui.toggle(["A4", "letter"], value="A4").props('dense aria-label="Paper of the file"')

    async def create() -> None:
        wishes = DossierWishes(date=today(), paper=str(paper.value), unit=bench.units)
        await make(
            bench,
            state,
            "Making the file",
            lambda folder, progress: make_dossier(folder, wishes, progress=progress),
        )

    ui.button("Make the file", on_click=create).classes("hw-button")
    fill_part(bench, lambda: (id(state.report), bench.seen.version), lambda: _made(bench, state))
    with ui.expansion("Photos", value=True):
        _photos(bench, state)
    with ui.expansion("Build log"):
        _log(bench)


def _who(bench: Bench) -> None:
    car = bench.seen.project.car
    for name, value in (("Car", car.words), ("Cage number", car.cage_number), ("Built by", car.builder)):
        ui.label(f"{name}: {value or 'not said yet; type it under Rule book, The car'}")


def _made(bench: Bench, state: _State) -> None:
    made = state.report
    if made is None:
        words = "One PDF: drawing, members, rules, gaps, joints, photos, log, pages to fill in."
        if not bench.seen.project.cage.members:
            words = "No bars yet. Lay a cage out first, under Cage."
        ui.label(words).classes("hw-soft")
        return
    older(bench, state.version, "Make the file again.")
    ui.label(
        f"{made.pages} pages, {counted(made.members, 'member')}, {counted(made.joints, 'joint')}, "
        f"{counted(made.photos, 'photo')}"
    )
    address = f"{paper_address(bench.view.base, made.file.name)}?{made.sha256[:10]}"
    with ui.row().classes("w-full items-center gap-2"):
        ui.link("Look at it in a tab of its own", address, new_tab=True).classes("hw-link")
        ui.link("Download it", address).props(
            f'download="{bench.seen.project.name} {made.file.name}"'
        ).classes("hw-link")
    ui.label(f"Made from the state {made.state[:16]}").classes("hw-soft")
    finding_list(bench, made.findings)


def _photos(bench: Bench, state: _State) -> None:
    place = ui.select([_BY_NAME], value=_BY_NAME, label="What the photo shows", with_input=True).props(
        "dense outlined"
    )
    caption = text_entry("Words below it", hint="may be left out")

    async def places() -> None:
        found = await read(bench, places_for_photos)
        if found is not None:
            known = [_BY_NAME, *found]
            place.set_options(known, value=place.value if place.value in known else _BY_NAME)

    when_open(bench, "The file", lambda: bench.seen.version, places)

    async def arrived(token: str, name: str) -> None:
        where, words = str(place.value or _BY_NAME), caption.text
        try:
            with bench.desk.uploads.waiting(token) as file:
                added = await work(
                    bench,
                    f"Making {name} small",
                    lambda folder, progress: (
                        add_photos_named(folder, [file], date=today(), progress=progress)
                        if where == _BY_NAME
                        else add_photo(folder, where, file, date=today(), words=words)
                    ),
                )
        except UserError as error:
            bench.say(error.findings)
            return
        if added is None:
            tell(*(finding_line(one, bench.units) for one in bench.findings), about=name)
        else:
            tell(
                *(f"✓ {name}: {one.place}" for one in added.added),
                *(f"{one} is in the project already." for one in added.known),
                *(finding_line(one, bench.units) for one in added.findings),
                about=name,
            )

    def tell(*lines: str, about: str = "") -> None:
        # several photos come one after the other: one that was refused stays in sight until it is tried again
        before = [line for line in state.told.split("\n") if line and not (about and about in line)]
        state.told = "\n".join([*before, *lines][-_MOST_TOLD:])
        bench.tell()

    DropPlace(
        address="/seen/file/photo",
        suffixes=PHOTO.suffixes,
        largest_bytes=PHOTO.largest_bytes or 0,
        on_arrived=arrived,
        on_refused=tell,
        what="photo",
        hint="JPEG or PNG; kept small, without place, time and camera",
        many=True,
    ).classes("w-full")
    fill_part(bench, lambda: state.told, lambda: _told(bench, state), gap="gap-1")
    fill_part(
        bench, lambda: (bench.seen.project.photos, state.photo), lambda: _kept(bench, state), gap="gap-1"
    )


def _told(bench: Bench, state: _State) -> None:
    if not state.told:
        return
    ui.label(state.told).classes("hw-finding note").style("white-space: pre-line").props('role="status"')

    def forget() -> None:
        state.told = ""
        bench.tell()

    ui.button("Read, take these lines away", on_click=forget).props("flat dense")


def _kept(bench: Bench, state: _State) -> None:
    photos = bench.seen.project.photos
    if not photos:
        ui.label("No photo yet. Joints, feet and the whole cage have a place for one each.").classes(
            "hw-soft"
        )
        return

    def pick(number: int) -> None:
        state.photo = photos[number].file
        bench.tell()

    pick_table(
        ["shows", "words", "day"],
        [[one.place, one.words, one.date] for one in photos],
        pick,
        widths=(0, 100, 104),
    )
    chosen = next((one for one in photos if one.file == state.photo), None)
    if chosen is None:
        ui.label("Click a photo to take it out again.").classes("hw-soft")
        return

    async def out() -> None:
        if await bench.edit(lambda folder: take_photo_out(folder, chosen.file)) is not None:
            ui.notify(f"✓ The photo of {chosen.place} is out. Its picture stays in the project's photos.")

    ui.label(f"{chosen.place}, {chosen.date}, kept as {chosen.file}")
    ui.button(f"Take this photo of {chosen.place} out", on_click=out).props("flat dense")


def _log(bench: Bench) -> None:
    words = text_entry("What was done")
    by = text_entry("By whom")

    async def keep() -> None:
        said, who = words.text, by.text
        if await bench.edit(lambda folder: add_note(folder, said, at=now(), by=who)) is not None:
            clear_taken({words: said})

    ui.button("Write it in the log", on_click=keep).classes("hw-button")
    ui.label(
        "Lines are added, never changed. Sheets, bends and photos come into the log by themselves."
    ).classes("hw-soft")
    fill_part(bench, lambda: bench.seen.project.log_lines, lambda: _lines(bench))


def _lines(bench: Bench) -> None:
    lines = bench.seen.project.log_lines
    if not lines:
        ui.label("Nothing was written in yet.").classes("hw-soft")
        return
    rows = [[one.date[:16].replace("T", " "), one.words, one.by] for one in reversed(lines)]
    with ui.element("div").classes("hw-log"):
        table(["when", "what", "by"], rows)
