"""Sample bends, typed as they are measured; what they say, how sure it is, and what to bend next."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from nicegui import ui

from hoopwright.bender import Calibration, Samples
from hoopwright.findings import UserError
from hoopwright.jobs.calibrations import FittedSamples, fit_typed, keep_samples
from hoopwright.jobs.learning_chart import springback_svg
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, fine_entry, length_entry, text_entry
from hoopwright.web.findings_words import job_words
from hoopwright.web.made import fill_part
from hoopwright.web.number_entries import angle_entry
from hoopwright.web.parts import bring_into_view, table
from hoopwright.web.picks import draw_when_other, finding_list, fine_length, svg_pages
from hoopwright.web.reading import read

Rows = dict[str, list[dict[str, str]]]
_TABLES: Mapping[str, tuple[str, Mapping[str, str]]] = {
    "angle": (
        "angle pair",
        {"command_deg": "Read under load, °", "released_deg": "Measured after release, °"},
    ),
    "leg": (
        "90° bend with its legs",
        {
            "cut_mm": "Tube cut to",
            "mark_mm": "Mark at die face, from A",
            "released_deg": "Angle after release, °",
            "leg_a_mm": "End A to the far side",
            "leg_b_mm": "End B to the far side",
        },
    ),
    "u": ("U bend", {"outside_mm": "Outside width over both legs"}),
}

_HINTS: Mapping[tuple[str, str], str] = {
    ("leg", "cut_mm"): "before bending",
    ("leg", "mark_mm"): "before bending",
    ("leg", "released_deg"): "90 where empty",
    ("leg", "leg_a_mm"): "of the other leg",
    ("leg", "leg_b_mm"): "of the other leg",
}


@dataclass
class _State:
    """What is typed, and what it came to."""

    head: dict[str, str] = field(default_factory=dict)
    rows: Rows = field(default_factory=lambda: {"angle": [{}, {}, {}], "leg": [{}], "u": [{}]})
    drawn: int = 0
    fitted: FittedSamples | None = None
    chart: str | None = None
    kept: bool = False
    usual: dict[str, str] = field(default_factory=dict)


def build(
    bench: Bench,
    calibrations: Callable[[], Sequence[Calibration]],
) -> None:
    """Fill the part of the tab.

    Args:
        bench: The page.
        calibrations: Those whose samples can be gone on from.
    """
    state = _State()
    entries: dict[str, Entry[Any]] = {}
    cells: list[tuple[str, int, str, Entry[Any]]] = []
    ui.label("A few sample bends of this die, tube and batch. Leave empty what you did not bend.").classes(
        "hw-soft"
    )
    # apart from the fields, so that nobody's typing is broken off where a command keeps samples
    fill_part(
        bench,
        lambda: tuple(one.samples for one in calibrations()),
        lambda: _go_on(bench, state, calibrations()),
        gap="gap-1",
    )
    form = ui.column().classes("w-full gap-1")

    def remember() -> None:
        # what stands there and was never typed follows the bar
        state.head = {
            key: entry.text
            for key, entry in entries.items()
            if key in state.head or entry.text != state.usual.get(key, "")
        }
        for name, number, key, entry in cells:
            state.rows[name][number][key] = entry.text

    def draw_form() -> None:
        form.clear()
        entries.clear()
        cells.clear()
        with form:
            _head(state, entries)
            for name, (words, columns) in _TABLES.items():
                _rows(bench, state, name, words, columns, cells, remember)

    async def fit() -> None:
        remember()
        keys = _keys({key: entry.text for key, entry in entries.items()}, state.rows)
        fitted = await read(bench, lambda _: fit_typed(keys))
        if fitted is None:
            return
        state.fitted, state.kept = fitted, False
        samples = fitted.calibration.samples
        state.chart = None if samples is None else await read(bench, lambda _: _chart(samples))
        bench.tell()
        bring_into_view(result)

    def follow_bar() -> None:
        was, state.usual = state.usual, _usual(bench)
        for key, text in state.usual.items():
            if key not in state.head and entries[key].text == was[key] != text:
                entries[key].put(text)

    state.usual = _usual(bench)
    draw_when_other(bench, lambda: state.drawn, draw_form)
    bench.when_changed(follow_bar)
    ui.button("Say what they tell", on_click=fit).classes("hw-button")
    result = ui.column().classes("w-full gap-2")

    def draw_result() -> None:
        result.clear()
        with result:
            _result(bench, state)

    draw_when_other(bench, lambda: (id(state.fitted), bench.units, state.chart, state.kept), draw_result)


def _chart(samples: Samples) -> str | None:
    try:
        return springback_svg(samples)
    except UserError:
        # the numbers stand without their chart, and their findings say what is wrong with the samples
        return None


def _usual(bench: Bench) -> dict[str, str]:
    """What the chosen bar is bent of, else the first one: it stands in the fields that nobody has typed in."""
    cage = bench.seen.project.cage
    if not cage.members:
        return {"die": "", "od_mm": "", "wall_mm": ""}
    name = bench.chosen
    member = cage.member(name) if name is not None and name in cage else cage.members[0]
    return {"die": member.die, "od_mm": f"{member.tube.od_mm:g}", "wall_mm": f"{member.tube.wall_mm:g}"}


def _go_on(bench: Bench, state: _State, known: Sequence[Calibration]) -> None:
    def take(calibration: Calibration) -> None:
        samples = calibration.samples
        if samples is None:
            return
        tube = samples.tube
        state.head = {"od_mm": f"{tube.od_mm:g}", "wall_mm": f"{tube.wall_mm:g}"}
        state.head |= {key: getattr(samples, key) for key in ("name", "die", "batch", "date")}
        for name, rows in (("angle", samples.angles), ("leg", samples.legs), ("u", samples.us)):
            typed = [{key: f"{value:g}" for key, value in vars(row).items()} for row in rows]
            state.rows[name] = [*typed, {}]
        state.drawn += 1
        bench.tell()

    for calibration in known:
        if calibration.samples is not None:
            ui.button(
                f"Go on from the samples of {calibration.name}", on_click=lambda _, one=calibration: take(one)
            ).props("flat dense")


def _head(state: _State, entries: dict[str, Entry[Any]]) -> None:
    head = {**state.usual, **{key: text for key, text in state.head.items() if text}}
    with ui.row().classes("hw-row items-start"):
        entries["od_mm"] = fine_entry("Tube: outside", value=head["od_mm"])
        entries["wall_mm"] = fine_entry("Wall", value=head["wall_mm"])
    with ui.row().classes("hw-row items-start"):
        entries["die"] = text_entry("Die, as the bars name it", value=head["die"])
        entries["batch"] = text_entry("Batch, heat number", value=head.get("batch", ""))
    with ui.row().classes("hw-row items-start"):
        entries["name"] = text_entry("Name of the calibration", value=head.get("name", ""))
        entries["date"] = text_entry("Day", value=head.get("date", ""), hint="such as 2026-03-14")
    _small_labels(entries.values())


def _rows(
    bench: Bench,
    state: _State,
    name: str,
    words: str,
    columns: Mapping[str, str],
    cells: list[tuple[str, int, str, Entry[Any]]],
    remember: Callable[[], None],
) -> None:
    for number, row in enumerate(state.rows[name]):
        ui.label(f"{words.capitalize()} {number + 1}").classes("hw-head")
        keys = list(columns)
        for start in range(0, len(keys), 2):
            with ui.row().classes("hw-row items-start"):
                for key in keys[start : start + 2]:
                    label = f"{columns[key]}"
                    make = angle_entry if key.endswith("_deg") else length_entry
                    hint = _HINTS.get((name, key), "")
                    entry = make(label, value=row.get(key, ""), hint=hint)
                    entry.field.props(f'aria-label="{words.capitalize()} {number + 1}: {label}"')
                    _small_labels((entry,))
                    cells.append((name, number, key, entry))

    def more() -> None:
        remember()
        state.rows[name].append({})
        state.drawn += 1
        bench.tell()

    ui.button(f"One more {words}", on_click=more).props("flat dense")


def _small_labels(entries: Iterable[Entry[Any]]) -> None:
    """Labels small and above, where they are read whole, in an empty field too."""
    for entry in entries:
        entry.field.props("stack-label")


def _keys(head: Mapping[str, str], typed_rows: Rows) -> dict[str, Any]:
    """The keys of a sample file: a row in which nothing was typed is left out."""
    keys: dict[str, Any] = {key: text for key, text in head.items() if text}
    for name, rows in typed_rows.items():
        typed = [{key: text for key, text in row.items() if text} for row in rows]
        kept = [row for row in typed if row]
        if kept:
            keys[name] = kept
    return keys


def _result(bench: Bench, state: _State) -> None:
    fitted = state.fitted
    if fitted is None:
        return
    table(["", "number", "give or take"], number_rows(bench, fitted.calibration))
    _keeping(bench, state)
    for words in fitted.calibration.prior:
        ui.label(f"Taken beside the samples: {words}").classes("hw-soft")
    ui.label("Bend next").classes("hw-head")
    ui.label(job_words(fitted.suggestion.sentence, bench.units))
    finding_list(bench, fitted.calibration.findings)
    if state.chart is not None:
        svg_pages((state.chart,), "Springback of these samples")


def _keeping(bench: Bench, state: _State) -> None:
    samples = None if state.fitted is None else state.fitted.calibration.samples

    async def keep() -> None:
        if samples is None:
            return
        kept = await bench.edit(lambda folder: keep_samples(folder, samples))
        if kept is not None:
            state.kept = True
            ui.notify(f"Kept, in force for die {samples.die or '(none named)'} and tube {samples.tube}")
            bench.tell()

    if state.kept:
        ui.label(
            "✓ Kept in the project; sheets made before are OLD where their numbers change. Next: the sheets, in Papers."
        ).classes("hw-hold")
    else:
        ui.label("Not kept yet: the sheets are made with it once it is.").classes("hw-soft")
        ui.button("Keep it in the project", on_click=keep).classes("hw-button")


def number_rows(bench: Bench, calibration: Calibration) -> list[list[str]]:
    """The numbers of a calibration with their uncertainty."""
    full_deg = 90.0
    used, used_sd = calibration.used_per_deg_mm, calibration.used_per_deg_sd_mm
    lengths = (
        ("radius", calibration.clr_mm, calibration.clr_sd_mm),
        ("start offset", calibration.start_offset_mm, calibration.start_offset_sd_mm),
        (
            "tube used for 90°",
            None if used is None else full_deg * used,
            None if used_sd is None else full_deg * used_sd,
        ),
    )
    rows = [
        [
            words,
            "not known" if value is None else fine_length(bench, value),
            "" if value is None or sd is None else f"± {fine_length(bench, sd)}",
        ]
        for words, value, sd in lengths
    ]
    line = calibration.springback
    if line is None:
        return [*rows, ["springback", "not known", ""]]
    words = f"{line.constant_deg:.3f}° + {line.per_command_deg:.4f} x command"
    return [*rows, ["springback", words, f"± {line.scatter_sd_deg:.2f}° a bend"]]
