"""Questions that store nothing: which change would make a pack hold, how hot a launch gets."""

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import BaseModel, Field

from app.comparison.changes import changes
from app.comparison.launch import Driven, Driver, Vehicle, launch
from app.documents import Document, State
from app.documents.quantities import NonNegativeNumber, Number, PositiveNumber
from app.web.api.stateless import AskedEngine, AskedPack, Sent, unknown_fields

router = APIRouter(prefix="/api/v1", tags=["stateless"])


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


class Options(BaseModel):
    """All single changes; empty when the ratio itself is not known."""

    options: list[Option]
    warnings: list[dict[str, str]]


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
    launches: Annotated[NonNegativeNumber, Field(le=1000)] = Field(
        default=1, description="Launches in a row without cooling, for the temperature rise."
    )


class LaunchAnswer(BaseModel):
    """Heat of the launch; figures that can't be known, or that never come, are null."""

    energy_j: float | None
    slip_time_s: float | None
    common_speed_rpm: float | None
    energy_per_area_j_mm2: float | None
    temperature_rise_k: float | None
    model: str
    words: list[str]
    warnings: list[dict[str, str]]


@router.post("/changes", response_model=Options)
def post_changes(question: ChangesQuestion, raw: Sent) -> Any:
    """Solve every single change that would give the wanted ratio."""
    found = changes(
        question.pack.to_inputs(), question.engine.to_inputs(), question.state.to_inputs(),
        question.target_ratio,
    )
    return {"options": [asdict(o) for o in found],
            "warnings": unknown_fields(raw, ChangesQuestion)}


@router.post("/launch", response_model=LaunchAnswer)
def post_launch(question: LaunchQuestion, raw: Sent) -> Any:
    """Heat of a launch from both sides' speeds and inertias."""
    driven, vehicle = question.driven, question.driven.vehicle
    answer = launch(
        question.torque_nm,
        Driver(question.driver.speed_rpm, question.driver.inertia_kg_m2),
        Driven(driven.speed_rpm, driven.inertia_kg_m2, None if vehicle is None else Vehicle(
            vehicle.mass_kg, vehicle.wheel_radius_m, vehicle.overall_ratio)),
        question.load_torque_nm,
        question.drive_torque_nm,
        question.pack.to_inputs() if question.pack else None,
        question.plate_mass_kg,
        question.launches,
    )
    return {**asdict(answer), "warnings": unknown_fields(raw, LaunchQuestion)}
