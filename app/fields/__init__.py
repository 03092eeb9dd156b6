"""The catalogue of every figure that a record holds, and the default doubts of each kind.

Forms, documents, the CSV and the help all read this one list, so a figure has one name, one unit,
one set of bounds and one sentence of help wherever it turns up.
"""

from collections.abc import Mapping
from types import MappingProxyType

from app.fields.bench import INSTRUMENT, SLIP_TEST, TEST_CHAIN
from app.fields.clamp import CENTRIFUGAL, DISC, DISC_TABLE, LOAD, LOAD_POINT, SPRING_GROUP
from app.fields.definition import Field
from app.fields.doubts import (
    DEFAULT_DOUBTS,
    DOUBT_TABLE,
    HOWS,
    KINDS,
    DefaultDoubt,
    default_doubt,
    doubt_row,
)
from app.fields.engine import ENGINE, LAUNCH
from app.fields.pack import FRICTION, PACK, STATE

__all__ = [
    "CATALOGUE",
    "CENTRIFUGAL",
    "DEFAULT_DOUBTS",
    "DISC",
    "DISC_TABLE",
    "DOUBT_TABLE",
    "ENGINE",
    "FRICTION",
    "HOWS",
    "INSTRUMENT",
    "KINDS",
    "LAUNCH",
    "LOAD",
    "LOAD_POINT",
    "PACK",
    "SLIP_TEST",
    "SPRING_GROUP",
    "STATE",
    "TEST_CHAIN",
    "DefaultDoubt",
    "Field",
    "default_doubt",
    "doubt_row",
    "field",
]

CATALOGUE: Mapping[str, Mapping[str, Field]] = MappingProxyType(
    {
        "pack": PACK,
        "friction": FRICTION,
        "spring": SPRING_GROUP,
        "load_point": LOAD_POINT,
        "load": LOAD,
        "disc": DISC,
        "disc_table": DISC_TABLE,
        "centrifugal": CENTRIFUGAL,
        "engine": ENGINE,
        "launch": LAUNCH,
        "state": STATE,
        "slip_test": SLIP_TEST,
        "instrument": INSTRUMENT,
        "test_chain": TEST_CHAIN,
    }
)
"""Every group of figures by its key. The same name may stand in two groups (``force_n``)."""


def field(group: str, name: str) -> Field:
    """Give one figure of one group.

    Raises:
        KeyError: there is no such group, or no such figure in it.

    >>> field("spring", "wire_mm").label
    'Wire diameter'
    """
    return CATALOGUE[group][name]
