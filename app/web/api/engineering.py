"""Questions that store nothing: which change would make a pack hold, how hot a launch gets."""

from dataclasses import asdict
from typing import Annotated, Any, Literal

from fastapi import APIRouter
from pydantic import AfterValidator, BaseModel, Field
from pydantic_core import PydanticCustomError

from app.comparison.cell import evaluate
from app.comparison.changes import changes
from app.comparison.launch import Driven, Driver, Vehicle, launch
from app.documents import Document, State
from app.documents.quantities import Count, Number, PositiveNumber
from app.services.spring_choice import spring_choices
from app.web.api import answers
from app.web.api.bodies import JsonRoute
from app.web.api.stateless import AskedEngine, AskedPack, Sent, unknown_fields, within
from app.web.deps import ReadSessionDep

router = APIRouter(prefix="/api/v1", tags=["questions"], route_class=JsonRoute)


class ChangesQuestion(Document):
    """A cell and the ratio that is wanted of it."""

    pack: AskedPack
    engine: AskedEngine
    state: State
    target_ratio: PositiveNumber = Field(description="Wanted available/required.")


class Option(BaseModel):
    """One change: `by` is added to the present value of the field `change`, in `unit`."""

    change: str
    by: float | None
    unit: str
    result_ratio: float | None
    consequences: list[str]
    possible: bool
    why_not: str | None


class CatalogueSprings(BaseModel):
    """A recorded spring set that fits the pack's seats, and the cell with it.

    `pack` is the id of the pack that it is in, null on the shelf; `low` is the interval's lower
    end.
    """

    name: str
    pack: str | None
    pack_name: str | None
    result_ratio: float
    low: float


class Options(BaseModel):
    """All single changes; empty, with a warning, when the ratio itself is not known.

    `catalogue_springs` is there for a pack with one group of coil springs whose room is known.
    """

    options: list[Option]
    catalogue_springs: list[CatalogueSprings] = []
    warnings: list[answers.Warning]


class DriverDocument(Document):
    """The engine side at the clutch shaft; without an inertia it is held at its speed."""

    speed_rpm: Number = Field(description="Speed at the start, in r/min.")
    inertia_kg_m2: PositiveNumber | None = Field(default=None, description="Inertia, in kg·m².")


class VehicleDocument(Document):
    """A moving mass; `overall_ratio` is clutch speed over wheel speed."""

    mass_kg: PositiveNumber
    wheel_radius_m: PositiveNumber
    overall_ratio: PositiveNumber


class DrivenDocument(Document):
    """The driven side at the clutch shaft: an inertia, or a vehicle to be turned into one."""

    speed_rpm: Number = Field(default=0.0, description="Speed at the start, in r/min.")
    inertia_kg_m2: PositiveNumber | None = Field(default=None, description="Inertia, in kg·m².")
    vehicle: VehicleDocument | None = None


MOST_LAUNCHES = 1000

# Null says that the clutch never locks; the other figures are left out where they can't be known.
_ALWAYS = ("energy_j", "slip_time_s", "common_speed_rpm")


def _launches(value: int) -> int:
    if value > MOST_LAUNCHES:
        raise PydanticCustomError(
            "launches", "Write a whole number of launches up to {most}.", {"most": MOST_LAUNCHES}
        )
    return value


class LaunchQuestion(Document):
    """A launch; all torques, speeds and inertias are those at the clutch shaft."""

    torque_nm: PositiveNumber = Field(description="Clutch torque while it slips, in N·m.")
    load_torque_nm: Number = Field(default=0.0, description="Torque that loads the driven side.")
    drive_torque_nm: Number = Field(default=0.0, description="Torque that drives the engine side.")
    driver: DriverDocument
    driven: DrivenDocument
    pack: AskedPack | None = Field(default=None, description="Gives the energy per facing area.")
    plate_mass_kg: PositiveNumber | None = Field(
        default=None, description="Steel that takes up the heat, in kg; else the pack's own."
    )
    launches: Annotated[
        Count, AfterValidator(_launches), Field(json_schema_extra={"maximum": MOST_LAUNCHES})
    ] = Field(default=1, description="Launches in a row without cooling, for the temperature rise.")


class LaunchAnswer(BaseModel):
    """Heat of the launch: null where it never locks, left out where the pack does not tell."""

    energy_j: float | None
    slip_time_s: float | None
    common_speed_rpm: float | None
    energy_per_area_j_mm2: float | None = None
    temperature_rise_k: float | None = None
    model: Literal["two_inertias", "held_driver"]
    words: list[str]
    warnings: list[answers.Warning]


@router.post(
    "/changes",
    response_model=Options,
    response_model_exclude_unset=True,
    summary="Make a pack hold",
)
def post_changes(question: ChangesQuestion, raw: Sent, session: ReadSessionDep) -> Any:
    """Every single change that would give the wanted ratio, with what follows from it.

    Only nominal values are used. What can't be done says why. Springs of the catalogue that fit
    the pack's seats and reach the ratio are named. Nothing is stored.
    """
    pack = within("pack", question.pack.to_inputs)
    engine = within("engine", question.engine.to_inputs)
    state = question.state.to_inputs()
    found = changes(pack, engine, state, question.target_ratio)
    warnings = unknown_fields(raw, ChangesQuestion)
    if not found:
        missing = evaluate(pack, engine, state).missing
        lack = "it needs " + ", ".join(missing) if missing else "a figure lies outside its range"
        text = f"the ratio is not known: {lack}"
        warnings.append({"code": "ratio_not_known", "text": text})
    answer: dict[str, Any] = {
        "options": [asdict(option) for option in found],
        "warnings": warnings,
    }
    choices = spring_choices(session, pack, engine, state, question.target_ratio) if found else None
    if choices is not None:
        answer["catalogue_springs"] = [
            {
                "name": choice.name,
                "pack": choice.pack_id or None,
                "pack_name": choice.pack_name or None,
                "result_ratio": choice.swap.ratio,
                "low": choice.swap.low,
            }
            for choice in choices
        ]
    return answer


@router.post(
    "/launch",
    response_model=LaunchAnswer,
    response_model_exclude_unset=True,
    summary="Heat of a launch",
)
def post_launch(question: LaunchQuestion, raw: Sent) -> Any:
    """Energy, slip time and temperature rise from both sides' speeds and inertias.

    Without a driver's inertia the driver is held at its speed, which makes other heat: `model`
    says which of the two was worked out. Nothing is stored.
    """
    driven, vehicle = question.driven, question.driven.vehicle
    answer = launch(
        question.torque_nm,
        Driver(question.driver.speed_rpm, question.driver.inertia_kg_m2),
        Driven(
            driven.speed_rpm,
            driven.inertia_kg_m2,
            None
            if vehicle is None
            else Vehicle(vehicle.mass_kg, vehicle.wheel_radius_m, vehicle.overall_ratio),
        ),
        question.load_torque_nm,
        question.drive_torque_nm,
        within("pack", question.pack.to_inputs) if question.pack else None,
        question.plate_mass_kg,
        question.launches,
    )
    known = {
        name: figure
        for name, figure in asdict(answer).items()
        if figure is not None or name in _ALWAYS
    }
    return {**known, "warnings": unknown_fields(raw, LaunchQuestion)}
