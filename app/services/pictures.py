"""Pictures that somebody sends: told by their content, opened, turned upright, written anew.

What is kept was written by this program: whatever else lay in the file, a place where it was taken
or a script behind the picture, is not in it. The name of the file is not looked at.
"""

import hashlib
import io
import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.errors import BadInput, Problem

if TYPE_CHECKING:
    from PIL import Image

MOST_BYTES = 12 * 1024 * 1024
"""Of one file, as it was sent."""

MOST_PIXELS = 64_000_000
"""Of a JPEG, which is read at a part of its size; a phone's camera gives up to 50 million."""

MOST_PIXELS_WHOLE = 25_000_000
"""Of a PNG or WebP, which has to be read whole."""

LONGEST_SIDE = 2048
SMALL_SIDE = 320

FIELD = "photo"
_ONLY = "Choose a photo as JPEG, PNG or WebP."
_ONE_AT_A_TIME = threading.Lock()
"""A large picture takes hundreds of megabytes while it is opened; so one at a time."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture as it is kept: JPEG, with a small one of it; the digest is of what was sent."""

    full: bytes
    small: bytes
    width: int
    height: int
    digest: str


def kind_of(data: bytes) -> str | None:
    """JPEG, PNG or WEBP by the first bytes of the content; None for anything else.

    >>> kind_of(bytes.fromhex("ffd8ffe0") + bytes(8)), kind_of(b"<svg xmlns=")
    ('JPEG', None)
    """
    if data.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "WEBP"
    return None


def read_picture(data: bytes) -> Picture:
    """The picture of a file that was sent.

    Raises:
        BadInput: it is no picture, too large, or damaged; the sentence says what to send.
    """
    if len(data) > MOST_BYTES:
        raise _refused(f"A photo may have {MOST_BYTES // 1024 // 1024} MiB; this one has "
                       f"{len(data) / 1024 / 1024:.1f}. Send it smaller.")
    kind = kind_of(data)
    if kind is None:
        if data[4:8] == b"ftyp" and data[8:12] in (b"heic", b"heix", b"mif1", b"msf1", b"hevc"):
            raise _refused("This photo is HEIC, which few browsers show. Set the phone’s camera "
                           "to its most compatible format, or send it as JPEG.")
        raise _refused(_ONLY)
    with _ONE_AT_A_TIME:
        return _opened(data, kind)


def _opened(data: bytes, kind: str) -> Picture:
    # Opening pictures is no part of starting the server.
    from PIL import Image, ImageOps

    Image.MAX_IMAGE_PIXELS = None  # the size is looked at below, before anything is unpacked
    try:
        with Image.open(io.BytesIO(data), formats=(kind,)) as image:
            most = MOST_PIXELS if kind == "JPEG" else MOST_PIXELS_WHOLE
            if image.width * image.height > most:
                raise _refused(f"A photo may have {most // 1_000_000} million pixels; this one "
                               f"has {image.width} × {image.height}. Send it smaller.")
            # A JPEG can be read at a half, a quarter or an eighth, in so much less memory.
            image.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            upright = ImageOps.exif_transpose(image)
            if upright.mode in ("RGBA", "LA", "PA", "P"):
                upright = upright.convert("RGBA")
                ground = Image.new("RGBA", upright.size, "white")
                upright = Image.alpha_composite(ground, upright)
            plain = upright.convert("RGB")
    except BadInput:
        raise
    except (OSError, SyntaxError, ValueError, OverflowError, EOFError, ArithmeticError,
            KeyError, IndexError, TypeError, AttributeError) as error:
        # The library tells a damaged file in all these ways.
        told = "The file begins like a photo but can't be opened. Take it again, or send another."
        raise _refused(told) from error
    plain.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    full, size = _written(plain, 85), plain.size
    plain.thumbnail((SMALL_SIDE, SMALL_SIDE))
    return Picture(full, _written(plain, 75), *size, hashlib.sha256(data).hexdigest())


def _written(image: "Image.Image", quality: int) -> bytes:
    from PIL import Image

    # Its points alone: what the file said beside them stays behind.
    bare = Image.frombytes("RGB", image.size, image.tobytes())
    into = io.BytesIO()
    bare.save(into, "JPEG", quality=quality, optimize=True)
    return into.getvalue()


def _refused(told: str) -> BadInput:
    return BadInput([Problem(FIELD, told)])
