"""A photo as it is kept: upright, small, and without anything but its picture."""

import io
import struct
import warnings
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.units import shown

MOST_PIXELS = 64_000_000
"""Larger than what telephones write by themselves, small enough to be opened in about 200 MB."""
MOST_BYTES = 80_000_000
LONGEST_SIDE_PX = 1600
_QUALITY = 78
_KINDS = ("JPEG", "PNG")
_OF_ANOTHER_KIND = {
    b"ftypheic": "HEIC",
    b"ftypheix": "HEIC",
    b"ftypmif1": "HEIC",
    b"ftypavif": "AVIF",
}
_FAULTS = (
    OSError,
    SyntaxError,
    ValueError,
    TypeError,
    IndexError,
    KeyError,
    EOFError,
    struct.error,
    MemoryError,
)
"""What Pillow raises for pictures that are broken."""


@dataclass(frozen=True, kw_only=True)
class SmallPhoto:
    """A photo made small.

    Args:
        jpeg: The picture alone: no place, no time, no name of a telephone.
        width_px: Its width.
        height_px: Its height.
    """

    jpeg: bytes
    width_px: int
    height_px: int


def read_small_photo(path: Path) -> SmallPhoto:
    """A file as `small_photo` makes it; one that is too large is not even read.

    Raises:
        UserError: `PHOTO-005` for a file that cannot be read, else as `small_photo`.
    """
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise _too_large(path.name, size / 1e6, MOST_BYTES / 1e6, "MB")
        content = path.read_bytes()
    except OSError as error:
        why = error.strerror or str(error)
        raise _refused("PHOTO-005", path.name, f"cannot be read: {why}", "Name the file again.") from error
    return small_photo(content, path.name)


def photo_size_px(jpeg: bytes) -> tuple[int, int]:
    """Width and height of a photo that was made small here."""
    with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as image:
        return image.size


def small_photo(content: bytes, name: str) -> SmallPhoto:
    """A JPEG or PNG as a JPEG of at most 1600 pixels a side, turned upright, with nothing of the camera in it.

    The size that the file claims is looked at before anything is unpacked.

    Args:
        content: The file.
        name: Its name, for what is told.

    Raises:
        UserError: `PHOTO-001` for what is no JPEG or PNG, `PHOTO-002` for one that is broken, `PHOTO-003` for one of
            too many pixels or bytes, `PHOTO-004` for an empty file.
    """
    if not content:
        raise _refused("PHOTO-004", name, "is empty: it holds no byte", "Copy it from the camera again.")
    if len(content) > MOST_BYTES:
        raise _too_large(name, len(content) / 1e6, MOST_BYTES / 1e6, "MB")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the size is held against our own limit below
        image = _opened(content, name)
        pixels = image.width * image.height
        if pixels > MOST_PIXELS:
            raise _too_large(name, pixels / 1e6, MOST_PIXELS / 1e6, "megapixels")
        try:
            return _small(image)
        except _FAULTS as error:
            raise _broken(name, str(error) or type(error).__name__) from error


def _opened(content: bytes, name: str) -> Image.Image:
    try:
        return Image.open(io.BytesIO(content), formats=_KINDS)
    except Image.DecompressionBombError as error:
        raise _too_large(name, None, MOST_PIXELS / 1e6, "megapixels") from error
    except UnidentifiedImageError as error:
        kind = next((word for mark, word in _OF_ANOTHER_KIND.items() if mark in content[:32]), "")
        what = f"is a {kind} file" if kind else "is no picture in JPEG or PNG, whatever its name says"
        raise _refused("PHOTO-001", name, what, "Save it as JPEG and add that.") from error
    except _FAULTS as error:
        raise _broken(name, str(error) or type(error).__name__) from error


def _small(image: Image.Image) -> SmallPhoto:
    image.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))  # a large JPEG is unpacked small
    image.load()
    upright = ImageOps.exif_transpose(image)
    plain = _on_white(upright)
    plain.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX), Image.Resampling.LANCZOS)
    bare = Image.frombytes("RGB", plain.size, plain.tobytes())  # no profile, no comment goes along
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=_QUALITY)
    return SmallPhoto(jpeg=out.getvalue(), width_px=bare.width, height_px=bare.height)


def _on_white(image: Image.Image) -> Image.Image:
    """The picture in red, green and blue, on white where it is transparent; 16 bits become 8."""
    if image.mode.startswith("I"):
        image = image.convert("I").point(lambda value: value / 257.0).convert("L")
    if "A" in image.getbands() or "transparency" in image.info:
        whole = image.convert("RGBA")
        paper = Image.new("RGBA", whole.size, "white")
        return Image.alpha_composite(paper, whole).convert("RGB")
    return image.convert("RGB")


def _broken(name: str, why: str) -> UserError:
    return _refused(
        "PHOTO-002", name, f"cannot be read to its end: {why.splitlines()[0].rstrip('.')}", "Copy it again."
    )


def _too_large(name: str, measured: float | None, limit: float, unit: str) -> UserError:
    size = (
        f"is of {shown(measured, 0)} {unit}" if measured is not None else f"is of far more {unit} than that"
    )
    return UserError(
        Finding(
            code="PHOTO-003",
            severity=Severity.STOP,
            sentence=f"{name} {size}; {shown(limit, 0)} {unit} is the most that is read. It was not unpacked.",
            todo="Make it smaller and add that.",
            objects=(name,),
            measured=measured,
            limit=limit,
            unit=unit,
        )
    )


def _refused(code: str, name: str, what: str, todo: str) -> UserError:
    return UserError(
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=f"{name} {what}. It was not added.",
            todo=todo,
            objects=(name,),
        )
    )
