"""Labels for boxes: a phone reads one and opens the pack's page."""

from datetime import UTC, datetime

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.presentation.label import label_of
from app.services.catalogue import packs
from app.web.deps import ReadSessionDep
from app.web.render import page

router = APIRouter()


@router.get("/packs/{key}/label")
def show(request: Request, session: ReadSessionDep, key: str) -> Response:
    """A pack's label to print, with the address under which it was asked for."""
    stored = packs.get(session, key)
    address = f"{request.base_url}packs/{stored.id}"
    view = label_of(stored.id, stored.document, address, datetime.now(UTC))
    return page(request, "pages/packs/label.html", view)
