"""Papers given out by the names under which they are listed, and by no other."""

from urllib.parse import quote

from fastapi import FastAPI, Response
from nicegui import run

from hoopwright.findings import UserError
from hoopwright.jobs.paper_lists import ListedPaper, read_paper
from hoopwright.web.desk import Desk

SHOWN = ("application/pdf", "image/png", "text/plain; charset=utf-8")
_POLICY = (
    "default-src 'none'; object-src 'self'; img-src 'self'; style-src 'unsafe-inline'; frame-ancestors 'none'"
)


def paper_address(base: str, name: str) -> str:
    """Where a listed paper is."""
    return f"{base}paper/{quote(name)}"


def add_paper_routes(app: FastAPI, desk: Desk, base: str) -> None:
    """Let the app give out the papers of the project.

    Args:
        app: The app.
        desk: The open project.
        base: Path with a slash at its end.
    """

    @app.get(base + "paper/{name:path}")
    async def paper(name: str) -> Response:
        def found() -> tuple[ListedPaper, bytes] | None:
            try:
                return read_paper(desk.folder, name)
            except UserError:
                return None

        made = await run.io_bound(found)
        if made is None:
            return Response(status_code=404)
        listed, content = made
        how = "inline" if listed.media_type in SHOWN else "attachment"
        file_name = quote(listed.name.rpartition("/")[2])
        return Response(
            content,
            media_type=listed.media_type,
            headers={
                "content-disposition": f"{how}; filename*=UTF-8''{file_name}",
                "content-security-policy": _POLICY,
                "cache-control": "no-store",
            },
        )
