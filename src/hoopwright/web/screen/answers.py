"""What the addresses of the screen share: how it is answered, and what names a bar."""

import datetime as dt
from collections.abc import Callable
from typing import Any

from fastapi import Response
from fastapi.responses import JSONResponse

from hoopwright.findings import UserError, as_dict
from hoopwright.jobs import bend_screens
from hoopwright.jobs.sticks import BendWishes
from hoopwright.store import ProjectFolder
from hoopwright.web.screen.keys import screen_keys

BASE = "/bend/_/"


def told(made: Callable[[], dict[str, Any]]) -> Response:
    """The answer, or the findings that stopped it."""
    try:
        return JSONResponse(made(), headers={"cache-control": "no-store"})
    except UserError as error:
        return JSONResponse({"findings": [as_dict(one) for one in error.findings]}, status_code=409)


def whole(folder: ProjectFolder, bar: str, code: str, *, again: bool = False) -> dict[str, Any]:
    """All of one bar, with the stamp of what it was made from."""
    stamp = bend_screens.stamp_of(folder, bar)
    wishes = BendWishes(at=at(0.0), solve=False, again=again)
    keys = screen_keys(bend_screens.bend_screen(folder, with_code(folder, bar, code), wishes))
    return keys | {"stamp": stamp}


def with_code(folder: ProjectFolder, bar: str, code: str) -> str:
    """The bar, or what the code on its sheet says in full."""
    return f"hoopwright:{folder.open().project.name}/{bar}/{code}" if code else bar


def at(age_s: float) -> str:
    """When that was, ISO 8601."""
    return (dt.datetime.now(dt.UTC) - dt.timedelta(seconds=age_s)).isoformat(timespec="seconds")
