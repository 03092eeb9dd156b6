"""The description of the JSON interface, in the form of the OpenAPI standard."""

from typing import Any

from fastapi import APIRouter, FastAPI, HTTPException, Request
from fastapi.openapi.utils import get_openapi
from pydantic.json_schema import models_json_schema
from starlette.responses import JSONResponse

from app.documents import (
    Engine,
    Facing,
    Finding,
    Instrument,
    Offer,
    Pack,
    SavedComparison,
    ShortlistLine,
    SlipTest,
)
from app.web.forms.problems import MEDIA_TYPE

router = APIRouter()

PREFIX = "/api/v1"

ABOUT = """
Every figure carries its doubt, and its unit is the end of its name. A figure is a number (exact)
or an object `{"value", "plus_minus" or "std", "how"}`: `plus_minus` is a limit, `std` a standard
uncertainty, and with `how` alone the usual doubt of that kind of figure is filled in. Results are
`{"value", "std", "low", "high"}` with the 95 % interval.

Only what physics excludes is refused (sign, order, size). Unusual values are answered with a
warning, and so is a field that the interface does not know. A refusal is a problem document
(RFC 9457) whose `errors` name each field's path with a sentence that says what would be right.

**Safety of access.** On this computer's own address, under the names 127.0.0.1, localhost and
[::1], nobody signs in; another Host is answered with 400. Where other computers can reach the
server, a script sends a member's token, `Authorization: Bearer …`, and may what the member may:
401 without one, 403 where the member's role is too small. A request that changes anything must be
`application/json` (PATCH also `application/merge-patch+json`), a type that no form in a foreign
page can send; when a browser names its origin, in `Origin` or `Sec-Fetch-Site`, it must be this
server. Nothing here allows other origins, and no GET changes anything.

**Changes.** A record's `ETag` is its version. PUT, PATCH and DELETE need it in `If-Match`, so that
nobody's newer figures are lost. DELETE puts a record aside; it can be brought back.

**Figures.** They guide a choice and certify nothing: a computed margin is no road test. Confirm by
a slip test on the bench, and follow the maker's manual and local law.
"""

TAGS = [
    {"name": "questions", "description": "Worked out and answered; nothing is stored."},
    {"name": "board", "description": "Packs against engines, as the page `/` shows them."},
    {"name": "packs", "description": "Clutch packs."},
    {"name": "engines", "description": "Engines."},
    {"name": "offers", "description": "Sellers' offers and what they claim."},
    {"name": "facings", "description": "Facing materials with their friction coefficients."},
    {"name": "slip-tests", "description": "Slip tests, one run each, with their readings."},
    {"name": "instruments", "description": "Gauges and torque wrenches."},
    {"name": "findings", "description": "What was found when packs were taken apart."},
    {"name": "comparisons", "description": "Boards kept under a name."},
    {"name": "shortlist", "description": "What to order: packs, for which engine, by which offer."},
]

PROBLEM = {
    "title": "Problem",
    "description": "A problem document (RFC 9457).",
    "type": "object",
    "required": ["type", "title", "status", "detail"],
    "properties": {
        "type": {"type": "string", "format": "uri-reference"},
        "title": {"type": "string", "description": "Short name of the status."},
        "status": {"type": "integer"},
        "detail": {"type": "string", "description": "What would be right, in a sentence."},
        "instance": {"type": "string", "description": "The address that was asked."},
        "errors": {
            "type": "array",
            "description": "One entry a field.",
            "items": {
                "type": "object",
                "required": ["path", "detail"],
                "properties": {
                    "path": {
                        "type": "string",
                        "description": "Dotted, as in clamp.springs.0.count; empty: the whole.",
                    },
                    "detail": {"type": "string"},
                },
            },
        },
        "version": {
            "type": "integer",
            "description": "With 412: the version that the record has now.",
        },
        "current": {"type": "object", "description": "With 412: the record as it stands now."},
        "reference": {"type": "string", "description": "With 500: what to look for in the log."},
    },
}

REFUSALS = {
    400: "The request can't be read: a foreign Host, no JSON, a malformed If-Match.",
    401: "Nobody is signed in: send a member's token.",
    403: "The request comes from another site, or the member's role is too small.",
    404: "There is no such record, or it was put aside.",
    409: "Another record has this name, or others still need this one.",
    412: "Somebody saved the record since; `version` and `current` say how it stands now.",
    413: "The body is larger than one request may hold.",
    415: "The body has another type than the address takes.",
    422: "A figure can't be taken as it is; `errors` says which and what would be right.",
    428: "If-Match is missing: read the record and send its ETag.",
    500: "The program failed; nothing was stored.",
    503: "The database can't be read or written just now; nothing was stored.",
}


def _refusals(method: str, path: str, stores: bool) -> list[int]:
    """The statuses that an address can refuse with; a question meets no record."""
    found = {400, 500}
    if stores:
        found.add(503)
    if "{" in path:
        found.add(404)
    if method == "get":
        found.add(422)
        return sorted(found)
    found |= {403, 413}
    if method != "delete":
        found |= {415, 422}
    if stores:
        found.add(409)
    if method in ("put", "patch", "delete"):
        found |= {412, 428}
    return sorted(found)


def described(app: FastAPI) -> dict[str, Any]:
    """The OpenAPI document of an application's interface.

    The framework describes addresses and types; refusals are added here, since every one of them
    has the same form.
    """
    document = get_openapi(
        title=app.title,
        version=app.version,
        summary=app.summary,
        description=ABOUT.strip(),
        routes=app.routes,
        tags=TAGS,
        separate_input_output_schemas=False,
        servers=[{"url": "/", "description": "The server that this document came from."}],
    )
    parts = document.setdefault("components", {})
    schemas = parts.setdefault("schemas", {})
    for name in ("HTTPValidationError", "ValidationError"):
        schemas.pop(name, None)
    schemas["Problem"] = PROBLEM
    # Bodies that a handler reads by the document's own rules are no types of its parameters.
    _, read = models_json_schema(
        [
            (Pack, "validation"),
            (Engine, "validation"),
            (Facing, "validation"),
            (Offer, "validation"),
            (SlipTest, "validation"),
            (Instrument, "validation"),
            (Finding, "validation"),
            (SavedComparison, "validation"),
            (ShortlistLine, "validation"),
        ],
        ref_template="#/components/schemas/{model}",
    )
    for name, schema in read["$defs"].items():
        schemas.setdefault(name, schema)
    content = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    parts["responses"] = {
        f"Problem{status}": {"description": text, "content": content}
        for status, text in REFUSALS.items()
    }
    # Where nobody signs in, a client's maker should read that here.
    signs_in = bool(app.state.require_sign_in)
    document["security"] = [{"token": []}] if signs_in else []
    if signs_in:
        parts["securitySchemes"] = {"token": {"type": "http", "scheme": "bearer"}}
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            operation["responses"].pop("422", None)
            refusals = _refusals(method, path, operation["tags"] != ["questions"])
            for status in sorted({*refusals, *((401, 403) if signs_in else ())}):
                operation["responses"][str(status)] = {
                    "$ref": f"#/components/responses/Problem{status}"
                }
    return document


@router.get(f"{PREFIX}/openapi.json", include_in_schema=False)
def description(request: Request) -> JSONResponse:
    """Every address of the interface with its types; closed where settings close it."""
    state = request.app.state
    if state.settings.production:
        raise HTTPException(404)
    if not hasattr(state, "described"):
        state.described = described(request.app)
    return JSONResponse(state.described)
