"""Templates: the one Jinja environment, and the way from a page's view to a response."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib import metadata
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from app.web import notices
from app.web.assets import Assets
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


class Renderer:
    """Renders a template with a view; made once per application."""

    def __init__(
        self, folder: Path, assets: Assets, made_up: bool = False, insecure: bool = False
    ) -> None:
        self.environment = make_environment(folder, assets.address, made_up, insecure)

    def text(self, template: str, context: Mapping[str, Any]) -> str:
        """The template's text. Context names beside `view`: see `page`."""
        return self.environment.get_template(template).render(context)


def page(
    request: Request,
    template: str,
    view: object,
    status: int = 200,
    headers: Mapping[str, str] | None = None,
) -> HTMLResponse:
    """A whole page. The notice left by the request before it is shown once, here."""
    renderer: Renderer = request.app.state.renderer
    notice, visitor = notices.waiting(request), visitor_of(request)
    context = {
        "view": view,
        "path": request.url.path,
        "notice": notice,
        "now": datetime.now(UTC),
        "visitor": visitor,
        "copies": foot_line(request) if visitor.inside else None,
    }
    text = dressed(renderer.text(template, context), visitor)
    response = HTMLResponse(text, status, headers)
    if notice is not None:
        notices.forget(response)
    return response


def fragment(request: Request, template: str, view: object, status: int = 200) -> HTMLResponse:
    """A part of a page, at an address of its own; it knows neither notice nor navigation."""
    renderer: Renderer = request.app.state.renderer
    visitor = visitor_of(request)
    context = {"view": view, "path": request.url.path, "visitor": visitor}
    text = dressed(renderer.text(template, context), visitor)
    return HTMLResponse(text, status)
