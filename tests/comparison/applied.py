"""A change done by hand: what an option says is written into the records, and nothing else."""

from dataclasses import replace

from app.comparison.changes import Option
from app.comparison.run import compare
from app.mechanics.inputs import CoilClamp, EngineInputs, PackInputs, Quantity, State
from app.mechanics.sides import pack_side
from app.mechanics.stack import stack_packs


def rates(pack: PackInputs, state: State) -> list[float]:
    """The rate of every spring group [N/mm], by whatever the record knows of it."""
    springs = pack_side(stack_packs([pack], state), state).springs
    assert springs is not None
    assert isinstance(pack.clamp, CoilClamp)
    found: list[float] = springs.rate.value[0].tolist()
    return found


def apply(
    option: Option, pack: PackInputs, engine: EngineInputs, state: State
) -> tuple[PackInputs, EngineInputs]:
    """The records with `by` added to the field `change`; "%" is of each group's present value."""
    by, name, clamp = option.by, option.change, pack.clamp
    assert by is not None
    if name == "friction_plates":
        assert pack.friction_plates is not None
        assert by == int(by)
        more = int(by) * pack.lined_faces_per_plate
        surfaces = None if pack.surfaces is None else pack.surfaces + more
        plates = pack.friction_plates + int(by)
        return replace(pack, friction_plates=plates, surfaces=surfaces), engine
    if name == "friction":
        key = (state.lubrication, state.friction)
        mu = Quantity(pack.friction[key].value + by)
        return replace(pack, friction={**pack.friction, key: mu}), engine
    if name == "primary_ratio":
        teeth = engine.primary_teeth
        if teeth is not None:
            now = teeth[1] / teeth[0]
        else:
            assert engine.primary_ratio is not None
            now = engine.primary_ratio.value
        return pack, replace(engine, primary_teeth=None, primary_ratio=Quantity(now + by))
    if isinstance(clamp, CoilClamp):
        if name == "shim_mm":
            groups = [replace(g, shim_mm=Quantity(g.shim_mm.value + by)) for g in clamp.springs]
        else:
            assert name == "rate_n_per_mm"
            scale = option.unit == "%"
            groups = [
                replace(g, rate_n_per_mm=Quantity(k * (1.0 + by / 100.0) if scale else k + by))
                for g, k in zip(clamp.springs, rates(pack, state), strict=True)
            ]
        return replace(pack, clamp=CoilClamp(tuple(groups))), engine
    figure: Quantity = getattr(clamp, name)
    changed = replace(clamp, **{name: Quantity(figure.value + by)})  # type: ignore[type-var]  # every clamp is a dataclass
    return replace(pack, clamp=changed), engine


def ratio(pack: PackInputs, engine: EngineInputs, state: State) -> float:
    """The ratio that the board shows."""
    return float(compare([pack], [engine], state).ratio[0, 0])
