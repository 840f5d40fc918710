"""Photographs as telephones save them: told by content, bounded before they are decoded, small ones that tell nothing.

Orientation: Exif 2.32 tag 274, value 6 is "turn a quarter clockwise to see it upright"; HEIF's own `irot` property
does the same (ISO/IEC 23008-12; both from memory). The files are written by Pillow and libheif, not by us.
"""

import datetime
import io
import struct
import zlib
from pathlib import Path

import pillow_heif
import pytest
from PIL import Image

from asfound.capture.ground_glass import read_grey
from asfound.capture.photograph import read_light
from asfound.capture.picture import MOST_PIXELS, draw_pins, identify, look_at, taken_at, write_thumbnail
from asfound.problems import BadInputError

RED = (220, 20, 20)
KINDS = {
    "JPEG": "image/jpeg",
    "MPO": "image/jpeg",
    "PNG": "image/png",
    "WEBP": "image/webp",
    "GIF": "image/gif",
    "HEIF": "image/heic",
}


def marked(size: tuple[int, int] = (400, 200)) -> Image.Image:
    """Return a white picture, red in its upper left corner."""
    image = Image.new("RGB", size, "white")
    image.paste(RED, (0, 0, size[0] // 4, size[1] // 4))
    return image


def exif(orientation: int = 1, taken: str = "", offset: str = "", place: bool = False) -> bytes:
    tags = Image.Exif()
    tags[0x0112] = orientation
    fields = tags.get_ifd(0x8769)
    if taken:
        fields[0x9003] = taken
    if offset:
        fields[0x9011] = offset
    if place:
        gps = tags.get_ifd(0x8825)
        gps[1], gps[2], gps[0x1D] = "N", (12.0, 34.0, 56.0), "2026:03:04"
    return tags.tobytes()


def saved(kind: str, image: Image.Image | None = None, data: bytes = b"", **more: object) -> bytes:
    image = marked() if image is None else image
    if data:
        image.info["exif"] = data
    held = io.BytesIO()
    if kind == "MPO":
        more |= {"save_all": True, "append_images": [image]}
    image.save(held, kind, **({"exif": data} if data and kind != "GIF" else {}), **more)
    return held.getvalue()


def small(content: bytes, folder: Path, width: int = 100) -> Image.Image:
    (folder / "original").write_bytes(content)
    write_thumbnail(folder / "original", folder / "small.jpg", width=width)
    with Image.open(folder / "small.jpg") as image:
        image.load()
        return image


def is_red(pixel: object) -> bool:
    assert isinstance(pixel, tuple)
    return bool(pixel[0] > 180 and pixel[1] < 80)


@pytest.mark.parametrize("kind", KINDS)
def test_its_content_says_what_it_is(kind: str) -> None:
    stream = io.BytesIO(saved(kind))
    assert identify(stream, "IMG_1.HEIC") == KINDS[kind]
    assert stream.tell() == 0


@pytest.mark.parametrize("kind", KINDS)
def test_a_small_one_is_a_jpeg_of_the_same_picture(kind: str, tmp_path: Path) -> None:
    image = small(saved(kind), tmp_path)
    assert image.format == "JPEG"
    assert image.size == (100, 50)
    assert is_red(image.getpixel((5, 5)))
    assert not is_red(image.getpixel((95, 5)))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_a_photograph_held_sideways_is_shown_upright(kind: str, tmp_path: Path) -> None:
    image = small(saved(kind, data=exif(6)), tmp_path)
    assert image.size == (100, 200)
    # What was the upper left corner is the upper right one once it is turned clockwise.
    assert is_red(image.getpixel((95, 5)))
    assert not is_red(image.getpixel((5, 5)))


def test_a_photograph_is_measured_upright_too(tmp_path: Path) -> None:
    path = tmp_path / "side.heic"
    path.write_bytes(saved("HEIF", data=exif(6)))
    assert read_light(path).shape == read_grey(path).shape == (400, 200)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_where_it_was_taken_stays_in_the_original(kind: str, tmp_path: Path) -> None:
    data = exif(6, taken="2026:03:04 05:06:07", place=True)
    more = {"comment": b"taken at the owner's house"} if kind == "JPEG" else {}
    content = saved(kind, data=data, **more)
    assert b"2026:03:04" in content
    small(content, tmp_path)
    copy = (tmp_path / "small.jpg").read_bytes()
    with Image.open(io.BytesIO(copy)) as image:
        assert dict(image.getexif()) == {}
        assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "dpi", "icc_profile"}
    assert b"Exif" not in copy
    assert b"2026" not in copy
    assert b"owner" not in copy


def test_the_colours_of_a_wide_profile_are_kept(tmp_path: Path) -> None:
    from PIL import ImageCms

    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    assert small(saved("JPEG", icc_profile=profile), tmp_path).info["icc_profile"] == profile


def test_a_drawing_without_paper_is_drawn_on_white(tmp_path: Path) -> None:
    held = io.BytesIO()
    Image.new("RGBA", (40, 40), (0, 0, 0, 0)).save(held, "PNG")
    assert small(held.getvalue(), tmp_path, width=20).getpixel((10, 10)) == (255, 255, 255)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_it_tells_when_it_was_taken(kind: str) -> None:
    content = saved(kind, data=exif(taken="2026:03:04 05:06:07", offset="+02:00"))
    taken = look_at(io.BytesIO(content), "p").taken
    assert taken == datetime.datetime(2026, 3, 4, 3, 6, 7, tzinfo=datetime.UTC)


def test_without_its_offset_the_time_is_left_without_one() -> None:
    assert taken_at(exif(taken="2026:03:04 05:06:07")) == datetime.datetime(2026, 3, 4, 5, 6, 7)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"Exif\0\0",
        b"Exif\0\0II*\0\xff\xff\xff\xff",
        exif(),
        exif(taken="0000:00:00 00:00:00"),
        exif(taken="today"),
    ],
)
def test_a_time_that_cannot_be_read_is_none(data: bytes) -> None:
    assert taken_at(data) is None


def chunk(kind: bytes, data: bytes) -> bytes:
    """Return a chunk of a PNG (ISO/IEC 15948, from memory)."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png_of(width: int, height: int) -> bytes:
    """Return a PNG that says it is so large, and holds almost nothing (PNG, ISO/IEC 15948, from memory)."""

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")
    )


def jpeg_of(width: int, height: int) -> bytes:
    content = saved("JPEG")
    size = struct.pack(">HH", 200, 400)
    at = content.index(b"\xff\xc0") + 5
    assert content[at : at + 4] == size
    return content[:at] + struct.pack(">HH", height, width) + content[at + 4 :]


def heic_of(width: int, height: int) -> bytes:
    content = saved("HEIF")
    at = content.index(b"ispe") + 8
    assert content[at : at + 8] == struct.pack(">II", 400, 200)
    return content[:at] + struct.pack(">II", width, height) + content[at + 8 :]


def webp_of(width: int, height: int) -> bytes:
    """Return a WebP whose extended head says it is so large (RFC 9649, from memory)."""
    content = saved("WEBP")
    head = (
        b"VP8X"
        + struct.pack("<I", 10)
        + bytes(4)
        + (width - 1).to_bytes(3, "little")
        + (height - 1).to_bytes(3, "little")
    )
    body = b"WEBP" + head + content[12:]
    return b"RIFF" + struct.pack("<I", len(body)) + body


BOMBS = {"PNG": png_of, "JPEG": jpeg_of, "HEIC": heic_of, "WebP": webp_of}


@pytest.mark.parametrize("kind", BOMBS)
def test_a_small_file_that_unfolds_to_a_huge_picture_is_refused_before_it_is_unfolded(
    kind: str, tmp_path: Path
) -> None:
    side = 16_000
    assert side * side > MOST_PIXELS
    content = BOMBS[kind](side, side)
    assert len(content) < 10_000
    with pytest.raises(BadInputError, match=r"million pixels|damaged|no photograph"):
        look_at(io.BytesIO(content), "bomb")
    path = tmp_path / "bomb"
    path.write_bytes(content)
    for read in (read_light, read_grey):
        with pytest.raises(BadInputError):
            read(path)


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "HEIC"])
def test_what_is_too_large_is_told_in_pixels(kind: str) -> None:
    with pytest.raises(BadInputError, match="more than 100 million pixels"):
        look_at(io.BytesIO(BOMBS[kind](16_000, 16_000)), "bomb")


def test_a_png_whose_text_unfolds_without_end_is_refused_or_taken_within_bounds(tmp_path: Path) -> None:
    plain = saved("PNG")
    text = chunk(b"zTXt", b"Comment\0\0" + zlib.compress(bytes(200_000_000), 9))
    content = plain[:33] + text + plain[33:]
    with pytest.raises(BadInputError, match="damaged"):
        look_at(io.BytesIO(content), "bomb")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF", "GIF"])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_photograph_cut_short_is_refused_when_it_is_made_small(kind: str, share: float, tmp_path: Path) -> None:
    noise = Image.effect_noise((300, 300), 90).convert("RGB")
    content = saved(kind, noise)
    with pytest.raises(BadInputError):
        small(content[: int(len(content) * share)], tmp_path)


@pytest.mark.parametrize(
    "content", [b"", b"%!PS-Adobe-3.0 EPSF-3.0\n", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"II*\0"]
)
def test_what_a_page_cannot_show_is_no_photograph(content: bytes) -> None:
    with pytest.raises(BadInputError, match=r"no photograph|damaged"):
        look_at(io.BytesIO(content), "x.jpg")


def test_the_reader_of_telephones_pictures_is_there() -> None:
    assert pillow_heif.libheif_info()["decoders"]


def test_pins_are_drawn_where_they_belong_for_print(tmp_path: Path) -> None:
    path = tmp_path / "small.jpg"
    Image.new("RGB", (400, 200), "white").save(path, "JPEG")
    draw_pins(path, [(1, 0.25, 0.5, None, None), (12, 0.5, 0.25, 0.9, 0.75)])
    with Image.open(path) as image:
        drawn = image.convert("RGB")
    assert drawn.size == (400, 200)

    def red(x: float, y: float) -> bool:
        r, g, b = drawn.getpixel((round(x * 400), round(y * 200)))  # type: ignore[misc]
        return bool(r > 130 and g < 110 and b < 110)

    # Beside its number a pin's head is red; so is an arrow half way to its tip.
    assert red(0.25 + 0.018, 0.5 + 0.01)
    assert red(0.7, 0.5)
    assert not red(0.25, 0.2)
    assert not red(0.7, 0.7)
