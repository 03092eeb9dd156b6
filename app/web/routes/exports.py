"""Packs, engines and offers as CSV, in the columns that the import reads."""

import json
from collections.abc import Sequence

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response, StreamingResponse

from app.errors import BadInput, NotFound, Problem
from app.presentation.csv_guard import Variant
from app.presentation.csv_text import attachment_headers, csv_blocks
from app.presentation.records_csv import Sheet, csv_metadata, record_sheet
from app.records.base import now
from app.services.importing import KINDS
from app.services.readable import every
from app.web.deps import ReadSessionDep

router = APIRouter()

VARIANTS: Sequence[Variant] = ("comma", "semicolon")


@router.get("/export/{name}.csv")
def export(
    request: Request, session: ReadSessionDep, name: str, variant: str = "comma"
) -> Response:
    """Every record of one kind that is in use."""
    if variant not in VARIANTS or set(request.query_params) - {"variant"}:
        raise BadInput([Problem("variant", f"Write {' or '.join(VARIANTS)} for variant.")])
    sheet = exported(session, _kind(name))
    chosen: Variant = "semicolon" if variant == "semicolon" else "comma"
    blocks = csv_blocks(sheet.headings, sheet.rows, variant=chosen)
    return StreamingResponse(blocks, headers=attachment_headers(name, now().date()))


@router.get("/export/{name}.csv-metadata.json")
def describe(session: ReadSessionDep, name: str) -> Response:
    """What the columns of the export are."""
    kind = _kind(name)
    model = KINDS[kind].noun.model
    written = csv_metadata(model, f"{name}.csv", exported(session, kind).headings)
    return Response(
        json.dumps(written, ensure_ascii=False, indent=1), media_type="application/csvm+json"
    )


def exported(session: Session, kind: str) -> Sheet:
    """Every record of a kind that is in use, as a table."""
    catalogue = KINDS[kind]
    records = [(s.id, s.version, s.document) for s in every(session, catalogue)]
    return record_sheet(catalogue.noun.model, records)


def _kind(name: str) -> str:
    kind = name.removesuffix("s")
    if kind not in KINDS or name == kind:
        raise NotFound("table", name[:40])
    return kind
