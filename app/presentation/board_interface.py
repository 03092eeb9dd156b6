"""The board as the JSON interface writes it: the page's own figures, not rounded."""

from typing import Any

from app.comparison.board import Board
from app.presentation.facts import CellFacts, board_facts
from app.presentation.interface import finite, reading

PATH = "/api/v1/board"


def board_answer(board: Board) -> dict[str, Any]:
    """State, shown packs and engines, and a cell for each pair; torques in N·m."""
    view, shown = board.view, len(board.packs)
    following = board.first + shown
    page = board.first // view.per + 1
    return {
        "state": {
            "lubrication": view.lubrication,
            "friction": view.friction,
            "wear_mm": view.wear_mm,
            "radius": view.radius,
            "speed_rpm": view.speed_rpm,
            "spline_friction": view.spline_friction,
        },
        "worst": list(view.worst),
        "order": board.order.text,
        "heavy_above": board.heavy_above,
        "revision": board.revision,
        "packs": [{"id": p.public_id, "name": p.name, "version": p.version} for p in board.packs],
        "engines": [
            {"id": e.public_id, "name": e.name, "version": e.version} for e in board.engines
        ],
        "cells": [cell for row in board_facts(board) for cell in map(_cell, row)],
        "page": page,
        "per": view.per,
        "packs_found": board.found,
        "engines_found": board.engines_found,
        "next": view.but(page=page + 1).address(PATH) if following < board.found else None,
    }


def _cell(cell: CellFacts) -> dict[str, Any]:
    return {
        "pack": cell.pack.public_id,
        "engine": cell.engine.public_id,
        "capacity_nm": reading(cell.available),
        "required_nm": reading(cell.required),
        "ratio": reading(cell.ratio),
        "ratio_without_factor": finite(cell.ratio_without_factor),
        "p_slip": finite(cell.p_slip),
        "verdict": cell.verdict,
        "heavy": cell.heavy,
        "failed_checks": list(cell.failed),
        "missing": list(cell.missing),
        "state": None
        if cell.state is None
        else {
            "lubrication": cell.state.lubrication,
            "friction": cell.state.friction,
            "wear_mm": cell.state.wear_mm,
            "radius": cell.state.radius,
            "speed_rpm": cell.state.speed_rpm,
            "spline_friction": cell.state.spline_friction,
        },
    }
