"""Whether the server is ready: it runs, its database answers, at the revision it was made for."""

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse

from app.errors import AppError
from app.records import migrate

router = APIRouter()


@router.get("/healthz")
def healthz(request: Request) -> JSONResponse:
    """200 when ready; 503 with the reason when not."""
    try:
        ready = migrate.is_current(request.app.state.engine)
    except AppError as fact:
        return JSONResponse({"ready": False, "reason": fact.message}, 503)
    if not ready:
        return JSONResponse({"ready": False, "reason": "The database needs `migrate`."}, 503)
    return JSONResponse({"ready": True})
