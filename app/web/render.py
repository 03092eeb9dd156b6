"""Templates: the one Jinja environment, and the way from a page's view to a response."""

import gzip
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from app.services.standing import Recent
from app.web import notices
from app.web.assets import Assets, takes_gzip
from app.web.dressing import dressed
from app.web.htmx import HTMX_CONFIG
from app.web.safety_facts import foot_line
from app.web.visitor import visitor_of


@dataclass(frozen=True)
class NavEntry:
    """One entry of the main navigation."""

    href: str
    label: str

    def marks(self, path: str) -> str:
        """Value of aria-current on a page: "page", "true" (inside the part) or ""."""
        if path == self.href:
            return "page"
        inside = self.href != "/" and path.startswith(self.href + "/")
        return "true" if inside else ""


NAVIGATION = (
    NavEntry("/", "Board"),
    NavEntry("/packs", "Packs"),
    NavEntry("/engines", "Engines"),
    NavEntry("/classes", "Classes"),
    NavEntry("/tests", "Tests"),
    NavEntry("/comparisons", "Comparisons"),
    NavEntry("/shortlist", "Shortlist"),
    NavEntry("/about", "About"),
)


PACKED_AT = 1
"""Level of compression: higher ones save a fifth of the bytes for three times the work."""


@cache
def app_version() -> str:
    """Version of the installed program."""
    return metadata.version("gripledger")


def make_environment(
    folder: Path,
    asset: Callable[[str], str],
    made_up: bool = False,
    insecure: bool = False,
) -> Environment:
    """Environment that escapes everything and stops at a name that nobody gave.

    Args:
        folder: the templates folder.
        asset: from a file's name under static/ to its address.
        made_up: whether every page says that the records are made up.
        insecure: whether every page says that it comes over the network in plain.
    """
    environment = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    # A figure that is not a number must fail here, not in the reader's browser.
    environment.policies["json.dumps_kwargs"] = {"allow_nan": False, "ensure_ascii": False}
    environment.globals.update(
        asset=asset,
        version=app_version(),
        made_up=made_up,
        insecure=insecure,
        navigation=NAVIGATION,
        htmx_config=HTMX_CONFIG,
    )
    return environment


@dataclass(frozen=True, slots=True, eq=False)
class Rendered:
    """A page's text and the same compressed. It holds its view, by whose identity it is found."""

    view: object
    text: bytes
    packed: bytes


class Renderer:
    """Renders a template with a view; made once per application."""

    PAGES_KEPT = 32

    def __init__(
        self, folder: Path, assets: Assets, made_up: bool = False, insecure: bool = False
    ) -> None:
        self.environment = make_environment(folder, assets.address, made_up, insecure)
        self.pages = Recent(self.PAGES_KEPT)

    def text(self, template: str, context: Mapping[str, Any]) -> str:
        """The template's text. Context names beside `view`: see `page`."""
        return self.environment.get_template(template).render(context)


def page(
    request: Request,
    template: str,
    view: object,
    status: int = 200,
    headers: Mapping[str, str] | None = None,
    *,
    held: bool = False,
) -> HTMLResponse:
    """A whole page. The notice left by the request before it is shown once, here.

    Args:
        request: who asks, and for which path.
        template: the page's template.
        view: what it shows.
        status: of the answer.
        headers: of the answer.
        held: whether this very view will be shown again; then its text is held ready too.
    """
    renderer: Renderer = request.app.state.renderer
    notice, visitor = notices.waiting(request), visitor_of(request)
    copies = foot_line(request) if visitor.inside else None
    path, now = request.url.path, datetime.now(UTC)

    def text() -> str:
        context = {
            "view": view,
            "path": path,
            "notice": notice,
            "now": now,
            "visitor": visitor,
            "copies": copies,
        }
        return dressed(renderer.text(template, context), visitor)

    if held and notice is None:
        # All that the text depends on; paper says when it was printed to the minute.
        key = (template, id(view), path, now.strftime("%Y-%m-%d %H:%M"), visitor, copies)
        rendered = renderer.pages.get(key)
        if not isinstance(rendered, Rendered):
            body = text().encode()
            rendered = Rendered(view, body, gzip.compress(body, PACKED_AT, mtime=0))
            renderer.pages.put(key, rendered)
        return _answer(request, rendered, status, headers)
    response = HTMLResponse(text(), status, headers)
    if notice is not None:
        notices.forget(response)
    return response


def _answer(
    request: Request, rendered: Rendered, status: int, headers: Mapping[str, str] | None
) -> HTMLResponse:
    if not takes_gzip(request):
        return HTMLResponse(rendered.text, status, headers)
    packed = {"Content-Encoding": "gzip", "Vary": "Accept-Encoding", **(headers or {})}
    return HTMLResponse(rendered.packed, status, packed)


def fragment(request: Request, template: str, view: object, status: int = 200) -> HTMLResponse:
    """A part of a page, at an address of its own; it knows neither notice nor navigation."""
    renderer: Renderer = request.app.state.renderer
    visitor = visitor_of(request)
    context = {"view": view, "path": request.url.path, "visitor": visitor}
    text = dressed(renderer.text(template, context), visitor)
    return HTMLResponse(text, status)
