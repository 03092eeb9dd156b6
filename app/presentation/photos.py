"""Photos of a record as a page shows them: small pictures with what they show."""

from collections.abc import Mapping, Sequence
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


@dataclass(frozen=True, slots=True)
class AsidePhoto:
    """A photo that was put aside: of what, its story in words, the small picture's size [px]."""

    id: str
    version: int
    of: str
    caption: str
    added: str
    put_aside: str
    width: int
    height: int


def aside_photo(row: Mapping[Any, Any]) -> AsidePhoto:
    """A row of the photos that were put aside, as their pages show it."""
    width, height = small_size(row)
    return AsidePhoto(
        id=row["public_id"], version=row["version"], of=f"{row['owner']} {row['name']}",
        caption=row["caption"] or "", added=_who_when(row["added_by"], row["added_at"]),
        put_aside=_who_when(row["put_aside_by"], row["put_aside_at"]),
        width=width, height=height,
    )


def small_size(row: Mapping[Any, Any]) -> tuple[int, int]:
    """Width and height of a photo's small picture [px]."""
    scale = min(1.0, SMALL_SIDE / max(row["width"], row["height"]))
    return max(1, round(scale * row["width"])), max(1, round(scale * row["height"]))


def _who_when(by: str, at: object) -> str:
    return f"{by}, {at:%Y-%m-%d}" if isinstance(at, datetime) else f"{by}, "


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
        said = row["caption"] or ""
        width, height = small_size(row)
        views.append(PhotoView(
            id=row["public_id"],
            alt=said or (f"Photo {place} of {count}: {of}" if count > 1 else f"Photo: {of}"),
            caption=said,
            added=_who_when(row["added_by"], row["added_at"]),
            width=width,
            height=height,
        ))
    return PhotoBox(action, of, tuple(views), problem, caption)
