"""Addresses of the files that pages load: our own and those of installed distributions."""

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.web.assets import Assets

router = APIRouter()


def _assets(request: Request) -> Assets:
    assets: Assets = request.app.state.assets
    return assets


@router.get("/static/{name:path}")
async def own_file(request: Request, name: str) -> Response:
    """One of our own files."""
    response = _assets(request).own_response(request, name)
    if response is None:
        raise HTTPException(404)
    return response


@router.get("/libraries/{version}/{name}")
def library_file(request: Request, version: str, name: str) -> Response:
    """A library's file; in a thread, since the first request compresses it."""
    response = _assets(request).library_response(request, version, name)
    if response is None:
        raise HTTPException(404)
    return response
