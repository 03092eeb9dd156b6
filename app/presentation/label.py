"""A label for a pack's box: its name, a few words to tell it by, and its page as a square code."""

from dataclasses import dataclass
from datetime import datetime
from ipaddress import ip_address
from urllib.parse import urlsplit

from app.documents import Pack
from app.presentation.numbers import number_text, with_unit
from app.presentation.pack_sheet import CLAMP_WORDS, MOUNTING_WORDS, facing_word

QUIET = 4
"""Clear modules around the code, as ISO/IEC 18004 asks."""


@dataclass(frozen=True, slots=True)
class Code:
    """A square code as a drawing: modules on a side, clear edge included, and the dark ones."""

    side: int
    path: str


@dataclass(frozen=True, slots=True)
class Label:
    """What the page of a label shows.

    Attributes:
        lines: what can be told from the pack in the hand.
        address: what the code leads to.
        only_here: no other computer reaches that address.
    """

    id: str
    name: str
    lines: tuple[str, ...]
    address: str
    code: Code
    printed: str
    only_here: bool


def label_of(key: str, pack: Pack, address: str, now: datetime) -> Label:
    """The label of a pack whose page is at an address."""
    return Label(
        id=key,
        name=pack.name,
        lines=tuple(_lines(pack)),
        address=address,
        code=code_of(address),
        printed=f"{now:%Y-%m-%d}",
        only_here=_is_loopback(urlsplit(address).hostname or ""),
    )


def code_of(text: str) -> Code:
    """A text as a QR code (ISO/IEC 18004), a sixth of which may be soiled.

    Its rows are drawn as runs of dark modules, one unit high.
    """
    # Only a label needs it; it would lengthen every start.
    import segno

    rows = segno.make_qr(text, error="m").matrix
    path = []
    for y, row in enumerate(rows, start=QUIET):
        start = None
        for x, dark in enumerate((*row, 0), start=QUIET):
            if dark and start is None:
                start = x
            elif not dark and start is not None:
                path.append(f"M{start} {y}h{x - start}v1H{start}z")
                start = None
    return Code(len(rows) + 2 * QUIET, "".join(path))


def _lines(pack: Pack) -> list[str]:
    lines = []
    if pack.friction_plates is not None:
        lines.append(f"{pack.friction_plates} friction plates")
    outside, inside = pack.facing_od_mm, pack.facing_id_mm
    if outside is not None and inside is not None:
        sizes = f"{number_text(outside.value)} / {number_text(inside.value)}"
        material = f", {facing_word(pack.facing)}" if pack.facing else ""
        lines.append(f"Facing {with_unit(sizes, 'mm')}{material}")
    if pack.clamp is not None:
        lines.append(CLAMP_WORDS[pack.clamp.kind])
    if pack.mounting is not None:
        lines.append(MOUNTING_WORDS[pack.mounting])
    return lines


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
