"""The workbench in a window of its own, where the platform has one to give."""

import importlib.util
import multiprocessing
import os
import sys

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.web.serve import Show

SIZE_PX = (1440, 900)


def window_of() -> Show:
    """What opens the window, and stops the server when it is closed.

    Raises:
        UserError: `WEB-082` where no window can be opened.
    """
    if importlib.util.find_spec("webview") is None:
        raise _no_window(
            "The library for windows is not installed.", "Install it: pip install 'hoopwright[native]'."
        )
    if sys.platform == "linux" and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        raise _no_window("There is no screen to open a window on.", "Start it where a screen is.")
    return _show


def _show(address: str) -> bool:
    # a window wants the first thread of a process, which is the server's here
    window = multiprocessing.get_context("spawn").Process(target=_window, args=(address,))
    window.start()
    window.join()
    if window.exitcode:
        sys.stderr.write("the window could not be opened; the page is served on: use the address above\n")
        return False
    return True


def _window(address: str) -> None:
    import webview

    webview.create_window("Hoopwright", address, width=SIZE_PX[0], height=SIZE_PX[1], min_size=(1024, 640))
    webview.start(private_mode=True)


def _no_window(sentence: str, todo: str) -> UserError:
    return UserError(
        Finding(
            code="WEB-082",
            severity=Severity.STOP,
            sentence=sentence,
            todo=f"{todo} Without --window the workbench opens in the browser.",
        )
    )
