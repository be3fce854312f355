"""Addresses of the screen at the bender, all under `/bend`."""

from collections.abc import Callable, Coroutine, Sequence
from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, FastAPI, Path, Query, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from fastapi.routing import APIRoute

from hoopwright.findings import Finding, Severity, UserError, as_dict, as_text
from hoopwright.jobs import bend_screens
from hoopwright.store import ProjectFolder
from hoopwright.web.screen.answers import BASE, at, told, whole
from hoopwright.web.screen.files import POLICY, page, served_file
from hoopwright.web.screen.kept_folder import KeptFolder
from hoopwright.web.screen.sent import Bar, Code
from hoopwright.web.screen.solving import Solving
from hoopwright.web.screen.taking import add_taking

LARGEST_BODY_BYTES = 8_000
BarInPath = Annotated[Bar, Path()]
CodeInQuery = Annotated[Code, Query()]


def add_screen_routes(
    app: FastAPI, folder: ProjectFolder, *, address: Callable[[], str] = lambda: ""
) -> None:
    """Let the app answer the screens at the bender.

    Args:
        app: The app.
        folder: The project.
        address: Where the shop's network finds the workbench, with a slash at its end; empty for as it was asked.
    """
    router, kept = APIRouter(route_class=_ToldRoute), KeptFolder(path=folder.path)
    _add_pages(router)
    _add_looking(router, kept, address)
    add_taking(router, kept)
    app.include_router(router)


class _ToldRoute(APIRoute):
    """Tells what cannot be read as a finding; the framework's own answer stumbles over a number that is none."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """The handler with that answer."""
        handler = super().get_route_handler()

        async def answered(request: Request) -> Response:
            if request.method == "POST" and not _is_small(request):
                return Response(status_code=413)
            try:
                return await handler(request)
            except RequestValidationError as error:
                where = sorted({str(one["loc"][-1]) for one in error.errors()})
                return JSONResponse({"findings": [as_dict(_unreadable(where))]}, status_code=422)

        return answered


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


def _add_looking(app: APIRouter, folder: ProjectFolder, address: Callable[[], str]) -> None:
    solving = Solving(folder)

    @app.get(BASE + "api/bars")
    def bars() -> Response:
        def made() -> dict[str, Any]:
            project = folder.open().project.name
            return {"project": project, "bars": [asdict(one) for one in bend_screens.bars_at_bender(folder)]}

        return told(made)

    @app.get(BASE + "api/bar/{bar}")
    def one_bar(bar: BarInPath, code: CodeInQuery = "") -> Response:
        return told(lambda: whole(folder, bar, code))

    @app.get(BASE + "api/stamp/{bar}")
    def stamp(bar: BarInPath) -> Response:
        return told(lambda: {"stamp": bend_screens.stamp_of(folder, bar)})

    @app.get(BASE + "api/cost/{bar}")
    def cost(bar: BarInPath) -> Response:
        return told(lambda: {"cost": solving.answer(bar, at(0.0))})

    @app.get(BASE + "api/code/{bar}")
    def code_of(request: Request, bar: BarInPath) -> Response:
        def made() -> dict[str, Any]:
            base = address() or str(request.base_url)
            at, svg = bend_screens.address_code(folder, bar, base)
            return {"address": at, "svg": svg}

        return told(made)


def _is_small(request: Request) -> bool:
    """Whether it is as short as what a screen sends, by its own word; nothing of it is read before."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip()
    length = request.headers.get("content-length", "")
    return kind == "application/json" and length.isdigit() and int(length) <= LARGEST_BODY_BYTES
