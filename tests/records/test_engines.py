"""The table has a column for every figure that an engine's document can hold."""

from app.documents import Bmep, Curve, Engine, Measured, Power
from app.records.engines import ENGINE_FIGURES, TORQUE_FIGURES
from tests.records.test_packs import figures


def test_every_figure_of_an_engine_and_its_torque_has_its_columns() -> None:
    torques = {"measured": Measured, "power": Power, "bmep": Bmep, "curve": Curve}
    for kind, model in torques.items():
        assert set(TORQUE_FIGURES[kind]) == figures(model), kind
    of_torques = {name for names in TORQUE_FIGURES.values() for name in names}
    assert set(ENGINE_FIGURES) == figures(Engine) | of_torques
