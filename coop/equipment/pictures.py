"""Reading a picture that somebody sent, whatever is in it, and making it small and anonymous."""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass
from io import BytesIO
from typing import IO, Any

from PIL import Image, ImageOps, UnidentifiedImageError

from coop.equipment.errors import Refused

#: What a phone or a camera writes. Fewer readers are fewer ways in.
FORMATS = ("JPEG", "PNG", "WEBP")
#: What a field for a picture asks a phone for; without HEIC among it, phones send JPEG.
ACCEPT = "image/jpeg,image/png,image/webp"
MEGABYTE = 1_000_000
MOST_BYTES = 10 * MEGABYTE
#: Decoded, a pixel takes up to 4 bytes: this many take 200 MB at worst.
MOST_PIXELS = 50_000_000
LONGEST_SIDE = 1280
QUALITY = 82
#: An MP4-like box at the start, and the brands of it that HEIC pictures have.
BOX, BRAND = slice(4, 8), slice(8, 12)
HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")

#: All that Pillow's readers raise on bytes that only pretend to be a picture.
UNREADABLE = (
    UnidentifiedImageError,
    OSError,
    SyntaxError,
    ValueError,
    TypeError,
    LookupError,
    ArithmeticError,
    EOFError,
    AttributeError,
    struct.error,
    zlib.error,
)
TOO_MANY_PIXELS = (Image.DecompressionBombError, Image.DecompressionBombWarning)


class NoPicture(Refused):
    """What was sent cannot be kept as a photo."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence, field="photo")


@dataclass(frozen=True)
class Picture:
    """A JPEG with its pixels and nothing else, at most `LONGEST_SIDE` pixels a side."""

    jpeg: bytes
    width: int
    height: int


def read_picture(file: IO[bytes] | Any) -> Picture:
    """A sent file as a small JPEG, upright, without place, time, camera, or anything hidden in it.

    `file`: anything with `read`. Of several frames the first. Raises NoPicture.
    """
    data = file.read(MOST_BYTES + 1)
    if not data:
        raise NoPicture("The file is empty. Choose a photo.")
    if len(data) > MOST_BYTES:
        raise NoPicture(
            f"The photo has more than {MOST_BYTES // MEGABYTE} MB. Choose a smaller one."
        )
    try:
        return _made_small(data)
    except TOO_MANY_PIXELS as error:
        raise _too_many_pixels() from error
    except UNREADABLE as error:
        raise _no_picture(data) from error


def _made_small(data: bytes) -> Picture:
    with Image.open(BytesIO(data), formats=FORMATS) as image:
        # Only the head has been read so far: a small file may claim to be larger than memory.
        if image.width * image.height > MOST_PIXELS:
            raise _too_many_pixels()
        # A JPEG can be decoded small at once.
        image.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
        small = _in_colour(image)
        small.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        return _encoded(ImageOps.exif_transpose(small))


def _in_colour(image: Image.Image) -> Image.Image:
    if image.has_transparency_data:
        return image.convert("RGBA")
    return image if image.mode == "RGB" else image.convert("RGB")


def _encoded(image: Image.Image) -> Picture:
    """Its pixels on a new white sheet, so that nothing that came along goes on with them."""
    sheet = Image.new("RGB", image.size, "white")
    sheet.paste(image, mask=image.getchannel("A") if image.mode == "RGBA" else None)
    written = BytesIO()
    sheet.save(written, "JPEG", quality=QUALITY, optimize=True, progressive=True)
    return Picture(written.getvalue(), *sheet.size)


def _too_many_pixels() -> NoPicture:
    return NoPicture(
        f"The photo has more than {MOST_PIXELS // 1_000_000} million pixels. Choose a smaller one."
    )


def _no_picture(data: bytes) -> NoPicture:
    if data[BOX] == b"ftyp" and data[BRAND] in HEIC_BRANDS:
        return NoPicture("A HEIC photo cannot be read here. Save it as JPEG and choose that.")
    return NoPicture("That cannot be read as a photo. Choose a JPEG, PNG or WebP picture.")
