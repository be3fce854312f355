"""Solids to a STEP file (ISO 10303-21, application protocol 214): the same solids give the same bytes."""

import re
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hoopwright.papers.kernel import require_kernel
from hoopwright.papers.picture import Colour

_SCHEMA = "AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }"
_HEADER = re.compile(r"HEADER;.*?ENDSEC;", re.DOTALL)
_SOLID = re.compile(
    r"= ADVANCED_BREP_SHAPE_REPRESENTATION\(\s*'[^']*',\s*\(\s*#\d+,\s*#(\d+)\s*\),\s*#(\d+)\s*\)"
)
_NUMBER = re.compile(r"^#(\d+) = ", re.MULTILINE)
_FLAT_EDGES = "write.surfacecurve.mode"
_BEYOND_ASCII = re.compile(r"[^\n\r -~]+")


@dataclass(frozen=True, kw_only=True, eq=False)
class StepPart:
    """A part of a STEP file.

    Args:
        name: Its product's name.
        shape: The kernel's solid, mm.
        colour: Red, green, blue, 0 to 255; None leaves it to the reader.
    """

    name: str
    shape: Any
    colour: Colour | None = None


def step_bytes(parts: Sequence[StepPart], *, name: str, date: str, made_from: str = "") -> bytes:
    """One part alone, or an assembly of parts where they lie.

    Args:
        parts: At least one; one alone is written without an assembly.
        name: Of the assembly, and of the file in its header.
        date: ISO 8601; the clock is never read.
        made_from: What the file was made from, for its header.

    Raises:
        UserError: `FILE-101` without the kernel.
        ValueError: Without parts, or when the kernel cannot write them.
    """
    require_kernel()
    if not parts:
        msg = "a STEP file needs at least one part"
        raise ValueError(msg)
    with _quiet_kernel(), tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "solids.step"
        _write(_document(parts, name), file)
        text = file.read_text(encoding="utf-8")
    whole = _HEADER.sub(lambda _found: _header(name, date, made_from), text, count=1)
    return _BEYOND_ASCII.sub(_escaped, _painted(whole, parts)).encode("ascii")


def _document(parts: Sequence[StepPart], name: str) -> Any:
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    assembly = None
    if len(parts) > 1:
        assembly = shapes.NewShape()
        _name(assembly, name)
    for part in parts:
        label = shapes.AddShape(part.shape, False)
        _name(label, part.name)
        if assembly is not None:
            _name(shapes.AddComponent(assembly, label, TopLoc_Location()), part.name)
    shapes.UpdateAssemblies()
    return document


def _name(label: Any, name: str) -> None:
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name

    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))


def _write(document: Any, file: Path) -> None:
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.STEPCAFControl import STEPCAFControl_Writer

    writer = STEPCAFControl_Writer()
    writer.SetNameMode(True)
    writer.SetColorMode(False)
    if not writer.Transfer(document) or writer.Write(str(file)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        msg = "the CAD kernel could not write the solids"
        raise ValueError(msg)


@contextmanager
def _quiet_kernel() -> Iterator[None]:
    """Keep what the kernel says off stdout, where JSON may be, and the flat copies of its edges out of the file."""
    from OCP.Interface import Interface_Static
    from OCP.Message import Message
    from OCP.STEPCAFControl import STEPCAFControl_Controller

    STEPCAFControl_Controller.Init_s()
    messenger = Message.DefaultMessenger_s()
    printers = list(messenger.Printers())
    flat_edges = Interface_Static.IVal_s(_FLAT_EDGES)
    for printer in printers:
        messenger.RemovePrinter(printer)
    Interface_Static.SetIVal_s(_FLAT_EDGES, 0)
    try:
        yield
    finally:
        Interface_Static.SetIVal_s(_FLAT_EDGES, flat_edges)
        for printer in printers:
            messenger.AddPrinter(printer)


def _painted(text: str, parts: Sequence[StepPart]) -> str:
    """The file with the colours of its solids, which the kernel would write in another order each time.

    Source: ISO 10303-46, styled items; one for each solid, in the context of its representation.
    """
    solids = _SOLID.findall(text)
    if len(solids) != len(parts):
        msg = f"the CAD kernel wrote {len(solids)} solids for {len(parts)} parts"
        raise ValueError(msg)
    number = max(int(found) for found in _NUMBER.findall(text)) + 1
    lines = []
    for (solid, context), part in zip(solids, parts, strict=True):
        if part.colour is None:
            continue
        red, green, blue = (f"{value / 255.0:.6f}" for value in part.colour)
        told = (
            f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{number + 1}),#{context})",
            f"STYLED_ITEM('color',(#{number + 2}),#{solid})",
            f"PRESENTATION_STYLE_ASSIGNMENT((#{number + 3}))",
            f"SURFACE_STYLE_USAGE(.BOTH.,#{number + 4})",
            f"SURFACE_SIDE_STYLE('',(#{number + 5}))",
            f"SURFACE_STYLE_FILL_AREA(#{number + 6})",
            f"FILL_AREA_STYLE('',(#{number + 7}))",
            f"FILL_AREA_STYLE_COLOUR('',#{number + 8})",
            f"COLOUR_RGB('',{red},{green},{blue})",
        )
        lines += [f"#{number + step} = {entity};\n" for step, entity in enumerate(told)]
        number += len(told)
    before, end, after = text.rpartition("ENDSEC;")
    return f"{before}{''.join(lines)}{end}{after}"


def _header(name: str, date: str, made_from: str) -> str:
    """The header section of ISO 10303-21; the kernel's own has the clock and a path of this machine in it."""
    described = _quoted(f"{name}, made from {made_from}" if made_from else name)
    return (
        "HEADER;\n"
        f"FILE_DESCRIPTION(({described}),'2;1');\n"
        f"FILE_NAME({_quoted(name)},{_quoted(f'{date}T00:00:00')},(''),(''),'hoopwright','hoopwright','');\n"
        f"FILE_SCHEMA(('{_SCHEMA}'));\n"
        "ENDSEC;"
    )


def _quoted(text: str) -> str:
    doubled = text.replace("\\", "\\\\").replace("'", "''")
    return f"'{doubled}'"


def _escaped(found: re.Match[str]) -> str:
    r"""Letters that are not ASCII as ISO 10303-21 has them: `\X2\....\X0\`, or `\X4\` beyond four digits."""
    letters = found.group()
    wide = any(ord(letter) > 0xFFFF for letter in letters)
    digits = "".join(f"{ord(letter):0{8 if wide else 4}X}" for letter in letters)
    return f"\\X{4 if wide else 2}\\{digits}\\X0\\"
