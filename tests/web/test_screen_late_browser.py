"""The screen at the bender where answers, and what the device writes down, come late: nobody is misled by it."""

import pytest
from tests.web.late import KEPT, make_late
from tests.web.phones import Phone, wait_for

from hoopwright.store import ProjectFolder
from hoopwright.store.bending import last_stick
from hoopwright.web.screen import files

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not (files.BUILT / "index.js").is_file(), reason="the bundle is not built"),
]


@pytest.fixture
def phone(chromium, hoop_server):
    """One whose answers can be held back: a worker would fetch some by itself."""
    one = Phone(chromium, hoop_server, service_workers="block")
    yield one
    one.context.close()
    assert one.faults == []


def kinds(server):
    stick = last_stick(ProjectFolder(path=server.project), "MH")
    return [] if stick is None else [one.kind for one in stick.records]


class Held:
    """What the workbench answers at an address, given to the page only when it is let go."""

    def __init__(self, page, address):
        self.page, self.answers, self.is_open = page, [], False
        page.route(address, self._come)

    def _come(self, route):
        if self.is_open:
            route.continue_()
        else:
            self.answers.append((route, route.fetch()))

    def wait(self):
        for _ in range(600):
            if self.answers:
                return self
            self.page.wait_for_timeout(100)  # the route is served while the page is waited for
        raise AssertionError("the workbench was not asked")

    def let_go(self):
        self.is_open = True
        for route, answer in self.answers:
            route.fulfill(response=answer)


def to_decide(phone):
    """A bend that is read over its band, and what that costs held back."""
    phone.open().go_to("typing")
    held = Held(phone.page, "**/api/cost/MH")
    phone.page.keyboard.type("19.6")
    phone.press().wait("slip").press().wait("decide")
    return held.wait()


def look_once_more(phone):
    with phone.page.expect_response("**/api/stamp/MH"):
        pass


def test_an_answer_from_before_a_reading_takes_the_bar_back_to_nothing(phone, hoop_server):
    phone.open().go_to("typing").wait_kept()
    phone.page.close()
    phone.page = phone.context.new_page()
    held = Held(phone.page, "**/api/bar/MH*")
    phone.page.goto(f"{hoop_server.address}/bend/MH")
    phone.wait("typing")  # as it was kept
    held.wait()
    phone.page.keyboard.type("18.9")
    phone.press().wait("slip")
    phone.wait_sent()
    wait_for(lambda: kinds(hoop_server), ["started", "reading"])
    phone.press().wait("load")
    held.let_go()
    for _ in range(2):  # the older answer is read, and the workbench was asked since
        look_once_more(phone)
        assert phone.question.startswith("Bend 2")
    assert "Gone on elsewhere" not in phone.link


def test_a_second_press_while_it_is_written_down_says_nothing_more(phone, hoop_server):
    make_late(phone.context, 600, (KEPT,))
    to_decide(phone)
    phone.rest().page.locator("[data-slot=other]").evaluate("one => { one.click(); one.click(); }")
    phone.wait("load").wait_sent()
    look_once_more(phone)
    assert phone.moment == "load"
    assert kinds(hoop_server) == ["started", "reading", "decision"]
    assert phone.page.evaluate("hoopwrightBend.app.sync.queue.length") == 0


def test_what_is_being_written_down_did_not_come_from_elsewhere(phone):
    """The screen may be told of something else at that very moment."""
    make_late(phone.context, 600, (KEPT,))
    phone.open().go_to("typing")
    phone.page.keyboard.type("18.9")
    phone.rest().page.evaluate("""() => {
      document.querySelector('[data-slot=done]').click();
      hoopwrightBend.app.show();
    }""")
    phone.wait("slip").wait_link("with the workbench")


FINGER = """([event, cost]) => {
  const at = () => document.querySelector('[data-slot=back]'), { app } = hoopwrightBend;
  at().dispatchEvent(new PointerEvent('pointerdown', { bubbles: true }));
  app.sync.cost = cost;
  app.show();
  if (event) at().dispatchEvent(new PointerEvent(event, { bubbles: true }));
}"""


def test_a_tap_under_an_answer_that_comes_scraps_nothing(phone, hoop_server):
    ((_, answer),) = to_decide(phone).answers
    phone.page.evaluate(FINGER, ["pointerup", answer.json()["cost"]])
    phone.page.wait_for_selector("[data-slot=done] .sub")  # the answer is shown once the finger is off
    phone.page.wait_for_timeout(1200)  # longer than it is held
    assert phone.moment == "decide"
    assert kinds(hoop_server) == ["started", "reading"]
    phone.page.evaluate(FINGER, ["", None])  # held on through it
    phone.wait("scrapped")
    wait_for(lambda: kinds(hoop_server), ["started", "reading", "decision"])


def test_a_press_just_as_the_answer_comes_is_meant_for_what_stood_there(phone, hoop_server):
    held = to_decide(phone)
    phone.rest().page.evaluate("""() => {
      window.pressed = 0;
      new MutationObserver(() => {
        const done = document.querySelector('[data-slot=done]');
        if (!done || window.pressed) return;
        window.pressed += 1;
        done.click();
      }).observe(document.getElementById('screen'), { childList: true, subtree: true });
    }""")
    held.let_go()
    phone.page.wait_for_function("() => window.pressed === 1")
    look_once_more(phone)
    assert phone.moment == "decide"
    assert kinds(hoop_server) == ["started", "reading"]
    # looked at, and then pressed
    phone.press().wait("load").wait_sent()
    wait_for(lambda: kinds(hoop_server), ["started", "reading", "decision"])


def test_the_list_of_bars_is_there_again_at_once_when_its_codes_are_closed(phone, hoop_server):
    phone.open().page.goto(f"{hoop_server.address}/bend")
    page = phone.page
    page.get_by_role("button", name="Square codes for a phone").click()
    page.locator(".square svg").wait_for()
    held = Held(page, "**/api/bars")
    page.get_by_role("button", name="Close").click()
    field = page.get_by_label('Or what stands on a sheet after "identity"')
    field.fill("0123")
    page.get_by_role("button", name="Open it").click()
    page.get_by_text("Neither a bar nor a sheet in force: 0123.").wait_for()
    assert held.answers == []
