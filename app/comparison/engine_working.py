"""The working of an engine's side: crank torque, primary gear, service factor."""

from collections.abc import Mapping

from app.comparison.working_lines import DEFINITION, Lines, WorkingLine, number, plain
from app.mechanics.inputs import (
    BmepTorque,
    CurveTorque,
    EngineInputs,
    MeasuredTorque,
    PowerTorque,
    Quantity,
)
from app.mechanics.sides import EngineSide
from app.mechanics.traced import Column


def engine_working(
    engine: EngineInputs,
    side: EngineSide,
    columns: Mapping[str, Column],
    mounting: int | None,
) -> list[WorkingLine]:
    """The steps of an engine's side at one mounting, torques in N·m, speeds in r/min.

    Args:
        engine: the record.
        side: its demand side, (1, 1).
        columns: its inputs.
        mounting: 0 crankshaft, 1 geared; None: not known, so only the crank torque is.

    Returns:
        Lines in the order in which one would work by hand.

    Range: one record.
    Source: named in each line.
    """
    lines = Lines(columns, [])
    formula, text, source = _torque_text(engine)
    lines.add("crank_torque_nm", side.crank_torque, "N·m", formula, text, source)
    if mounting is None:
        return lines.found
    if mounting == 0:
        gear, step = "on the crankshaft: i = η = 1 exactly", number(side.crank_torque)
    else:
        gear = "T_c = T i η"
        step = (
            f"{number(side.crank_torque)} · {_ratio_text(engine)} · "
            f"{plain(engine.primary_efficiency.value)}"
        )
    lines.add(
        "clutch_torque_nm", side.clutch_torque[mounting], "N·m", gear, step, "power through a gear"
    )
    speed = number(side.crank_speed) + ("" if mounting == 0 else f"/{_ratio_text(engine)}")
    lines.add(
        "clutch_speed_rpm", side.clutch_speed[mounting], "r/min", "n_c = n/i", speed, "gear ratio"
    )
    factor = engine.service_factor
    lines.add(
        "service_factor",
        side.service_factor,
        "1",
        "as set" if factor else "none set: exactly 1",
        "1" if factor is None else plain(factor.value),
        "this engine's own figure" if factor else DEFINITION,
    )
    lines.add(
        "required_nm",
        side.required[mounting],
        "N·m",
        "T_req = T_c · service factor",
        f"{number(side.clutch_torque[mounting])} · {number(side.service_factor)}",
        DEFINITION,
    )
    return lines.found


def _ratio_text(engine: EngineInputs) -> str:
    if engine.primary_teeth is not None:
        return f"({engine.primary_teeth[1]}/{engine.primary_teeth[0]})"
    return "?" if engine.primary_ratio is None else plain(engine.primary_ratio.value)


def _value(q: Quantity | None) -> str:
    return "?" if q is None else plain(q.value)


def _torque_text(engine: EngineInputs) -> tuple[str, str, str]:
    torque = engine.torque
    if isinstance(torque, PowerTorque):
        return (
            "T = 30000 P/(π n)",
            f"30000 · {_value(torque.power_kw)}/(π · {_value(torque.speed_rpm)})",
            "T ω = P",
        )
    if isinstance(torque, BmepTorque):
        turns = plain((engine.strokes or 4) / 2.0)
        return (
            "T = bmep V_d/(2π n_R)",
            f"{_value(torque.bmep_kpa)} kPa · {_value(engine.displacement_cc)} cm³/"
            f"(2π · {turns})/1000",
            "J. B. Heywood, Internal Combustion Engine Fundamentals, 2.7",
        )
    if isinstance(torque, CurveTorque):
        wheel = torque.at == "wheel"
        return (
            "largest torque of the curve" + ("/(i_total η)" if wheel else ""),
            f"{len(torque.points)} points"
            + (
                f", /({_value(torque.overall_ratio)} · {_value(torque.driveline_efficiency)})"
                if wheel
                else ""
            ),
            "this engine's own curve",
        )
    text = _value(torque.torque_nm) if isinstance(torque, MeasuredTorque) else "?"
    return "T as measured", text, "this engine's own figure"
