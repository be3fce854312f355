"""Asking a job in the background for something that changes nothing."""

from collections.abc import Callable
from typing import TypeVar

from nicegui import run

from hoopwright.findings import UserError
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench

Result = TypeVar("Result")


async def read(bench: Bench, what: Callable[[ProjectFolder], Result]) -> Result | None:
    """What a job says; None where a finding stopped it, which is told."""
    try:
        return await run.io_bound(lambda: what(bench.desk.folder))
    except UserError as error:
        bench.say(error.findings)
        return None
