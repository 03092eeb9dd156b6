"""The inputs of a cell: each figure with its doubt, how it is known, and where it is edited."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from app.comparison.cell import CellResult
from app.comparison.inputs_list import InputLine
from app.documents import Document
from app.documents.quantities import Q
from app.mechanics.friction_source import OWN, TESTED
from app.mechanics.inputs import CoilClamp, EngineInputs, PackInputs, Quantity
from app.presentation.cell_working import INTERVAL_CAUTIONS, STEP_OF_CAUTION, sentence
from app.presentation.input_words import (
    HOW_WORDS,
    anchor,
    edit_address,
    input_dimension,
    input_label,
)
from app.presentation.short_figures import NO_DOUBT, given_text
from app.units import DIMENSIONS, unit_label

SHARES_SHOWN = 5


@dataclass(frozen=True, slots=True)
class InputRow:
    """One input: `doubt` says what kind of doubt the ± is, `origin` who, when and with what.

    `moves` is whether the ratio depends on it.
    """

    anchor: str
    label: str
    value: str
    doubt: str
    how: str
    unsure: bool
    origin: str
    typed: str
    edit: str
    moves: bool
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ShareRow:
    """The part of the doubt that one input makes up; `width` in per cent."""

    label: str
    address: str
    text: str
    width: float


def input_rows(
    result: CellResult,
    side: str,
    document: Document,
    moving: Collection[str],
    ids: tuple[str, str],
) -> tuple[InputRow, ...]:
    """The inputs of one side ("pack" or "engine") that are known.

    Args:
        result: the cell.
        side: which side.
        document: its record.
        moving: paths of those that the ratio depends on.
        ids: public ids of pack and engine.
    """
    lines = [line for line in result.inputs if line.path.startswith(f"{side}.")]
    return tuple(_row(line, result, document, line.path in moving, ids) for line in lines)


def _row(
    line: InputLine, result: CellResult, document: Document, moves: bool, ids: tuple[str, str]
) -> InputRow:
    written = figure_at(document, line.path)
    q = line.quantity
    told = tuple(
        sentence(c.text)
        for c in result.cautions
        if c.where == line.path and c.code not in (*STEP_OF_CAUTION, *INTERVAL_CAUTIONS)
    )
    return InputRow(
        anchor=anchor(line.path),
        label=input_label(line.path),
        value=given_text(q.value, q.plus_minus or q.std, unit_label(_unit(line.path))),
        doubt=_doubt_words(q, written),
        how=HOW_WORDS.get(q.how or "", ""),
        unsure=q.how in ("assumed", "estimated"),
        origin=_origin(written, line.source) or ("not noted" if q.how == "measured" else ""),
        typed="" if written is None else _typed(written),
        edit=edit_address(line.path, *ids),
        moves=moves,
        cautions=told,
    )


def figure_at(document: Document, path: str) -> Q | None:
    """The figure of a record at a path of the interface, where it is written down there."""
    here: object = document
    for part in path.split(".")[1:]:
        if part.isdecimal():
            if not isinstance(here, Sequence) or int(part) >= len(here):
                return None
            here = here[int(part)]
        else:
            here = getattr(here, part, None)
    return here if isinstance(here, Q) else None


def _unit(path: str) -> str:
    return DIMENSIONS[input_dimension(path)].canonical


def _doubt_words(q: Quantity, written: Q | None) -> str:
    if not q.standard_uncertainty:
        return NO_DOUBT
    kind = "limit" if q.plus_minus else "standard uncertainty"
    usual = written is not None and written.default_doubt
    return f"{kind}, the usual one of its kind" if usual else kind


def _origin(written: Q | None, source: str | None) -> str:
    parts = (
        []
        if written is None
        else [
            text
            for text in (written.with_what, written.by and f"by {written.by}", written.at)
            if text
        ]
    )
    if source and source not in (OWN, TESTED):
        parts.append(source)
    return ", ".join(str(part) for part in parts)


def _typed(written: Q) -> str:
    doubt = f" ± {written.typed_doubt}" if written.typed_doubt else ""
    return f"{written.typed}{doubt}" if written.typed else ""


def pack_counts(pack: PackInputs) -> tuple[tuple[str, str], ...]:
    """What is counted on a pack, and how it is mounted: name and value."""
    found: list[tuple[str, object]] = [
        ("Friction plates", pack.friction_plates),
        ("Lined faces of each friction plate", pack.lined_faces_per_plate),
        ("Plain plates", pack.plain_plates),
        ("Working faces as stated", pack.surfaces),
        ("Facing material", pack.facing),
        ("Mounting", {"crankshaft": "on the crankshaft"}.get(pack.mounting or "", pack.mounting)),
    ]
    if isinstance(pack.clamp, CoilClamp):
        many = len(pack.clamp.springs) > 1
        found += [
            (f"Springs in group {i + 1}" if many else "Springs", group.count)
            for i, group in enumerate(pack.clamp.springs)
        ]
    return _told(found)


def engine_counts(engine: EngineInputs) -> tuple[tuple[str, str], ...]:
    """What is counted on an engine: name and value."""
    teeth = engine.primary_teeth
    return _told(
        [
            ("Cylinders", engine.cylinders),
            ("Strokes", engine.strokes),
            ("Primary gear teeth, driving and driven", teeth and f"{teeth[0]} and {teeth[1]}"),
        ]
    )


def _told(found: Iterable[tuple[str, object]]) -> tuple[tuple[str, str], ...]:
    return tuple((name, str(value)) for name, value in found if value is not None)


def share_rows(result: CellResult) -> tuple[ShareRow, ...]:
    """Inputs by their share of the doubt, largest first; the small rest in one row."""
    known = [(path, share) for path, share in result.shares if share > 0.0]
    rows = [
        ShareRow(input_label(path), f"#{anchor(path)}", percent(share), round(100 * share, 2))
        for path, share in known[:SHARES_SHOWN]
    ]
    rest = known[SHARES_SHOWN:]
    if rest:
        total = sum(share for _, share in rest)
        rows.append(
            ShareRow(f"{len(rest)} others together", "", percent(total), round(100 * total, 2))
        )
    return tuple(rows)


def percent(share: float) -> str:
    """A share in per cent, a small one as such.

    >>> percent(0.934) == "93\\u00a0%", percent(0.00001) == "<\\u00a00.1\\u00a0%"
    (True, True)
    """
    if 0.0 < share < 0.001:
        return "<\u00a00.1\u00a0%"
    return f"{100 * share:.1f}\u00a0%" if share < 0.1 else f"{100 * share:.0f}\u00a0%"
