"""A made-up catalogue of any size, of every kind of clamp and torque, for measuring."""

from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import Any

from app.documents import Engine, Pack
from app.mechanics import inputs
from app.mechanics.inputs import EngineInputs, PackInputs, Quantity
from app.records.database import writing
from app.services.catalogue import engines, packs
from app.services.starting import open_engine, prepare
from app.settings import Settings
from tests.properties.random_records import Maker

_KINDS = {
    inputs.CoilClamp: "coil", inputs.LoadClamp: "load", inputs.DiscClamp: "disc",
    inputs.DiscTableClamp: "disc_table", inputs.CentrifugalClamp: "centrifugal",
    inputs.MeasuredTorque: "measured", inputs.PowerTorque: "power", inputs.BmepTorque: "bmep",
    inputs.CurveTorque: "curve",
}
KINDS_MADE = 400
"""So many different records are drawn; larger catalogues repeat them with other facings."""
AT_ONCE = 1000


def pack_inputs(count: int) -> list[PackInputs]:
    """Packs as the mechanics take them."""
    return [Maker(seed).pack() for seed in range(count)]


def engine_inputs(count: int) -> list[EngineInputs]:
    """Engines likewise."""
    return [Maker(100_000 + seed).engine() for seed in range(count)]


def pack_documents(count: int) -> Iterator[Pack]:
    """The same packs as documents, each with a name and its own facing."""
    raw = [_written(pack) for pack in pack_inputs(min(count, KINDS_MADE))]
    for number in range(count):
        one = {**raw[number % KINDS_MADE], "name": f"Pack {number:06d}"}
        facing = one["facing_od_mm"]
        wider = 1.0 + 0.0001 * (number // KINDS_MADE)
        yield Pack.model_validate(
            one | {"facing_od_mm": {**facing, "value": facing["value"] * wider}}
        )


def engine_documents(count: int) -> Iterator[Engine]:
    """The same engines as documents."""
    for number, engine in enumerate(engine_inputs(count)):
        yield Engine.model_validate({**_written(engine), "name": f"Engine {number:06d}"})


def _written(record: Any) -> dict[str, Any]:
    """A record of the mechanics as the JSON interface writes it; what is as usual is left out."""
    raw: dict[str, Any] = {}
    for f in fields(record):
        value = getattr(record, f.name)
        if f.name == "friction":
            raw[f.name] = _friction(value)
        elif f.name not in ("name", "friction_source") and value not in (None, (), f.default):
            raw[f.name] = _plain(value)
    if type(record) in _KINDS:
        raw["kind"] = _KINDS[type(record)]
    return raw


def _friction(known: Any) -> dict[str, dict[str, Any]]:
    raw: dict[str, dict[str, Any]] = {}
    for (lubrication, kind), quantity in known.items():
        raw.setdefault(lubrication, {})[kind] = _plain(quantity)
    return raw


def _plain(value: Any) -> Any:
    if isinstance(value, Quantity):
        return {f.name: v for f in fields(value) if (v := getattr(value, f.name)) is not None}
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    return value if isinstance(value, int | float | str) else _written(value)


def made_up_shop(folder: Path, pack_count: int, engine_count: int, url: str = "") -> Settings:
    """Settings of a database that holds so many packs and engines."""
    settings = Settings(data_dir=folder, database_url=url)
    prepare(settings)
    engine = open_engine(settings)
    try:
        made = list(pack_documents(pack_count)), list(engine_documents(engine_count))
        for noun, documents in zip((packs, engines), made, strict=True):
            for start in range(0, len(documents), AT_ONCE):
                with writing(engine) as session:
                    noun.add_many(session, documents[start : start + AT_ONCE], by="benchmark")
    finally:
        engine.dispose()
    return settings
