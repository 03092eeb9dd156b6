"""Coil springs that give a wanted clamp load: more shim, or stiffer springs."""

import math
from dataclasses import dataclass, replace

import numpy as np

from app.comparison.change_step import Step, moved, scaled, wear_mm
from app.errors import AppError
from app.mechanics.inputs import CoilClamp, PackInputs, Quantity, SpringGroup, State
from app.mechanics.sides import pack_figures, pack_side
from app.mechanics.spring_wire import wire_material
from app.mechanics.stack import stack_packs
from app.mechanics.validity import CLASH_LEAST


@dataclass(frozen=True, slots=True)
class Coils:
    """Every group in one state: n k and k [N/mm], compression [mm], mean diameter [mm]."""

    stiffness: tuple[float, ...]
    compression: tuple[float, ...]
    rates: tuple[float, ...]
    means: tuple[float, ...]

    @classmethod
    def of(cls, pack: PackInputs, state: State) -> "Coils":
        """The groups of a pack; none where its clamp has no coil springs."""
        sheet = stack_packs([pack], state)
        springs = pack_side(sheet, state).springs
        if springs is None:
            return cls((), (), (), ())
        wear = wear_mm(pack, state)
        rates, pressed, means = (
            np.broadcast_to(figure.value, sheet.count.shape)[0].tolist()
            for figure in (springs.rate, springs.compression, springs.mean)
        )
        stiffness = (float(n * k) for n, k in zip(sheet.count[0], rates, strict=True))
        return cls(tuple(stiffness), tuple(c - wear for c in pressed), tuple(rates), tuple(means))

    @property
    def load(self) -> float:
        """Σ n k max(0, c) [N]."""
        return sum(k * max(0.0, c) for k, c in zip(self.stiffness, self.compression, strict=True))

    def shim_for(self, needed: float) -> float:
        """Extra shim x [mm] with Σ n k max(0, c + x) = needed, which rises in straight pieces."""
        # From the most compressed group on: while only some groups press, only they count.
        order = sorted(zip(self.compression, self.stiffness, strict=True), reverse=True)
        stiffness = load_at_zero = 0.0
        for i, (compression, group) in enumerate(order):
            stiffness += group
            load_at_zero += group * compression
            x = (needed - load_at_zero) / stiffness if stiffness > 0.0 else math.inf
            if i + 1 == len(order) or order[i + 1][0] + x <= 0.0:
                return x
        return math.nan


def coil_steps(pack: PackInputs, clamp: CoilClamp, state: State, needed_n: float) -> list[Step]:
    """Changes of coil springs that press with a wanted load in the given state.

    Args:
        pack: the pack, its clamp load known.
        clamp: its coil springs.
        state: gives the wear.
        needed_n: wanted clamp load [N], a scalar.

    Returns:
        Shim [mm] under every spring, and rate [N/mm or %] of all groups.

    Range: nominal values.
    Source: F = Σ n k max(0, L0 − L1 + shim − w), solved for shim or for k.
    """
    coils = Coils.of(pack, state)
    return [_shim(pack, clamp, coils, state, needed_n), _rate(pack, clamp, coils, state, needed_n)]


def _shim(
    pack: PackInputs, clamp: CoilClamp, coils: Coils, state: State, needed: float
) -> Step:
    by = coils.shim_for(needed)
    least = min((g.shim_mm.value for g in clamp.springs), default=0.0)
    changed = CoilClamp(tuple(replace(g, shim_mm=moved(g.shim_mm, by)) for g in clamp.springs))
    now, then = _figures(pack, state), _figures(replace(pack, clamp=changed), state)
    words = [
        f"{abs(by):.3g} mm of shim {'more' if by >= 0 else 'less'} under every spring",
        f"clamp load {then.clamp:.0f} N instead of {now.clamp:.0f} N",
        *_room(then), *_stress(now, then),
    ]
    if not math.isnan(then.lifted) and now.lifted > 0.0:
        words.append(f"lever effort {then.lifted / now.lifted:.2f} times the present one")
    why = "the springs would go solid before full lift" if then.clash <= 0.0 else None
    if any(g.installed_length_mm is not None and g.installed_length_mm.value <= g.shim_mm.value
           for g in changed.springs):
        why = "so much shim is longer than the installed spring itself"
    if least + by < -1e-12:
        why = (f"there is only {least:.3g} mm of shim to take out; springs seated that much deeper "
               "would do the same")
    return Step("shim_mm", by, "mm", changed, tuple(words), why)


def _rate(
    pack: PackInputs, clamp: CoilClamp, coils: Coils, state: State, needed: float
) -> Step:
    now = coils.load
    if now <= 0.0:
        return Step("rate_n_per_mm", None, "N/mm", None, (),
                    "the springs are slack here: a stiffer spring presses no more")
    factor = needed / now
    groups = tuple(_with_rate(g, k * factor, factor)
                   for g, k in zip(clamp.springs, coils.rates, strict=True))
    wanted = ", ".join(f"{k * factor:.4g} N/mm instead of {k:.4g}" for k in coils.rates)
    one = len(coils.rates) == 1
    by = coils.rates[0] * (factor - 1.0) if one else 100.0 * (factor - 1.0)
    about_coil, why = _same_coil(pack, clamp, coils, state, factor)
    words = (f"springs of the same lengths with {wanted}",
             f"clamp load {needed:.0f} N instead of {now:.0f} N",
             *about_coil,
             f"lever effort {factor:.2f} times the present one")
    return Step("rate_n_per_mm", by, "N/mm" if one else "%", CoilClamp(groups), words, why)


def _with_rate(group: SpringGroup, rate: float, factor: float) -> SpringGroup:
    if group.rate_n_per_mm is not None:
        wanted = scaled(group.rate_n_per_mm, factor)
    else:
        wanted = Quantity(rate, how="assumed")
    # Another spring is another wire: what was known of the old one no longer holds.
    return replace(group, rate_n_per_mm=replace(wanted, value=rate), load_points=(), wire_mm=None,
                   total_coils=None)


def _same_coil(
    pack: PackInputs, clamp: CoilClamp, coils: Coils, state: State, factor: float
) -> tuple[list[str], str | None]:
    """What the wanted rate means for the same coil in other wire, d' = d f^¼ as k ∝ d⁴.

    The second is why no such coil would last, None where one would or its wire is not known.
    """
    known = [g.wire_mm is not None and not math.isnan(mean)
             for g, mean in zip(clamp.springs, coils.means, strict=True)]
    if not any(known):
        return ["the new springs' stress, solid length and room at full lift are not known: check "
                "them before ordering"], None
    groups, wires = [], []
    for group, rate, mean in zip(clamp.springs, coils.rates, coils.means, strict=True):
        other = _with_rate(group, rate * factor, factor)
        if group.wire_mm is not None and not math.isnan(mean):
            wire = scaled(group.wire_mm, factor**0.25)
            wires.append(f"{wire.value:.3g} mm instead of {group.wire_mm.value:.3g} mm")
            other = replace(other, wire_mm=wire, mean_mm=Quantity(mean),
                            total_coils=group.total_coils)
        groups.append(other)
    changed = CoilClamp(tuple(groups))
    now, then = _figures(pack, state), _figures(replace(pack, clamp=changed), state)
    words = [f"with the coil as it is that takes wire of {', '.join(wires)}"]
    stress = [] if math.isnan(then.stress) else _stress(now, then)
    solid = then.clash <= 0.0
    beyond = _overstressed(clamp, changed, now, then)
    if beyond:
        return [*words, *stress], beyond
    if solid:
        return [*words, "such a coil would go solid before full lift, so it needs fewer coils or "
                        "another diameter"], None
    return words + _room(then) + stress, None


def _overstressed(
    clamp: CoilClamp, changed: CoilClamp, now: "_Figures", then: "_Figures"
) -> str | None:
    """Why the wire would not stand it, None where it would, already does not, or is not known.

    Of one group: with nests a thicker outer spring may be spared by the inner one.
    """
    if len(clamp.springs) != 1:
        return None
    (before,), (after,) = clamp.springs, changed.springs
    if before.wire_material is None or before.wire_mm is None or after.wire_mm is None:
        return None
    try:
        wire = wire_material(before.wire_material)
    except AppError:
        return None
    was, most = (wire.set_removed_low * wire.tensile_strength_mpa(size.value)
                 for size in (before.wire_mm, after.wire_mm))
    if not then.stress > most or now.stress > was:
        return None
    return (f"the same coil in {after.wire_mm.value:.3g} mm wire would be stressed to "
            f"{then.stress:.0f} MPa, and its wire stands {most:.0f} MPa with set removed")


@dataclass(frozen=True, slots=True)
class _Figures:
    """Clamp [N], least clash allowance [1], largest stress [MPa] and clamp at full lift [N]."""

    clamp: float
    clash: float
    stress: float
    lifted: float


def _figures(pack: PackInputs, state: State) -> _Figures:
    with np.errstate(divide="ignore", invalid="ignore"):
        sheet = stack_packs([pack], state)
        side = pack_side(sheet, state)
        figures = pack_figures(sheet, side)
    nothing = np.full((1, 1), math.nan)
    clash = figures.clash_allowance.value if figures.clash_allowance else nothing
    stress = figures.stress_lifted_mpa.value if figures.stress_lifted_mpa else nothing
    # One group whose wire nobody measured must not hide that another goes solid.
    return _Figures(
        float(side.clamp.value[0, 0]), float(np.fmin.reduce(clash, axis=None)),
        float(np.fmax.reduce(stress, axis=None)), float(figures.clamp_lifted_n.value[0, 0]))


def _room(then: _Figures) -> list[str]:
    if math.isnan(then.clash):
        return ["whether the springs go solid at full lift is not known: it needs lift, wire, "
                "coils and kind of ends"]
    if then.clash <= 0.0:
        return []
    return [f"clash allowance {100 * then.clash:.0f} % of the working deflection "
            f"(keep {100 * CLASH_LEAST:.0f} % or more)"]


def _stress(now: _Figures, then: _Figures) -> list[str]:
    if math.isnan(then.stress):
        return []
    return [f"spring stress at full lift {then.stress:.0f} MPa instead of {now.stress:.0f} MPa"]
