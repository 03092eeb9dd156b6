"""A change of a record field by field: what each figure was, and what it became."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from app.documents import Q, TorqueReading
from app.fields import CATALOGUE, FRICTION, Field
from app.presentation.data_sheet import ENDS_WORDS, origin_text, value_text
from app.presentation.input_words import TORQUE_WORDS, input_label
from app.presentation.numbers import NOT_KNOWN, number_text, with_unit
from app.presentation.pack_sheet import CLAMP_WORDS, MOUNTING_WORDS, facing_word
from app.presentation.slip_log import reading_text

NONE = "nothing"
"""What stands for a figure on the side where it is not there."""

_GROUPS = {
    "pack": ("pack", "load", "disc", "disc_table", "centrifugal"),
    "engine": ("engine",),
    "slip test": ("slip_test",),
    "instrument": ("instrument",),
}
_LABELS = {
    "name": "Name",
    "notes": "Notes",
    "checked": "Figures checked by",
    "clamp.kind": "Clamp",
    "torque.kind": "Torque known by",
    "torque.at": "Torque measured at",
    "primary_teeth": "Primary teeth, driving and driven",
    "claimed_cc_low": "Claimed from",
    "claimed_cc_high": "Claimed up to",
    "value": "Value",
    "pack": "Pack",
    "engine": "Engine",
}
_WORDS: Mapping[str, Mapping[str, str]] = {
    "clamp.kind": CLAMP_WORDS,
    "torque.kind": TORQUE_WORDS,
    "mounting": MOUNTING_WORDS,
    "ends": ENDS_WORDS,
}
_FIGURE = {"value", "plus_minus", "std", "how"}
_REFERS = {
    "pack": "pack",
    "engine": "engine",
    "instrument": "instrument",
    "offer": "offer",
    "packs": "pack",
    "engines": "engine",
}
"""Fields that hold ids of records, and the kind of record that they name."""

_MARGIN = "margin:"
"""Before the engine's id, in the order of a comparison."""

Raw = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Referred:
    """A record that another one names: what it is called, and its page, "" for none."""

    name: str
    href: str = ""


Names = Mapping[tuple[str, str], Referred]
"""Records by kind and id."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One field of a record before and after a change; "nothing" where it was not there.

    Attributes:
        before_href: page of the record that the field named, "" where it is about none.
        after_href: of the one that it names now.
    """

    label: str
    before: str
    after: str
    before_href: str = ""
    after_href: str = ""


def referred_ids(written: Iterable[Raw | None]) -> dict[str, set[str]]:
    """Ids of the records that written forms name, by kind.

    >>> referred_ids([{"pack": "a", "order": "-margin:b"}, None])
    {'pack': {'a'}, 'engine': {'b'}}
    """
    found: dict[str, set[str]] = {}
    for document in written:
        for path, value in _leaves(document or {}):
            for kind, key in _refers(path, value):
                found.setdefault(kind, set()).add(key)
    return found


def _refers(path: str, value: Any) -> list[tuple[str, str]]:
    if path == "order" and isinstance(value, str) and _MARGIN in value:
        return [("engine", value.partition(_MARGIN)[2])]
    values = value if isinstance(value, list) else [value]
    kind = _REFERS.get(path)
    return [(kind, one) for one in values if kind and isinstance(one, str)]


def differences(
    noun: str, before: Raw | None, after: Raw | None, names: Names = MappingProxyType({})
) -> tuple[Difference, ...]:
    """What differs between two written forms of a record, in the order of the document.

    Args:
        noun: kind of record.
        before: its written form before, None where it was not there.
        after: its written form now.
        names: of the records that it names; an id that is not among them stands as it is.

    >>> differences("pack", {"name": "A", "lift_mm": 1.2}, {"name": "A", "lift_mm": 1.5})
    (Difference(label='Release ...', before='1.2\\xa0mm', after='1.5\\xa0mm'),)
    """
    old, new = dict(_leaves(before or {})), dict(_leaves(after or {}))
    found = []
    for path in dict.fromkeys([*old, *new]):
        was, became = old.get(path), new.get(path)
        if was == became and (path in old) == (path in new):
            continue
        label = field_label(noun, path)
        named = [_named(path, value, names) for value in (was, became)]
        if any(named):
            (old_name, old_href), (new_name, new_href) = (
                one or (_text(noun, path, value), "")
                for one, value in zip(named, (was, became), strict=True)
            )
            found.append(Difference(label, old_name, new_name, old_href, new_href))
            continue
        texts = [_text(noun, path, value) for value in (was, became)]
        if texts[0] == texts[1]:  # a difference finer than the page shows
            texts = [NONE if value is None else repr(value) for value in (was, became)]
        found.append(Difference(label, texts[0], texts[1]))
    return tuple(found)


def _named(path: str, value: Any, names: Names) -> tuple[str, str] | None:
    """Names in the place of ids, with the page where it is one record; None without ids."""
    refers = _refers(path, value)
    if not refers:
        return None
    known = [names.get(key) or Referred(key[1]) for key in refers]
    text = "; ".join(one.name for one in known)
    if path == "order":
        turned = ", the other way round" if str(value).startswith("-") else ""
        text = f"margin on {text}{turned}"
    return text, known[0].href if len(known) == 1 else ""


def field_label(noun: str, path: str) -> str:
    """What a builder calls the field at a path of a record.

    >>> field_label("pack", "clamp.springs.1.wire_mm"), field_label("offer", "price")
    ('Wire diameter, spring group 2', 'Price')
    """
    if path in _LABELS:
        return _LABELS[path]
    return input_label(f"{noun.replace(' ', '_')}.{path}")


def _leaves(value: Mapping[str, Any], at: str = "") -> Iterator[tuple[str, Any]]:
    """The fields of a document by path: figures whole, records and lists of records taken apart."""
    for name, inner in value.items():
        path = f"{at}{name}"
        if isinstance(inner, Mapping) and not _FIGURE & set(inner) and path != "checked":
            yield from _leaves(inner, f"{path}.")
        elif isinstance(inner, list) and name in ("springs", "values"):
            for i, one in enumerate(inner):
                yield from _leaves(one, f"{path}.{i}.")
        else:
            yield path, inner


def field_at(noun: str, path: str) -> Field | None:
    """What the catalogue of figures knows of the field at a path, None for what is no figure."""
    name = path.rpartition(".")[2]
    if noun == "pack" and path.startswith("friction."):
        return FRICTION["friction"]
    groups = ("spring",) if ".springs." in path else _GROUPS.get(noun, ())
    for group in groups:
        found = CATALOGUE[group].get(name)
        if found is not None:
            return found
    return None


def _text(noun: str, path: str, value: Any) -> str:
    if value is None:
        return NONE
    about = field_at(noun, path)
    if isinstance(value, Mapping):
        if path == "checked":
            return " · ".join(str(text) for text in value.values())
        return figure_text(value, about)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return with_unit(number_text(float(value)), about.unit if about else "")
    if isinstance(value, list):
        if path == "readings":
            value = [_reading(one) for one in value]
        return "; ".join(_point(one) for one in value) or NONE
    words = _WORDS.get(path) or _WORDS.get(path.rpartition(".")[2]) or {}
    text = facing_word(str(value)) if path == "facing" else str(value)
    return words.get(text, text) or NONE


def figure_text(written: Mapping[str, Any], about: Field | None) -> str:
    """A figure in its written form: value, doubt, and where it comes from."""
    if "value" not in written:
        return NOT_KNOWN
    q = Q.model_validate(dict(written))
    if about is None:
        return number_text(q.value)
    return f"{value_text(q, about)} · {origin_text(q)}"


def _reading(one: Any) -> str:
    """A reading of a slip test; the mark that it was read so is told where it was set."""
    reading = TorqueReading.model_validate(one)
    text = with_unit(reading_text(reading), "Nm")
    return f"{text} (read so)" if reading.as_read else text


def _point(one: Any) -> str:
    if isinstance(one, Mapping):
        return " ".join(_point(part) for part in one.values() if part is not None)
    if isinstance(one, list):
        return " ".join(_point(part) for part in one)
    if isinstance(one, bool):
        return "yes" if one else "no"
    return number_text(float(one)) if isinstance(one, int | float) else str(one)
