"""Coil springs in the form of a pack: groups of springs alike, each with its tester's readings.

Group n has the names ``clamp.springs.n.…``, its readings ``clamp.springs.n.load_points.m.…``. The
numbers may have gaps, as when a group was taken out. ``…was`` holds the number that a group has in
the stored record, so that its figures are known again after the groups were counted anew.
"""

import re
from collections.abc import Mapping, Sequence
from typing import Any, get_args

from app.documents import Coil, LoadPoint, SpringGroup
from app.documents.clamp import MEAN_OF_ALL
from app.fields import LOAD_POINT, SPRING_GROUP
from app.mechanics.inputs import SpringEnds
from app.units import UnitError, parse
from app.web.forms.figures import FigureReader, plain, put_figure
from app.web.forms.pairs import box, larger_first
from app.web.forms.reader import FormReader

HEAD = "clamp.springs"
FIGURES = (
    "free_length_mm",
    "installed_length_mm",
    "shim_mm",
    "rate_n_per_mm",
    "wire_mm",
    "outside_mm",
    "inside_mm",
    "mean_mm",
    "total_coils",
    "shear_modulus_mpa",
)
"""Figures of a group that carry a doubt."""

LENGTHS = "free_lengths_mm"
"""The free length of every spring of a group, in one box."""

ENDS: tuple[tuple[str, str], ...] = (
    ("", "Not known"),
    ("closed_ground", "Closed and ground"),
    ("closed", "Closed"),
    ("plain_ground", "Plain, ground"),
    ("plain", "Plain"),
)
POINT_PARTS = ("deflection_mm", "force_n")
SPARE_ROWS = 3
"""Blank rows that a table of readings offers below those that are filled."""

MOST_GROUPS = 50
_NOT_FIGURES = re.compile(r"(tester_limit|was|.*__unit|.*__how)$")


def put_springs(texts: dict[str, str], clamp: Coil) -> None:
    """Write the groups of springs into the texts of a form."""
    for n, group in enumerate(clamp.springs):
        head = f"{HEAD}.{n}."
        texts[f"{head}was"] = str(n)
        for name in ("name", "count", "positions", "ends", "wire_material"):
            value = getattr(group, name)
            if value is not None:
                texts[head + name] = str(value)
        for name in FIGURES:
            put_figure(texts, head + name, getattr(group, name), SPRING_GROUP[name])
        if group.shim_mm == SpringGroup().shim_mm:
            texts.pop(f"{head}shim_mm", None)  # the document's own 0, which nobody typed
        if group.free_lengths_mm:
            texts[head + LENGTHS] = "; ".join(map(plain, group.free_lengths_mm))
            if group.free_length_mm is not None and group.free_length_mm.with_what == MEAN_OF_ALL:
                _forget(texts, f"{head}free_length_mm")  # worked out again from the lengths
        if group.tester_limit is not None:
            texts[f"{head}tester_limit"] = plain(group.tester_limit)
        put_points(texts, f"{head}load_points", group.load_points or ())


def put_points(texts: dict[str, str], head: str, points: Sequence[LoadPoint]) -> None:
    """Write readings into the rows of a table."""
    for m, point in enumerate(points):
        for part in POINT_PARTS:
            texts[f"{head}.{m}.{part}"] = plain(getattr(point, part))


def groups_in(form: FormReader) -> list[int]:
    """Numbers of the groups that were sent and hold anything."""
    return [n for n in form.places(HEAD) if not _is_blank(form, n)]


def read_springs(
    figures: FigureReader, stored: Coil | None
) -> tuple[list[dict[str, Any]], dict[str, str]]:
    """The groups as the document writes them, and the way from its paths to the form's names."""
    found: list[dict[str, Any]] = []
    names: dict[str, str] = {}
    for n in groups_in(figures.form):
        names[f"{HEAD}.{len(found)}."] = f"{HEAD}.{n}."
        group, rows = _read_group(figures, n, stored)
        names |= {
            f"{HEAD}.{len(found)}.load_points.{i}.": f"{HEAD}.{n}.load_points.{m}."
            for i, m in enumerate(rows)
        }
        found.append(group)
    return found, names


def read_lengths(form: FormReader, name: str) -> list[float] | None:
    """The free length of each spring [mm], as many as were typed in one box."""
    text = form.text(name, longest=1000)
    if text is None:
        return None
    found = []
    for piece in re.split(r"\s*;\s*|,\s+|\s+", text.strip(" ;,")):
        try:
            found.append(parse(piece, "length").value)
        except UnitError as error:
            form.say(name, error.message)
            return None
    if min(found) <= 0.0:
        form.say(name, "Write each length as a number above 0, with spaces between them.")
        return None
    return found


def _forget(texts: dict[str, str], name: str) -> None:
    for end in ("", "__doubt", "__unit", "__how"):
        texts.pop(name + end, None)


def read_points(form: FormReader, head: str) -> tuple[list[dict[str, float]], list[int]]:
    """Readings of a table, with the row that each stands in; half a row is refused."""
    found: list[dict[str, float]] = []
    rows: list[int] = []
    for m in form.places(head):
        names = [f"{head}.{m}.{part}" for part in POINT_PARTS]
        given = [bool(form.raw.get(name, "").strip()) for name in names]
        if not any(given):
            continue
        for name, part, there in zip(names, POINT_PARTS, given, strict=True):
            # One unit serves a column, unless a row has its own beside the number.
            form.raw.setdefault(f"{name}__unit", form.raw.get(f"{head}.{part}__unit", ""))
            if not there:
                form.say(name, _other_half(part))
        values = [form.number(n, LOAD_POINT[p]) for n, p in zip(names, POINT_PARTS, strict=True)]
        if None not in values:
            found.append({p: v for p, v in zip(POINT_PARTS, values, strict=True) if v is not None})
            rows.append(m)
    return found, rows


def rows_shown(form: FormReader, head: str) -> list[int]:
    """Rows that a table of readings shows: those that were sent, and some blank ones at the end."""
    sent = form.places(head)
    filled = [
        m
        for m in sent
        if any(form.raw.get(f"{head}.{m}.{part}", "").strip() for part in POINT_PARTS)
    ]
    least = max(filled, default=-1) + 1 + SPARE_ROWS
    return list(range(max(least, max(sent, default=-1) + 1)))


def more_rows(form: FormReader, head: str) -> str:
    """Make room for more readings and give the name of the first new box."""
    shown = len(rows_shown(form, head))
    form.raw[f"{head}.{shown + SPARE_ROWS - 1}.{POINT_PARTS[0]}"] = ""
    return f"{head}.{shown}.{POINT_PARTS[0]}"


def groups_shown(form: FormReader) -> list[int]:
    """Numbers of the groups that the form shows: one at least."""
    return form.places(HEAD) or [0]


def add_group(form: FormReader) -> int:
    """Make room for one more group and give its number.

    What the tester's limit is stays the same from group to group: it is one tester.
    """
    shown = groups_shown(form)
    n = shown[-1] + 1
    last = form.raw.get(f"{HEAD}.{shown[-1]}.tester_limit", "")
    form.raw[f"{HEAD}.{n}.tester_limit"] = last
    return n


def remove_group(form: FormReader, n: int) -> None:
    """Take a group out of the form; those after it move up by one number."""
    numbered = re.compile(rf"{re.escape(HEAD)}\.([0-9]{{1,3}})\.(.*)", re.DOTALL)
    kept: dict[str, str] = {}
    for name, text in form.raw.items():
        found = numbered.fullmatch(name)
        number = -1 if found is None else int(found[1])
        if found is None or number < n:
            kept[name] = text
        elif number > n:
            kept[f"{HEAD}.{number - 1}.{found[2]}"] = text
    form.raw = kept


def _read_group(
    figures: FigureReader, n: int, stored: Coil | None
) -> tuple[dict[str, Any], list[int]]:
    form, head = figures.form, f"{HEAD}.{n}."
    before, was = _stored_group(form, head, stored)
    points, rows = read_points(form, f"{head}load_points")
    raw: dict[str, Any] = {
        "name": form.text(f"{head}name"),
        "count": form.count(f"{head}count", SPRING_GROUP["count"]),
        "positions": form.count(f"{head}positions", SPRING_GROUP["positions"]),
        LENGTHS: read_lengths(form, head + LENGTHS),
        "ends": form.choice(f"{head}ends", get_args(SpringEnds)),
        "wire_material": form.text(f"{head}wire_material"),
        "load_points": points or None,
        "tester_limit": form.number(f"{head}tester_limit", SPRING_GROUP["tester_limit"]),
    }
    for name in FIGURES:
        q = None if before is None else getattr(before, name)
        raw[name] = figures.quantity(head + name, SPRING_GROUP[name], q, f"{HEAD}.{was}.{name}")
    _keep_order(form, head, raw)
    if raw[LENGTHS] and not form.raw.get(f"{head}free_length_mm", "").strip():
        raw["free_length_mm"] = None  # the mean of those lengths, and not of the stored ones
    return {name: value for name, value in raw.items() if value is not None}, rows


def _keep_order(form: FormReader, head: str, raw: Mapping[str, Any]) -> None:
    """Mark the boxes of a spring whose measures cannot all be right.

    A spring that is no shorter in the pack than free would press nothing: one of the two lengths
    was mistyped, or they stand in each other's place.
    """
    words = {
        "wire_mm": "wire diameter",
        "inside_mm": "inside diameter",
        "mean_mm": "mean diameter",
        "outside_mm": "outside diameter",
        "free_length_mm": "free length",
        "installed_length_mm": "installed length",
    }
    part = {n: box(head + n, told, raw[n], SPRING_GROUP[n]) for n, told in words.items()}
    larger_first(form, part["outside_mm"], part["wire_mm"], twice=True)
    for larger, smaller in (
        ("outside_mm", "mean_mm"),
        ("outside_mm", "inside_mm"),
        ("mean_mm", "inside_mm"),
        ("mean_mm", "wire_mm"),
    ):
        larger_first(form, part[larger], part[smaller])
    shim = box(f"{head}shim_mm", "shim", raw["shim_mm"], SPRING_GROUP["shim_mm"])
    if not shim.value:  # a shim may press it all the same
        larger_first(form, part["free_length_mm"], part["installed_length_mm"])


def _stored_group(
    form: FormReader, head: str, stored: Coil | None
) -> tuple[SpringGroup | None, int]:
    """The group of the stored record that these boxes were filled from."""
    was = form.raw.get(f"{head}was", "")
    if stored is None or not re.fullmatch(r"[0-9]{1,3}", was):
        return None, 0
    number = int(was)
    return (stored.springs[number], number) if number < len(stored.springs) else (None, 0)


def _is_blank(form: FormReader, n: int) -> bool:
    head = f"{HEAD}.{n}."
    return not any(
        text.strip()
        for name, text in form.raw.items()
        if name.startswith(head) and not _NOT_FIGURES.fullmatch(name[len(head) :])
    )


def _other_half(part: str) -> str:
    if part == "force_n":
        return "Write the force at this deflection too, or clear the row."
    return "Write the deflection at this force too, or clear the row."
