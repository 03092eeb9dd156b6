"""The application: settings in, ASGI out. Nothing is kept at module level."""

import gc
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager

import anyio.to_thread
from fastapi import FastAPI

from app.records.in_use import serving
from app.services.daily_copies import watching
from app.services.starting import open_engine
from app.settings import PROJECT_ROOT, Settings
from app.web import errors
from app.web.api import board, engineering, openapi, records, slip_tests, stateless
from app.web.api import classes as class_answers
from app.web.assets import Assets
from app.web.middleware import layers
from app.web.render import Renderer, app_version
from app.web.routes import (
    about,
    cell,
    checks,
    class_forms,
    classes,
    comparisons,
    engine_forms,
    engines,
    exports,
    files,
    health,
    history,
    imports,
    instruments,
    labels,
    launch,
    me,
    members,
    offer_pages,
    offers,
    pack_forms,
    packs,
    photos,
    setup,
    shortlist,
    side,
    sign_in,
    slip_fit,
    slip_import,
    slip_plan,
    slip_test_forms,
    teardown,
    verdicts,
)
from app.web.routes import board as board_page
from app.web.routes import (
    settings as settings_page,
)
from app.web.routes import slip_tests as slip_test_pages

THREADS = 4
"""Handlers at work at once: they compute more than they wait, and more threads only contend."""

COLLECTED_AT = 20_000, 20, 20
"""What has to be made before the heap is looked through, by age. Python's own 700, 10, 10 looks
through all that is held ready every twentieth page, which then takes three times as long."""

Lifespan = Callable[[FastAPI], AbstractAsyncContextManager[None]]


def lifespan_of(settings: Settings) -> Lifespan:
    """What the application holds while it runs: the engine, its watch, few threads, a calm heap."""

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        anyio.to_thread.current_default_thread_limiter().total_tokens = THREADS
        engine = open_engine(settings)
        app.state.engine = engine
        # What lives as long as the server is not looked through at each collection. It is not
        # looked through before either: that takes longer than reading the database.
        gc.freeze()
        usual = gc.get_threshold()
        gc.set_threshold(*COLLECTED_AT)
        gc.enable()  # a start turns it off
        try:
            with serving(settings.url), watching(settings, engine) as app.state.copies:
                yield
        finally:
            gc.set_threshold(*usual)
            gc.unfreeze()
            engine.dispose()

    return lifespan


def create_app(settings: Settings | None = None) -> FastAPI:
    """Build the application.

    Args:
        settings: read from the environment if None.
    """
    settings = settings or Settings()
    app = FastAPI(
        title="Gripledger",
        version=app_version(),
        summary="Which clutch pack holds which small engine, with what margin, and how sure it is.",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        redirect_slashes=False,
        lifespan=lifespan_of(settings),
        middleware=layers(
            settings.host_names,
            settings.body_limit_bytes,
            sign_in=settings.require_sign_in,
            encrypted=settings.encrypted,
        ),
    )
    app.state.settings = settings
    app.state.require_sign_in = settings.require_sign_in
    app.state.assets = Assets(PROJECT_ROOT / "static")
    app.state.renderer = Renderer(
        PROJECT_ROOT / "templates", app.state.assets, settings.made_up, settings.insecure_lan
    )
    errors.install(app)
    # A form's /new comes before a record's /{key}.
    people_pages = (sign_in, setup, members, me)
    kept_pages = (history, checks, imports, exports, comparisons, shortlist, offer_pages, verdicts)
    record_pages = (pack_forms, packs, engine_forms, engines, offers, settings_page)
    bench_pages = (
        instruments,
        teardown,
        photos,
        slip_import,
        slip_test_forms,
        slip_fit,
        slip_plan,
        slip_test_pages,
    )
    others = (side, labels, launch, about, classes, class_forms, files, health)
    # Routes are tried one after the other: the pages that are asked for most come first.
    first = (board_page, cell)
    for pages in (*first, *people_pages, *kept_pages, *bench_pages, *record_pages, *others):
        app.include_router(pages.router, include_in_schema=False)
    app.include_router(openapi.router, include_in_schema=False)
    for interface in (stateless, engineering, slip_tests, records, board, class_answers):
        app.include_router(interface.router)
    return app
