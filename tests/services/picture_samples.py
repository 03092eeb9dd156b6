"""Pictures for the tests, all drawn here, honest ones and others."""

import io
import struct
import zlib
from typing import Any

from PIL import Image


def drawn(
    kind: str = "JPEG", size: tuple[int, int] = (60, 40), colour: Any = (200, 30, 30),
    mode: str = "RGB", **how: Any,
) -> bytes:
    """A plain picture of one colour."""
    into = io.BytesIO()
    Image.new(mode, size, colour).save(into, kind, **how)
    return into.getvalue()


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def huge_png(width: int, height: int) -> bytes:
    """A PNG of a few bytes whose head says that it is enormous."""
    def chunk(kind: bytes, data: bytes) -> bytes:
        return (struct.pack(">I", len(data)) + kind + data
                + struct.pack(">I", zlib.crc32(kind + data)))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head)
            + chunk(b"IDAT", zlib.compress(bytes(100))) + chunk(b"IEND", b""))


def huge_jpeg(width: int, height: int) -> bytes:
    """A JPEG whose head says that it is enormous."""
    data = bytearray(drawn())
    place = data.index(b"\xff\xc0") + 5
    data[place:place + 4] = struct.pack(">HH", height, width)
    return bytes(data)


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HTML = b"<!doctype html><script>alert(1)</script>"
GIF = drawn("GIF", mode="P", colour=3)
HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(40)
