"""The working of coil springs: rates, coils, solid length, clash allowance, stress, agreement."""

from collections.abc import Iterable, Iterator, Mapping

import numpy as np

from app.comparison.working_lines import SHIGLEY_SPRING, Lines, WorkingLine, entered, number, plain
from app.mechanics import doubt
from app.mechanics.clamp import Springs
from app.mechanics.coil_spring import student_limit
from app.mechanics.derived import fitted_rate
from app.mechanics.inputs import CoilClamp, SpringGroup
from app.mechanics.sides import PackFigures
from app.mechanics.stack import PackSheet
from app.mechanics.traced import Column, Traced
from app.mechanics.validity import Caution

EXACT_RATES_DIFFER = 0.005
"""Share by which two rates without any doubt may differ, as two figures of a gear may."""


def add_springs(
    lines: Lines, clamp: CoilClamp, springs: Springs, figures: PackFigures, sheet: PackSheet
) -> None:
    """Add the steps of every spring group; a step that lacks an input is left out."""
    count = len(clamp.springs)
    head = "pack.clamp.springs.*."

    def fit_text(g: int) -> str:
        return f"{len(clamp.springs[g].load_points)} load points"

    lines.add("spring_rate_from_load_points_n_per_mm", springs.from_load_points, "N/mm",
              "least squares of force on deflection", fit_text, "ordinary least squares", count)
    lines.add("spring_index", figures.index, "1", "C = D/d",
              lambda g: f"{number(springs.mean, g)}/{number(springs.wire, g)}",
              SHIGLEY_SPRING, count)
    lines.add("active_coils", springs.active, "1", "N_a = N_t − inactive end coils",
              lambda g: f"{entered(sheet, head + 'total_coils', g)} − "
              f"{plain(sheet.inactive[0, g])}",
              f"{SHIGLEY_SPRING}, Table 10-1", count)
    lines.add(
        "spring_rate_from_wire_n_per_mm", springs.from_wire, "N/mm", "k = G d⁴/(8 D³ N_a)",
        lambda g: f"{entered(sheet, head + 'shear_modulus_mpa', g)} · {number(springs.wire, g)}⁴/"
        f"(8 · {number(springs.mean, g)}³ · {number(springs.active, g)})",
        SHIGLEY_SPRING, count)
    lines.add("spring_rate_n_per_mm", springs.rate, "N/mm", "k as used",
              lambda g: _rate_used(clamp.springs[g]), "given, else load points, else wire", count)
    _agreement(lines, clamp, springs)
    lines.add("solid_length_mm", springs.solid, "mm", "L_s = d (N_t + end allowance)",
              lambda g: f"{number(springs.wire, g)} · ({entered(sheet, head + 'total_coils', g)} + "
              f"{plain(sheet.extra[0, g])})", f"{SHIGLEY_SPRING}, Table 10-1", count)
    lift_text = entered(sheet, "pack.lift_mm")
    lines.add(
        "clash_allowance", figures.clash_allowance, "1",
        "(L − L_s)/(L0 − L), L = L1 − shim − lift",
        lambda g: f"L = {entered(sheet, head + 'installed_length_mm', g)} − "
        f"{entered(sheet, head + 'shim_mm', g)} − {lift_text}, L_s = {number(springs.solid, g)}, "
        f"L0 = {entered(sheet, head + 'free_length_mm', g)}", SHIGLEY_SPRING, count)
    stress_source = "A. M. Wahl, Mechanical Springs"
    lines.add("spring_stress_installed_mpa", figures.stress_installed_mpa, "MPa",
              "τ = K_W 8FD/(π d³), F = k (L0 − L1 + shim)",
              lambda g: _stress_text(springs.compression, springs, figures, g),
              stress_source, count)
    lifted = springs.compression + sheet.get("pack.lift_mm")
    lines.add("spring_stress_lifted_mpa", figures.stress_lifted_mpa, "MPa",
              "τ = K_W 8FD/(π d³), F = k (L0 − L1 + shim + lift)",
              lambda g: _stress_text(lifted, springs, figures, g),
              stress_source, count)


def _stress_text(
    compression: Traced, springs: Springs, figures: PackFigures, group: int
) -> str:
    index = "" if figures.index is None else f"K_W(C = {number(figures.index, group)}) · "
    return (f"{index}8 · ({number(springs.rate, group)} · {number(compression, group)}) · "
            f"{number(springs.mean, group)}/(π · {number(springs.wire, group)}³)")


def _rate_used(group: SpringGroup) -> str:
    if group.rate_n_per_mm is not None:
        return "the given rate"
    return "the rate of the load points" if fitted_rate(group) else "the rate from the wire"


def _half_width(figure: Traced, columns: Mapping[str, Column], group: int) -> float:
    """Half of the 95 % interval of one group's positive figure."""
    rows = slice(group, group + 1)
    one = Traced(figure.value[:, rows], {
        n: p[:, rows] if p.shape[-1] > 1 else p for n, p in figure.partials.items()})
    own = {}
    for name in one.partials:
        c = columns[name]
        cut = rows if c.value.shape[-1] > 1 else slice(None)
        own[name] = Column(c.value[:, cut], c.limit[:, cut], c.std[:, cut])
    low, high = doubt.interval(one.value[:, 0], doubt.log_cumulants(one, own))
    return float(high[0] - low[0]) / 2.0


def _agreement(lines: Lines, clamp: CoilClamp, springs: Springs) -> None:
    """E_n = |k1 − k2|/√(U1² + U2²) of the measured rate against the wire's."""
    for g, group in enumerate(clamp.springs):
        ways = [("load points", springs.from_load_points), ("given", springs.given),
                ("wire", springs.from_wire)]
        known = [(n, f) for n, f in ways
                 if not np.isnan(f.value[0, min(g, f.value.shape[1] - 1)])]
        if len(known) < 2:
            continue
        (name1, first), (name2, second) = known[0], known[-1]
        k1, k2 = (float(f.value[0, min(g, f.value.shape[1] - 1)]) for f in (first, second))
        u1, u2 = (
            _points_half_width(group, k1) if n == "load points"
            else _half_width(f, lines.columns, g)
            for n, f in ((name1, first), (name2, second))
        )
        if u1 == 0.0 and u2 == 0.0:
            continue
        value = abs(k1 - k2) / float(np.hypot(u1, u2))
        lines.found.append(WorkingLine(
            "rate_agreement_en", value, 0.0, "1", "E_n = |k1 − k2|/√(U1² + U2²)",
            f"|{plain(k1)} − {plain(k2)}|/√({plain(u1)}² + {plain(u2)}²) ({name1} against {name2})",
            "ISO 13528 (score Eₙ)", g,
        ))


def _points_half_width(group: SpringGroup, rate: float) -> float:
    """U of a fitted rate: Student's t for the scatter, 95 % of the tester's limit for its scale."""
    fitted = fitted_rate(group)
    scatter = 0.0
    freedom = len(group.load_points) - 2
    if fitted is not None and fitted.std and freedom >= 1:
        scatter = student_limit(freedom) * fitted.std
    return float(np.hypot(scatter, 0.95 * group.tester_limit * rate))


def agreement_cautions(lines: Iterable[WorkingLine]) -> Iterator[Caution]:
    """Remarks where two ways to one group's rate disagree: E_n above 1, or exact and apart."""
    known: dict[tuple[str, int | None], WorkingLine] = {(li.name, li.group): li for li in lines}
    for (name, group), line in known.items():
        told = None
        if name == "rate_agreement_en" and line.value > 1.0:
            told = f"Eₙ {line.value:.2f} > 1"
        elif name == "spring_rate_n_per_mm" and ("rate_agreement_en", group) not in known:
            others = (known.get((f"spring_rate_from_{way}_n_per_mm", group))
                      for way in ("load_points", "wire"))
            apart = max((abs(o.value / line.value - 1.0) for o in others if o), default=0.0)
            if apart > EXACT_RATES_DIFFER:
                told = f"by {100.0 * apart:.2g} %, and neither is given a doubt"
        if told is not None:
            yield Caution(
                "rates_disagree",
                f"the two ways to the spring rate disagree ({told}): miscounted active coils, "
                "another wire material or a bad reading", f"pack.clamp.springs.{group}")
