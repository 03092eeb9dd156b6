"""What pages are compared with: a bare answer, and a bare page with a table of ready text."""

import gzip
import sys
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import Any

import uvicorn
from fastapi import FastAPI
from jinja2 import Environment
from starlette.responses import HTMLResponse, Response

CELLS = 12
PAGE = """<!doctype html><html lang="en"><head><title>Board</title></head><body><main><table>
{% for name, cells in rows %}<tr><th><a href="/packs/{{ name }}">{{ name }}</a></th>
{% for verdict, ratio, span, chance, title, address in cells %}<td class="cell {{ verdict }}">
<a href="{{ address }}" title="{{ title }}">{{ verdict }}</a> <b>{{ ratio }}</b>
<span>{{ span }}</span> <small>{{ chance }}</small></td>{% endfor %}</tr>
{% endfor %}</table></main></body></html>"""


CHART = """<!doctype html><html lang="en"><head><title>Chart</title>
<script src="/plotly.js" defer></script></head><body><div id="chart"></div><script type="module">
const x = Array.from({length: 50}, (_, i) => 20 + i % 7), y = x.map((_, i) => "Pack " + i);
const trace = {type: "scatter", mode: "markers", x, y, error_x: {array: x.map(() => 2)}};
Plotly.newPlot("chart", [trace, {...trace, x: x.map(v => v + 3)}], {height: 1500});
</script></body></html>"""


@cache
def packed_plotly() -> bytes:
    """The chart library as the installed distribution holds it, compressed."""
    found = metadata.distribution("plotly").locate_file("plotly/package_data/plotly.min.js")
    return gzip.compress(Path(str(found)).read_bytes(), 6)


def rows(count: int) -> list[tuple[str, list[tuple[str, ...]]]]:
    """A table's text, ready before anybody asks."""
    return [
        (f"Pack {i:06d}", [
            ("holds", f"1.{i % 90 + 10}", "1.02 – 1.38", "0.4 %",
             f"Pack {i} on engine {j}: 26.6 N·m available, 22.1 N·m required",
             f"/cell/p{i:09d}/e{j:09d}") for j in range(CELLS)])
        for i in range(count)
    ]


def make_app() -> FastAPI:
    """The bare application."""
    app = FastAPI()
    template = Environment(autoescape=True).from_string(PAGE)
    ready = rows(50)

    @app.get("/healthz")
    async def healthz() -> dict[str, bool]:
        return {"ready": True}

    @app.get("/chart")
    def chart() -> HTMLResponse:
        return HTMLResponse(CHART)

    @app.get("/plotly.js")
    def script() -> Response:
        return Response(packed_plotly(), media_type="text/javascript", headers={
            "Content-Encoding": "gzip", "Cache-Control": "public, max-age=31536000, immutable"})

    @app.get("/page")
    def page() -> HTMLResponse:
        return HTMLResponse(template.render(rows=ready))

    return app


async def plain(scope: dict[str, Any], _receive: Any, send: Any) -> None:
    """The least that a server can answer."""
    if scope["type"] == "http":
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"ok"})


if __name__ == "__main__":
    uvicorn.run("tests.benchmarks.bare:make_app", factory=True, port=int(sys.argv[1]),
                workers=int(sys.argv[2]), log_config=None, access_log=False)
