"""`hoopwright driver`: who drives, and how the bars lie about them."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.check_rows import check_keys, check_table
from hoopwright.cli.output import NEGATIVE_PLACES, AsJson, show, stopping_on_findings, table_text
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.cage import Driver
    from hoopwright.jobs.drivers import DriverReport

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
    wheel_tilt: Annotated[
        str | None,
        typer.Option(help="Lean of its face from upright, degrees; without it the wheel is a ball."),
    ] = None,
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
        measured = {key: typed.maybe(typed.place, text) for key, text in places.items()}
        sizes = {key: typed.maybe(parse_length_mm, text) for key, text in lengths.items()}
        angles = {"wheel_tilt_deg": typed.maybe(parse_angle_deg, wheel_tilt)}
        driver = set_driver(ProjectFolder(path=project), name, **measured, **sizes, **angles)
        show(as_json, lambda: dict(vars(driver)), _driver_text(driver))


@app.command("show")
def show_all(
    project: Project,
    name: Annotated[str | None, typer.Argument(help="Only this one.")] = None,
    as_json: AsJson = False,
) -> None:
    """What was measured of the drivers, and what was not."""
    from hoopwright.jobs.drivers import drivers_of
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        drivers = drivers_of(ProjectFolder(path=project), name)
        text = (
            "\n\n".join(_driver_text(driver) for driver in drivers)
            or "no driver yet: 'hoopwright driver set'"
        )
        keys = [{**vars(driver), "not_measured": driver.not_measured()} for driver in drivers]
        show(as_json, lambda: {"drivers": keys}, text)


@app.command("clear")
def clear(
    project: Project,
    name: Annotated[str, typer.Argument(help="Who.")],
    measured: Annotated[
        list[str],
        typer.Argument(
            help="What to clear: helmet, helmet-radius, eye, shoulder, guide, hip, knee, shin, wheel, wheel-radius, "
            "wheel-tilt, padding. Several may be typed."
        ),
    ],
    as_json: AsJson = False,
) -> None:
    """Take single measured values back; what needs them is then not checked."""
    from hoopwright.jobs.drivers import clear_driver
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        driver = clear_driver(ProjectFolder(path=project), name, measured)
        show(as_json, lambda: dict(vars(driver)), _driver_text(driver))


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


@app.command("check", context_settings=NEGATIVE_PLACES)
def check(
    project: Project,
    helmet_room: Annotated[
        str,
        typer.Option(help="Room of the helmet under a straight edge over the bars; 50 is common practice."),
    ] = "50",
    bar_room: Annotated[str, typer.Option(help="Room from padding to any part of the driver.")] = "0",
    belt_below: Annotated[
        str, typer.Option(help="Belt below horizontal at most, degrees; 20 is common practice.")
    ] = "20",
    belt_above: Annotated[
        str, typer.Option(help="Belt above horizontal at most, degrees; 0 is never above, common practice.")
    ] = "0",
    hidden: Annotated[
        float | None, typer.Option(help="Share of a view that one bar may hide, percent.")
    ] = None,
    circle: Annotated[str | None, typer.Option(help="Circle that must pass the door opening.")] = None,
    opening: Annotated[
        list[str] | None,
        typer.Option(
            help="Corner of the door opening: forward,left,up. Repeatable, in order round it; else the landmarks "
            "door_opening_1, 2, ... count."
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Helmet line, belts, room to every bar, views hidden and the door opening left, each against its limit."""
    from hoopwright.jobs.driver_rows import DriverLimits
    from hoopwright.jobs.drivers import check_drivers
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        limits = DriverLimits(
            helmet_room_mm=parse_length_mm(helmet_room),
            bar_room_mm=parse_length_mm(bar_room),
            belt_below_deg=parse_angle_deg(belt_below),
            belt_above_deg=parse_angle_deg(belt_above),
            hidden_share=None if hidden is None else hidden / 100.0,
            circle_mm=typed.maybe(parse_length_mm, circle),
        )
        report = check_drivers(
            ProjectFolder(path=project), limits, [typed.place(text) for text in opening or ()]
        )
        show(as_json, lambda: _keys(report), _text(report), report.findings)


def _keys(report: "DriverReport") -> dict[str, Any]:
    return {
        "checks": check_keys(report.rows),
        "rooms": {name: [vars(room) for room in rooms] for name, rooms in report.measured.rooms.items()},
        "views": {
            name: {view: vars(hidden) for view, hidden in views.items()}
            for name, views in report.measured.views.items()
        },
        "view_windows_deg": report.windows_deg,
    }


def _text(report: "DriverReport") -> str:
    parts = [check_table("driver", report.rows)]
    for name, views in report.measured.views.items():
        for view, hidden in views.items():
            shares = sorted(hidden.share_by_bar.items(), key=lambda one: -one[1])
            seen = ", ".join(f"{bar} {100.0 * share:.1f} %" for bar, share in shares if share > 0.0)
            parts.append(f"{name}, {view} view, hidden by: {seen or 'no bar'}")
    return "\n".join([*parts, _CAUTION])


def _driver_text(driver: "Driver") -> str:
    rows = [
        [key.removesuffix("_mm").replace("_deg", ", degrees").replace("_", " "), _shown(value)]
        for key, value in vars(driver).items()
    ]
    return table_text(["measured", "mm"], rows)


def _shown(value: object) -> str:
    if value is None:
        return "not measured"
    if isinstance(value, tuple):
        return ", ".join(f"{number:g}" for number in value)
    return f"{value:g}" if isinstance(value, float) else str(value)
