"""Bends as records that a shop log can take."""

from hoopwright.bender.rescue.standing import Standing, Taken


def as_log(now: Standing, one: Taken) -> dict[str, object]:
    """One reading as plain values, with a key of its own."""
    started, reading = now.started, one.reading
    counts = one in now.finished
    return {
        "key": f"{started.key}-{one.record}",
        "bar_id": started.bar_id,
        "revision": started.revision,
        "identity": started.identity,
        "stick": started.stick,
        "step": reading.step,
        "bend": started.job.feeds[reading.step - 1].bend,
        "fed_from": started.job.feeds[reading.step - 1].fed_from,
        "od_mm": started.job.bar.tube.od_mm,
        "wall_mm": started.job.bar.tube.wall_mm,
        "die": started.die,
        "batch": started.batch,
        "calibration": started.calibration,
        "target_deg": one.target_deg,
        "command_deg": one.load_deg,
        "command_was_read": reading.command_deg is not None,
        "released_deg": reading.released_deg,
        "turned_deg": reading.turned_deg,
        "mark_mm": reading.mark_mm,
        "pulled_again": one.again,
        "finished": counts,
        "device": reading.device,
        "at": reading.at,
    }
