"""A phone at the bender, and the server that it asks: what tests of its screen are made of."""

import os
import signal
import socket
import subprocess
import sys
import time

from benchmarks.let_in import let_in
from tests.web.late import PATIENCE_MS, make_late

AT = "2026-03-14T10:00:00+00:00"

PLACE_IS_KEPT = """() => new Promise((told) => {
  const { barId, place } = hoopwrightBend.app, asked = indexedDB.open('hoopwright-bend');
  asked.onsuccess = () => {
    const found = asked.result.transaction('kept').objectStore('kept').get(`place:${barId}`);
    found.onsuccess = () => {
      asked.result.close();
      told(JSON.stringify(found.result) === JSON.stringify(place));
    };
  };
})"""


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


class Phone:
    """A phone of 360 by 640 and what a person does on it."""

    def __init__(self, browser, server, **how):
        size = how.pop("size", (360, 640))
        self.server = server
        self.context = browser.new_context(
            viewport={"width": size[0], "height": size[1]}, has_touch=True, is_mobile=True, **how
        )
        self.context.set_default_timeout(PATIENCE_MS)
        make_late(self.context)
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
    def view(self):
        return self.page.evaluate("document.getElementById('screen').dataset.view")

    @property
    def moment(self):
        return self.view.split()[0]

    def wait(self, moment):
        self.page.wait_for_selector(f"#screen[data-view^='{moment}']")
        return self

    def rest(self):
        """Until a press counts: a knock of a glove just after a screen has come does not."""
        self.page.wait_for_function(
            "() => performance.now() - Number(document.getElementById('screen').dataset.since) > 250"
        )
        return self

    def press(self, slot="done"):
        self.rest().page.tap(f"[data-slot={slot}]")
        return self

    def hold(self, slot, moment):
        """Held down until what it does is there."""
        self.rest().page.locator(f"[data-slot={slot}]").hover()
        self.page.mouse.down()
        self.wait(moment)
        self.page.mouse.up()
        return self

    def leave(self, view):
        self.page.wait_for_function("was => document.getElementById('screen').dataset.view !== was", arg=view)
        return self

    def go_to(self, moment, on=None):
        """Press the large button until a moment is there."""
        for _ in range(30):
            was = self.view
            if was.split()[0] == moment:
                return self
            (on or self.press)()
            self.leave(was)
        raise AssertionError(f"{moment} did not come; it is {self.moment}")

    def read(self, angle_deg):
        self.go_to("typing")
        self.page.keyboard.type(f"{angle_deg:g}")
        return self.press()

    def wait_link(self, words):
        self.page.wait_for_selector(f".link:has-text('{words}')")
        return self

    def wait_kept(self):
        """Until where the person is stands on the device's own disk, as it does a moment after it is shown."""
        self.page.wait_for_function(PLACE_IS_KEPT)
        return self

    def wait_sent(self):
        """Until the workbench has answered all that was kept here."""
        self.page.wait_for_selector(".link:not(:has-text('kept'))")
        return self


def wait_for(what, wanted):
    """What is on the disk of the workbench, once the network has brought it there."""
    end = time.monotonic() + PATIENCE_MS / 1000
    while (found := what()) != wanted and time.monotonic() < end:
        time.sleep(0.1)
    assert found == wanted


PX_PER_MM = 6.0
"""What the page takes for a millimetre on the glass; see `screen.css`."""
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
    wrong = (found["cut"], found["bare"], found["isWide"])
    assert wrong == ([], 0, False), f"{name}: {wrong}"
