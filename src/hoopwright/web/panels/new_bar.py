"""Adding a bar by its nodes: picked in the picture or typed."""

from nicegui import ui

from hoopwright.bars import Node
from hoopwright.cage import End, Role
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.cage_bars import add_bar_of_nodes, end_on
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, as_typed, length_entry, place_entry, text_entry, tube_entry
from hoopwright.web.forms import clear_taken
from hoopwright.web.parts import kept_words
from hoopwright.web.picking import Picked
from hoopwright.web.picks import finding_list

_FREE, _SHELL = "nothing", "the shell"


def new_bar_section(bench: Bench) -> None:
    """Build the section."""
    _NewBar(bench)


class _NewBar:
    """The fields of a bar."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.name = text_entry("Name of the bar", hint="such as RB or BS-L")
        self.role = (
            ui.select([one.value for one in Role], value=Role.SIDE_BAR.value, label="What it is")
            .props("dense outlined")
            .classes("w-full")
        )
        self.tube = tube_entry("Tube", value="45 x 2.5")
        self.die = text_entry("Die that it is bent on", value="45")
        self.clr = length_entry("Radius it is drawn with", value="137.5 mm")
        ui.label("Nodes, from end A to end B").classes("hw-head")
        ui.label(
            "Ends, and where its straights would cross. On metal an end is taken as it is picked; a node between is "
            "set off the metal by the gap and half the tube. A pick on a bar gives a place on its axis."
        ).classes("hw-soft")
        self.nodes: list[Entry[Node]] = []
        self.holder = ui.column().classes("w-full gap-0")
        with ui.row():
            ui.button("Pick the next node", on_click=self._pick_next).classes("hw-button")
            ui.button("Type one more", on_click=self._type_next).props("flat no-caps")
            ui.button("Take the last away", on_click=self._drop_last).props("flat no-caps")
        self.ends = [_End(bench, letter) for letter in "AB"]
        self.told = ui.column().classes("w-full gap-1")
        ui.button("Add the bar", on_click=self._add).classes("hw-button")

    def _another(self, value: str = "") -> Entry[Node]:
        with self.holder:
            number = len(self.nodes) + 1
            entry = place_entry(
                self.bench, f"Node {number}", what=f"node {number} of the new bar", value=value, bars_too=True
            )
        self.nodes.append(entry)
        return entry

    def _type_next(self) -> None:
        self._another().field.run_method("focus")

    def _drop_last(self) -> None:
        if self.nodes:
            self.nodes.pop().delete()
            self._mark()

    def _pick_next(self) -> None:
        def taken(picked: Picked) -> None:
            first = not self.nodes
            if picked.bar_id is not None:
                self.ends[0 if first else 1].put(picked.bar_id)
                place = picked.place_mm
            elif first:
                self.ends[0].put(_SHELL)
                place = picked.place_mm
            else:
                self._lift_node_before()
                self.ends[1].put(_SHELL)
                place = picked.place_mm
            self._another(as_typed(place))
            self._last = picked
            self._mark()

        self.bench.picking.ask(f"node {len(self.nodes) + 1} of the new bar", taken, bars_too=True)

    _last: Picked | None = None

    def _lift_node_before(self) -> None:
        """What was picked as the end so far lies between now: it goes off the metal."""
        last = self._last
        if len(self.nodes) < 2 or last is None or last.toward is None:
            return
        if self.nodes[-1].text != as_typed(last.place_mm):
            return
        try:
            off_mm = self.bench.seen.project.cage.limits.gap_mm + self.tube.value().od_mm / 2.0
        except UserError:
            return
        forward, left, up = (at + off_mm * way for at, way in zip(last.place_mm, last.toward, strict=True))
        self.nodes[-1].put(as_typed((forward, left, up)))

    def _mark(self) -> None:
        places = []
        for entry in self.nodes:
            try:
                places.append(list(entry.value()))
            except UserError:
                continue
        marks = [
            {"points_mm": [at], "text": str(number + 1), "through": True} for number, at in enumerate(places)
        ]
        if len(places) > 1:
            marks.append({"points_mm": places, "through": True})
        self.bench.view.show_marks("new bar", marks)

    async def _add(self) -> None:
        self.told.clear()
        try:
            bar_id = self._name()
            role, tube, clr = Role(str(self.role.value)), self.tube.value(), self.clr.value()
            nodes = tuple(entry.value() for entry in self.nodes if entry.text)
            ends = [end.read() for end in self.ends]
        except UserError as error:
            with self.told:
                finding_list(self.bench, error.findings)
            return
        die = self.die.text
        sent = {entry: entry.text for entry in self.nodes}
        name = self.name.text
        findings = await self.bench.edit(
            lambda folder: add_bar_of_nodes(
                folder,
                bar_id=bar_id,
                role=role,
                nodes_mm=nodes,
                tube=tube,
                die=die,
                clr_mm=clr,
                end_a=ends[0],
                end_b=ends[1],
            )
        )
        with self.told:
            finding_list(self.bench, self.bench.findings if findings is None else findings)
        if findings is not None:
            clear_taken({self.name: name})
            # the nodes of the next bar may be typed already
            while self.nodes and all(sent.get(entry) == entry.text for entry in self.nodes):
                self.nodes.pop().delete()
            self._mark()
            self.bench.choose(bar_id)
            with self.told:
                kept_words(
                    f"✓ {bar_id} is in the cage. Its gaps stand under Bar; Fit lets it follow the shell; Papers issues "
                    "its sheet once its die is calibrated under Bender."
                )

    def _name(self) -> str:
        if self.name.text:
            return self.name.text
        raise UserError(
            Finding(
                code="WEB-045",
                severity=Severity.STOP,
                sentence="The new bar has no name.",
                todo="Type one, such as RB or BS-L; it stands on the sheet and on the tube.",
            )
        )


class _End:
    """What an end lands on."""

    def __init__(self, bench: Bench, letter: str) -> None:
        self.bench = bench
        self.on = (
            ui.select(self._choices(), value=_FREE, label=f"End {letter} lands on")
            .props("dense outlined")
            .classes("w-full")
        )
        self.trim = length_entry(f"Tube left beyond end {letter} until test fit", value="30 mm")
        bench.when_changed(self._follow)

    def put(self, on: str) -> None:
        """Choose what it lands on."""
        self.on.set_value(on)

    def read(self) -> End:
        """The end."""
        on = {_FREE: "free", _SHELL: "shell"}.get(str(self.on.value), str(self.on.value))
        return end_on(on, self.trim.value(), None)

    def _follow(self) -> None:
        choices = self._choices()
        if choices != self.on.options:
            self.on.set_options(choices, value=self.on.value if self.on.value in choices else _FREE)

    def _choices(self) -> list[str]:
        return [_FREE, _SHELL, *(member.member_id for member in self.bench.seen.project.cage.members)]
