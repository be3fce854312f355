"""What comes late shows nothing that is no longer so: the answer of a tool that was left, a slow picture."""

import asyncio

import pytest
from nicegui import Client, core, run, ui
from nicegui.events import GenericEventArguments
from nicegui.page import page

from hoopwright.jobs.cage_bars import move_bar_node
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.desk import Desk
from hoopwright.web.made import Made, make
from hoopwright.web.panels.check import _State as ChecksMade
from hoopwright.web.panels.delivery import delivery
from hoopwright.web.panels.holes import holes_section
from hoopwright.web.panels.rate_entries import rate_entries
from hoopwright.web.panels.rule_rows import _State as RulesMade
from hoopwright.web.picking import Picked, Picking
from hoopwright.web.tools import measure, section
from hoopwright.web.workbench import _connect

TOP = {"origin": [-900.0, 0.0, 5000.0], "direction": [0.0, 0.0, -1.0], "point_mm": [-900.0, 0.0, 1118.0]}


class Picture:
    """The picture of a page, which keeps what it was last told to show under each name."""

    def __init__(self, client):
        self.client, self.acts, self.marks, self.step = client, {}, {}, 0

    def when(self, name, act):
        self.acts[name] = act

    def show_marks(self, name, marks):
        self.marks[name] = list(marks)

    def show_cage(self, keys):
        self.step = keys["step"]

    def load_shell(self, key):
        """Fetch the scan."""

    def cut(self, normal, place_mm=(0.0, 0.0, 0.0)):
        """Cut the scan away."""


@pytest.fixture
def bench(small):
    desk = Desk(ProjectFolder(path=small))
    with Client(page("/"), request=None) as client, client.layout:
        view = Picture(client)
        yield Bench(desk=desk, view=view, seen=desk.seen(), picking=Picking(desk=desk, view=view))
    client.delete()


@pytest.fixture
def held(monkeypatch):
    """Work in the background, each piece of which ends when it is let go."""
    pieces = []

    async def hold(work):
        gone = asyncio.Event()
        pieces.append(gone)
        await gone.wait()
        return work()

    monkeypatch.setattr(run, "io_bound", hold)
    return pieces


def on_page(bench, kind):
    return [one for one in bench.view.client.elements.values() if isinstance(one, kind)]


def told(bench):
    (words,) = [one.text for one in on_page(bench, ui.label) if one.props.get("role") == "status"]
    return words


async def quiet():
    for _ in range(5):
        await asyncio.sleep(0)


@pytest.mark.parametrize("is_left", [False, True], ids=["waited for", "left"])
def test_a_place_that_is_found_after_measuring_was_left_is_not_shown(bench, held, is_left):
    turned = measure.build(bench)

    async def go():
        turned(True)
        picked = asyncio.ensure_future(bench.view.acts["metal"](TOP))
        await quiet()
        if is_left:
            turned(False)
        held[0].set()
        await picked

    asyncio.run(go())
    assert len(bench.view.marks[measure.MARK]) == (0 if is_left else 1)
    assert told(bench) == ("" if is_left else "from roof, up 1118 (scan)")


def test_a_section_that_is_ready_after_another_was_asked_for_is_not_shown(bench, held, monkeypatch):
    turned = section.build(bench)
    bench.chosen = "MH"
    (kind,) = on_page(bench, ui.toggle)

    async def go():
        monkeypatch.setattr(core, "loop", asyncio.get_running_loop())
        turned(True)
        await quiet()
        kind.set_value(section.OF_BAR)
        await quiet()
        at_station, of_bar = held
        of_bar.set()
        await quiet()
        assert told(bench).startswith("Section in the plane of MH.")
        at_station.set()
        await quiet()
        assert told(bench).startswith("Section in the plane of MH.")
        # and one that is ready when the card was closed
        bench.chosen = "HB"
        bench.tell()
        await quiet()
        turned(False)
        held[-1].set()
        await quiet()
        assert len(held) == 3

    asyncio.run(go())
    assert told(bench).startswith("Section in the plane of MH.")
    assert bench.view.marks[section.MARK] == []


def test_a_picture_that_opens_slowly_shows_what_another_window_changed_meanwhile(bench):
    _connect(bench)

    async def go():
        bench.desk.edit(lambda folder: move_bar_node(folder, "HB", 1, (-900.0, 600.0, 450.0)))
        await bench.follow()
        was = bench.view.step
        bench.view.acts["ready"]({})
        assert bench.view.step == was == bench.seen.version == 2

    asyncio.run(go())


@pytest.mark.parametrize("kind", [Made, RulesMade, ChecksMade])
def test_of_two_that_were_asked_for_the_later_is_shown_whichever_is_done_first(bench, monkeypatch, kind):
    state = kind()
    let_go = {"before": asyncio.Event(), "after": asyncio.Event()}

    async def hold(_, title, what, *, edits):
        await let_go[title].wait()
        return what(bench.desk.folder, None)

    monkeypatch.setattr("hoopwright.web.made.work", hold)

    async def go():
        both = [
            asyncio.ensure_future(
                make(bench, state, title, lambda folder, progress, one=title: f"made {one}")
            )
            for title in let_go
        ]
        await quiet()
        for title in ("after", "before"):
            let_go[title].set()
            await quiet()
        await asyncio.gather(*both)

    asyncio.run(go())
    assert state.report == "made after"


def test_a_hole_is_cut_for_the_bar_that_was_asked_about_though_another_is_chosen_since(bench, monkeypatch):
    asked = []

    async def hold(_, title, what):
        asked.append(title)

    monkeypatch.setattr("hoopwright.web.panels.holes.work", hold)
    holes_section(bench)
    bench.chosen = "MH"
    press(bench, "Pick where it passes")
    assert bench.picking.words == "where MH passes through the metal"
    bench.chosen = "HB"
    asyncio.run(bench.picking._act(Picked(place_mm=(-900.0, 0.0, 1118.0))))
    assert asked == ["Cutting a hole for MH"]


def press(bench, words):
    """What a press of a button does."""
    (button,) = [one for one in on_page(bench, ui.button) if one.text == words]
    (pressed,) = [one for one in button._event_listeners.values() if one.type == "click"]
    pressed.handler(GenericEventArguments(sender=button, client=bench.view.client, args=None))


def field(bench, label):
    (found,) = [one for one in on_page(bench, ui.input) if one.props["label"] == label]
    return found


def test_what_is_typed_while_rates_are_kept_is_not_lost_and_pressed_twice_is_no_others_change(
    bench, held, monkeypatch
):
    kept = []

    async def told():
        kept.append("kept")

    rates = bench.desk.folder.path / "rates.toml"
    rates.write_text('[price]\nper_hour = ""\n')
    rate_entries(bench, told)

    async def done(count):
        for piece in held[-count:]:
            piece.set()
        await quiet()

    async def go():
        monkeypatch.setattr(core, "loop", asyncio.get_running_loop())
        (fold,) = on_page(bench, ui.expansion)
        fold.set_value(True)
        await quiet()
        await done(1)
        field(bench, "An hour of work").set_value("85")
        press(bench, "Keep these rates")
        press(bench, "Keep these rates")
        await quiet()
        field(bench, "A kilogram of plate, as cut").set_value("4")
        for _ in range(6):
            await done(1)

    asyncio.run(go())
    assert 'per_hour = "85"' in rates.read_text()
    assert field(bench, "A kilogram of plate, as cut").value == "4"
    assert field(bench, "An hour of work").value == "85"
    assert kept == ["kept", "kept"]


def test_pressed_twice_in_haste_one_delivery_is_put_on_the_rack(bench, monkeypatch):
    let_go, taken = asyncio.Event(), []

    async def hold(_, title, what, *, edits):
        taken.append(title)
        await let_go.wait()

    monkeypatch.setattr("hoopwright.web.panels.delivery.work", hold)
    delivery(bench, quiet)

    async def go():
        monkeypatch.setattr(core, "loop", asyncio.get_running_loop())
        field(bench, "Batch").set_value("B1")
        field(bench, "Tube, outside x wall").set_value("45 x 2.5")
        press(bench, "Put it on the rack")
        press(bench, "Put it on the rack")
        await quiet()
        let_go.set()
        await quiet()

    asyncio.run(go())
    assert taken == ["Putting tube on the rack"]
