"""The words and figures of the sheets, the same on paper and in a terminal."""

from collections.abc import Iterable
from urllib.parse import quote

from hoopwright.bender.sheet import BarSheet, BendStep
from hoopwright.tubes import TubeSize
from hoopwright.units import MM_PER_INCH, LengthUnit, format_angle, format_inches, format_length, shown

CAUTIONS = (
    "Arithmetic only: the current rule book and the scrutineer decide. No strength is proven here.",
    "Bend numbers hold for this die, tube and batch only: new batch, new sample bend.",
    "Welding moves the shell: check doors and widths at each stop.",
    "Print at 100 %: hold a steel rule to both 100 mm bars before measuring off this paper.",
)
NOT_CALIBRATED = "NOT CALIBRATED"
LEGEND = "* must be right      dashed box: free, by eye"
NO_ROTATION_DEG = 0.005
FULL_TURN_HOURS = 12.0


def figure(length_mm: float, unit: LengthUnit) -> str:
    """A length without its unit in mm (`627.8`), or in sixteenths (`24 11/16"`)."""
    return shown(length_mm, 1) if unit == "mm" else format_inches(length_mm)


def listed(names: Iterable[str], most: int = 12) -> str:
    """Names one after the other, the rest counted."""
    every = list(names)
    more = f" and {len(every) - most} more" if len(every) > most else ""
    return f"{', '.join(every[:most])}{more}"


def measure(length_mm: float, unit: LengthUnit) -> str:
    """A length with its unit."""
    return format_length(length_mm, unit)


def other_unit(unit: LengthUnit) -> LengthUnit:
    """The unit that is shown small beside `unit`."""
    return "in" if unit == "mm" else "mm"


def both(length_mm: float, unit: LengthUnit) -> str:
    """A length in `unit` and, in brackets, in the other."""
    return f"{measure(length_mm, unit)} ({measure(length_mm, other_unit(unit))})"


def tube_words(tube: TubeSize, unit: LengthUnit) -> str:
    """Tube size in both units."""
    return f"{tube_short(tube, unit)} ({tube_short(tube, other_unit(unit))})"


def tube_short(tube: TubeSize, unit: LengthUnit) -> str:
    """Tube size in one unit."""
    if unit == "mm":
        return f"{tube.od_mm:g} x {tube.wall_mm:g} mm"
    return f'{shown(tube.od_mm / MM_PER_INCH, 3)} x {shown(tube.wall_mm / MM_PER_INCH, 3)}"'


def angle(angle_deg: float, decimals: int = 1) -> str:
    """An angle as a gauge reads it."""
    return format_angle(angle_deg, decimals=decimals)


def signed_angle(angle_deg: float, decimals: int = 2) -> str:
    """A turn with its sign; none without one."""
    return f"{shown(angle_deg, decimals, sign=True)}°" if turns(angle_deg) else angle(0.0, decimals)


def turns(angle_deg: float) -> bool:
    """Whether the turn is one that a gauge could show."""
    return abs(angle_deg) >= NO_ROTATION_DEG


def turn_word(angle_deg: float) -> str:
    """`clockwise`, `anticlockwise` or `no turn`."""
    if not turns(angle_deg):
        return "no turn"
    return "clockwise" if angle_deg > 0.0 else "anticlockwise"


def clock_words(hour: float) -> str:
    """Hour of a clock to the nearest quarter: `10:30`."""
    quarters = round(hour % FULL_TURN_HOURS * 4.0) % 48
    return f"{quarters // 4 or 12}:{quarters % 4 * 15:02d}"


def calibration_words(sheet: BarSheet, between: str) -> str:
    """Which calibration the numbers hold for; a straight bar needs none."""
    if not sheet.steps:
        return "straight: no calibration needed"
    batch = f"batch {sheet.batch}" if sheet.batch else ""
    return between.join(filter(None, (f"calibration {sheet.calibration_name}", f"die {sheet.die}", batch)))


def command_words(step: BendStep) -> str:
    """Angle to read under load, or that nobody knows it."""
    return "?" if step.command_deg is None else angle(step.command_deg)


def turn_end_words(step: BendStep) -> str:
    """What the bold row before a bend says."""
    return f"TURN THE TUBE END FOR END: end {step.fed_from} goes through the die first"


def wrong_turn_words(sheet: BarSheet, unit: LengthUnit) -> str:
    """How far end B lands off if the rotations are turned the wrong way; empty where none could be."""
    if sheet.wrong_turn_miss_mm is None:
        return ""
    miss = f"{shown(sheet.wrong_turn_miss_mm, 0)} mm"
    inches = format_inches(sheet.wrong_turn_miss_mm)
    off = f"{miss} ({inches})" if unit == "mm" else f"{inches} ({miss})"
    return f"Turned the wrong way, end B lands {off} off."


def replaces_words(sheet: BarSheet) -> str:
    """Which sheet is old now; empty for the first."""
    return f"replaces revision {sheet.revision - 1}, now old" if sheet.revision > 1 else ""


def machine_words(sheet: BarSheet) -> str:
    """The machine and the way it swings; empty where the sheet names none, or nothing is bent."""
    if not sheet.machine or not sheet.steps:
        return ""
    swings = f", swings {sheet.swings} from above" if sheet.swings else ""
    return f"machine {sheet.machine}{swings}"


def code_text(sheet: BarSheet, project: str, shop_address: str = "") -> str:
    """What the square code on the sheet says: where a phone finds the bar, else only which sheet it is.

    Args:
        sheet: The sheet.
        project: Name of the project.
        shop_address: Where phones in the shop come in, such as `http://192.168.1.20:8642/`; empty where none do.
    """
    if shop_address:
        return screen_address(sheet.bar_id, shop_address, identity=sheet.identity)
    return f"hoopwright:{project}/{sheet.bar_id}/{sheet.identity}"


def screen_address(bar_id: str, served_at: str, *, identity: str = "") -> str:
    """Where a bar's screen at the bender is found.

    Args:
        bar_id: The bar.
        served_at: Address of the workbench; empty for a path on it.
        identity: Of the sheet in hand, which the screen then holds against that in force.
    """
    code = f"?code={identity}" if identity else ""
    return f"{served_at.rstrip('/')}/bend/{quote(bar_id).replace('/', '%2F')}{code}"


def count_words(count: int, noun: str) -> str:
    """`no bends`, `1 bend`, `4 bends`."""
    return f"{count or 'no'} {noun}{'' if count == 1 else 's'}"
