"""Addresses of the screen at the bender, all under `/bend`."""

import datetime as dt
from collections.abc import Callable, Coroutine, Sequence
from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, FastAPI, Path, Query, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from fastapi.routing import APIRoute

from hoopwright.bender.rescue.records import Reading
from hoopwright.findings import Finding, Severity, UserError, as_dict, as_text
from hoopwright.jobs import bend_screens, bending
from hoopwright.jobs.sticks import BendWishes
from hoopwright.store import ProjectFolder
from hoopwright.web.screen.files import POLICY, page, served_file
from hoopwright.web.screen.kept_folder import KeptFolder
from hoopwright.web.screen.keys import screen_keys, state_keys
from hoopwright.web.screen.sent import (
    Bar,
    Code,
    Sent,
    SentAgain,
    SentCorrection,
    SentDecision,
    SentReading,
    SentTakingBack,
)
from hoopwright.web.screen.solving import Solving

BASE = "/bend/_/"
LARGEST_BODY_BYTES = 8_000
BarInPath = Annotated[Bar, Path()]
CodeInQuery = Annotated[Code, Query()]


def add_screen_routes(
    app: FastAPI, folder: ProjectFolder, *, address: Callable[[], str] | None = None
) -> None:
    """Let the app answer the screens at the bender.

    Args:
        app: The app.
        folder: The project.
        address: Where the shop's network finds the workbench, with a slash at its end; as it was asked without.
    """
    router, kept = APIRouter(route_class=_ToldRoute), KeptFolder(path=folder.path)
    _add_pages(router)
    _add_looking(router, kept, address)
    _add_taking(router, kept)
    app.include_router(router)


class _ToldRoute(APIRoute):
    """Tells what cannot be read as a finding; the framework's own answer stumbles over a number that is none."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """The handler with that answer."""
        handler = super().get_route_handler()

        async def told(request: Request) -> Response:
            if request.method == "POST" and not _is_small(request):
                return Response(status_code=413)
            try:
                return await handler(request)
            except RequestValidationError as error:
                where = sorted({str(one["loc"][-1]) for one in error.errors()})
                return JSONResponse({"findings": [as_dict(_unreadable(where))]}, status_code=422)

        return told


def _unreadable(where: Sequence[str]) -> Finding:
    return Finding(
        code="WEB-021",
        severity=Severity.STOP,
        sentence=f"What the screen sent cannot be read: {', '.join(where)}. Nothing was written.",
        todo="Type it again; if that does not help, load the page anew.",
        objects=tuple(where),
    )


def _add_pages(app: APIRouter) -> None:
    @app.get("/bend")
    @app.get("/bend/{bar}")
    def screen(bar: Bar = "") -> Response:
        try:
            return Response(
                page(),
                media_type="text/html",
                headers={"content-security-policy": POLICY, "cache-control": "no-cache"},
            )
        except UserError as error:
            return Response(as_text(error.findings[0]), media_type="text/plain", status_code=503)

    @app.get(BASE + "{name}")
    def file(name: str) -> Response:
        found = served_file(name)
        if found is None:
            return Response(status_code=404)
        headers = {"cache-control": "no-cache", "service-worker-allowed": "/bend"}
        return Response(found.content, media_type=found.kind, headers=headers)


def _add_looking(app: APIRouter, folder: ProjectFolder, address: Callable[[], str] | None) -> None:
    solving = Solving(folder)

    @app.get(BASE + "api/bars")
    def bars() -> Response:
        def made() -> dict[str, Any]:
            project = folder.open().project.name
            return {"project": project, "bars": [asdict(one) for one in bend_screens.bars_at_bender(folder)]}

        return _told(made)

    @app.get(BASE + "api/bar/{bar}")
    def one_bar(bar: BarInPath, code: CodeInQuery = "") -> Response:
        return _told(lambda: _whole(folder, bar, code))

    @app.get(BASE + "api/stamp/{bar}")
    def stamp(bar: BarInPath) -> Response:
        return _told(lambda: {"stamp": bend_screens.stamp_of(folder, bar)})

    @app.get(BASE + "api/cost/{bar}")
    def cost(bar: BarInPath) -> Response:
        return _told(lambda: {"cost": solving.answer(bar, _at(0.0))})

    @app.get(BASE + "api/code/{bar}")
    def code_of(request: Request, bar: BarInPath) -> Response:
        def made() -> dict[str, Any]:
            base = str(request.base_url) if address is None else address()
            at, svg = bend_screens.address_code(folder, bar, base)
            return {"address": at, "svg": svg}

        return _told(made)


def _add_taking(app: APIRouter, folder: ProjectFolder) -> None:
    @app.post(BASE + "api/reading")
    def reading(sent: SentReading) -> Response:
        return _told(
            lambda: _answer(
                folder, bending.take_reading(folder, _named(folder, sent), _read(sent), _wishes(sent))
            )
        )

    @app.post(BASE + "api/correction")
    def correction(sent: SentCorrection) -> Response:
        return _told(
            lambda: _whole_answer(
                folder,
                sent,
                bending.correct_reading(folder, _named(folder, sent), sent.of, _read(sent), _wishes(sent)),
            )
        )

    @app.post(BASE + "api/taking-back")
    def taking_back(sent: SentTakingBack) -> Response:
        return _told(
            lambda: _whole_answer(
                folder,
                sent,
                bending.take_back(
                    folder,
                    _named(folder, sent),
                    sent.of,
                    reason="taken back at the bender",
                    key=sent.key,
                    wishes=_wishes(sent),
                ),
            )
        )

    @app.post(BASE + "api/decision")
    def decision(sent: SentDecision) -> Response:
        return _told(
            lambda: _whole_answer(
                folder,
                sent,
                bending.decide(
                    folder,
                    _named(folder, sent),
                    go_on=sent.go_on,
                    as_planned=sent.as_planned,
                    key=sent.key,
                    wishes=_wishes(sent),
                ),
            )
        )

    @app.post(BASE + "api/again")
    def again(sent: SentAgain) -> Response:
        return _told(lambda: _whole(folder, sent.bar, sent.code, again=True))


def _is_small(request: Request) -> bool:
    """Whether it is as short as what a screen sends, by its own word; nothing of it is read before."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip()
    length = request.headers.get("content-length", "")
    return kind == "application/json" and length.isdigit() and int(length) <= LARGEST_BODY_BYTES


def _told(made: Callable[[], dict[str, Any]]) -> Response:
    try:
        return JSONResponse(made(), headers={"cache-control": "no-store"})
    except UserError as error:
        return JSONResponse({"findings": [as_dict(one) for one in error.findings]}, status_code=409)


def _whole(folder: ProjectFolder, bar: str, code: str, *, again: bool = False) -> dict[str, Any]:
    stamp = bend_screens.stamp_of(folder, bar)
    wishes = BendWishes(at=_at(0.0), solve=False, again=again)
    keys = screen_keys(bend_screens.bend_screen(folder, _with_code(folder, bar, code), wishes))
    return keys | {"stamp": stamp}


def _answer(folder: ProjectFolder, made: bending.Bending) -> dict[str, Any]:
    stamp = bend_screens.stamp_of(folder, made.standing.started.bar_id)
    return {"state": state_keys(made), "stamp": stamp, "counted_before": made.counted_before}


def _whole_answer(folder: ProjectFolder, sent: Sent, made: bending.Bending) -> dict[str, Any]:
    """With all of the bar, whose numbers may be others now: the network may be gone a moment later."""
    return _answer(folder, made) | {"screen": _whole(folder, sent.bar, sent.code)}


def _wishes(sent: Sent) -> BendWishes:
    return BendWishes(at=_at(sent.age_s), shown=sent.shown, stick=sent.stick, solve=False)


def _read(sent: SentReading) -> Reading:
    return Reading(
        step=0,
        released_deg=sent.released_deg,
        command_deg=sent.command_deg,
        turned_deg=sent.turned_deg,
        mark_mm=sent.mark_mm,
        reason=sent.reason,
        at=_at(sent.age_s),
        key=sent.key,
    )


def _named(folder: ProjectFolder, sent: Sent) -> str:
    return _with_code(folder, sent.bar, sent.code)


def _with_code(folder: ProjectFolder, bar: str, code: str) -> str:
    """The bar, or what the code on its sheet says in full."""
    return f"hoopwright:{folder.open().project.name}/{bar}/{code}" if code else bar


def _at(age_s: float) -> str:
    return (dt.datetime.now(dt.UTC) - dt.timedelta(seconds=age_s)).isoformat(timespec="seconds")
