"""`hoopwright order`: in which order a bar is bent so that it goes through the room."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings, table_text
from hoopwright.units import parse_length_mm

if TYPE_CHECKING:
    from hoopwright.bender.room.found import FoundOrder
    from hoopwright.bender.room.handling import PlannedStep
    from hoopwright.bender.room.step_check import Clearance
    from hoopwright.jobs.orders import OrderReport


def order(
    project: Annotated[Path | None, typer.Argument(help="Project folder.")] = None,
    bar: Annotated[str | None, typer.Argument(help="Which bar.")] = None,
    room: Annotated[
        str | None, typer.Option(help="Room file (TOML), or 'shop' for the bender described there.")
    ] = None,
    bends: Annotated[
        Path | None, typer.Option(help="Without a project: CSV straight_mm,rotation_deg,angle_deg.")
    ] = None,
    clr: Annotated[str | None, typer.Option(help="With --bends: centreline radius.")] = None,
    od: Annotated[str | None, typer.Option(help="With --bends: outside diameter.")] = None,
    calibration: Annotated[
        Path | None, typer.Option(help="With --bends: sample bends or a printed calibration.")
    ] = None,
    picture: Annotated[Path | None, typer.Option(help="Draw the tightest moment as PNG.")] = None,
    example: Annotated[bool, typer.Option("--example", help="Print a room file to fill in.")] = False,
    as_json: AsJson = False,
) -> None:
    """Try every order of bends in your room; say which one goes, step by step, or what stops each."""
    from hoopwright.jobs import orders as jobs
    from hoopwright.jobs.order_pictures import draw_order
    from hoopwright.store import ProjectFolder

    if example:
        print(jobs.example_room(), end="")
        return
    with stopping_on_findings(as_json):
        if room is None:
            raise typer.BadParameter("Give --room FILE; --example prints one to fill in.")
        if bends is not None and clr is not None and od is not None and project is None:
            made = jobs.order_of_table(
                bends, room, clr_mm=parse_length_mm(clr), od_mm=parse_length_mm(od), calibration=calibration
            )
        elif project is not None and bar is not None and bends is None:
            made = jobs.order_of_bar(ProjectFolder(path=project), bar, room)
        else:
            raise typer.BadParameter("Give a project and a bar, or --bends FILE with --clr and --od.")
        drawn = () if picture is None else draw_order(made, picture).findings
        lines = [_table(made), "", *jobs.order_in_words(made)]
        lines += [] if picture is None else [f"written: {picture}"]
        show(as_json, lambda: _keys(made), "\n".join(lines), (*made.findings, *drawn))


def _keys(made: "OrderReport") -> dict[str, Any]:
    chosen = made.search.chosen
    return {
        "works": chosen is not None,
        "chosen": None if chosen is None else _order_keys(chosen),
        "orders": [_order_keys(one) for one in made.search.orders],
        "ways_out": [vars(way) for way in made.helpful],
        "all_orders_searched": made.search.all_orders,
    }


def _order_keys(one: "FoundOrder") -> dict[str, Any]:
    return {
        "name": one.name,
        "works": one.works,
        "turns_end_for_end": one.end_for_end_count,
        "set_up_changes": one.set_up_count,
        "turned_deg": one.turned_deg,
        "swung_kg": one.swung_kg,
        "steps": [_step_keys(step) for step in one.steps],
    }


def _step_keys(step: "PlannedStep") -> dict[str, Any]:
    check = step.check
    return {
        "step": step.step,
        "bend": check.feed.bend,
        "fed_from": check.feed.fed_from,
        "turn_end_for_end": step.turn_end_for_end,
        "turn_tube_deg": step.turn_tube_deg,
        "turn_from_bend": step.turn_from_bend,
        "leg_clock": step.leg_clock,
        "swings": check.set_up.swings,
        "tilt_deg": check.set_up.tilt_deg,
        "swing_deg": check.swing_deg,
        "works": check.works,
        "clamp_mm": check.clamp_mm,
        "tail_mm": check.tail_mm,
        "reach_mm": check.reach_mm,
        "reach_skin_mm": check.reach_skin_mm,
        "clearances": [_clearance_keys(one) for one in check.clearances],
    }


def _clearance_keys(one: "Clearance") -> dict[str, Any]:
    return {**vars(one), "part": one.part_name, "place_mm": list(one.place_mm)}


def _table(made: "OrderReport") -> str:
    heads = ["order", "goes", "end for end", "set-ups changed", "turned °", "least mm", "to"]
    return table_text(heads, [_order_row(one) for one in made.search.orders])


def _order_row(one: "FoundOrder") -> list[str]:
    tight = one.tightest
    least = tight.check.least if tight is not None else None
    return [
        one.name,
        "yes" if one.works else "NO",
        str(one.end_for_end_count),
        str(one.set_up_count),
        f"{one.turned_deg:.0f}",
        "" if least is None else f"{least.clearance_mm:.1f}",
        "" if least is None else least.to,
    ]
