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
    with _silent_kernel(), tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "solids.step"
        _write(_document(parts, name), file)
        text = file.read_text(encoding="utf-8")
    whole = _HEADER.sub(lambda _found: _header(name, date, made_from), text, count=1)
    return _BEYOND_ASCII.sub(_escaped, whole).encode("ascii")


def _document(parts: Sequence[StepPart], name: str) -> Any:
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    assembly = None
    if len(parts) > 1:
        assembly = shapes.NewShape()
        _name(assembly, name)
    for part in parts:
        label = shapes.AddShape(part.shape, False)
        _name(label, part.name)
        if part.colour is not None:
            colours.SetColor(label, _kernel_colour(part.colour), XCAFDoc_ColorType.XCAFDoc_ColorGen)
        if assembly is not None:
            _name(shapes.AddComponent(assembly, label, TopLoc_Location()), part.name)
    shapes.UpdateAssemblies()
    return document


def _name(label: Any, name: str) -> None:
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name

    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))


def _kernel_colour(colour: Colour) -> Any:
    from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor

    red, green, blue = (value / 255.0 for value in colour)
    return Quantity_Color(red, green, blue, Quantity_TypeOfColor.Quantity_TOC_sRGB)


def _write(document: Any, file: Path) -> None:
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.STEPCAFControl import STEPCAFControl_Writer

    writer = STEPCAFControl_Writer()
    writer.SetNameMode(True)
    writer.SetColorMode(True)
    if not writer.Transfer(document) or writer.Write(str(file)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        msg = "the CAD kernel could not write the solids"
        raise ValueError(msg)


@contextmanager
def _silent_kernel() -> Iterator[None]:
    """Keep what the kernel says of its work off stdout, where JSON may be."""
    from OCP.Message import Message

    messenger = Message.DefaultMessenger_s()
    printers = list(messenger.Printers())
    for printer in printers:
        messenger.RemovePrinter(printer)
    try:
        yield
    finally:
        for printer in printers:
            messenger.AddPrinter(printer)


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
