"""The shortlist: what to order. Added to by one press from a pack, a cell or the board."""

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.documents import ShortlistLine, read
from app.errors import BadInput, Problem, StaleRecord
from app.fields import Field
from app.presentation.csv_text import attachment_headers, csv_text
from app.presentation.shortlist_page import COLUMNS, price_text, shortlist_page, shortlist_rows
from app.records import database
from app.records.base import now
from app.services.catalogue import shortlist
from app.services.shopping import Line, add_to_list, line_of, offers_of, shopping_list
from app.services.stored import Context
from app.web.deps import ReadSessionDep, WriteSessionDep
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import VERSION, SentForm, sent_version, usual_name, who
from app.web.htmx import redirect
from app.web.notices import Notice
from app.web.render import page
from app.web.ways_back import own_path

router = APIRouter()

PATH = "/shortlist"
FORM = "pages/shortlist/form.html"
QUANTITY = Field("quantity", "How many", "count", at_least=1, help="Packs of this kind to order.")


@dataclass(frozen=True)
class LineForm:
    """The form of one line."""

    heading: str
    form: FormReader
    action: str
    draft: str
    version: int
    offers: tuple[tuple[str, str], ...]
    quantity: Field = QUANTITY


@router.get("/shortlist")
def show(request: Request, session: ReadSessionDep) -> Response:
    """The list."""
    return page(request, "pages/shortlist/list.html", shortlist_page(shopping_list(session)))


@router.get("/shortlist.csv")
def as_csv(session: ReadSessionDep) -> Response:
    """The list as CSV."""
    rows = shortlist_rows(shopping_list(session))
    return Response(csv_text(COLUMNS, rows), headers=attachment_headers("shortlist", now().date()))


@router.post("/shortlist/add")
def add(request: Request, session: WriteSessionDep, form: SentForm) -> Response:
    """Put a pack on the list, and go back to where the button was pressed."""
    pack = form.text("pack", longest=40) or ""
    engine = form.text("engine", longest=40)
    stored, new = add_to_list(session, pack, engine, by=who(form, usual_name(session)))
    name = stored.name
    told = f"{name} is on the shortlist." if new else f"{name} was on the shortlist already."
    return redirect(request, own_path(form.raw.get("back", PATH)), Notice(told))


@router.get("/shortlist/{key}/history")
def history(request: Request, key: str) -> Response:
    """The history of one line."""
    return redirect(request, f"/history?noun=shortlist+line&record={key[:40]}")


@router.get("/shortlist/{key}/edit")
def edit(request: Request, session: ReadSessionDep, key: str) -> Response:
    """The form of one line."""
    line = line_of(session, key)
    document = line.stored.document
    texts = {
        "quantity": str(document.quantity),
        "why": document.why or "",
        "offer": document.offer or "",
        "done": "yes" if document.done else "",
        VERSION: str(line.stored.version),
    }
    return page(request, FORM, _view(session, line, FormReader(texts)))


@router.post("/shortlist/{key}/edit")
def change(request: Request, form: SentForm, key: str) -> Response:
    """Change one line."""
    engine = request.app.state.engine
    status = 422
    try:
        with database.writing(engine) as session:
            line = line_of(session, key)
            standing = line.stored.document
            document = _read(form, standing, offers_of(session, standing.pack))
            by = who(form, usual_name(session))
            shortlist.change(session, key, sent_version(form), document, by=by)
        return redirect(request, PATH, Notice("Shortlist saved."))
    except BadInput as refusal:
        form.problems = form.problems or list(refusal.problems)
    except StaleRecord as fact:
        form.say("", fact.message)
        status = 409
    with database.read_session(engine) as reading:
        return page(request, FORM, _view(reading, line_of(reading, key), form), status)


@router.post("/shortlist/{key}/done")
def done(request: Request, session: WriteSessionDep, form: SentForm, key: str) -> Response:
    """Tick a line off, or take the tick away."""
    stored = shortlist.get(session, key)
    ordered = form.raw.get("done") == "yes"
    document = stored.document.model_copy(update={"done": ordered})
    by = who(form, usual_name(session))
    why = Context(reason="ordered" if ordered else "not ordered")
    shortlist.change(session, key, sent_version(form), document, by=by, context=why)
    told = f"{stored.name}: {'ordered' if ordered else 'to be ordered'}."
    return redirect(request, PATH, Notice(told))


@router.post("/shortlist/{key}/put-aside")
def put_aside(request: Request, session: WriteSessionDep, form: SentForm, key: str) -> Response:
    """Take a line off the list; the next page offers to undo it."""
    by = who(form, usual_name(session))
    stored = shortlist.put_aside(session, key, sent_version(form), by=by)
    told = f"{stored.name} was taken off the list."
    return redirect(request, PATH, Notice(told, undo=f"{PATH}/{key}/bring-back"))


@router.post("/shortlist/{key}/bring-back")
def bring_back(request: Request, session: WriteSessionDep, form: SentForm, key: str) -> Response:
    """Put a line on the list again."""
    stored = shortlist.bring_back(session, key, by=who(form, usual_name(session)))
    return redirect(request, PATH, Notice(f"{stored.name} is on the list again."))


def _read(
    form: FormReader, standing: ShortlistLine, known: Sequence[tuple[str, object]]
) -> ShortlistLine:
    """The line that a form describes.

    Raises:
        BadInput: with everything that is wrong.
    """
    quantity = form.count("quantity", QUANTITY)
    if quantity is None and form.message_for("quantity") is None:
        form.say("quantity", "Write how many, as a whole number from 1 on.")
    offer = form.choice("offer", [key for key, _ in known])
    why = form.text("why", longest=10_000)
    form.refuse_problems()
    raw = standing.written() | {
        "quantity": quantity,
        "offer": offer,
        "why": why,
        "done": form.flag("done"),
    }
    try:
        return read(ShortlistLine, raw).document
    except BadInput as refusal:
        raise BadInput([Problem(p.field, p.message) for p in refusal.problems]) from refusal


def _view(session: Session, line: Line, form: FormReader) -> LineForm:
    found = offers_of(session, line.stored.document.pack)
    listed = tuple(
        (key, " · ".join(t for t in (offer.name, offer.seller, price_text(offer)) if t))
        for key, offer in found
    )
    key, version = line.stored.id, line.stored.version
    return LineForm(
        heading=line.stored.name,
        form=form,
        action=f"{PATH}/{key}/edit",
        draft=f"shortlist-{key}-v{version}",
        version=version,
        offers=(("", "None chosen"), *listed),
    )
