"""Single changes of a clamp that give a wanted clamp load, one kind of clamp at a time."""

import math
from dataclasses import dataclass, replace

import numpy as np

from app.mechanics.disc_spring import shape_factor
from app.mechanics.inputs import (
    CentrifugalClamp,
    Clamp,
    CoilClamp,
    DiscClamp,
    DiscTableClamp,
    EngineInputs,
    LoadClamp,
    PackInputs,
    Quantity,
    SpringGroup,
    State,
)
from app.mechanics.sides import engine_side, pack_figures, pack_side
from app.mechanics.stack import stack_engines, stack_packs
from app.mechanics.validity import CLASH_LEAST


@dataclass(frozen=True, slots=True)
class Step:
    """A change of the clamp: the clamp after it, or why there is none."""

    change: str
    by: float | None
    unit: str
    clamp: Clamp | None
    consequences: tuple[str, ...] = ()
    why_not: str | None = None


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
        return [_shim(pack, clamp, state, needed_n), _rate(pack, clamp, state, needed_n)]
    if isinstance(clamp, LoadClamp):
        return [_load(pack, clamp, state, needed_n)]
    if isinstance(clamp, DiscClamp | DiscTableClamp):
        return [_deflection(pack, clamp, state, needed_n)]
    if isinstance(clamp, CentrifugalClamp):
        return _weights(pack, clamp, engine, state, needed_n)
    return []


def wear_mm(pack: PackInputs, state: State) -> float:
    """Wear of the stack in a state [mm]: as stated, or the pack's own limit."""
    if state.wear_mm is not None:
        return state.wear_mm
    return pack.stack_wear_limit_mm.value if pack.stack_wear_limit_mm else math.nan


def _scaled(q: Quantity, factor: float) -> Quantity:
    return Quantity(
        q.value * factor,
        None if q.plus_minus is None else q.plus_minus * factor,
        None if q.std is None else q.std * factor, q.how)


def _moved(q: Quantity, by: float) -> Quantity:
    return replace(q, value=q.value + by)


@dataclass(frozen=True, slots=True)
class _Coils:
    """Stiffness n k [N/mm] and compression in the state [mm] of every group."""

    stiffness: tuple[float, ...]
    compression: tuple[float, ...]
    rates: tuple[float, ...]

    @classmethod
    def of(cls, pack: PackInputs, state: State) -> "_Coils":
        sheet = stack_packs([pack], state)
        springs = pack_side(sheet, state).springs
        if springs is None:
            return cls((), (), ())
        wear = wear_mm(pack, state)
        rates = np.broadcast_to(springs.rate.value, sheet.count.shape)[0]
        pressed = np.broadcast_to(springs.compression.value, sheet.count.shape)[0]
        return cls(
            tuple(float(n * k) for n, k in zip(sheet.count[0], rates, strict=True)),
            tuple(float(c - wear) for c in pressed), tuple(float(k) for k in rates),
        )

    def shim_for(self, needed: float) -> float:
        """Extra shim x [mm] with Σ n k max(0, c + x) = needed, which rises in straight pieces."""
        # From the least compressed group on: while only some groups press, only they count.
        order = sorted(zip(self.compression, self.stiffness, strict=True), reverse=True)
        stiffness = load_at_zero = 0.0
        for i, (compression, group) in enumerate(order):
            stiffness += group
            load_at_zero += group * compression
            x = (needed - load_at_zero) / stiffness
            if i + 1 == len(order) or order[i + 1][0] + x <= 0.0:
                return x
        return math.nan


def _shim(pack: PackInputs, clamp: CoilClamp, state: State, needed: float) -> Step:
    by = _Coils.of(pack, state).shim_for(needed)
    least = min((g.shim_mm.value for g in clamp.springs), default=0.0)
    groups = tuple(replace(g, shim_mm=_moved(g.shim_mm, by)) for g in clamp.springs)
    changed = CoilClamp(groups)
    words = (f"{abs(by):.3g} mm of shim {'more' if by >= 0 else 'less'} under every spring",
             *_coil_consequences(pack, changed, state))
    why = None
    if least + by < -1e-12:
        why = (f"there is only {least:.3g} mm of shim to take out; a spacer that lengthens the "
               "installed springs does the same")
    return Step("shim_mm", by, "mm", changed, words,
                why or _bind(pack, changed, state))


def _rate(pack: PackInputs, clamp: CoilClamp, state: State, needed: float) -> Step:
    coils = _Coils.of(pack, state)
    now = sum(k * max(0.0, c) for k, c in zip(coils.stiffness, coils.compression, strict=True))
    if now <= 0.0:
        return Step("rate_n_per_mm", None, "N/mm", None, (),
                    "the springs are slack here: a stiffer spring presses no more")
    factor = needed / now
    groups = tuple(_with_rate(g, k * factor, factor)
                   for g, k in zip(clamp.springs, coils.rates, strict=True))
    changed = CoilClamp(groups)
    wanted = ", ".join(f"{k * factor:.4g} N/mm instead of {k:.4g}" for k in coils.rates)
    one = len(coils.rates) == 1
    by = coils.rates[0] * (factor - 1.0) if one else 100.0 * (factor - 1.0)
    return Step("rate_n_per_mm", by, "N/mm" if one else "%", changed,
                (f"springs of the same lengths with {wanted}",
                 f"a lever effort {factor:.2f} times the present one"))


def _with_rate(group: SpringGroup, rate: float, factor: float) -> SpringGroup:
    if group.rate_n_per_mm is not None:
        wanted = _scaled(group.rate_n_per_mm, factor)
    else:
        wanted = Quantity(rate, how="assumed")
    # Another spring is another wire: what was known of the old one no longer holds.
    return replace(group, rate_n_per_mm=replace(wanted, value=rate), load_points=(), wire_mm=None,
                   total_coils=None)


def _coil_consequences(pack: PackInputs, changed: CoilClamp, state: State) -> tuple[str, ...]:
    figures = _figures(replace(pack, clamp=changed), state)
    before = _figures(pack, state)
    words = [f"clamp load {figures['clamp']:.0f} N instead of {before['clamp']:.0f} N"]
    if not math.isnan(figures["clash"]):
        words.append(f"clash allowance {100 * figures['clash']:.0f} % of the working deflection "
                     f"(keep {100 * CLASH_LEAST:.0f} % or more)")
    if not math.isnan(figures["stress"]):
        words.append(f"stress at full lift {figures['stress']:.0f} MPa instead of "
                     f"{before['stress']:.0f} MPa")
    if not math.isnan(figures["lifted"]) and before["lifted"] > 0.0:
        words.append(f"lever effort {figures['lifted'] / before['lifted']:.2f} times the present")
    return tuple(words)


def _figures(pack: PackInputs, state: State) -> dict[str, float]:
    with np.errstate(divide="ignore", invalid="ignore"):
        sheet = stack_packs([pack], state)
        side = pack_side(sheet, state)
        figures = pack_figures(sheet, side)
    nothing = np.full((1, 1), math.nan)
    clash = figures.clash_allowance.value if figures.clash_allowance else nothing
    stress = figures.stress_lifted_mpa.value if figures.stress_lifted_mpa else nothing
    return {
        "clamp": float(side.clamp.value[0, 0]), "clash": float(np.min(clash)),
        "stress": float(np.max(stress)), "lifted": float(figures.clamp_lifted_n.value[0, 0]),
    }


def _bind(pack: PackInputs, changed: CoilClamp, state: State) -> str | None:
    clash = _figures(replace(pack, clamp=changed), state)["clash"]
    return "the springs would go solid before full lift" if clash <= 0.0 else None


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
    changed = replace(clamp, force_n=_moved(clamp.force_n, by))
    return Step("force_n", by, "N", changed, tuple(words))


def _deflection(
    pack: PackInputs, clamp: DiscClamp | DiscTableClamp, state: State, needed: float
) -> Step:
    name = "installed_deflection_mm"
    if clamp.installed_deflection_mm is None:
        return Step(name, None, "mm", None, (), "the installed deflection is not known")
    shift = wear_mm(pack, state)
    now = clamp.installed_deflection_mm.value
    found = [s + shift for s in _deflections(clamp, needed)]
    if not found:
        return Step(name, None, "mm", None, (),
                    "the disc spring reaches this load at no deflection of its range")
    by = min(found, key=lambda s: abs(s - now)) - now
    changed = replace(clamp, installed_deflection_mm=_moved(clamp.installed_deflection_mm, by))
    word = "more" if by > 0 else "less"
    return Step(name, by, "mm", changed,
                (f"{abs(by):.3g} mm {word} deflection, by a spacer of that thickness",))


def _deflections(clamp: DiscClamp | DiscTableClamp, needed: float) -> list[float]:
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
    # x = s/t: front · x ((h − x)(h − x/2) + 1) = F, a cubic in x.
    cubic = [0.5 * front, -1.5 * h * front, (h * h + 1.0) * front, -needed / clamp.in_parallel]
    real = [float(r.real) for r in np.roots(cubic) if abs(r.imag) < 1e-9 * max(1.0, abs(r))]
    return [x * t * clamp.in_series for x in real if 0.0 < x <= max(h, 1e-9)]


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
    heavier = mass.value * (needed + back.value) / pull
    softer = pull - needed
    steps_found = [Step(
        "weight_mass_g", heavier - mass.value, "g",
        replace(clamp, weight_mass_g=_scaled(mass, heavier / mass.value)),
        (f"weights of {heavier:.3g} g instead of {mass.value:.3g} g; the pack bites at a lower "
         "speed" if heavier > mass.value else
         f"weights of {heavier:.3g} g instead of {mass.value:.3g} g; the pack bites at a higher "
         "speed",))]
    reachable = softer >= 0.0
    steps_found.append(Step(
        "return_force_n", softer - back.value if reachable else None, "N",
        replace(clamp, return_force_n=_moved(back, softer - back.value)) if reachable else None,
        (f"return springs of {softer:.0f} N instead of {back.value:.0f} N; the pack bites at "
         f"another speed",) if reachable else (),
        None if reachable else "even without return springs the weights press too little"))
    return steps_found


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
        coils = _Coils.of(pack, fresh)
        load = sum(k * max(0.0, c) for k, c in zip(coils.stiffness, coils.compression, strict=True))
        return -coils.shim_for(load / ratio)
    if isinstance(clamp, LoadClamp):
        if clamp.rate_n_per_mm is None or clamp.force_n is None:
            return None
        return clamp.force_n.value * (1.0 - 1.0 / ratio) / clamp.rate_n_per_mm.value
    if isinstance(clamp, DiscClamp | DiscTableClamp) and clamp.installed_deflection_mm:
        with np.errstate(divide="ignore", invalid="ignore"):
            load = float(pack_side(stack_packs([pack], fresh), fresh).clamp.value[0, 0])
        now = clamp.installed_deflection_mm.value
        below = [s for s in _deflections(clamp, load / ratio) if s <= now + 1e-12]
        return now - max(below) if below else None
    return None
