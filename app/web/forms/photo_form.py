"""Photos that come with a form: how much may be sent to which address, and what was sent."""

import re
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends
from sqlalchemy.engine import Engine
from starlette.datastructures import UploadFile
from starlette.requests import Request

from app.errors import BadInput, Problem
from app.records.photo_queries import Owner
from app.services import photos
from app.services.pictures import FIELD, MOST_BYTES, read_picture
from app.web.forms.reader import FormReader
from app.web.visitor import visitor_of

MOST_AT_ONCE = 6
MOST_SENT = 2 * MOST_BYTES
"""Bytes of one request with photos."""

_ADDRESS = re.compile(r"/(?:tests|findings)/[a-z0-9]{1,20}/photos")


def body_limit(method: str, path: str, usual: int) -> int:
    """Bytes that one request may hold: more at the addresses of photos, and nowhere else.

    >>> body_limit("POST", "/tests/abc/photos", 9), body_limit("POST", "/tests/new", 9)
    (25165824, 9)
    """
    if method == "POST" and _ADDRESS.fullmatch(path):
        return max(usual, MOST_SENT)
    return usual


@dataclass(frozen=True)
class PhotosSent:
    """A form with the bytes of its files; their names are the sender's and not used."""

    form: FormReader
    files: tuple[bytes, ...]


async def _sent(request: Request) -> PhotosSent:
    # Both file boxes of the form send an empty part where nothing was chosen.
    async with request.form(max_files=MOST_AT_ONCE + 2, max_fields=20) as data:
        form = FormReader({k: v for k, v in data.items() if isinstance(v, str)})
        form.by = visitor_of(request).name or None
        files = [await one.read() for one in data.getlist(FIELD) if isinstance(one, UploadFile)]
    return PhotosSent(form, tuple(one for one in files if one))


SentPhotos = Annotated[PhotosSent, Depends(_sent)]
"""The form with its photos, as a handler asks for it."""


def keep(engine: Engine, owner: Owner, record: str, sent: PhotosSent, by: str) -> str:
    """Keep the photos that were sent; what to tell.

    Raises:
        NotFound: there is no such record in use.
        BadInput: none was chosen, too many, or one can't be kept; none of them is.
    """
    if not sent.files:
        raise BadInput([Problem(FIELD, "Take or choose a photo first.")])
    if len(sent.files) > MOST_AT_ONCE:
        told = f"Send {MOST_AT_ONCE} photos at once at most; these are {len(sent.files)}."
        raise BadInput([Problem(FIELD, told)])
    caption = " ".join(sent.form.raw.get("caption", "").split()) or None
    pictures = [read_picture(one) for one in sent.files]
    new = photos.add(engine, owner, record, pictures, caption, by=by)
    if not new:
        return "That photo is there already."
    return "Photo added." if new == 1 else f"{new} photos added."
