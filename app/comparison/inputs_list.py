"""Every input of a cell with its path, as a page lists it."""

from dataclasses import dataclass, fields, is_dataclass

from app.mechanics.derived import curve_peak, engine_displacement, fitted_rate, modulus
from app.mechanics.inputs import EngineInputs, PackInputs, Quantity, State


@dataclass(frozen=True, slots=True)
class InputLine:
    """One input: its path in the JSON interface, the quantity in its name's unit, its source."""

    path: str
    quantity: Quantity
    source: str | None = None


def list_inputs(
    pack: PackInputs | None, engine: EngineInputs | None, state: State | None
) -> list[InputLine]:
    """All quantities of a pack and an engine that a cell can rest on.

    Args:
        pack: a pack or None.
        engine: an engine or None.
        state: which friction coefficient is used; None leaves friction out.

    Returns:
        Lines in the order of the records; units by their names.

    Range: one record each.
    Source: the records.
    """
    lines: list[InputLine] = []
    if pack is not None:
        lines += _walk("pack", pack)
        lines += _springs(pack)
        key = (state.lubrication, state.friction) if state is not None else None
        if key is not None and key in pack.friction:
            path = f"pack.friction.{key[0]}.{key[1]}"
            lines.append(InputLine(path, pack.friction[key], pack.friction_source.get(key)))
    if engine is not None:
        lines += _walk("engine", engine)
        swept = engine_displacement(engine)
        if swept is not None and engine.displacement_cc is None:
            lines.append(InputLine("engine.displacement_cc", swept, "from bore and stroke"))
        peak = curve_peak(engine)
        if peak is not None:
            lines.append(InputLine("engine.torque.points", peak, "largest torque of the curve"))
    return lines


def _walk(path: str, value: object) -> list[InputLine]:
    if isinstance(value, Quantity):
        return [InputLine(path, value)]
    if isinstance(value, tuple):
        return [line for i, item in enumerate(value) for line in _walk(f"{path}.{i}", item)]
    lines: list[InputLine] = []
    for name in _parts(type(value)):
        part = getattr(value, name)
        if part is not None:
            lines += _walk(f"{path}.{name}", part)
    return lines


_PARTS: dict[type, tuple[str, ...]] = {}


def _parts(kind: type) -> tuple[str, ...]:
    """Names of what a record holds, looked up once; nothing of what is no record."""
    found = _PARTS.get(kind)
    if found is None:
        found = tuple(f.name for f in fields(kind)) if is_dataclass(kind) else ()
        _PARTS[kind] = found
    return found


def _springs(pack: PackInputs) -> list[InputLine]:
    found = []
    for i, group in enumerate(getattr(pack.clamp, "springs", ())):
        head = f"pack.clamp.springs.{i}."
        rate, shear = fitted_rate(group), modulus(group)
        if rate is not None:
            found.append(InputLine(head + "load_points", rate, "fitted to the load points"))
            scale = Quantity(1.0, plus_minus=group.tester_limit, how="measured")
            found.append(InputLine(head + "tester", scale, "scale of the spring tester"))
        if shear is not None and group.shear_modulus_mpa is None:
            found.append(InputLine(head + "shear_modulus_mpa", shear,
                                   f"table of wire materials, {group.wire_material}"))
    return found
