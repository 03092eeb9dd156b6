"""The catalogue's records, of every kind: listed, read, added, changed, put aside, brought back."""

import re
from typing import Annotated, Any, TypeVar

from fastapi import APIRouter, Depends, HTTPException, Path, Query, Request
from pydantic import BeforeValidator
from pydantic_core import PydanticCustomError
from starlette.responses import JSONResponse, Response

from app.documents import Document
from app.records.base import PUBLIC_ID_LENGTH
from app.records.database import catalogue_revision
from app.records.listing import ORDERS, Search
from app.services.catalogue import (
    Catalogue,
    comparisons,
    engines,
    facings,
    findings,
    instruments,
    offers,
    packs,
    shortlist,
    slip_tests,
)
from app.services.stored import Stored
from app.web.api.bodies import MERGE_PATCH, JsonRoute
from app.web.api.merge import merged
from app.web.api.preconditions import IfMatch
from app.web.api.record_body import page_model, record_model, taken, written
from app.web.deps import ReadSessionDep, Who, WriteSessionDep
from app.web.etag import not_modified, page_tag, record_tag
from app.web.render import app_version

D = TypeVar("D", bound=Document)
PREFIX = "/api/v1"
MOST_ITEMS = 200
_CONTROL = re.compile(r"[\x00-\x1f\x7f]")


def _limit(raw: Any) -> int:
    text = str(raw)
    if not (text.isascii() and text.isdecimal()) or not 1 <= int(text[:9]) <= MOST_ITEMS:
        raise PydanticCustomError(
            "limit", "Write a whole number from 1 to {most}.", {"most": MOST_ITEMS}
        )
    return int(text)


def _plain(raw: Any) -> str:
    text = str(raw)
    if _CONTROL.search(text) or len(text) > 1000:
        raise PydanticCustomError("plain", "Write a few words, without control characters.")
    return text


def _order(raw: Any) -> str:
    if raw not in ORDERS:
        raise PydanticCustomError("order", f"Write one of {', '.join(ORDERS)}.")
    return str(raw)


def _yes_no(raw: Any) -> bool:
    if raw not in ("true", "false", True, False):
        raise PydanticCustomError("yes_no", "Write true or false.")
    return raw in ("true", True)


Limit = Annotated[
    int,
    BeforeValidator(_limit),
    Query(description=f"Most records in the answer, up to {MOST_ITEMS}."),
]
Cursor = Annotated[
    str | None, BeforeValidator(_plain), Query(description="`next` of the answer before.")
]
Words = Annotated[str, BeforeValidator(_plain), Query(description="Words that must all occur.")]
Order = Annotated[str, BeforeValidator(_order), Query(description=", ".join(ORDERS))]
Aside = Annotated[
    bool, BeforeValidator(_yes_no), Query(description="true: those put aside, and only those.")
]


def public_id(id: Annotated[str, Path(description="The record's id.")]) -> str:  # noqa: A002 - the name in the address
    """The id in an address, as far as it can be one: no other text reaches the database."""
    if len(id) != PUBLIC_ID_LENGTH or not (id.isascii() and id.isalnum()):
        raise HTTPException(404, f"There is no record {_CONTROL.sub('?', id)[:60]}.")
    return id


def submission_token(request: Request) -> str | None:
    """Token of a POST that may be sent twice, from Idempotency-Key."""
    key = request.headers.get("idempotency-key")
    if key is not None and not 1 <= len(key) <= 200:
        raise HTTPException(400, "Write an Idempotency-Key of 1 to 200 signs, or leave it out.")
    return key


async def sent(request: Request) -> Any:
    """The value in the body, read strictly."""
    return await request.json()


PublicId = Annotated[str, Depends(public_id)]
Token = Annotated[str | None, Depends(submission_token)]
Sent = Annotated[Any, Depends(sent)]


def _answer(stored: Stored[Any], status: int = 200, **more: Any) -> JSONResponse:
    tag = {"ETag": record_tag(stored.version)}
    return JSONResponse({**written(stored), **more}, status, headers=tag)


def _body(model: type[Document], media_type: str = "application/json") -> dict[str, Any]:
    """The description of a body; the handler reads it by the document's own rules."""
    schema: dict[str, Any] = {"$ref": f"#/components/schemas/{model.__name__}"}
    if media_type == MERGE_PATCH:
        schema = {
            "type": "object",
            "description": f"Parts of a {model.__name__} to change; null takes a figure out. "
            "Lists are replaced whole (RFC 7396).",
        }
    return {"requestBody": {"required": True, "content": {media_type: {"schema": schema}}}}


_IF_MATCH = {
    "name": "If-Match",
    "in": "header",
    "required": True,
    "description": "The ETag of the record as it was read.",
    "schema": {"type": "string", "examples": ['"3"']},
}
_IF_NONE_MATCH = {
    "name": "If-None-Match",
    "in": "header",
    "required": False,
    "description": "The ETag of the answer that is held already.",
    "schema": {"type": "string"},
}
_TOKEN = {
    "name": "Idempotency-Key",
    "in": "header",
    "required": False,
    "description": "The same key sent again gives the record that it made before.",
    "schema": {"type": "string", "maxLength": 200},
}
_HELD: dict[int | str, dict[str, Any]] = {
    304: {"description": "The answer is the one that is held already."}
}


def routes(catalogue: Catalogue[D], plural: str) -> APIRouter:
    """The addresses of one kind of record."""
    model, kind = catalogue.noun.model, catalogue.noun.kind
    one, many = kind.replace(" ", "_"), plural.replace("-", "_")
    words = plural.replace("-", " ")
    needed = [name for name, about in model.model_fields.items() if about.is_required()]
    a_kind = f"an {kind}" if kind[0] in "aeiou" else f"a {kind}"
    record = record_model(model)
    router = APIRouter(prefix=f"{PREFIX}/{plural}", tags=[plural], route_class=JsonRoute)

    @router.get(
        "",
        summary=f"List {words}",
        description=f"The {words} in order, some at a time: `next` is the cursor of those that "
        "follow, and the same cursor gives the same place while others add and remove.",
        responses={200: {"model": page_model(record)}, **_HELD},
        openapi_extra={"parameters": [_IF_NONE_MATCH]},
        operation_id=f"list_{many}",
    )
    def list_records(
        request: Request,
        session: ReadSessionDep,
        limit: Limit = 50,
        cursor: Cursor = None,
        q: Words = "",
        order: Order = "name",
        put_aside: Aside = False,
    ) -> Response:
        tag = page_tag(request, app_version(), catalogue_revision(session))
        held = not_modified(request, tag)
        if held is not None:
            return held
        search = Search(text=q, put_aside=put_aside, order=order)
        found = catalogue.after_cursor(session, search, cursor=cursor, limit=limit)
        items = [written(stored) for stored in found.records]
        return JSONResponse({"items": items, "next": found.next_cursor}, headers={"ETag": tag})

    @router.get(
        "/{id}",
        summary=f"Read {a_kind}",
        description="The document with its id and version; the ETag is the version.",
        responses={200: {"model": record}, **_HELD},
        openapi_extra={"parameters": [_IF_NONE_MATCH]},
        operation_id=f"read_{one}",
    )
    def read_record(request: Request, session: ReadSessionDep, key: PublicId) -> Response:
        stored = catalogue.get(session, key)
        return not_modified(request, record_tag(stored.version)) or _answer(stored)

    @router.post(
        "",
        status_code=201,
        summary=f"Add {a_kind}",
        description=f"Needed: {', '.join(needed)}. All else may be missing: not known yet. What "
        "the interface does not know is answered with a warning.",
        responses={201: {"model": record, "headers": {"Location": {"schema": {"type": "string"}}}}},
        openapi_extra={**_body(model), "parameters": [_TOKEN]},
        operation_id=f"add_{one}",
    )
    def add_record(session: WriteSessionDep, raw: Sent, token: Token, who: Who) -> Response:
        found = taken(model, raw)
        key = None if token is None else f"api {kind} {token}"
        stored = catalogue.add(session, found.document, by=who, submission_token=key)
        answer = _answer(stored, 201, warnings=found.warnings)
        answer.headers["Location"] = f"{PREFIX}/{plural}/{stored.id}"
        return answer

    @router.put(
        "/{id}",
        summary=f"Replace {a_kind}",
        description="The whole document; what is left out is not known any more.",
        responses={200: {"model": record}},
        openapi_extra={**_body(model), "parameters": [_IF_MATCH]},
        operation_id=f"replace_{one}",
    )
    def replace_record(
        session: WriteSessionDep, key: PublicId, raw: Sent, expected: IfMatch, who: Who
    ) -> Response:
        standing = catalogue.get(session, key)
        found = taken(model, raw, written(standing))
        start = expected.start(standing.version)
        stored = catalogue.change(session, key, start, found.document, by=who)
        return _answer(stored, warnings=found.warnings)

    @router.patch(
        "/{id}",
        summary=f"Change parts of {a_kind}",
        description="A merge patch (RFC 7396); the record that it makes is then checked whole. A "
        "new value of a figure drops the words that the old one was typed in and the usual doubt "
        "that was filled in for it.",
        responses={200: {"model": record}},
        openapi_extra={**_body(model, MERGE_PATCH), "parameters": [_IF_MATCH]},
        operation_id=f"change_{one}",
    )
    def patch_record(
        session: WriteSessionDep, key: PublicId, raw: Sent, expected: IfMatch, who: Who
    ) -> Response:
        standing = catalogue.get(session, key)
        start = expected.start(standing.version)
        found = taken(model, merged(written(standing), raw), written(standing))
        stored = catalogue.change(session, key, start, found.document, by=who)
        return _answer(stored, warnings=found.warnings)

    @router.delete(
        "/{id}",
        status_code=204,
        summary=f"Put {a_kind} aside",
        description="It keeps all it has, is left out of lists and boards, and can be brought "
        "back.",
        openapi_extra={"parameters": [_IF_MATCH]},
        operation_id=f"put_{one}_aside",
    )
    def put_record_aside(
        session: WriteSessionDep, key: PublicId, expected: IfMatch, who: Who
    ) -> Response:
        standing = catalogue.get(session, key)
        catalogue.put_aside(session, key, expected.start(standing.version), by=who)
        return Response(status_code=204)

    @router.post(
        "/{id}/bring-back",
        summary=f"Bring {a_kind} back",
        description="Takes a record that was put aside into use again. The body may be empty; its "
        "type must be application/json all the same.",
        responses={200: {"model": record}},
        operation_id=f"bring_{one}_back",
    )
    def bring_record_back(session: WriteSessionDep, key: PublicId, who: Who) -> Response:
        return _answer(catalogue.bring_back(session, key, by=who))

    return router


router = APIRouter()
router.include_router(routes(packs, "packs"))
router.include_router(routes(engines, "engines"))
router.include_router(routes(facings, "facings"))
router.include_router(routes(offers, "offers"))
router.include_router(routes(slip_tests, "slip-tests"))
router.include_router(routes(instruments, "instruments"))
router.include_router(routes(findings, "findings"))
router.include_router(routes(comparisons, "comparisons"))
router.include_router(routes(shortlist, "shortlist"))
