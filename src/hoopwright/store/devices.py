"""Phones and tablets that were paired: their names, and what their secrets are known by."""

import hashlib
import json
import secrets
import threading
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import platformdirs

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store.writing import make_folder, one_at_a_time, write_whole

DEVICES_KEPT = 100
NAME_LETTERS = 40
_VERSION = 1


@dataclass(frozen=True, kw_only=True)
class Device:
    """A paired device.

    Args:
        device_id: Names it for good.
        name: As the person called it.
        token_sha256: What its secret is known by; the secret itself is nowhere but on the device.
        paired_on: Date, `2026-03-14`.
        workbench: Whether it may use the workbench, and not only the screen at the bender.
    """

    device_id: str
    name: str
    token_sha256: str
    paired_on: str
    workbench: bool = False


def devices_file() -> Path:
    """Where this person's paired devices are kept."""
    return platformdirs.user_data_path("hoopwright", appauthor=False) / "devices.json"


class DeviceList:
    """The paired devices of a person, for all of his projects; several servers may use the file at once.

    Args:
        file: Where they are kept.
    """

    def __init__(self, file: Path) -> None:
        self.file = file
        self._one = threading.Lock()
        self._state: tuple[int, int, int] | None = None
        self._devices: tuple[Device, ...] = ()

    def all(self) -> tuple[Device, ...]:
        """Every device, as the file has them now.

        Raises:
            UserError: `WEB-088` when the file cannot be read.
        """
        with self._one:
            state = self._file_state()
            if state != self._state:
                self._devices = () if state is None else _read(self.file)
                self._state = state
            return self._devices

    def by_token(self, token: str) -> Device | None:
        """The device that has this secret; none while the file cannot be read."""
        named = hashlib.sha256(token.encode()).hexdigest()
        try:
            return next((one for one in self.all() if one.token_sha256 == named), None)
        except UserError:
            return None

    def add(self, name: str, *, on: str) -> tuple[Device, str]:
        """Keep a device; gives it with its secret.

        Raises:
            UserError: `WEB-086` a name that is none, `WEB-087` too many devices, `WEB-088`, `STORE-002`.
        """
        token = secrets.token_urlsafe(32)
        device = Device(
            device_id=secrets.token_hex(6),
            name=_name(name),
            token_sha256=hashlib.sha256(token.encode()).hexdigest(),
            paired_on=on,
        )
        make_folder(self.file.parent)
        with one_at_a_time(self.file.parent):
            there = self.all()
            if len(there) >= DEVICES_KEPT:
                raise _stop(
                    "WEB-087",
                    f"{len(there)} devices are paired; the most is {DEVICES_KEPT}.",
                    "At the laptop, take out those that are not used any more.",
                )
            self._write((*there, device))
        return device, token

    def check_name(self, name: str) -> None:
        """Stop on a name that is none.

        Raises:
            UserError: `WEB-086`.
        """
        _name(name)

    def revoke(self, device_id: str) -> None:
        """Take a device out: it is refused from now on."""
        with one_at_a_time(self.file.parent):
            self._write(tuple(one for one in self.all() if one.device_id != device_id))

    def allow_workbench(self, device_id: str, workbench: bool) -> None:
        """Let a device use the workbench, or the screen at the bender alone."""
        with one_at_a_time(self.file.parent):
            self._write(
                tuple(
                    replace(one, workbench=workbench) if one.device_id == device_id else one
                    for one in self.all()
                )
            )

    def _file_state(self) -> tuple[int, int, int] | None:
        try:
            state = self.file.stat()
        except OSError:
            return None
        return state.st_mtime_ns, state.st_size, state.st_ino

    def _write(self, devices: tuple[Device, ...]) -> None:
        content = {"version": _VERSION, "devices": [asdict(one) for one in devices]}
        write_whole(self.file, json.dumps(content, indent=1).encode())
        self.file.chmod(0o600)


def _read(file: Path) -> tuple[Device, ...]:
    try:
        content = json.loads(file.read_bytes())
        if content["version"] != _VERSION:
            raise ValueError
        return tuple(
            Device(
                device_id=str(one["device_id"]),
                name=_name(str(one["name"])),
                token_sha256=str(one["token_sha256"]),
                paired_on=str(one["paired_on"]),
                workbench=one["workbench"] is True,
            )
            for one in content["devices"]
        )
    except (OSError, ValueError, KeyError, TypeError, UserError):
        raise _stop(
            "WEB-088",
            f"The list of paired devices {file} cannot be read. No device is let in.",
            "Move the file away and pair the devices again.",
        ) from None


def _name(typed: str) -> str:
    name = " ".join("".join(sign if sign.isprintable() else " " for sign in typed).split())
    if not name or len(name) > NAME_LETTERS:
        raise _stop(
            "WEB-086",
            f"A device wants a name of 1 to {NAME_LETTERS} letters; {len(name)} were typed.",
            "Call it what you call it in the shop, such as Bender tablet.",
        )
    return name


def _stop(code: str, sentence: str, todo: str) -> UserError:
    return UserError(Finding(code=code, severity=Severity.STOP, sentence=sentence, todo=todo))
