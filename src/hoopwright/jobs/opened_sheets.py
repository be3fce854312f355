"""Opening one bar's sheet, from its name or from the code on a printed sheet."""

import re
from dataclasses import dataclass
from urllib.parse import unquote

from hoopwright.bender import BarSheet
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.calibrations import calibrations_at_hand
from hoopwright.jobs.sheets import SheetWishes, sheet_of
from hoopwright.jobs.shop_at_hand import shop_at_hand
from hoopwright.papers import bar_text
from hoopwright.store import IssuedSheet, ProjectFolder

_OPENS = re.compile(r"https?://[^\s?#]+/bend/(?P<bar>[^/?#\s]{1,60})\?code=(?P<code>[A-Za-z0-9-]{1,64})")
"""The code of a sheet that was issued while phones came in; the workbench's screens answer there."""


@dataclass(frozen=True, kw_only=True)
class OpenedSheet:
    """One sheet, opened by name or code.

    Args:
        sheet: As the bar is now, bent in the order in which it was last issued.
        text: The same as text, with its standing in the first line.
        in_force: Whether the sheet in hand (or, for a bare name, the last one issued) says the same as the bar
            now; None when none was ever issued.
        findings: That the sheet in hand is old.
    """

    sheet: BarSheet
    text: str
    in_force: bool | None
    findings: tuple[Finding, ...]


def open_sheet(folder: ProjectFolder, bar_or_code: str, date: str) -> OpenedSheet:
    """One bar's sheet, and whether the one in hand is in force.

    Raises:
        UserError: `CAGE-001` for a bar that is not there, `SHEET-012` for the code of another project; `CAL-...`
            and `BAR-...` as for issuing.
    """
    project = folder.open().project
    name, code = sheet_code(bar_or_code, project.name)
    member = project.cage.member(name)
    last = project.last_issued(name)
    wishes = (
        SheetWishes(date=date)
        if last is None
        else SheetWishes(date=date, order=last.order, swings=last.swings)
    )
    calibrations = calibrations_at_hand(folder, [member])
    sheet = sheet_of(project, member, calibrations, wishes, shop_at_hand())
    in_hand = code or (last.identity if last else None)
    in_force = None if in_hand is None else in_hand == sheet.identity
    text = bar_text(sheet, project=project.name)
    return OpenedSheet(
        sheet=sheet,
        text=f"{_standing(last, in_force, sheet)}\n\n{text}",
        in_force=in_force,
        findings=() if in_force is not False else (_old(name, str(in_hand), sheet),),
    )


def _standing(last: IssuedSheet | None, in_force: bool | None, sheet: BarSheet) -> str:
    if last is None:
        return "NEVER ISSUED: what follows is what a sheet would say now"
    if in_force:
        return f"IN FORCE: revision {sheet.revision}, issued {last.date}"
    return "OLD: the bar or its calibration has changed since; what follows is what a new sheet would say"


def _old(name: str, in_hand: str, sheet: BarSheet) -> Finding:
    return Finding(
        code="SHEET-013",
        sentence=f"The sheet {in_hand} of bar {name} is OLD: the bar is now {sheet.identity}.",
        todo="Do not bend from it. Issue the sheets again.",
        objects=(name,),
    )


def sheet_code(text: str, project_name: str) -> tuple[str, str | None]:
    """Bar and identity of a printed sheet's code, also of one that opens its bar on a phone, or the bar alone.

    Raises:
        UserError: `SHEET-012` for the code of another project.
    """
    opens = _OPENS.fullmatch(text)
    if opens:
        return unquote(opens["bar"]), opens["code"]
    if not text.startswith("hoopwright:"):
        return text, None
    project, _, rest = text.removeprefix("hoopwright:").rpartition("/")[0].rpartition("/")
    if project != project_name:
        raise UserError(
            Finding(
                code="SHEET-012",
                severity=Severity.STOP,
                sentence=f"That sheet belongs to the project '{project}', this one is '{project_name}'.",
                todo="Open the other project.",
                objects=(text,),
            )
        )
    return rest, text.rpartition("/")[2]
