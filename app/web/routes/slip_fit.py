"""The fit of a pack's friction to its slip tests, and the one press that takes it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, cast, get_args

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.errors import BadInput, NotFound
from app.mechanics.inputs import FrictionKind, Lubrication
from app.mechanics.slip_laws import LAWS
from app.presentation.slip_fit_page import FitPage, fit_page
from app.records import database
from app.services.catalogue import packs
from app.services.slip_fitting import (
    Law,
    StateKey,
    fit_of_pack,
    fitted_mu,
    put_friction_back,
    runs_of,
    states_tested,
    take_friction,
    taken_at,
)
from app.web.deps import ReadSessionDep, WriteSessionDep
from app.web.forms.record_forms import SentForm, sent_version, who
from app.web.htmx import redirect
from app.web.notices import Notice
from app.web.render import page

router = APIRouter()

TEMPLATE = "pages/tests/fit.html"
LONGEST_LIST = 500
_TAKEN = re.compile(r"([a-z0-9]{1,20})-(dry|oiled)-(static|sliding)-v([0-9]{1,9})")
USUAL: StateKey = ("oiled", "sliding")


@dataclass(frozen=True)
class FitAsked:
    """What the address asks for, as far as it could be read."""

    state: StateKey
    law: Law
    take: tuple[str, ...]
    problems: tuple[str, ...]


@router.get("/tests/fit/{key}")
def show(request: Request, session: ReadSessionDep, key: str) -> Response:
    """The fit in one state; without one, in the state that was tested most."""
    packs.get(session, key)
    tested = states_tested(runs_of(session, key))
    usual = max(tested, key=lambda state: tested[state], default=USUAL)
    asked = _asked(request, usual)
    view = _view(session, key, asked)
    return page(request, TEMPLATE, view, 422 if view.problems else 200)


@router.post("/tests/fit/{key}/use")
def use(request: Request, form: SentForm, key: str) -> Response:
    """Take the fitted μ into the pack's own friction."""
    state = _state(form.raw.get("lubrication", ""), form.raw.get("friction", ""))
    take = [n.removeprefix("take.") for n in form.raw if n.startswith("take.")][:LONGEST_LIST]
    engine = request.app.state.engine
    try:
        shown = float(form.raw.get("mu", ""))
    except ValueError:
        shown = 0.0
    try:
        if state is None:
            raise NotFound("fit of", key)
        with database.writing(engine) as session:
            stored = take_friction(
                session, key, state, take, version=sent_version(form), shown_mu=shown,
                by=who(form), today=date.today(),
            )
    except BadInput as refusal:
        told = tuple(problem.message for problem in refusal.problems)
        with database.read_session(engine) as session:
            asked = FitAsked(state or USUAL, "auto", (), told)
            return page(request, TEMPLATE, _view(session, key, asked), 409)
    told_words = f"{stored.name} now uses the μ of your own tests, {state[0]}, {state[1]}."
    notice = Notice(told_words, undo=_way_back(key, state, stored.version))
    return redirect(request, f"/packs/{key}", notice)


@router.post("/fitted-friction/{what}/bring-back")
def bring_back(request: Request, session: WriteSessionDep, form: SentForm, what: str) -> Response:
    """Put the friction back that a pack had before a fitted μ was taken."""
    found = _TAKEN.fullmatch(what)
    if found is None:
        raise NotFound("fitted friction", what[:40])
    state = _state(found[2], found[3])
    if state is None:
        raise NotFound("fitted friction", what[:40])
    stored = put_friction_back(session, found[1], state, int(found[4]), by=who(form))
    told = Notice(f"{stored.name} has its old friction again, {state[0]}, {state[1]}.")
    return redirect(request, f"/packs/{stored.id}", told)


def _way_back(key: str, state: StateKey, version: int) -> str:
    return f"/fitted-friction/{key}-{state[0]}-{state[1]}-v{version}/bring-back"


def _state(lubrication: str, friction: str) -> StateKey | None:
    if lubrication in get_args(Lubrication) and friction in get_args(FrictionKind):
        return cast("StateKey", (lubrication, friction))
    return None


def _asked(request: Request, usual: StateKey) -> FitAsked:
    asked = request.query_params
    problems: list[str] = []
    known = {"lubrication", "friction", "law", "take"}
    problems += [
        f"This page has no “{name[:40]}”: take it out of the address."
        for name in asked
        if name not in known
    ]
    state = _state(asked.get("lubrication") or usual[0], asked.get("friction") or usual[1])
    if state is None:
        problems.append("Write dry or oiled as lubrication, static or sliding as friction.")
    law = asked.get("law") or "auto"
    if law not in ("auto", *LAWS):
        problems.append(f"Write one of auto, {', '.join(LAWS)} as the law.")
        law = "auto"
    take = tuple(asked.getlist("take"))[:LONGEST_LIST]
    return FitAsked(state or usual, cast("Law", law), take, tuple(problems))


def _view(session: Session, key: str, asked: FitAsked) -> FitPage:
    problems: Sequence[str] = asked.problems
    take: Sequence[str] = asked.take
    try:
        fitted = fit_of_pack(session, key, asked.state, asked.law, take)
    except BadInput as refusal:
        problems = (*problems, *(p.message for p in refusal.problems))
        take = ()
        fitted = fit_of_pack(session, key, asked.state, asked.law, take)
    refused: Any = fitted.fit.refusal
    if refused and asked.law != "auto":
        # What can't be fitted is said, and what can be is shown beside it.
        problems = (*problems, refused)
        fitted = fit_of_pack(session, key, asked.state, "auto", take)
    stored = fitted.pack
    back = ""
    if taken_at(session, stored, asked.state):
        back = _way_back(key, asked.state, stored.version)
    return fit_page(
        key, stored.version, stored.document, asked.state, asked.law, take,
        [(t.id, t.document) for t in fitted.runs], fitted.fit, fitted_mu(fitted),
        list(states_tested(runs_of(session, key)).items()), back, problems,
    )
