"""The working of a cell as steps: formula, values put in, result, source, and what to mind."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from app.comparison.board_view import TorqueUnit
from app.comparison.cell import CellResult
from app.comparison.working_lines import WorkingLine
from app.mechanics.validity import Caution
from app.presentation.numbers import NBSP, doubt_decimals, number_text
from app.presentation.short_figures import short_text
from app.presentation.torques import fast_ratio, torque_text

LABELS = {
    "surfaces": "Working faces",
    "effective_radius_mm": "Effective radius",
    "spring_rate_from_load_points_n_per_mm": "Spring rate from the load points",
    "spring_rate_from_wire_n_per_mm": "Spring rate from the wire",
    "spring_rate_n_per_mm": "Spring rate used",
    "clamp_n": "Clamp load",
    "effective_faces": "Faces that count after the loss along the splines",
    "capacity_nm": "Available torque",
    "crank_torque_nm": "Torque at the crank",
    "clutch_torque_nm": "Torque at the clutch",
    "clutch_speed_rpm": "Speed of the clutch",
    "service_factor": "Service factor",
    "required_nm": "Required torque",
    "spring_index": "Spring index",
    "active_coils": "Active coils",
    "rate_agreement_en": "Agreement of the two spring rates",
    "solid_length_mm": "Solid length",
    "clash_allowance": "Room left before coil bind",
    "spring_stress_installed_mpa": "Shear stress of the spring, installed",
    "spring_stress_lifted_mpa": "Shear stress of the spring, at full lift",
    "clamp_worn_n": "Clamp load, worn to the limit",
    "clamp_lifted_n": "Clamp load at full lift",
    "facing_area_mm2": "Facing area of one face",
    "facing_pressure_mean_mpa": "Mean pressure on the facing",
    "facing_pressure_max_mpa": "Largest pressure on the facing",
}
PACK_STEPS = (
    "surfaces",
    "effective_radius_mm",
    "spring_rate_from_load_points_n_per_mm",
    "active_coils",
    "spring_rate_from_wire_n_per_mm",
    "spring_rate_n_per_mm",
    "clamp_n",
    "effective_faces",
    "capacity_nm",
)
ENGINE_STEPS = (
    "crank_torque_nm",
    "clutch_torque_nm",
    "clutch_speed_rpm",
    "service_factor",
    "required_nm",
)
STEP_OF_CAUTION = {
    "plain_plates_unusual": "surfaces",
    "surfaces_overridden": "surfaces",
    "lined_faces_unusual": "surfaces",
    "spline_loss_most": "effective_faces",
    "spline_loss_tested": "capacity_nm",
    "tested_radius": "effective_radius_mm",
    "springs_uneven": "clamp_n",
    "springs_beyond_places": "clamp_n",
    "free_lengths_differ": "clamp_n",
    "free_lengths_count": "clamp_n",
    "free_lengths_mean": "clamp_n",
    "few_springs": "clamp_n",
    "no_clamp": "clamp_n",
    "load_points_unfit": "spring_rate_n_per_mm",
    "load_points_no_doubt": "spring_rate_from_load_points_n_per_mm",
    "load_points_intercept": "spring_rate_from_load_points_n_per_mm",
    "rate_not_positive": "spring_rate_from_load_points_n_per_mm",
    "rates_disagree": "rate_agreement_en",
    "coil_bind": "clash_allowance",
    "clash_allowance_low": "clash_allowance",
    "spring_index_unusual": "spring_index",
    "facing_pressure_high": "facing_pressure_mean_mpa",
    "torque_at_power_peak": "crank_torque_nm",
    "torque_peak_at_edge": "crank_torque_nm",
    "primary_gear_not_used": "clutch_torque_nm",
    "no_service_factor": "service_factor",
}
"""The step that a caution stands at; one without a step stands at its input or its interval."""
INTERVAL_CAUTIONS = (
    "intervals_differ",
    "one_limit_dominates",
    "doubt_very_large",
    "read_as_log_normal",
)


Parts = tuple[tuple[str, bool], ...]
"""A formula as its parts in order: text, and whether it stands low as an index."""
_INDEX = re.compile(r"_(?:\{([^}]+)\}|([A-Za-z0-9]+))")


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the working as text; ± in its result covers 95 % of the doubt."""

    key: str
    label: str
    formula: Parts
    substituted: Parts
    result: str
    source: str
    cautions: tuple[str, ...] = ()
    name: str = ""
    """Of the quantity; the help about it goes by this."""


@dataclass(frozen=True, slots=True)
class Working:
    """The steps by what they lead to."""

    pack: tuple[Step, ...]
    engine: tuple[Step, ...]
    ratio: tuple[Step, ...]
    other: tuple[Step, ...]


def sentence(text: str) -> str:
    """A remark of the mechanics as a sentence.

    >>> sentence("check both diameters")
    'Check both diameters.'
    """
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")


def parts(text: str) -> Parts:
    """A formula with its indices apart.

    >>> parts("T_req = T")
    (('T', False), ('req', True), (' = T', False))
    >>> parts("F_{j+1}/F_j")
    (('F', False), ('j+1', True), ('/F', False), ('j', True))
    """
    found: list[tuple[str, bool]] = []
    end = 0
    for index in _INDEX.finditer(text):
        found += [(text[end : index.start()], False), (index[1] or index[2], True)]
        end = index.end()
    return tuple(pair for pair in (*found, (text[end:], False)) if pair[0])


def _put_in(text: str) -> Parts:
    """The values put in; a list of values is told as such."""
    return parts(f"with {text}" if re.match(r"\w+ = ", text) else f"= {text}")


def working(result: CellResult, unit: TorqueUnit) -> Working:
    """The steps of a cell, each caution at its step."""
    many = {line.group for line in result.working if line.group is not None}
    groups = len(many) > 1
    steps = [_step(line, result.cautions, unit, groups) for line in result.working]
    names = [line.name for line in result.working]

    def of(wanted: Iterable[str]) -> tuple[Step, ...]:
        return tuple(s for s, name in zip(steps, names, strict=True) if name in wanted)

    shown = (*PACK_STEPS, *ENGINE_STEPS)
    return Working(
        pack=of(PACK_STEPS),
        engine=of(ENGINE_STEPS),
        ratio=_ratio_steps(result),
        other=tuple(s for s, name in zip(steps, names, strict=True) if name not in shown),
    )


def _step(line: WorkingLine, cautions: Sequence[Caution], unit: TorqueUnit, groups: bool) -> Step:
    group = "" if line.group is None or not groups else f", spring group {line.group + 1}"
    told = tuple(
        sentence(c.text)
        for c in cautions
        if STEP_OF_CAUTION.get(c.code) == line.name and _same_group(c, line.group)
    )
    result = short_text(line.value, 2.0 * line.std)
    if line.unit != "1":
        result += f"{NBSP}{line.unit}"
    if unit == "lbf_ft" and line.unit == "N·m":
        result += f" ({torque_text(line.value, unit)})"
    key = line.name if line.group is None else f"{line.name}-{line.group}"
    return Step(
        key.replace("_", "-"),
        LABELS.get(line.name, line.name) + group,
        parts(line.formula),
        _put_in(line.substituted),
        result,
        line.source,
        told,
        line.name,
    )


def _same_group(caution: Caution, group: int | None) -> bool:
    """Whether a caution about a spring group is about this one."""
    parts = (caution.where or "").split(".")
    if group is None or parts[:3] != ["pack", "clamp", "springs"] or len(parts) < 4:
        return True
    return parts[3] == str(group)


def _ratio_steps(result: CellResult) -> tuple[Step, ...]:
    if result.ratio is None or result.capacity is None or result.required is None:
        return ()
    ratio = result.ratio
    return (
        Step(
            "ratio",
            "Ratio",
            parts("R = T/T_req"),
            _put_in(
                f"{number_text(result.capacity.value, digits=7)}/"
                f"{number_text(result.required.value, digits=7)}"
            ),
            fast_ratio(ratio.value) + _plus_minus(2.0 * ratio.std),
            "definition",
            name="ratio",
        ),
    )


def _plus_minus(doubt: float) -> str:
    if doubt <= 0.0:
        return ""
    return f" ± {number_text(doubt, decimals=min(2, max(0, doubt_decimals(doubt))))}"


def unplaced(result: CellResult, paths: Iterable[str]) -> tuple[str, ...]:
    """Cautions that stand at no step, no input and no interval: about the record as a whole.

    Args:
        result: the cell.
        paths: of the inputs that are listed, each with the cautions about it.
    """
    known, names = set(paths), {line.name for line in result.working}
    return tuple(
        sentence(c.text)
        for c in result.cautions
        if c.code not in INTERVAL_CAUTIONS
        and (
            STEP_OF_CAUTION[c.code] not in names
            if c.code in STEP_OF_CAUTION
            else c.where not in known
        )
    )
