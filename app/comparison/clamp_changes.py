"""Single changes of a clamp that give a wanted clamp load, one kind of clamp at a time."""

import math
from dataclasses import replace

import numpy as np

from app.comparison.change_step import Step, moved, scaled, wear_mm
from app.comparison.coil_changes import Coils, coil_steps
from app.mechanics.disc_spring import shape_factor
from app.mechanics.inputs import (
    CentrifugalClamp,
    CoilClamp,
    DiscClamp,
    DiscTableClamp,
    EngineInputs,
    LoadClamp,
    PackInputs,
    Quantity,
    State,
)
from app.mechanics.sides import engine_side, pack_side
from app.mechanics.stack import stack_engines, stack_packs


def unit_clamp() -> LoadClamp:
    """A clamp of exactly 1 N at any wear: it turns a capacity into torque per newton."""
    return LoadClamp(Quantity(1.0), Quantity(1e-300))


def steps(
    pack: PackInputs, engine: EngineInputs, state: State, needed_n: float
) -> list[Step]:
    """Changes of a pack's own kind of clamp that press with a wanted load in the given state.

    Args:
        pack: the pack.
        engine: the engine, for weights that turn with it.
        state: gives the wear.
        needed_n: wanted clamp load [N], a scalar.

    Returns:
        Steps, each with the changed clamp.

    Range: nominal values.
    Source: the load formulas of app.mechanics.clamp, solved for one term.
    """
    clamp = pack.clamp
    if isinstance(clamp, CoilClamp):
        return coil_steps(pack, clamp, state, needed_n)
    if isinstance(clamp, LoadClamp):
        return [_load(pack, clamp, state, needed_n)]
    if isinstance(clamp, DiscClamp | DiscTableClamp):
        return [_deflection(pack, clamp, state, needed_n)]
    if isinstance(clamp, CentrifugalClamp):
        return _weights(pack, clamp, engine, state, needed_n)
    return []


def _load(pack: PackInputs, clamp: LoadClamp, state: State, needed: float) -> Step:
    if clamp.force_n is None:
        return Step("force_n", None, "N", None, (), "the clamp load is not known")
    wear = wear_mm(pack, state)
    rate = clamp.rate_n_per_mm.value if clamp.rate_n_per_mm else 0.0
    wanted = needed + rate * wear
    by = wanted - clamp.force_n.value
    words = [f"clamp load {wanted:.0f} N instead of {clamp.force_n.value:.0f} N, unworn"]
    if clamp.rate_n_per_mm is not None:
        words.append(f"{abs(by / rate):.3g} mm {'more' if by > 0 else 'less'} compression gives "
                     "it at the recorded rate")
    changed = replace(clamp, force_n=moved(clamp.force_n, by))
    return Step("force_n", by, "N", changed, tuple(words))


def _deflection(
    pack: PackInputs, clamp: DiscClamp | DiscTableClamp, state: State, needed: float
) -> Step:
    name = "installed_deflection_mm"
    if clamp.installed_deflection_mm is None:
        return Step(name, None, "mm", None, (), "the installed deflection is not known")
    shift = wear_mm(pack, state)
    now = clamp.installed_deflection_mm.value
    found = [s + shift for s in _deflections(clamp, needed, now)]
    if not found:
        return Step(name, None, "mm", None, (),
                    "the disc spring reaches this load at no deflection of its range")
    by = min(found, key=lambda s: abs(s - now)) - now
    changed = replace(clamp, installed_deflection_mm=moved(clamp.installed_deflection_mm, by))
    words = [f"{now + by:.3g} mm deflection instead of {now:.3g} mm: a spacer of {by:.3g} mm"
             if by > 0.0 else
             f"{now + by:.3g} mm deflection instead of {now:.3g} mm: {-by:.3g} mm less under the "
             "spring"]
    if isinstance(clamp, DiscClamp) and clamp.cone_height_mm is not None \
            and now + by > clamp.cone_height_mm.value * clamp.in_series * (1.0 + 1e-9):
        words.append("new, before any wear, the spring is then pressed past flat: its seat must "
                     "leave room for that")
    words.append("a disc spring's load can fall as it is pressed further: look at its curve for "
                 "the worn pack and for the lever effort")
    return Step(name, by, "mm", changed, tuple(words))


def _deflections(
    clamp: DiscClamp | DiscTableClamp, needed: float, installed: float
) -> list[float]:
    """Deflections of the stack with a load [mm], up to flat or to the present one."""
    if isinstance(clamp, DiscTableClamp):
        # Imported here: only packs with a measured table need scipy's interpolation.
        from scipy.interpolate import PchipInterpolator

        points = sorted({p.deflection_mm: p.force_n for p in clamp.points}.items())
        if len(points) < 2:
            return []
        x, y = np.array(points).T
        roots = PchipInterpolator(x, y, extrapolate=False).solve(needed, extrapolate=False)
        return [float(s) for s in np.atleast_1d(roots) if math.isfinite(s)]
    parts = (clamp.outside_mm, clamp.inside_mm, clamp.thickness_mm, clamp.cone_height_mm)
    if any(p is None for p in parts):
        return []
    outside, inside, t, h0 = (p.value for p in parts if p is not None)
    front = 4.0 * clamp.modulus_mpa.value / (1.0 - clamp.poisson.value**2) * t**4
    front /= shape_factor(outside / inside) * outside**2
    h = h0 / t
    # x = s/t: front · x ((h − x)(h − x/2) + 1) = F, a cubic in x. At the top of the curve two
    # roots meet, and rounding then leaves them a little beside the real line.
    cubic = [0.5 * front, -1.5 * h * front, (h * h + 1.0) * front, -needed / clamp.in_parallel]
    if not np.all(np.isfinite(cubic)):
        return []
    real = [float(r.real) for r in np.roots(cubic) if abs(r.imag) < 1e-7 * max(1.0, abs(r))]
    most = max(h, installed / (t * clamp.in_series)) + 1e-9
    return [x * t * clamp.in_series for x in real if 0.0 < x <= most]


def _weights(
    pack: PackInputs, clamp: CentrifugalClamp, engine: EngineInputs, state: State, needed: float
) -> list[Step]:
    mass, back = clamp.weight_mass_g, clamp.return_force_n
    if mass is None or back is None or pack.mounting is None:
        return []
    sheet = stack_packs([replace(pack, clamp=replace(clamp, return_force_n=Quantity(0.0)))], state)
    asked = engine_side(stack_engines([engine]), state.speed_rpm)
    speed = asked.clutch_speed[0 if pack.mounting == "crankshaft" else 1]
    pull = float(pack_side(sheet, state, speed).clamp.value[0, 0])
    if not pull > 0.0:
        return []
    shaft = float(speed.value[0, 0])
    heavier = mass.value * (needed + back.value) / pull
    softer = pull - needed
    found = [Step(
        "weight_mass_g", heavier - mass.value, "g",
        replace(clamp, weight_mass_g=scaled(mass, heavier / mass.value)),
        (f"weights of {heavier:.3g} g instead of {mass.value:.3g} g",
         _bites(shaft, back.value / pull, back.value / (needed + back.value))))]
    if softer < 0.0:
        why = "even without return springs the weights press too little"
        return [*found, Step("return_force_n", None, "N", None, (), why)]
    return [*found, Step(
        "return_force_n", softer - back.value, "N",
        replace(clamp, return_force_n=moved(back, softer - back.value)),
        (f"return springs of {softer:.0f} N instead of {back.value:.0f} N",
         _bites(shaft, back.value / pull, softer / pull)))]


def _bites(shaft_rpm: float, now: float, then: float) -> str:
    """Where the pull, which grows with the square of the speed, overcomes the return springs."""
    before, after = (shaft_rpm * math.sqrt(part) for part in (now, then))
    return (f"the pack bites from {after:.0f} r/min of its shaft on instead of {before:.0f} r/min: "
            "keep that above the idling speed")


def clearing_wear(pack: PackInputs, fresh: State, ratio: float) -> float | None:
    """Stack wear at which the clamp has fallen to its unworn load over `ratio`.

    Args:
        pack: the pack.
        fresh: the state, unworn.
        ratio: available over required when new [1], 1 or more.

    Returns:
        Wear [mm]; None when the clamp does not fall that far, or needs a rate to tell.

    Range: nominal values. A disc spring's load may rise first; the first fall below counts.
    Source: the load formulas of app.mechanics.clamp, solved for the wear.
    """
    clamp = pack.clamp
    if isinstance(clamp, CoilClamp):
        coils = Coils.of(pack, fresh)
        return -coils.shim_for(coils.load / ratio)
    if isinstance(clamp, LoadClamp):
        if clamp.rate_n_per_mm is None or clamp.force_n is None:
            return None
        return clamp.force_n.value * (1.0 - 1.0 / ratio) / clamp.rate_n_per_mm.value
    if isinstance(clamp, DiscClamp | DiscTableClamp) and clamp.installed_deflection_mm:
        with np.errstate(divide="ignore", invalid="ignore"):
            load = float(pack_side(stack_packs([pack], fresh), fresh).clamp.value[0, 0])
        now = clamp.installed_deflection_mm.value
        below = [s for s in _deflections(clamp, load / ratio, now) if s <= now + 1e-12]
        return now - max(below) if below else None
    return None
