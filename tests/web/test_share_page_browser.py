"""Sharing as a fabricator begins and ends it, who never opens a terminal."""

import re
import socket
import sys

import pytest
from tests.web.at_rest import answered
from tests.web.late import PATIENCE_MS, make_late

from hoopwright.web.shop_network import listening

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform != "linux", reason="only Linux has all of 127.0.0.0/8"),
]
SHOP = "127.0.0.2"


@pytest.fixture
def project(small, tmp_path, monkeypatch):
    """The small project, served with a list of paired devices of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return small


@pytest.fixture
def at_laptop(served, page_of):
    page = page_of(served.url)
    page.wait_for_selector("button.hw-item")
    page.get_by_role("button", name="Shop network").click()
    page.dialog = page.get_by_role("dialog", name="Shop network")
    page.dialog.get_by_role("button", name="Begin sharing").wait_for()
    return page


@pytest.fixture
def phone(chromium):
    context = chromium.new_context(viewport={"width": 360, "height": 640})
    context.set_default_timeout(PATIENCE_MS)
    make_late(context)
    yield context.new_page()
    context.close()


def port_at(address):
    with socket.socket() as probe:
        probe.bind((address, 0))
        return probe.getsockname()[1]


def begin(page, port):
    """Under what is folded away until it is asked for."""
    page.dialog.get_by_text("Other address or port").click()
    begin_once_more(page, port)


def begin_once_more(page, port):
    page.dialog.get_by_label("This machine's address on the shop network").fill(SHOP)
    page.dialog.get_by_label("Port", exact=True).fill(str(port))
    page.dialog.get_by_role("button", name="Begin sharing").click()


def paired(page, phone, url):
    code = page.dialog.locator(".hw-pairing")
    code.wait_for()
    letters = code.inner_text()
    phone.goto(url)
    phone.get_by_label("Code on the laptop").fill(letters)
    phone.get_by_label("Name of this device").fill("Bender phone")
    phone.get_by_role("button", name="Pair").click()
    phone.wait_for_url("**/bend")


def status(page, path):
    return page.evaluate("async (at) => (await fetch(at).catch(() => ({status: 0}))).status", path)


def test_begun_paired_and_stopped_on_the_page(at_laptop, phone, screenshot):
    page, port = at_laptop, port_at(SHOP)
    url = f"http://{SHOP}:{port}/"
    screenshot(page, "sharing-off")
    begin(page, port)
    page.dialog.get_by_text(url, exact=True).wait_for()
    page.dialog.get_by_alt_text("The pairing address as a square code").wait_for()
    screenshot(page, "sharing-on")
    paired(page, phone, url)
    page.dialog.get_by_text(re.compile("^Bender phone, ")).wait_for()
    assert status(phone, "/bend/_/api/bars") == 200
    screenshot(page, "sharing-paired")
    page.dialog.get_by_role("button", name="Close").click()
    page.get_by_role("button", name="Shop network: shared").click()
    page.dialog.get_by_role("button", name="Stop sharing").click()
    page.dialog.get_by_role("button", name="Begin sharing").wait_for()
    assert status(phone, "/bend/_/api/bars") == 0
    with listening(SHOP, port):
        pass  # nothing else does any more
    page.dialog.get_by_role("button", name="Close").click()
    page.get_by_role("button", name=re.compile("^HB")).click()
    page.get_by_text("HB, harness bar").wait_for()


def test_a_port_in_use_and_no_address_are_told_on_the_page(at_laptop):
    from playwright.sync_api import expect

    page = at_laptop
    with socket.socket() as taken:
        taken.bind((SHOP, 0))
        taken.listen()
        begin(page, taken.getsockname()[1])
        told = page.dialog.get_by_role("alert")
        told.get_by_text(re.compile("WEB-080.*type another port", re.DOTALL)).wait_for()
    page.dialog.get_by_label("This machine's address on the shop network").fill("203.0.113.7")
    page.dialog.get_by_role("button", name="Begin sharing").click()
    told.get_by_text(re.compile("WEB-081", re.DOTALL)).wait_for()
    # what was typed is kept, to be mended
    expect(page.dialog.get_by_label("This machine's address on the shop network")).to_have_value(
        "203.0.113.7"
    )
    begin_once_more(page, port_at(SHOP))
    page.dialog.get_by_role("button", name="Stop sharing").wait_for()


def test_a_paired_phone_can_neither_begin_nor_stop_it(at_laptop, served, page_of, phone):
    """It has the whole workbench, and sends what the laptop's own button sends, in its own name."""
    from playwright.sync_api import expect

    page, port = at_laptop, port_at(SHOP)
    url = f"http://{SHOP}:{port}/"
    begin(page, port)
    paired(page, phone, url)
    page.dialog.get_by_label("Bender phone: workbench too").click()
    phone.set_viewport_size({"width": 1280, "height": 720})
    # until then it is led to the list of bars
    phone.wait_for_function("async () => (await fetch('/', {redirect: 'manual'})).status === 200")
    phone.goto(url)
    phone.wait_for_selector("button.hw-item")
    assert phone.get_by_text("Shop network").count() == 0
    assert phone.get_by_text("Stop sharing").count() == 0
    events = page.evaluate(
        "Object.entries(mounted_app.elements).flatMap(([id, one]) => "
        "(one.events || []).filter((e) => e.type === 'click').map((e) => [Number(id), e.listener_id]))"
    )
    assert len(events) > 10
    phone.evaluate(
        "(events) => events.forEach(([id, listener_id]) => "
        "window.socket.emit('event', {id, client_id: window.clientId, listener_id, args: []}))",
        events,
    )
    # what the phone sends is heard in its order: all of that was heard before this
    answered(phone)
    expect(page.dialog.get_by_role("button", name="Stop sharing")).to_be_visible()
    assert status(phone, "/") == 200
    for path in ("/share", "/stop", "/open", "/seen/share", "/begin", "/sharing/end"):
        assert status(phone, path) in {401, 403, 404}, path
    # the phone's open page hears nothing more once it is stopped, and the laptop's goes on
    page.dialog.get_by_role("button", name="Stop sharing").click()
    page.dialog.get_by_role("button", name="Begin sharing").wait_for()
    phone.wait_for_function("!window.socket.connected")
    assert status(phone, "/") == 0


def test_a_second_window_of_the_laptop_follows(at_laptop, served, page_of):
    page, port = at_laptop, port_at(SHOP)
    second = page_of(served.url)
    second.wait_for_selector("button.hw-item")
    begin(page, port)
    page.dialog.get_by_role("button", name="Stop sharing").wait_for()
    second.get_by_role("button", name="Shop network: shared").click()
    dialog = second.get_by_role("dialog", name="Shop network")
    dialog.get_by_text(f"http://{SHOP}:{port}/", exact=True).wait_for()
    dialog.get_by_role("button", name="Stop sharing").click()
    page.dialog.get_by_role("button", name="Begin sharing").wait_for()
