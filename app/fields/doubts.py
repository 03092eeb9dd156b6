"""Default doubts: the half-width given to a figure whose doubt was left blank.

Every row is our judgement of ordinary workshop practice, with no source, and can be changed in the
settings. A default is filled in when a record is saved and is shown as a default.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

HOWS = ("measured", "listed", "estimated", "assumed")
"""How a figure is known: by ourselves, from a listing, by reckoning, or not at all."""

ANY = "any"
"""The kind of a row that serves every kind without a row of its own."""


@dataclass(frozen=True)
class DefaultDoubt:
    """Half-width for figures of one kind known in one way.

    Attributes:
        kind: kind of figure, as ``Field.doubt_kind``, or ``any``.
        how: one of ``HOWS``.
        absolute: half-width in the canonical unit, None for none.
        relative: half-width as a share of the value, None for none. With both, the wider counts.
        note: what the row takes for granted.
    """

    kind: str
    how: str
    absolute: float | None
    relative: float | None
    note: str

    def half_width(self, value: float) -> float:
        """Give the half-width for a value [canonical unit], never below 0."""
        return max(self.absolute or 0.0, (self.relative or 0.0) * abs(value))


_OURS = "our judgement, editable"


def _row(
    kind: str, how: str, absolute: float | None, relative: float | None, basis: str
) -> DefaultDoubt:
    return DefaultDoubt(kind, how, absolute, relative, f"{basis}; {_OURS}")


DEFAULT_DOUBTS: tuple[DefaultDoubt, ...] = (
    _row("length", "measured", 0.05, None, "calliper"),
    _row("wire", "measured", 0.01, None, "micrometer"),
    _row("plate", "measured", 0.02, None, "thickness gauge or micrometer at several places"),
    _row("deflection", "measured", 0.05, None, "dial or scale of a spring tester"),
    _row("force", "measured", None, 0.02, "spring tester"),
    _row("rate", "measured", None, 0.03, "two readings of a spring tester"),
    _row("torque", "measured", None, 0.04, "torque wrench or gauge"),
    _row("mass", "measured", None, 0.01, "bench scales"),
    _row("angle", "measured", 0.5, None, "protractor"),
    _row("friction", "measured", None, 0.10, "one slip test; a fit gives its own"),
    _row("ratio", "measured", None, 0.005, "turns counted"),
    _row("speed", "measured", None, 0.02, "hand-held counter"),
    _row("volume", "measured", None, 0.005, "bore and stroke by calliper"),
    _row("power", "measured", None, 0.03, "brake"),
    _row("pressure", "measured", None, 0.05, "reckoned from a measured torque"),
    _row("modulus", "measured", None, 0.02, "reckoned from readings"),
    _row("share", "measured", None, 0.05, "drawn or scanned area"),
    _row("coils", "measured", 0.25, None, "coils counted to the quarter turn"),
    _row("inertia", "measured", None, 0.03, "timed swing"),
    _row("temperature", "measured", 2.0, None, "contact thermometer"),
    _row("time", "measured", 0.2, None, "stopwatch in the hand"),
    _row("arm", "measured", 0.001, None, "steel rule along the arm, in metres"),
    _row("number", "measured", None, 0.02, "no better known"),
    _row("length", "listed", None, 0.005, "rounded figure of a listing"),
    _row("wire", "listed", 0.02, 0.005, "drawn wire as sold"),
    _row("plate", "listed", 0.05, 0.005, "thickness as sold"),
    _row("deflection", "listed", None, 0.02, "rounded figure of a listing"),
    _row("force", "listed", None, 0.08, "spring load as sold"),
    _row("rate", "listed", None, 0.08, "spring rate as sold"),
    _row("torque", "listed", None, 0.05, "figure of a listing"),
    _row("mass", "listed", None, 0.02, "figure of a listing"),
    _row("angle", "listed", 0.5, None, "figure of a listing"),
    _row("friction", "listed", None, 0.15, "facing as sold"),
    _row("ratio", "listed", None, 0.002, "rounded ratio; teeth are exact"),
    _row("speed", "listed", None, 0.02, "figure of a listing"),
    _row("volume", "listed", None, 0.005, "rounded figure of a listing"),
    _row("power", "listed", None, 0.05, "figure of a listing"),
    _row("pressure", "listed", None, 0.08, "figure of a listing"),
    _row("modulus", "listed", None, 0.02, "handbook figure"),
    _row("share", "listed", None, 0.05, "figure of a listing"),
    _row("coils", "listed", 0.25, None, "figure of a listing"),
    _row("inertia", "listed", None, 0.05, "figure of a listing"),
    _row("temperature", "listed", 5.0, None, "figure of a listing"),
    _row("time", "listed", None, 0.05, "figure of a listing"),
    _row("arm", "listed", None, 0.005, "rounded figure of a listing"),
    _row("number", "listed", None, 0.02, "no better known"),
    *(_row("count", how, None, None, "counted things are exact") for how in HOWS),
    _row(ANY, "estimated", None, 0.10, "reckoned or read off a picture"),
    _row(ANY, "assumed", None, 0.20, "taken for want of a figure"),
)
"""The table as shipped."""

DOUBT_TABLE: Mapping[tuple[str, str], DefaultDoubt] = MappingProxyType(
    {(row.kind, row.how): row for row in DEFAULT_DOUBTS}
)
"""The same table by kind and how."""

KINDS: tuple[str, ...] = tuple(dict.fromkeys(row.kind for row in DEFAULT_DOUBTS if row.kind != ANY))
"""Every kind of figure that the table knows."""


def doubt_row(
    kind: str, how: str, overrides: Mapping[tuple[str, str], DefaultDoubt] | None = None
) -> DefaultDoubt:
    """Find the row that serves a figure: the team's before ours, its own kind before ``any``.

    Raises:
        KeyError: no row serves this kind known in this way.
    """
    table = {**DOUBT_TABLE, **(overrides or {})}
    if kind not in KINDS:
        raise KeyError(kind)
    row = table.get((kind, how)) or table.get((ANY, how))
    if row is None:
        raise KeyError(how)
    return row


def default_doubt(
    kind: str,
    how: str,
    value: float,
    overrides: Mapping[tuple[str, str], DefaultDoubt] | None = None,
) -> float:
    """Give the half-width of a figure whose doubt was left blank.

    Args:
        kind: kind of figure, as ``Field.doubt_kind``.
        how: one of ``HOWS``.
        value: the figure in its canonical unit.
        overrides: the team's own rows by (kind, how).

    Returns:
        Half-width in the canonical unit.

    >>> default_doubt("length", "measured", 200.0), default_doubt("length", "listed", 200.0)
    (0.05, 1.0)
    """
    return doubt_row(kind, how, overrides).half_width(value)
