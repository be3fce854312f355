"""What the 3D view asks of the server: the thinned scan, and what a moved node would come to."""

import math
import time
from typing import Annotated, Any

from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse
from nicegui import run
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import ClientDisconnect

from hoopwright.findings import UserError, as_dict, as_text
from hoopwright.jobs.views import moved_bars
from hoopwright.web.desk import Desk
from hoopwright.web.keys import bar_keys, shell_bytes
from hoopwright.web.uploads import KINDS, SCAN, FileKind

_FAR_MM = 20_000.0

Coordinate = Annotated[float, Field(ge=-_FAR_MM, le=_FAR_MM, allow_inf_nan=False)]


class Move(BaseModel):
    """A node that is dragged."""

    model_config = ConfigDict(extra="forbid")

    bar_id: Annotated[str, Field(max_length=80)]
    node: Annotated[int, Field(ge=1, le=1000)]
    place_mm: tuple[Coordinate, Coordinate, Coordinate]
    step: int


def add_routes(app: FastAPI, desk: Desk, base: str) -> None:
    """Let the app answer the 3D view.

    Args:
        app: The app.
        desk: The open project.
        base: Path with a slash at its end.
    """

    @app.get(base + "shell/{key}/{detail}")
    async def shell(key: str, detail: str) -> Response:
        def made() -> bytes | None:
            drawn = desk.drawn(light=detail == "light")
            if drawn is None or drawn[0] != key:
                return None
            return shell_bytes(drawn[1])

        content = await run.io_bound(made)
        if content is None:
            return Response(status_code=404)
        return Response(
            content,
            media_type="application/octet-stream",
            # packing it costs more than sending it on the same machine
            headers={"content-encoding": "identity", "cache-control": "private, max-age=86400, immutable"},
        )

    @app.post(base + "scan")
    async def scan(request: Request, name: str = "") -> Response:
        return await _taken(desk, request, name, SCAN)

    @app.post(base + "file/{kind}")
    async def file(request: Request, kind: str, name: str = "") -> Response:
        if kind not in KINDS:
            return Response(status_code=404)
        return await _taken(desk, request, name, KINDS[kind])

    @app.post(base + "moved")
    async def moved(move: Move) -> Response:
        if not all(math.isfinite(x) for x in move.place_mm):
            return Response(status_code=422)
        began = time.perf_counter()

        def made() -> tuple[list[dict[str, Any]], float]:
            on_core = time.thread_time()
            seen, there = desk.shown()
            bars = moved_bars(seen.project.cage, there, move.bar_id, move.node, move.place_mm)
            return [bar_keys(bar) for bar in bars], time.thread_time() - on_core

        try:
            done = await run.io_bound(made)
        except UserError as error:
            return JSONResponse({"findings": [as_dict(one) for one in error.findings]}, status_code=409)
        bars, core_s = done or ([], 0.0)
        answer = JSONResponse({"bars": bars})
        took_ms = (time.perf_counter() - began) * 1000.0
        answer.headers["server-timing"] = f"moved;dur={took_ms:.1f}, core;dur={core_s * 1000.0:.1f}"
        return answer


async def _taken(desk: Desk, request: Request, name: str, kind: FileKind) -> Response:
    said = request.headers.get("content-length", "")
    try:
        arrived = await desk.uploads.receive(
            name[:400],
            int(said) if said.isascii() and said.isdecimal() else None,
            request.stream(),
            kind,
        )
    except UserError as error:
        told = {
            "findings": [as_dict(one) for one in error.findings],
            "text": "\n".join(as_text(one) for one in error.findings),
        }
        # answered in full, so that the page can tell why; what is left of the file is not read
        return JSONResponse(told, headers={"connection": "close"})
    except ClientDisconnect:
        return Response(status_code=400)
    return JSONResponse(vars(arrived))
