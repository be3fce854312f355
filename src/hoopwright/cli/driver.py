"""`hoopwright driver`: who drives, and how the bars lie about them."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import NEGATIVE_PLACES, AsJson, show, stopping_on_findings, table_text
from hoopwright.units import parse_angle_deg, parse_length_mm

app = typer.Typer(
    no_args_is_help=True, help="Drivers: what was measured of them, and the bars held against it."
)
Project = Annotated[Path, typer.Argument(help="Project folder.")]
_CAUTION = (
    "A pass says that the measured value meets the typed limit, and nothing more. Measure in the real seat, with "
    "helmet and belts; the rule book and the scrutineer decide."
)


@app.command("set", context_settings=NEGATIVE_PLACES)
def set_one(
    project: Project,
    name: Annotated[str, typer.Argument(help="Who.")],
    helmet: Annotated[str | None, typer.Option(help="Centre of the helmet: forward,left,up.")] = None,
    helmet_radius: Annotated[str | None, typer.Option(help="Radius of the helmet as a sphere.")] = None,
    eye: Annotated[str | None, typer.Option(help="Between the eyes.")] = None,
    shoulder: Annotated[str | None, typer.Option(help="Where the belt leaves the left shoulder.")] = None,
    guide: Annotated[
        str | None, typer.Option(help="Where that belt goes over its guide or harness bar.")
    ] = None,
    hip: Annotated[str | None, typer.Option(help="Hip point.")] = None,
    knee: Annotated[str | None, typer.Option(help="Left knee.")] = None,
    shin: Annotated[str | None, typer.Option(help="Left ankle.")] = None,
    wheel: Annotated[str | None, typer.Option(help="Centre of the steering wheel.")] = None,
    wheel_radius: Annotated[str | None, typer.Option(help="Its radius.")] = None,
    padding: Annotated[str | None, typer.Option(help="Padding on the bars.")] = None,
    as_json: AsJson = False,
) -> None:
    """Add a driver, or type more of one; what is not typed stays, what was never typed is not checked."""
    from hoopwright.jobs.drivers import set_driver
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        places = {"helmet_mm": helmet, "eye_mm": eye, "shoulder_mm": shoulder, "guide_mm": guide,
                  "hip_mm": hip, "knee_mm": knee, "shin_mm": shin, "wheel_mm": wheel}  # fmt: skip
        lengths = {"helmet_radius_mm": helmet_radius, "wheel_radius_mm": wheel_radius, "padding_mm": padding}
        measured = {key: None if text is None else typed.place(text) for key, text in places.items()}
        sizes = {key: None if text is None else parse_length_mm(text) for key, text in lengths.items()}
        driver = set_driver(ProjectFolder(path=project), name, **measured, **sizes)
        keys = vars(driver)
        rows = [[key.removesuffix("_mm").replace("_", " "), _shown(value)] for key, value in keys.items()]
        show(as_json, lambda: dict(keys), table_text(["measured", "mm"], rows))


@app.command("remove")
def remove(
    project: Project, name: Annotated[str, typer.Argument(help="Who.")], as_json: AsJson = False
) -> None:
    """Take a driver out."""
    from hoopwright.jobs.drivers import remove_driver
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        remove_driver(ProjectFolder(path=project), name)
        show(as_json, lambda: {"name": name}, f"driver {name} taken out")


@app.command("check")
def check(
    project: Project,
    helmet_room: Annotated[str, typer.Option(help="Room under a straight edge over the bars.")] = "50",
    bar_room: Annotated[str, typer.Option(help="Room from padding to any part of the driver.")] = "0",
    belt_below: Annotated[str, typer.Option(help="Belt below horizontal at most, degrees.")] = "20",
    belt_above: Annotated[str, typer.Option(help="Belt above horizontal at most, degrees.")] = "0",
    hidden: Annotated[
        float | None, typer.Option(help="Share of a view that one bar may hide, percent.")
    ] = None,
    circle: Annotated[str | None, typer.Option(help="Circle that must pass the door opening.")] = None,
    as_json: AsJson = False,
) -> None:
    """Helmet line, belts, room to every bar, views hidden and the door opening left, each against its limit."""
    from hoopwright.jobs.drivers import DriverLimits, check_drivers
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        limits = DriverLimits(
            helmet_room_mm=parse_length_mm(helmet_room),
            bar_room_mm=parse_length_mm(bar_room),
            belt_below_deg=parse_angle_deg(belt_below),
            belt_above_deg=parse_angle_deg(belt_above),
            hidden_share=None if hidden is None else hidden / 100.0,
            circle_mm=None if circle is None else parse_length_mm(circle),
        )
        rows, findings = check_drivers(ProjectFolder(path=project), limits)
        table = [
            [
                row.about,
                row.check,
                row.verdict.value,
                "" if row.measured is None else f"{row.measured:.1f}",
                "" if row.limit is None else f"{row.limit:g} {row.unit}",
                row.where,
            ]
            for row in rows
        ]
        text = table_text(["driver", "check", "verdict", "measured", "limit", "where"], table)
        show(
            as_json,
            lambda: {"checks": [{**vars(row), "verdict": row.verdict.value} for row in rows]},
            f"{text}\n{_CAUTION}",
            findings,
        )


def _shown(value: object) -> str:
    if value is None:
        return "not measured"
    if isinstance(value, tuple):
        return ", ".join(f"{number:g}" for number in value)
    return f"{value:g}" if isinstance(value, float) else str(value)
