"""Whether a pack bolts up to an engine: room, splines, gear, mounting."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from app.mechanics.inputs import EngineInputs, PackInputs, Quantity
from app.mechanics.traced import Array, Mask

Answer = Literal["yes", "no", "not known"]

SPLINE_TOLERANCE_MM = 0.15
"""Major diameters further apart than this are different splines; our judgement."""

MODULE_TOLERANCE = 0.01
"""Standard modules differ by far more than this share; our judgement."""


@dataclass(frozen=True, slots=True)
class FitAnswer:
    """One question of the fit with its answer and the reason in words."""

    question: str
    answer: Answer
    reason: str


def bolts_up(pack: PackInputs, engine: EngineInputs) -> tuple[FitAnswer, ...]:
    """Every question of the fit.

    Args:
        pack: one record, lengths in mm.
        engine: one record, lengths in mm.

    Returns:
        Answers to room across and along, splines, gear and mounting.

    Range: the recorded figures only; what isn't recorded is "not known".
    Source: geometry.
    """
    return (
        _room("diameter", pack.envelope_diameter_mm, engine.envelope_diameter_mm),
        _room("height", pack.envelope_height_mm, engine.envelope_height_mm),
        _splines(pack, engine),
        _gear(pack, engine),
        _mounting(pack, engine),
    )


def overall(answers: tuple[FitAnswer, ...]) -> Answer:
    """One answer for all: no as soon as one is no, yes only when all are yes.

    Args:
        answers: of `bolts_up` [words].

    Returns:
        "yes", "no" or "not known".

    Range: any.
    Source: logic.
    """
    given = {a.answer for a in answers}
    return "no" if "no" in given else "not known" if "not known" in given else "yes"


def _limit(q: Quantity) -> float:
    return q.plus_minus if q.plus_minus is not None else 2.0 * (q.std or 0.0)


def _room(what: str, pack: Quantity | None, engine: Quantity | None) -> FitAnswer:
    question = f"room for its {what}"
    if pack is None or engine is None:
        whose = "pack" if pack is None else "engine"
        return FitAnswer(question, "not known", f"the {what} is not recorded for the {whose}")
    spare = engine.value - pack.value
    doubt = _limit(pack) + _limit(engine)
    told = f"{pack.value:.2f} mm in {engine.value:.2f} mm"
    if spare >= doubt:
        return FitAnswer(question, "yes", told)
    if spare < -doubt:
        return FitAnswer(question, "no", f"{told}: {-spare:.2f} mm too large")
    return FitAnswer(question, "not known", f"{told}: too close for ±{doubt:.2f} mm, measure again")


def _splines(pack: PackInputs, engine: EngineInputs) -> FitAnswer:
    question = "the splines fit"
    if pack.spline_count is None or engine.spline_count is None:
        whose = "pack" if pack.spline_count is None else "engine"
        return FitAnswer(question, "not known", f"the splines are not recorded for the {whose}")
    if pack.spline_count != engine.spline_count:
        return FitAnswer(question, "no", f"{pack.spline_count} splines on {engine.spline_count}")
    ours, theirs = pack.spline_major_mm, engine.spline_major_mm
    if ours is None or theirs is None:
        return FitAnswer(question, "not known",
                         f"{pack.spline_count} splines each; the diameter is not recorded")
    apart = abs(ours.value - theirs.value)
    told = f"{pack.spline_count} splines, {ours.value:.2f} mm on {theirs.value:.2f} mm"
    close = apart <= SPLINE_TOLERANCE_MM + _limit(ours) + _limit(theirs)
    return FitAnswer(question, "yes" if close else "no", told)


def _gear(pack: PackInputs, engine: EngineInputs) -> FitAnswer:
    question = "the primary gear fits"
    if pack.mounting == "crankshaft":
        return FitAnswer(question, "yes", "on the crankshaft no gear is carried")
    if pack.gear_teeth is None or engine.primary_teeth is None:
        return FitAnswer(question, "not known", "the teeth are not recorded on both sides")
    if pack.gear_teeth != engine.primary_teeth[1]:
        return FitAnswer(question, "no",
                         f"{pack.gear_teeth} teeth where {engine.primary_teeth[1]} are driven")
    ours, theirs = pack.gear_module_mm, engine.gear_module_mm
    if ours is None or theirs is None:
        return FitAnswer(question, "not known",
                         f"{pack.gear_teeth} teeth each; the module is not recorded")
    same = abs(ours.value / theirs.value - 1.0) <= MODULE_TOLERANCE
    return FitAnswer(question, "yes" if same else "no",
                     f"{pack.gear_teeth} teeth, module {ours.value:g} on {theirs.value:g} mm")


def _mounting(pack: PackInputs, engine: EngineInputs) -> FitAnswer:
    question = "the mounting suits"
    if pack.mounting is None:
        return FitAnswer(question, "not known", "the pack's mounting is not recorded")
    geared = engine.primary_ratio is not None or engine.primary_teeth is not None
    if pack.mounting == "geared" and not geared:
        return FitAnswer(question, "not known", "the engine's primary gear is not recorded")
    return FitAnswer(question, "yes",
                     "behind the primary gear" if pack.mounting == "geared"
                     else "on the crankshaft")


def misfits(packs: Sequence[PackInputs], engines: Sequence[EngineInputs]) -> Mask:
    """Where a pack surely does not bolt up, for many packs and engines at once.

    Args:
        packs: N records, lengths in mm.
        engines: M records, lengths in mm.

    Returns:
        True where `overall(bolts_up(pack, engine))` is "no", shape (N, M).

    Range: as `bolts_up`.
    Source: as `bolts_up`.
    """
    wrong = np.zeros((len(packs), len(engines)), dtype=bool)
    for name in ("envelope_diameter_mm", "envelope_height_mm"):
        ours, limit = _lengths(packs, name)
        theirs, other = _lengths(engines, name)
        wrong |= theirs - ours[:, None] < -(limit[:, None] + other)
    counts = _numbers(p.spline_count for p in packs)[:, None], _numbers(
        e.spline_count for e in engines)
    ours, limit = _lengths(packs, "spline_major_mm")
    theirs, other = _lengths(engines, "spline_major_mm")
    apart = np.abs(ours[:, None] - theirs) > SPLINE_TOLERANCE_MM + limit[:, None] + other
    wrong |= _differ(*counts) | (_same(*counts) & apart)
    geared = np.array([p.mounting != "crankshaft" for p in packs], dtype=bool)[:, None]
    teeth = _numbers(p.gear_teeth for p in packs)[:, None], _numbers(
        e.primary_teeth[1] if e.primary_teeth else None for e in engines)
    module = _lengths(packs, "gear_module_mm")[0][:, None], _lengths(engines, "gear_module_mm")[0]
    other_module = np.abs(module[0] / module[1] - 1.0) > MODULE_TOLERANCE
    wrong |= geared & (_differ(*teeth) | (_same(*teeth) & other_module))
    return np.asarray(wrong)


def _lengths(records: Sequence[object], name: str) -> tuple[Array, Array]:
    """Values and limits of one figure; NaN, which compares as neither, where it isn't recorded."""
    found: list[Quantity | None] = [getattr(r, name) for r in records]
    return (_numbers(q.value if q else None for q in found),
            _numbers(_limit(q) if q else None for q in found))


def _numbers(values: Iterable[float | None]) -> Array:
    return np.array([np.nan if v is None else v for v in values], dtype=np.float64)


def _differ(ours: Array, theirs: Array) -> Mask:
    return np.asarray((ours != theirs) & ~np.isnan(ours) & ~np.isnan(theirs))


def _same(ours: Array, theirs: Array) -> Mask:
    return np.asarray(ours == theirs)
