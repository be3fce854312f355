"""`hoopwright tube`: section properties and mass."""

from typing import Annotated

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings
from hoopwright.units import parse_length_mm


def tube(
    od: Annotated[str, typer.Argument(help="Outside diameter, such as 45 or '1 3/4 in'.")],
    wall: Annotated[str, typer.Argument(help="Wall, such as 2.5 or '.095 in'.")],
    as_json: AsJson = False,
) -> None:
    """Area, second moment, section moduli and mass per metre of a round steel tube."""
    from hoopwright.jobs import calculators

    with stopping_on_findings(as_json):
        od_mm, wall_mm = parse_length_mm(od), parse_length_mm(wall)
        made = calculators.tube(od_mm, wall_mm)
        keys = {"od_mm": od_mm, "wall_mm": wall_mm, **vars(made)}
        text = (
            f"tube {od_mm:g} x {wall_mm:g} mm\n"
            f"  area {made.area_mm2:.2f} mm2, I {made.i_mm4:.1f} mm4, Z {made.z_mm3:.1f} mm3, "
            f"Zp {made.zp_mm3:.1f} mm3\n  {made.kg_per_m:.4f} kg/m (steel, 7850 kg/m3)"
        )
        show(as_json, lambda: dict(keys), text)
