"""The About page: what the program promises, where it ends, how it is kept."""

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from app.presentation.about import about_view
from app.records.database import storage_facts
from app.web.render import app_version, page

router = APIRouter()


@router.get("/about")
def about(request: Request) -> HTMLResponse:
    """The page."""
    view = about_view(app_version(), storage_facts(request.app.state.engine))
    return page(request, "pages/about.html", view)
