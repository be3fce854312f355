"""Photos, good and bad; Pillow itself writes them and reads back what was kept."""

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from hoopwright.findings import UserError
from hoopwright.papers.small_photo import LONGEST_SIDE_PX, MOST_BYTES, read_small_photo, small_photo


def written(image, kind, **how):
    out = io.BytesIO()
    image.save(out, kind, **how)
    return out.getvalue()


def picture(wide=300, high=200):
    """Grey, with its top left quarter red."""
    image = Image.new("RGB", (wide, high), (120, 120, 120))
    image.paste((220, 20, 20), (0, 0, wide // 2, high // 2))
    return image


def code(content, name="a.jpg"):
    with pytest.raises(UserError) as stopped:
        small_photo(content, name)
    (finding,) = stopped.value.findings
    assert name in finding.sentence
    assert finding.todo
    return finding.code


def png_that_claims(wide, high):
    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")


def is_red(image, right, down):
    red, green, blue = image.getpixel((right, down))
    return red > 150 and green < 90 and blue < 90


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_a_large_photo_becomes_small_and_looks_the_same(kind):
    small = small_photo(written(picture(4000, 3000), kind), "a")
    image = Image.open(io.BytesIO(small.jpeg))
    assert image.format == "JPEG"
    assert image.size == (small.width_px, small.height_px) == (1600, 1200)
    assert is_red(image, 400, 300)
    assert not is_red(image, 1200, 900)


def test_a_small_photo_is_not_made_larger():
    assert (small := small_photo(written(picture(), "PNG"), "a")).width_px == 300
    assert small.height_px == 200


# where the red quarter comes to lie, by the orientation tag. Source: TIFF 6.0, tag 274: which side of the picture the
# first row and column are
@pytest.mark.parametrize(
    ("tag", "corner"),
    [(1, "tl"), (2, "tr"), (3, "br"), (4, "bl"), (5, "tl"), (6, "tr"), (7, "br"), (8, "bl")],
)
def test_a_photo_is_turned_upright(tag, corner):
    exif = Image.Exif()
    exif[0x0112] = tag
    small = small_photo(written(picture(), "JPEG", exif=exif, quality=95), "a.jpg")
    image = Image.open(io.BytesIO(small.jpeg))
    assert image.size == ((300, 200) if tag < 5 else (200, 300))
    wide, high = image.size
    corners = {"tl": (20, 20), "tr": (wide - 20, 20), "bl": (20, high - 20), "br": (wide - 20, high - 20)}
    assert [name for name, at in corners.items() if is_red(image, *at)] == [corner]


def test_place_time_and_camera_are_taken_out():
    exif = Image.Exif()
    exif[0x010F], exif[0x0132] = "CameraMaker", "2026:03:14 10:00:00"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)
    content = written(picture(), "JPEG", exif=exif, comment=b"my garage", icc_profile=b"profile" * 20)
    assert all(word in content for word in (b"CameraMaker", b"my garage", b"profile"))
    small = small_photo(content, "a.jpg").jpeg
    for word in (b"Exif", b"CameraMaker", b"2026:03:14", b"my garage", b"profile"):
        assert word not in small
    assert dict(Image.open(io.BytesIO(small)).getexif()) == {}


@pytest.mark.parametrize("mode", ["L", "LA", "P", "RGBA", "1", "CMYK", "I;16"])
def test_pictures_of_every_kind_are_read(mode):
    if mode == "I;16":
        image = Image.fromarray(np.full((40, 60), 40_000, dtype=np.uint16))
    else:
        image = Image.new("L", (60, 40), 155).convert("RGBA" if mode == "LA" else mode)
        image = image.convert(mode)
    small = small_photo(written(image, "JPEG" if mode == "CMYK" else "PNG"), "a")
    red, green, blue = Image.open(io.BytesIO(small.jpeg)).getpixel((30, 20))
    assert max(red, green, blue) - min(red, green, blue) < 8
    assert mode == "1" or abs(red - 155) < 8


def test_what_is_clear_becomes_white():
    small = small_photo(written(Image.new("RGBA", (60, 40), (0, 0, 0, 0)), "PNG"), "a.png")
    assert Image.open(io.BytesIO(small.jpeg)).getpixel((30, 20)) == (255, 255, 255)


def test_the_same_photo_gives_the_same_bytes():
    content = written(picture(), "JPEG")
    assert small_photo(content, "a").jpeg == small_photo(content, "b").jpeg


def test_200_megapixels_are_refused_before_they_are_unpacked():
    assert code(png_that_claims(20_000, 10_000), "a.png") == "PHOTO-003"
    assert code(png_that_claims(9_000, 9_000), "a.png") == "PHOTO-003"
    jpeg = bytearray(written(Image.new("RGB", (64, 64)), "JPEG"))
    at = jpeg.index(b"\xff\xc0")
    jpeg[at + 5 : at + 9] = struct.pack(">HH", 12_500, 16_000)
    assert code(bytes(jpeg)) == "PHOTO-003"


def test_a_file_that_only_claims_to_be_a_picture():
    assert code(b"a letter", "a.jpg") == "PHOTO-001"
    assert code(b"%PDF-1.4", "a.png") == "PHOTO-001"
    assert code(b"\0\0\0\x18ftypheic" + bytes(100), "a.jpg") == "PHOTO-001"
    assert code(written(picture(), "GIF"), "a.jpg") == "PHOTO-001"


def test_an_empty_file():
    assert code(b"") == "PHOTO-004"


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@pytest.mark.parametrize("share", [0.05, 0.3, 0.6, 0.95])
def test_a_photo_that_is_cut_short(kind, share):
    noise = Image.fromarray(np.random.default_rng(1).integers(0, 255, (200, 300, 3), dtype=np.uint8))
    content = written(noise, kind)
    assert code(content[: int(len(content) * share)]) in ("PHOTO-001", "PHOTO-002")


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_damaged_bytes_never_break_more_than_the_photo(kind):
    content = written(picture(), kind)
    rolled = np.random.default_rng(7)
    for _ in range(150):
        broken = bytearray(content)
        for at, value in rolled.integers((0, 0), (len(broken), 256), (rolled.integers(1, 13), 2)):
            broken[at] = value
        assert tried(bytes(broken)) in ("taken", "PHOTO-001", "PHOTO-002", "PHOTO-003")


def tried(content):
    try:
        small = small_photo(content, "a")
    except UserError as error:
        return error.findings[0].code
    return "taken" if max(small.width_px, small.height_px) <= LONGEST_SIDE_PX else "too large"


def test_a_file_that_cannot_be_read(tmp_path):
    for path in (tmp_path, tmp_path / "gone.jpg"):
        with pytest.raises(UserError) as stopped:
            read_small_photo(path)
        assert stopped.value.findings[0].code == "PHOTO-005"


def test_a_file_of_too_many_bytes_is_not_read(tmp_path):
    path = tmp_path / "a.jpg"
    with path.open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    with pytest.raises(UserError) as stopped:
        read_small_photo(path)
    assert stopped.value.findings[0].code == "PHOTO-003"
