"""Photos: shown to who may see the records, put aside and brought back; added by their records."""

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.records import database
from app.records.base import Row
from app.services import photos
from app.services.catalogue import findings
from app.web.deps import ReadSessionDep
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import SentForm, usual_name, who
from app.web.htmx import redirect
from app.web.notices import Notice

router = APIRouter()

SHUT = "default-src 'none'; sandbox"
"""Opened by itself, a picture may load nothing and run nothing."""


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
    told = Notice("The photo was put aside.", undo=f"/photos/{key}/bring-back")
    return redirect(request, _home(request, row), told)


@router.post("/photos/{key}/bring-back")
def bring_back(request: Request, form: SentForm, key: str) -> Response:
    """Bring a photo back."""
    row = photos.bring_back(request.app.state.engine, key, by=_who(request, form))
    return redirect(request, _home(request, row), Notice("The photo is there again."))


def _picture(session: Session, key: str, *, small: bool) -> Response:
    data = photos.picture(session, key, small=small)
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
