"""A slip test planned before anything turns: the page and the card, both an address."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import RedirectResponse, Response

from app.comparison.slip_plan import plan_slip_test
from app.errors import BadInput, NotFound
from app.fields import CATALOGUE, Field
from app.mechanics.friction_source import with_friction
from app.mechanics.missing import missing_in_pack
from app.presentation.cautions import CAUTIONS, Caution
from app.presentation.numbers import quantity_text
from app.presentation.plan_page import PlanResult, SteelRow, plan_result, rig_cautions, steel_rows
from app.presentation.readouts import Link, missing_links
from app.records.slip_test_queries import active_instruments
from app.services.standing import Standing, standing
from app.web.deps import ReadSessionDep
from app.web.forms import plan_form
from app.web.forms.plan_form import PlanAsked, read_plan
from app.web.forms.reader import FormReader
from app.web.render import page

router = APIRouter()

PATH = "/tests/plan"
Options = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class PlanPage:
    """The plan with its form."""

    form: FormReader
    packs: Options
    rows: tuple[int, ...]
    presets: Options
    result: PlanResult | None
    lacks: tuple[Link, ...]
    card: str
    cautions: tuple[Caution, ...] = field(default_factory=rig_cautions)
    apart: tuple[Caution, ...] = (CAUTIONS["spring"], CAUTIONS["retaining-ring"])
    steels: tuple[SteelRow, ...] = field(default_factory=steel_rows)
    kinds: Options = plan_form.KINDS
    fields: Mapping[str, Field] = field(
        default_factory=lambda: {
            **CATALOGUE["test_chain"], **CATALOGUE["slip_test"],
            "plate_mass_kg": CATALOGUE["pack"]["plate_mass_kg"],
            "mu": plan_form.MU["friction"],
            "mu_limit": plan_form.MU["mu_limit"],
        }
    )


@router.get("/tests/plan")
def show(request: Request, session: ReadSessionDep) -> Response:
    """The form, and below it the plan as far as it can be made."""
    form = FormReader(dict(request.query_params))
    if form.raw.get("do", "") == "add":
        _add_preset(session, form)
        return RedirectResponse(_address(PATH, form) + "#chain", 303)
    view = _view(session, form)
    return page(request, "pages/tests/plan.html", view, 422 if form.problems else 200)


@router.get("/tests/plan/card")
def card(request: Request, session: ReadSessionDep) -> Response:
    """One page to print, with empty boxes for the readings."""
    form = FormReader(dict(request.query_params))
    view = _view(session, form)
    form.refuse_problems()
    if view.result is None:
        raise NotFound("plan for", "this pack yet")
    return page(request, "pages/tests/card.html", view)


def _address(path: str, form: FormReader) -> str:
    pairs = plan_form.address_pairs(form)
    return f"{path}?{urlencode(pairs)}" if pairs else path


def _add_preset(session: Session, form: FormReader) -> None:
    """One more link: a published drive square, or one of the team's own instruments."""
    key = form.raw.get("preset", "")
    square = plan_form.drive_square(key)
    if square is not None:
        plan_form.add_link(form, "rated", plan_form.square_name(square), square.test_torque_nm)
        return
    for row in active_instruments(session):
        if f"instrument-{row['public_id']}" == key and row["range_high_nm"] is not None:
            plan_form.add_link(form, "gauge", row["name"], row["range_high_nm"])


def _presets(session: Session) -> Options:
    gauges = tuple(
        (f"instrument-{row['public_id']}", f"{row['name']}, ends at {row['range_high_nm']:g} N·m")
        for row in active_instruments(session)
        if row["range_high_nm"] is not None
    )
    return (*gauges, *plan_form.preset_options())


def _view(session: Session, form: FormReader) -> PlanPage:
    asked = read_plan(form)
    known = standing(session)
    if asked.pack and asked.pack not in known.pack_by_id:
        form.say("pack", "There is no such pack in use. Choose another.")
    result, lacks = (None, ()) if not asked.pack or form.problems else _plan(known, asked, form)
    return PlanPage(
        form=form,
        packs=(("", "Choose the pack"), *((p.public_id, p.name) for p in known.packs)),
        rows=tuple(plan_form.rows_shown(form)),
        presets=_presets(session),
        result=result,
        lacks=lacks,
        card=_address(f"{PATH}/card", form),
    )


def _plan(
    known: Standing, asked: PlanAsked, form: FormReader
) -> tuple[PlanResult | None, tuple[Link, ...]]:
    """The plan, or what the pack lacks for one; refusals are said at their boxes."""
    pack = known.pack_by_id[asked.pack]
    state = asked.state
    inputs = with_friction(pack.inputs, state.lubrication, state.friction)
    if asked.friction is not None:
        key = (state.lubrication, state.friction)
        inputs = replace(inputs, friction={**inputs.friction, key: asked.friction})
    lacking = missing_in_pack(inputs, state)
    if lacking:
        return None, missing_links(lacking, f"/packs/{asked.pack}/edit")
    try:
        plan = plan_slip_test(
            inputs, state, asked.chain, asked.springs, asked.speed_rpm, asked.seconds,
            asked.plate_mass_kg, asked.max_temperature_rise_k, asked.arm_m,
        )
    except BadInput as refusal:
        for problem in refusal.problems:
            form.say(asked.box(problem.field), problem.message)
        return None, ()
    wants_heat = asked.speed_rpm is not None
    result = plan_result(plan, asked.pack, pack.name, state, wants_heat)
    if asked.friction is not None:
        mu = quantity_text(asked.friction.value, asked.friction.plus_minus)
        result = replace(result, state=f"{result.state}; μ {mu} assumed for this plan")
    return result, ()
