"""Photos of a record as a page shows them: small pictures with what they show."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

SMALL_SIDE = 320
"""Longest side of a small picture [px]."""


@dataclass(frozen=True, slots=True)
class PhotoView:
    """One photo: the small picture's size [px], and what is said of it."""

    id: str
    alt: str
    caption: str
    added: str
    width: int
    height: int


@dataclass(frozen=True)
class PhotoBox:
    """The photos of one record, and the form that adds to them.

    Attributes:
        action: where the form goes.
        of: what they are photos of, in words.
        photos: in the order in which they came.
        problem: why what was sent is not kept, "" for nothing.
        caption: what stands in the caption's box.
    """

    action: str
    of: str
    photos: tuple[PhotoView, ...]
    problem: str = ""
    caption: str = ""


def photo_box(
    action: str, of: str, rows: Sequence[Any], problem: str = "", caption: str = ""
) -> PhotoBox:
    """The photos of one record.

    Args:
        action: where the form goes that adds to them.
        of: what they are photos of, in words.
        rows: of the table, without the pictures.
        problem: why what was sent is not kept.
        caption: what was typed with it.
    """
    count = len(rows)
    views = []
    for place, row in enumerate(rows, start=1):
        scale = min(1.0, SMALL_SIDE / max(row["width"], row["height"]))
        said = row["caption"] or ""
        at = row["added_at"]
        when = f"{at:%Y-%m-%d}" if isinstance(at, datetime) else ""
        views.append(PhotoView(
            id=row["public_id"],
            alt=said or (f"Photo {place} of {count}: {of}" if count > 1 else f"Photo: {of}"),
            caption=said,
            added=f"{row['added_by']}, {when}",
            width=max(1, round(scale * row["width"])),
            height=max(1, round(scale * row["height"])),
        ))
    return PhotoBox(action, of, tuple(views), problem, caption)
