"""Displacement classes as the JSON interface writes them: the page's own figures, not rounded."""

from typing import Any

from app.comparison.board_view import BoardView
from app.comparison.class_board import ClassBoard, PackInClasses
from app.comparison.classes import Demand
from app.presentation.interface import finite, reading

PATH = "/api/v1/classes"


def classes_answer(board: ClassBoard, view: BoardView, kind: str, revision: int) -> dict[str, Any]:
    """Demands of every class at both mountings, and a page of packs; torques in N·m.

    Args:
        board: what was worked out.
        view: its state, and which page of its packs; one beyond the last gives the last.
        kind: of engine.
        revision: of the catalogue.
    """
    found = len(board.entries)
    pages = max(1, -(-found // view.per))
    page = min(view.page or 1, pages)
    places = range(found)[(page - 1) * view.per : page * view.per]
    return {
        "state": {
            "lubrication": view.lubrication,
            "friction": view.friction,
            "wear_mm": view.wear_mm,
            "radius": view.radius,
            "speed_rpm": view.speed_rpm,
            "spline_friction": view.spline_friction,
        },
        "kind": kind,
        "bmep_low_kpa": board.band.low_kpa,
        "bmep_high_kpa": board.band.high_kpa,
        "service_factor": board.service_factor,
        "revision": revision,
        "classes": [
            {
                "displacement_cc": crank.row.displacement_cc,
                "ratio_low": crank.row.ratio_low,
                "ratio_high": crank.row.ratio_high,
                "crankshaft": _demand(crank),
                "geared": _demand(geared),
            }
            for crank, geared in zip(
                board.demands["crankshaft"], board.demands["geared"], strict=True
            )
        ],
        "packs": [_pack(pack) for pack in board.rows(places)],
        "page": page,
        "per": view.per,
        "packs_found": found,
    }


def _demand(demand: Demand) -> dict[str, float | None]:
    return {
        "low_nm": finite(demand.low_nm),
        "middle_nm": finite(demand.middle_nm),
        "high_nm": finite(demand.high_nm),
    }


def _pack(pack: PackInClasses) -> dict[str, Any]:
    held = pack.known
    return {
        "id": pack.entry.public_id,
        "name": pack.entry.name,
        "version": pack.entry.version,
        "mounting": pack.entry.inputs.mounting,
        "capacity_nm": reading(pack.capacity),
        "whole_cc": None if held is None else held.whole_cc,
        "half_cc": None if held is None else held.half_cc,
        "why_not": pack.why_not,
        "failed_checks": list(pack.failed),
        "claims": [
            {
                "offer": judged.made.offer_id,
                "name": judged.made.offer,
                "seller": judged.made.seller or None,
                "claimed_cc_low": judged.made.low_cc,
                "claimed_cc_high": judged.made.high_cc,
                "judgement": judged.verdict,
            }
            for judged in pack.claims
        ],
    }
