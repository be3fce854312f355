"""Getting ready while the browser still opens: the scan read, and every kernel that a drag needs run once."""

import threading

from hoopwright.findings import UserError
from hoopwright.jobs.views import moved_bars
from hoopwright.web.desk import Desk


def warm_in_background(desk: Desk) -> threading.Thread:
    """Open the project's shell and try a move that changes nothing, in a thread of its own."""
    thread = threading.Thread(target=_warm, args=(desk,), name="warm", daemon=True)
    thread.start()
    return thread


def _warm(desk: Desk) -> None:
    try:
        seen, shell = desk.shown()
        desk.drawn(light=True)
        own = next((m for m in seen.project.cage.members if m.mirror_of is None), None)
        if own is not None:
            forward, left, up = own.nodes_mm[0]
            moved_bars(seen.project.cage, shell, own.member_id, 1, (forward, left, up + 0.01))
        desk.drawn(light=False)
    except UserError:
        # the page tells it when it looks
        return
