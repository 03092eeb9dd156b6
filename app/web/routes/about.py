"""The About page: what the program promises, where it ends, how it is kept."""

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, Response

from app.errors import AppError
from app.presentation.about import about_view
from app.presentation.copies import copies_view
from app.presentation.example_page import example_page
from app.records.database import storage_facts
from app.services.daily_copies import Watch
from app.services.safekeeping import back_up
from app.services.safety import safety
from app.web.deps import Who
from app.web.htmx import redirect
from app.web.notices import Notice
from app.web.render import app_version, page
from app.web.safety_facts import copies_facts

router = APIRouter()


@router.get("/about")
def about(request: Request) -> HTMLResponse:
    """The page."""
    return _page(request)


@router.get("/about/example")
def example(request: Request) -> HTMLResponse:
    """A worked example, from a pack on the table to an order."""
    return page(request, "pages/example.html", example_page())


@router.post("/about/backup")
def back_up_now(request: Request, who: Who) -> Response:
    """Make a checked copy, and say what came of it."""
    state = request.app.state
    try:
        made = back_up(state.settings, state.engine, by=who)
    except AppError as fact:
        return _page(request, fact.message, 503)
    watch: Watch = state.copies
    watch.look()
    told = f"Backup made and checked: {made.file.name}, {made.holds.total} rows."
    return redirect(request, "/about#copies", Notice(told))


def _page(request: Request, failure: str = "", status: int = 200) -> HTMLResponse:
    engine, watch = request.app.state.engine, request.app.state.copies
    copies = copies_view(copies_facts(safety(engine), watch.on), failure)
    view = about_view(app_version(), storage_facts(engine), copies)
    return page(request, "pages/about.html", view, status)
