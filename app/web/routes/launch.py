"""Heat of a launch with one pack and one engine; everything is in the address."""

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.comparison.board_query import CELL_NAMES, read_view
from app.comparison.launch import Driven, Driver, Launch, Vehicle, launch
from app.errors import BadInput
from app.fields import field
from app.mechanics.slip_heat import inertia_at_clutch
from app.presentation.launch_page import LaunchRows, launch_rows
from app.presentation.numbers import number_text
from app.presentation.torques import state_words
from app.services.cell_working import WorkedCell, worked_cell
from app.web.deps import ReadSessionDep
from app.web.forms.reader import FormReader
from app.web.render import page

router = APIRouter()
MODELS = (("held", "Held at its speed (a steady throttle)"),
          ("inertia", "Slows down (its own inertia only)"))
OWN = ("torque_nm", "crank_rpm", "model", "inertia_kg_m2", "mass_kg", "wheel_radius_m",
       "overall_ratio", "load_torque_nm", "plate_mass_kg", "launches")
USUAL = {"crank_rpm": "4000", "model": "held", "launches": "1"}


@dataclass(frozen=True)
class LaunchPage:
    """The page: the form, and the answer once enough is typed."""

    title: str
    back: str
    state: str
    form: FormReader
    fields: dict[str, Any]
    models: tuple[tuple[str, str], ...]
    keep: tuple[tuple[str, str], ...]
    rows: LaunchRows | None


@router.get("/cell/{pack}/{engine}/launch")
def show(request: Request, session: ReadSessionDep, pack: str, engine: str) -> Response:
    """The form with what the records know filled in, and the answer to what was typed."""
    pairs = request.query_params.multi_items()
    view = read_view([pair for pair in pairs if pair[0] not in OWN], CELL_NAMES)
    worked = worked_cell(session, pack, engine, view)
    sent = {name: text for name, text in pairs if name in OWN}
    form = FormReader({**_known(worked), **sent})
    answer = _answer(form, worked) if sent else None
    shown = LaunchPage(
        title=f"Heat of a launch: {worked.pack.name} on {worked.engine.name}",
        back=view.cell_address(pack, engine),
        state=state_words(view),
        form=form,
        fields={name: field("launch", name) for name in (
            "torque_nm", "load_torque_nm", "inertia_kg_m2", "mass_kg", "wheel_radius_m",
            "overall_ratio")} | {"plate_mass_kg": field("pack", "plate_mass_kg"),
                                 "crank_rpm": field("launch", "driver_speed_rpm")},
        models=MODELS,
        keep=tuple(view.state_pairs()),
        rows=None if answer is None else launch_rows(answer),
    )
    return page(request, "pages/launch.html", shown, 422 if form.problems else 200)


def _known(worked: WorkedCell) -> dict[str, str]:
    """What the records say, for a form that was not yet sent."""
    found = dict(USUAL)
    if worked.result.capacity is not None:
        found["torque_nm"] = f"{worked.result.capacity.value:.4g}"
    mass = worked.pack.inputs.plate_mass_kg
    if mass is not None:
        found["plate_mass_kg"] = number_text(mass.value)
    engine = worked.engine.inputs
    for name, figure in (("mass_kg", engine.vehicle_mass_kg),
                         ("wheel_radius_m", engine.wheel_radius_m),
                         ("overall_ratio", engine.clutch_to_wheel_ratio)):
        if figure is not None:
            found[name] = number_text(figure.value)
    return found


def _ratio(worked: WorkedCell) -> float | None:
    """Crank speed over clutch speed of this cell."""
    if worked.pack.inputs.mounting == "crankshaft":
        return 1.0
    teeth, ratio = worked.engine.inputs.primary_teeth, worked.engine.inputs.primary_ratio
    if teeth is not None:
        return teeth[1] / teeth[0]
    return None if ratio is None else ratio.value


def _answer(form: FormReader, worked: WorkedCell) -> Launch | None:
    torque = form.number("torque_nm", field("launch", "torque_nm"))
    crank = form.number("crank_rpm", field("launch", "driver_speed_rpm"))
    inertia = form.number("inertia_kg_m2", field("launch", "inertia_kg_m2"))
    vehicle = [form.number(name, field("launch", name))
               for name in ("mass_kg", "wheel_radius_m", "overall_ratio")]
    load = form.number("load_torque_nm", field("launch", "load_torque_nm"))
    mass = form.number("plate_mass_kg", field("pack", "plate_mass_kg"))
    count = form.count("launches")
    held = form.choice("model", [key for key, _ in MODELS]) != "inertia"
    ratio = _ratio(worked)
    needed = {"torque_nm": torque, "crank_rpm": crank, "mass_kg": vehicle[0],
              "wheel_radius_m": vehicle[1], "overall_ratio": vehicle[2]}
    for name, value in needed.items():
        if value is None and not form.message_for(name):
            form.say(name, "Write this figure; the heat needs it.")
    if not held and inertia is None and not form.message_for("inertia_kg_m2"):
        form.say("inertia_kg_m2", "Write the crank's inertia, or choose the engine that is held at "
                                  "its speed.")
    if ratio is None:
        form.say("crank_rpm", "The engine's primary ratio is not recorded, so the clutch's speed "
                              "is not known.")
    if form.problems or ratio is None or torque is None or crank is None:
        return None
    own = None if held or inertia is None else inertia_at_clutch(inertia, ratio)
    body = Vehicle(vehicle[0] or 0.0, vehicle[1] or 0.0, vehicle[2] or 0.0)
    try:
        return launch(torque, Driver(crank / ratio, own), Driven(vehicle=body), load or 0.0, 0.0,
                      worked.pack.inputs, mass, float(count or 1))
    except BadInput as refusal:
        for problem in refusal.problems:
            form.say("mass_kg", problem.message)
        return None
