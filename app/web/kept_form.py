"""A form that was sent after its session had ended: kept on the sign-in page, to be sent again.

With script what was typed lies in the browser's tab. Without it the sign-in page itself carries
the form, and after signing in it is shown, to be sent by one press: nothing is done unasked. It
goes to the member alone whose page it came from, as the next at a browser may be somebody else.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException
from starlette.requests import Request

from app.web.forms.reader import FormReader
from app.web.forms.typed_again import TypedAgain, of_boxes, remember, typed_again
from app.web.guards import replay
from app.web.htmx import is_htmx
from app.web.visitor import MEMBER_BOX
from app.web.ways_back import own_path

ACTION = "kept-action"
WHOSE = "kept-member"
BOX = "kept."
"""Before the name of each box of a form that is kept."""

MOST_CHARACTERS = 300_000


@dataclass(frozen=True, slots=True)
class KeptForm:
    """A form that was not taken in, and the member whose page it came from."""

    typed: TypedAgain
    member: str

    @property
    def hidden(self) -> list[tuple[str, str]]:
        """Boxes with which the sign-in form carries it."""
        own = [(ACTION, self.typed.action), (WHOSE, self.member)]
        return own + [(f"{BOX}{name}", text) for name, text in self.typed.boxes]


@dataclass(frozen=True)
class SignInPage:
    """The page: what was typed, but for the password, where to go then, and a form to keep."""

    form: FormReader
    next: str
    kept: KeptForm | None = None


async def form_to_keep(request: Request) -> KeptForm | None:
    """The form of a request that may not pass; None for a script's, a file's or one too large."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if request.method != "POST" or kind != "application/x-www-form-urlencoded":
        return None
    if is_htmx(request):  # what was typed stays in the browser's tab
        return None
    body = await request.body()
    if len(body) > 3 * MOST_CHARACTERS:
        return None
    again = Request(request.scope, replay(body, request.receive))
    try:
        async with again.form(max_fields=10_000, max_files=0) as form:
            remember(request, form)
            whose = form.get(MEMBER_BOX)
    except (HTTPException, MultiPartException):
        return None
    return _kept(typed_again(request), whose)


def carried(form: FormReader) -> KeptForm | None:
    """The form that a sign-in form carries along."""
    raw: Mapping[str, str] = form.raw
    action = own_path(raw.get(ACTION, ""))
    boxes = {name.removeprefix(BOX): text for name, text in raw.items() if name.startswith(BOX)}
    return _kept(of_boxes(action, boxes), raw.get(WHOSE)) if action != "/" else None


def without_kept(form: FormReader) -> FormReader:
    """The sign-in form alone."""
    own = FormReader({n: t for n, t in form.raw.items() if not n.startswith((BOX, ACTION, WHOSE))})
    own.problems = form.problems
    return own


def _kept(typed: TypedAgain | None, whose: object) -> KeptForm | None:
    """None where there is no telling whose it is, or where nobody typed anything."""
    if typed is None or not isinstance(whose, str) or not whose or not typed.shown:
        return None
    if sum(len(name) + len(text) for name, text in typed.boxes) > MOST_CHARACTERS:
        return None
    boxes = tuple((name, text) for name, text in typed.boxes if name != MEMBER_BOX)
    return KeptForm(replace(typed, boxes=boxes), whose[:40])
