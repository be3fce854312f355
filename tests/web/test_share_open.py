"""Where the workbench listens, who has it open, and a window of its own."""

import json
import os
import socket
import subprocess
import sys

import pytest

from hoopwright.findings import UserError
from hoopwright.jobs.square_codes import square_code_svg
from hoopwright.store.devices import DEVICES_KEPT, DeviceList
from hoopwright.web.present import Present
from hoopwright.web.shop_network import listening, named_address


def code_of(call, *given):
    with pytest.raises(UserError) as stopped:
        call(*given)
    return stopped.value.findings[0].code


def test_a_taken_port_is_told():
    with listening("127.0.0.1", 0) as first:
        first.listen()
        assert code_of(listening, "127.0.0.1", first.getsockname()[1]) == "WEB-080"


@pytest.mark.parametrize("address", ["203.0.113.7", "198.51.100.1"])
def test_an_address_of_another_machine_is_told(address):
    """Addresses kept for documents, RFC 5737: no machine has them."""
    assert code_of(listening, address, 0) == "WEB-081"


@pytest.mark.parametrize(
    "host",
    [
        "0.0.0.0",  # noqa: S104
        "not a host",
        "",
        "a..b",
    ],
)
def test_a_host_that_is_none_is_told(host):
    assert code_of(named_address, host) == "WEB-081"


def test_sharing_listens_at_one_address_of_the_machine():
    with listening("127.0.0.1", 0) as here:
        assert here.getsockname()[0] == "127.0.0.1"
        assert here.family == socket.AF_INET


def test_a_host_without_sharing_is_wrong_use(hoopwright, tmp_path):
    assert hoopwright.run("open", tmp_path, "--host", "127.0.0.1").status == 2


def test_a_window_wants_its_library_and_a_screen(monkeypatch):
    from hoopwright.web import window

    monkeypatch.setattr(window.importlib.util, "find_spec", lambda name: None)
    assert code_of(window.window_of) == "WEB-082"
    monkeypatch.setattr(window.importlib.util, "find_spec", lambda name: object())
    monkeypatch.setattr(sys, "platform", "linux")
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    assert code_of(window.window_of) == "WEB-082"
    monkeypatch.setenv("DISPLAY", ":0")
    assert callable(window.window_of())


def test_windows_are_counted():
    present = Present()
    present.come("a", "this laptop")
    assert present.words() == ""
    present.come("b", "this laptop")
    present.come("c", "Office tablet")
    present.come("c", "Office tablet")
    assert present.words() == "open in 3 windows: Office tablet, this laptop (2)"
    present.go("b")
    present.go("never came")
    assert present.words() == "open in 2 windows: Office tablet, this laptop"


def test_two_servers_share_one_list(tmp_path):
    one, other = DeviceList(tmp_path / "devices.json"), DeviceList(tmp_path / "devices.json")
    assert one.all() == other.all() == ()
    device, token = one.add("Bender phone", on="2026-03-14")
    assert other.by_token(token) == device
    other.revoke(device.device_id)
    assert one.by_token(token) is None


def test_devices_have_an_end(tmp_path):
    devices = DeviceList(tmp_path / "devices.json")
    for number in range(DEVICES_KEPT):
        devices.add(f"Phone {number}", on="2026-03-14")
    assert code_of(lambda: devices.add("One more", on="2026-03-14")) == "WEB-087"
    devices.file.write_text("{")
    assert code_of(devices.all) == "WEB-088"
    assert code_of(lambda: devices.add("One more", on="2026-03-14")) == "WEB-088"


def test_the_square_code_is_a_picture():
    svg = square_code_svg("http://192.168.1.20:8655/pair?code=ABCDEF")
    assert svg.lstrip().startswith("<")
    assert "http" not in svg.replace("http://www.w3.org", "")


def test_json_is_alone_on_stdout_while_it_serves(tmp_path):
    """One object with the address to open, as soon as it listens; the words go to stderr."""
    command = [sys.executable, "-m", "hoopwright", "open", str(tmp_path / "car"), "--no-browser", "--json"]
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTEST", "NICEGUI"))}
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=kept) as running:
        assert running.stdout is not None
        told = json.loads(running.stdout.readline())
        running.terminate()
        assert running.stdout.read() == b""
    assert told["address"].startswith("http://127.0.0.1:")
    assert (told["shared_address"], told["findings"]) == (None, [])


def test_what_stops_it_is_json_too(hoopwright, tmp_path):
    (tmp_path / "cage.json").write_text("{")
    assert hoopwright.stops("open", tmp_path, "--no-browser") == ["STORE-003"]
