"""The screen at the bender as it is used: a phone's browser, a network that goes, a server that is killed."""

import os
import signal
import socket
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from benchmarks.let_in import let_in

from hoopwright.bender.rescue.reading import judge_reading
from hoopwright.bender.rescue.records import Correction, Decision, Reading, Withdrawal
from hoopwright.bender.rescue.session import standing
from hoopwright.bender.rescue.solve_again import with_made
from hoopwright.bender.rescue.standing import asked
from hoopwright.jobs.bending import look, take_reading
from hoopwright.jobs.sticks import BendWishes
from hoopwright.store import ProjectFolder
from hoopwright.store.bending import last_stick
from hoopwright.web.screen import files

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not (files.BUILT / "index.js").is_file(), reason="the bundle is not built"),
]
PX_PER_MM = 6.0
"""What the page takes for a millimetre on the glass; see `screen.css`."""
AT = "2026-03-14T10:00:00+00:00"
TAPE = (
    "inside width: 1360: -900,680,620: -900,-680,620",
    "roof underside: 1118: =-900,0,0: -900,0,1118",
    "length: 1800: 0,680,300: -1800,680,300",
)


class Server:
    """`hoopwright open` as a process of its own, that can be killed and started again at the same address."""

    def __init__(self, project):
        self.project = project
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"
        self.contexts = []
        self.start()

    def start(self):
        command = [sys.executable, "-m", "hoopwright", "open", str(self.project), "--port", str(self.port)]
        # the web framework behaves otherwise where it sees that a test runs it
        environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST")}
        log = self.project.parent / "server.txt"
        log.unlink(missing_ok=True)
        with log.open("ab") as told:
            self.process = subprocess.Popen(
                [*command, "--no-browser"], stdout=told, stderr=told, env=environment
            )
        name, value = let_in(log)
        self.cookie = {"name": name, "value": value, "url": self.address}
        for context in self.contexts:
            context.add_cookies([self.cookie])

    def kill(self):
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


@pytest.fixture
def served(hoop_project):
    server = Server(hoop_project)
    yield server
    server.kill()


@pytest.fixture
def phone(chromium, served):
    one = Phone(chromium, served)
    yield one
    one.context.close()
    assert one.faults == []


class Phone:
    """A phone of 360 by 640 and what a person does on it."""

    def __init__(self, browser, server, **how):
        size = how.pop("size", (360, 640))
        self.server = server
        self.context = browser.new_context(
            viewport={"width": size[0], "height": size[1]}, has_touch=True, is_mobile=True, **how
        )
        self.context.set_default_timeout(20_000)
        self.context.add_cookies([server.cookie])
        server.contexts.append(self.context)
        self.faults = []
        self.page = None

    def open(self, path="/bend/MH"):
        self.page = self.context.new_page()
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))
        self.page.goto(self.server.address + path)
        self.page.wait_for_selector(".head")
        return self

    @property
    def question(self):
        return self.page.inner_text("h1")

    @property
    def number(self):
        return self.page.inner_text(".figure .digits")

    @property
    def link(self):
        return self.page.inner_text(".link")

    @property
    def moment(self):
        return self.page.evaluate("document.getElementById('screen').dataset.view").split()[0]

    def wait(self, moment):
        self.page.wait_for_selector(f"#screen[data-view^='{moment}']")
        self.page.wait_for_timeout(280)  # knocks of a glove are not counted before
        return self

    def press(self, slot="done"):
        self.page.wait_for_timeout(280)
        self.page.tap(f"[data-slot={slot}]")
        return self

    def go_to(self, moment):
        """Press the large button until a moment is there."""
        for _ in range(30):
            self.page.wait_for_timeout(60)
            if self.moment == moment:
                return self
            self.press()
        raise AssertionError(f"{moment} did not come; it is {self.moment}")

    def read(self, angle_deg):
        self.go_to("typing")
        self.page.keyboard.type(f"{angle_deg:g}")
        return self.press()

    def wait_link(self, words):
        self.page.wait_for_selector(f".link:has-text('{words}')")
        return self


def records(server):
    stick = last_stick(ProjectFolder(path=server.project), "MH")
    return () if stick is None else stick.records


def readings(server):
    return [one.released_deg for one in records(server) if isinstance(one, Reading)]


def wait_for(what, wanted, for_s=20.0):
    end = time.monotonic() + for_s
    while time.monotonic() < end and what() != wanted:
        time.sleep(0.1)
    assert what() == wanted


@pytest.fixture
def hoop_in_shell(hoopwright, hoop_project, tmp_path, bodies):
    """The hoop of A7 in its shell, so that a gap can be predicted."""
    corners = np.asarray(bodies.section_soup(), dtype="<f4")
    body = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    body["corners"] = corners
    stl = tmp_path / "shell.stl"
    stl.write_bytes(b"\0" * 80 + np.uint32(len(body)).tobytes() + body.tobytes())
    tape = [word for one in TAPE for word in ("--tape", one)]
    hoopwright.keys("scan", hoop_project, stl, "--unit", "mm", "--as-given", *tape)
    return hoop_project


def test_a7_with_the_network_cut_the_server_killed_and_the_power_lost(chromium, hoop_in_shell):
    server = Server(hoop_in_shell)
    phone = Phone(chromium, server).open("/bend/MH")
    phone.wait("take").read(18.4).wait("add")
    assert phone.number == "0.6"
    phone.read(18.96).wait("slip")
    wait_for(lambda: readings(server), [18.4, 18.96])

    phone.context.set_offline(True)
    phone.press().wait("load").read(73.8).wait("slip")
    phone.wait_link("network away, 1 kept here")
    phone.press().wait("load")
    assert phone.question.startswith("Bend 3")
    assert readings(server) == [18.4, 18.96]

    server.kill()
    phone.press()  # the mark is on the edge: the turn is asked
    phone.wait("turn")
    phone.page.close()  # the phone's battery is empty
    phone.open().wait("turn")
    assert "3 of 4" in phone.page.inner_text(".head")
    phone.wait_link("1 kept here")

    server.start()
    phone.context.set_offline(False)
    phone.wait_link("with the workbench")
    wait_for(lambda: readings(server), [18.4, 18.96, 73.8])

    phone.read(74.6).wait("slip").press().wait("decide")
    phone.page.wait_for_selector(".sub", timeout=90_000)
    assert phone.question == "Predicted worst gap"
    assert 7.9 < float(phone.number) < 10.6
    phone.press().wait("load")
    target = look(ProjectFolder(path=server.project), "MH", BendWishes(at=AT, solve=False)).asked.target_deg
    phone.read(round(target, 1)).wait("slip").press()
    phone.page.wait_for_selector(".head:has-text('bent')")
    wait_for(lambda: readings(server), [18.4, 18.96, 73.8, 74.6, round(target, 1)])
    decisions = [one.choice for one in records(server) if isinstance(one, Decision)]
    assert decisions == ["go on"]
    assert len({one.key for one in records(server)}) == len(records(server)) == 7
    phone.context.close()
    server.kill()
    assert phone.faults == []


def test_over_its_band_without_a_network_the_person_decides(phone, served):
    phone.open().read(18.9).wait("slip").press().wait("load")
    wait_for(lambda: readings(served), [18.9])
    phone.context.set_offline(True)
    phone.read(75.5).wait("slip").press().wait("decide")
    phone.page.wait_for_selector("h1:has-text('No network')")
    assert "go on with the sheet's numbers" in phone.page.inner_text("main")
    before = phone.page.evaluate("window.hoopwrightBend.app.sync.bar.steps.map((one) => one.target_deg)")
    phone.press("other").wait("load")
    phone.read(73.8).wait("slip")
    phone.wait_link("3 kept here")
    phone.context.set_offline(False)
    phone.wait_link("with the workbench")
    wait_for(
        lambda: [type(one).__name__ for one in records(served)],
        ["Started", "Reading", "Reading", "Decision", "Reading"],
    )
    assert readings(served) == [18.9, 75.5, 73.8]
    plan = records(served)[3].plan
    assert plan.angles_deg[2:] == pytest.approx(before[2:])


def test_what_another_device_took_meanwhile_is_shown_and_nothing_is_lost(phone, served):
    phone.open().go_to("typing")
    phone.context.set_offline(True)
    phone.page.keyboard.type("18.8")
    phone.press().wait("slip")
    folder = ProjectFolder(path=served.project)
    take_reading(folder, "MH", Reading(step=0, released_deg=18.95, at=AT, key="other"), BendWishes(at=AT))
    phone.context.set_offline(False)
    phone.wait("problem")
    assert phone.question == "Another device has gone on meanwhile"
    words = phone.page.inner_text("main")
    assert "18.80" in words
    assert "18.95" in words
    phone.press()
    phone.page.wait_for_selector("#screen:not([data-view^='problem'])")
    assert readings(served) == [18.95]
    phone.press("head").wait("more")
    assert "Put aside: 1" in phone.page.inner_text("main")


def test_of_two_readings_of_one_bend_the_person_says_which_is_right(phone, served):
    phone.open().go_to("typing")
    phone.context.set_offline(True)
    phone.page.keyboard.type("18.8")
    phone.press().wait("slip")
    folder = ProjectFolder(path=served.project)
    take_reading(folder, "MH", Reading(step=0, released_deg=18.95, at=AT, key="other"), BendWishes(at=AT))
    phone.context.set_offline(False)
    phone.wait("problem").press("other")
    wait_for(lambda: [one.kind for one in records(served)], ["started", "reading", "correction"])
    assert records(served)[-1].reading.released_deg == 18.8
    phone.wait("load")


def test_an_answer_that_is_lost_on_the_way_doubles_nothing(chromium, served):
    phone = Phone(chromium, served, service_workers="block").open()
    phone.go_to("typing")
    lost = []

    def lose(route):
        if lost:
            return route.continue_()
        lost.append(route.fetch().status)  # the workbench has it, the phone does not know
        return route.abort()

    phone.page.route("**/api/reading", lose)
    phone.page.keyboard.type("18.9")
    phone.press().wait("slip")
    phone.wait_link("kept here")
    phone.page.wait_for_selector(".link:not(:has-text('kept'))")
    assert lost == [200]
    assert readings(served) == [18.9]
    assert len(records(served)) == 2
    phone.context.close()


def test_it_turns_red_when_the_sheet_is_old(phone, served, hoopwright):
    phone.open().read(18.9).wait("slip")
    wait_for(lambda: readings(served), [18.9])
    assert phone.page.locator(".head.old").count() == 0
    hoopwright.keys("bar", "move", served.project, "MH", "3", "--", "-900,515,1085")
    phone.page.wait_for_selector(".head.old:has-text('OLD')")


def test_keys_and_a_pedal_do_all_of_it(phone, served):
    phone.open().wait("take")
    for _ in range(30):
        if phone.moment == "typing":
            break
        phone.page.keyboard.press("PageDown")
        phone.page.wait_for_timeout(290)
    phone.page.keyboard.type("18,9")
    phone.page.keyboard.press("Enter")
    phone.wait("slip")
    wait_for(lambda: readings(served), [18.9])
    phone.page.keyboard.press("PageDown")
    phone.wait("load")
    phone.page.keyboard.press("PageUp")
    phone.wait("last")


def test_a_scrap_is_held_and_a_slip_is_put_on_record(phone, served):
    phone.open().read(18.9).wait("slip").press("other")
    phone.wait("typing")
    phone.page.keyboard.type("38.0")  # of about 44.7 mm
    phone.press().wait("decide")
    wait_for(lambda: type(records(served)[-1]).__name__, "Correction")
    mark = records(served)[-1].reading.mark_mm
    assert mark == pytest.approx(616.3 - (2.3556 * 18.96 - 38.0), abs=0.2)
    phone.page.wait_for_timeout(300)
    phone.press("back")  # a tap alone scraps nothing
    assert phone.moment == "decide"
    box = phone.page.locator("[data-slot=back]").bounding_box()
    phone.page.mouse.move(box["x"] + 50, box["y"] + 50)
    phone.page.mouse.down()
    phone.page.wait_for_timeout(1200)
    phone.page.mouse.up()
    phone.wait("scrapped")
    wait_for(lambda: getattr(records(served)[-1], "choice", ""), "scrap")
    box = phone.page.locator("[data-slot=other]").bounding_box()
    phone.page.mouse.move(box["x"] + 50, box["y"] + 50)
    phone.page.mouse.down()
    phone.page.wait_for_timeout(1200)
    phone.page.mouse.up()
    phone.wait("take")  # another stick, its first record on the disk
    assert "stick 2" in phone.page.inner_text(".head")
    wait_for(lambda: [one.kind for one in records(served)], ["started"])


def test_digits_buttons_and_room_on_every_screen(chromium, served):
    """Digits of 15 mm and buttons of 18 mm on a phone, 30 mm digits on a tablet, nothing cut off, all named."""
    shots = Path(os.environ.get("HOOPWRIGHT_SCREENSHOTS", served.project.parent))
    for size, digits_mm in (((360, 640), 15.0), ((412, 915), 15.0), ((800, 1280), 30.0)):
        for theme in ("light", "dark"):
            phone = Phone(chromium, served, size=size, color_scheme=theme).open()
            for _ in range(20):
                name = f"bend-{size[0]}x{size[1]}-{theme}-{phone.moment}"
                phone.page.screenshot(path=shots / f"{name}.png")
                check_screen(phone, digits_mm, name)
                if phone.moment == "typing":
                    break
                phone.press()
                phone.page.wait_for_timeout(100)
            phone.page.keyboard.type("18.9")
            phone.page.wait_for_timeout(100)
            check_screen(phone, digits_mm, "read")
            phone.context.close()
            assert phone.faults == []


MEASURE = """() => {
  const box = (one) => one.getBoundingClientRect(), all = (what) => [...document.querySelectorAll(what)];
  const room = box(document.querySelector('.content'));
  const tall = (one) => {
    const style = getComputedStyle(one), pen = document.createElement('canvas').getContext('2d');
    pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    return pen.measureText('8').actualBoundingBoxAscent;
  };
  return {
    buttons: all('.slots .button').map((one) => [box(one).height, box(one).width, one.innerText.trim()]),
    digits: all('.figure .digits').map(tall),
    cut: all('.content > *').filter((one) => box(one).height > 0 && box(one).bottom > room.bottom + 1.5)
      .map((one) => one.className),
    bare: all('button').filter((one) => !one.innerText.trim() && !one.getAttribute('aria-label')).length,
    isWide: document.documentElement.scrollWidth > window.innerWidth,
  };
}"""


def check_screen(phone, digits_mm, name):
    found = phone.page.evaluate(MEASURE)
    assert len(found["buttons"]) <= 3, name
    for tall, wide, words in found["buttons"]:
        assert tall >= 18.0 * PX_PER_MM - 0.5, name
        assert wide >= phone.page.viewport_size["width"] - 10, name
        assert words, name
    for tall in found["digits"]:
        assert tall >= digits_mm * PX_PER_MM - 0.5, f"{name}: {tall / PX_PER_MM:.1f} mm"
    assert (found["cut"], found["bare"], found["isWide"]) == ([], 0, False), name


def test_the_phone_judges_as_the_workbench_does(phone):
    """The same readings through `judge.ts` and through `judge_reading`."""
    phone.open()
    chance = np.random.default_rng(7)
    line = SimpleNamespace(per_command_deg=0.0301)  # all that is read of the line
    cases = []
    for _ in range(300):
        target, band = float(chance.uniform(2.0, 120.0)), float(chance.choice([0.0, 0.3, 1.0]))
        released = target + float(chance.choice([0.0, band, -band, *chance.normal(0.0, 1.5, 3)]))
        load = None if chance.random() < 0.2 else released + float(chance.uniform(0.0, 5.0))
        cases.append((released, target, band, None if chance.random() < 0.2 else 0.0301, load, 110.0))
    told = phone.page.evaluate("(cases) => cases.map((one) => window.hoopwrightBend.judge(...one))", cases)
    for (released, target, band, per, load, reach), ours in zip(cases, told, strict=True):
        theirs = judge_reading(
            released,
            target,
            band_deg=band,
            line=None if per is None else line,
            last_command_deg=load,
            die_reach_deg=reach,
        )
        assert ours["answer"] == theirs.answer
        assert ours["add_deg"] == (None if theirs.add_deg is None else pytest.approx(theirs.add_deg))
        assert ours["command_deg"] == (
            None if theirs.command_deg is None else pytest.approx(theirs.command_deg)
        )


def test_the_phone_doubts_what_the_workbench_refuses(phone, served):
    """Readings that the workbench refuses with BEND-001 or BEND-009 are doubted before they are kept."""
    from hoopwright.bender.rescue.refusals import refuse_reading
    from hoopwright.findings import UserError

    phone.open()
    now = look(ProjectFolder(path=served.project), "MH", BendWishes(at=AT, solve=False)).standing
    chance = np.random.default_rng(8)
    for _ in range(150):
        given = {"released_deg": float(chance.uniform(-5.0, 30.0))}
        if chance.random() < 0.5:
            given["command_deg"] = float(chance.uniform(-5.0, 40.0))
        if chance.random() < 0.5:
            given["mark_mm"] = float(chance.uniform(400.0, 800.0))
        ours = phone.page.evaluate(
            """(given) => { const {bar, state} = window.hoopwrightBend.app.sync;
               return window.hoopwrightBend.doubt(bar, bar.steps[0], null, bar.steps[0].command_deg, given); }""",
            given,
        )
        try:
            refuse_reading(now, Reading(step=1, at=AT, key="x", **given))
            theirs = ""
        except UserError as error:
            theirs = error.findings[0].code
        assert ours == theirs, given


def test_the_phone_reckons_a_whole_session_as_the_records_do(phone, served):
    """Random sessions without a network: readings, corrections, decisions, takings back, against `standing`."""
    phone.open()
    started = look(ProjectFolder(path=served.project), "MH", BendWishes(at=AT, solve=False)).stick.records[0]
    chance = np.random.default_rng(9)
    for _ in range(25):
        records_made, ops = sessions(started, chance)
        theirs = standing(records_made)
        ours = phone.page.evaluate(
            "(ops) => window.hoopwrightBend.withQueue(window.hoopwrightBend.app.sync.bar, ops)", ops
        )
        said = [op["sent"] for op in ops]
        assert (ours["phase"], ours["step"]) == (theirs.phase, theirs.step), said
        assert ours["number"] == theirs.records, said
        assert [one["released_deg"] for one in ours["taken"]] == [
            one.reading.released_deg for one in theirs.taken
        ]
        counting = [one["record"] for one in ours["taken"] if one["counts"]]
        assert counting == [one.record for one in theirs.finished], said
        if theirs.phase == "add":
            more = asked(theirs)
            assert ours["pending"]["command_deg"] == pytest.approx(more.command_deg), said
            assert ours["pending"]["add_deg"] == pytest.approx(more.add_deg), said


def sessions(started, chance):
    """Records of one session, and the same as a phone would have sent them."""
    made, ops = [started], []
    can_take_back = False
    for number in range(int(chance.integers(1, 12))):
        now = standing(made)
        sent, record = None, None
        last = now.taken[-1] if now.taken else None
        if can_take_back and chance.random() < 0.25:
            if chance.random() < 0.3:
                sent, record = (
                    {"what": "taking-back", "of": last.record},
                    Withdrawal(of=last.record, reason="", at=AT, key="k"),
                )
            else:
                value = round(float(last.target_deg + chance.normal(0.0, 0.6)), 1)
                mended = replace(last.reading, released_deg=value)
                sent = {"what": "correction", "of": last.record, "released_deg": value}
                record = Correction(of=last.record, reading=mended, reason="", at=AT, key="k")
        elif now.phase == "decide" or (now.phase == "add" and chance.random() < 0.2):
            plan = with_made(now.plan, now.made_so_far)
            sent = {"what": "decision", "go_on": True, "as_planned": True}
            record = Decision(choice="go on", plan=plan, worst_miss_mm=0.0, least_gap_mm=None, at=AT, key="k")
        elif now.phase in ("bend", "add"):
            wanted = asked(now)
            value = round(float(wanted.target_deg + chance.normal(-0.1, 0.5)), 1)
            sent = {"what": "reading", "released_deg": value}
            given = {}
            if chance.random() < 0.3:
                given = {"mark_mm": float(wanted.mark_mm + chance.normal(0.0, 1.5))}
            if chance.random() < 0.3:
                given["command_deg"] = float(wanted.command_deg + chance.normal(0.0, 0.3))
            sent |= given
            record = Reading(step=now.step, released_deg=value, at=AT, key="k", **given)
        if sent is None:
            break
        can_take_back = sent["what"] in ("reading", "correction")
        made.append(record)
        ops.append(
            {
                "key": f"key-{number:06d}",
                "bar": "MH",
                "code": "",
                "stick": started.key,
                "shown": len(made) - 1,
                "step": now.step,
                "at_ms": 0,
                "sent": sent,
            }
        )
    return made, ops
