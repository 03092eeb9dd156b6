"""A page for tests that has every widget, over the real application."""

import time
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from fastapi import APIRouter, FastAPI, Request
from jinja2 import ChoiceLoader, FileSystemLoader
from starlette.responses import Response

from app.errors import BadInput
from app.fields import CATALOGUE
from app.presentation.cautions import CAUTIONS
from app.web.forms.reader import FormReader
from app.web.htmx import redirect
from app.web.notices import Notice
from app.web.render import page

ENGINES = ("Tern 125", "Tern 250 twin", "Petrel 350", "Petrel 500 four", "Skua 650")
KEYS = ("holds", "tight", "slips", "unknown")
HEIGHTS = ((0, 41.8), (0.5, 39.9), (1.0, 38.0), (1.5, 36.1))


def chart() -> dict[str, Any]:
    """Traces and layout with colours by role."""
    wear = [x for x, _ in HEIGHTS]
    torque = [y for _, y in HEIGHTS]
    return {
        "traces": [
            {
                "type": "scatter",
                "mode": "lines+markers",
                "name": "Available",
                "x": wear,
                "y": torque,
                "line": {"color": "@available"},
                "error_y": {"type": "data", "array": [2, 2, 2, 2], "color": "@available"},
            },
            {
                "type": "bar",
                "name": "</script><b>Bar</b>",
                "x": wear,
                "y": [10, 10, 10, 10],
                "marker": {"color": "@band"},
            },
        ],
        "layout": {
            "xaxis": {"title": {"text": "Wear of the stack, mm"}},
            "yaxis": {"title": {"text": "Torque, N·m"}, "rangemode": "tozero"},
            "shapes": [
                {
                    "type": "line",
                    "xref": "paper",
                    "x0": 0,
                    "x1": 1,
                    "y0": 36.5,
                    "y1": 36.5,
                    "line": {"color": "@required", "dash": "dash", "width": 1.5},
                }
            ],
            "annotations": [
                {
                    "text": "required 36.5 N·m",
                    "xref": "paper",
                    "x": 1,
                    "y": 36.5,
                    "xanchor": "right",
                    "yanchor": "bottom",
                    "showarrow": False,
                    "font": {"color": "@required"},
                }
            ],
        },
    }


def view(form: FormReader, query: FormReader) -> SimpleNamespace:
    """All that the page shows."""
    rows = [
        (
            f"Six-plate number {n}, springs uprated",
            [(KEYS[(n + m) % 4], "1.15", "0.99–1.32") for m, _ in enumerate(ENGINES)],
        )
        for n in range(1, 24)
        if query.raw.get("q", "") in f"Six-plate number {n}"
    ]
    pages = [("1", "", True), ("2", "/sampler?page=2", False), ("3", "/sampler?page=3", False)]
    return SimpleNamespace(
        form=form,
        query=query,
        catalogue=CATALOGUE,
        engines=ENGINES,
        rows=rows,
        count=len(rows),
        pager=SimpleNamespace(
            summary="Packs 1–50 of 131", previous="", next="/sampler?page=2", pages=pages
        ),
        chart=chart(),
        points=HEIGHTS,
        caution=CAUTIONS["spring"],
        empty=SimpleNamespace(
            heading="No slip tests yet",
            text="A slip test replaces the assumed friction coefficient by your own.",
            steps=[("Plan a test", "/sampler"), ("Log its readings", "")],
        ),
    )


def add_sampler(app: FastAPI) -> list[dict[str, str]]:
    """Give the application the page; returns the list that each save is added to."""
    loader = app.state.renderer.environment
    own = FileSystemLoader(Path(__file__).parent / "templates")
    loader.loader = ChoiceLoader([loader.loader, own])
    router, saved = APIRouter(), []

    @router.get("/sampler")
    def show(request: Request) -> Response:
        return page(request, "sampler.html", view(FormReader({}), FormReader(request.query_params)))

    @router.post("/sampler")
    async def save(request: Request) -> Response:
        form = FormReader(dict(await request.form()))
        if form.text("name") == "fail":
            raise RuntimeError("broken on purpose")
        if form.text("name") == "slow":
            time.sleep(0.5)
        if form.text("name") is None:
            form.say("name", "Type a name.")
        form.quantity("facing_od_mm", CATALOGUE["pack"]["facing_od_mm"])
        try:
            form.refuse_problems()
        except BadInput:
            return page(request, "sampler.html", view(form, FormReader({})), 422)
        saved.append(form.raw)
        return redirect(request, "/sampler", Notice("Pack saved.", "/packs/7/bring-back"))

    @router.post("/sampler/elsewhere")
    def elsewhere(request: Request) -> Response:
        return redirect(request, "/sampler", Notice("Done elsewhere."))

    app.include_router(router, include_in_schema=False)
    return saved
