"""The description of the JSON interface, in the form of the OpenAPI standard."""

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse

router = APIRouter(prefix="/api/v1")


@router.get("/openapi.json")
async def description(request: Request) -> JSONResponse:
    """Every address of the interface with its types. Only `/api` is described."""
    return JSONResponse(request.app.openapi())
