"""Photos: shown to who may see their records, put aside, brought back, taken out for good."""

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.errors import NotFound
from app.presentation.photos import aside_photo
from app.records import database
from app.records.base import Row
from app.services import photos
from app.services.catalogue import findings
from app.web.deps import ReadSessionDep
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import SentForm, sent_version, usual_name, who
from app.web.htmx import redirect
from app.web.notices import Notice
from app.web.render import page

router = APIRouter()

SHUT = "default-src 'none'; sandbox"
"""Opened by itself, a picture may load nothing and run nothing."""


@router.get("/photos/put-aside")
def put_aside_list(request: Request, session: ReadSessionDep) -> Response:
    """Photos that were put aside, for administrators: to bring back, or to take out for good."""
    view = tuple(aside_photo(row) for row in photos.photos_aside(session))
    return page(request, "pages/photos/put_aside.html", view)


@router.get("/photos/put-aside/{key}")
def ask(request: Request, session: ReadSessionDep, key: str) -> Response:
    """Ask once more before a photo is taken out."""
    row = photos.home(session, key)
    if row["put_aside_at"] is None:
        raise NotFound("photo", key)
    return page(request, "pages/photos/take_out.html", aside_photo(row))


@router.get("/photos/put-aside/{key}/small")
def small_aside(session: ReadSessionDep, key: str) -> Response:
    """A photo that was put aside, small; no browser keeps it."""
    answer = _picture(session, key, small=True, aside=True)
    answer.headers["Cache-Control"] = "no-store"
    return answer


@router.post("/photos/put-aside/{key}/take-out")
def take_out(request: Request, form: SentForm, key: str) -> Response:
    """Take a photo out for good."""
    engine = request.app.state.engine
    row = photos.take_out(engine, key, sent_version(form), by=_who(request, form))
    told = Notice(f"The photo of {row['name']} was taken out for good.")
    return redirect(request, "/photos/put-aside", told)


@router.get("/photos/{key}")
def full(session: ReadSessionDep, key: str) -> Response:
    """A photo as large as it is kept."""
    return _picture(session, key, small=False)


@router.get("/photos/{key}/small")
def small(session: ReadSessionDep, key: str) -> Response:
    """A photo as small as a page shows it."""
    return _picture(session, key, small=True)


@router.post("/photos/{key}/put-aside")
def put_aside(request: Request, form: SentForm, key: str) -> Response:
    """Put a photo aside; the next page offers to undo it."""
    engine = request.app.state.engine
    row = photos.put_aside(engine, key, by=_who(request, form))
    words = "The photo was put aside; an administrator can take it out for good."
    told = Notice(words, undo=f"/photos/{key}/bring-back")
    return redirect(request, _home(request, row), told)


@router.post("/photos/{key}/bring-back")
def bring_back(request: Request, form: SentForm, key: str) -> Response:
    """Bring a photo back."""
    row = photos.bring_back(request.app.state.engine, key, by=_who(request, form))
    return redirect(request, _home(request, row), Notice("The photo is there again."))


def _picture(session: Session, key: str, *, small: bool, aside: bool = False) -> Response:
    data = photos.picture(session, key, small=small, aside=aside)
    headers = {
        "Content-Security-Policy": SHUT,
        "Content-Disposition": f'inline; filename="photo-{key}.jpg"',
        # A photo never changes under its address; only this browser keeps it.
        "Cache-Control": "private, max-age=86400, immutable",
    }
    return Response(data, media_type="image/jpeg", headers=headers)


def _who(request: Request, form: FormReader) -> str:
    with database.read_session(request.app.state.engine) as session:
        return who(form, usual_name(session))


def _home(request: Request, row: Row) -> str:
    """The page that shows the photos of its record."""
    if row["owner"] == "slip test":
        return f"/tests/{row['record']}#photos"
    with database.read_session(request.app.state.engine) as session:
        pack = findings.get(session, row["record"]).document.pack
    return f"/packs/{pack}/teardown"
