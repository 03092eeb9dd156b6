"""The one written form of a record: JSON, forms, CSV and demo files all make these documents."""

from app.documents.base import Document, Read, read, refusals, sentence, unknown_paths
from app.documents.clamp import (
    Centrifugal,
    Clamp,
    Coil,
    Disc,
    DiscTable,
    Load,
    LoadPoint,
    SpringGroup,
)
from app.documents.engine import Bmep, Curve, Engine, Measured, Power, Torque
from app.documents.facing import Facing, FrictionValue
from app.documents.offer import Offer
from app.documents.pack import Checked, Friction, FrictionPair, Pack
from app.documents.quantities import Q
from app.documents.state import State

__all__ = [
    "Bmep",
    "Centrifugal",
    "Checked",
    "Clamp",
    "Coil",
    "Curve",
    "Disc",
    "DiscTable",
    "Document",
    "Engine",
    "Facing",
    "Friction",
    "FrictionPair",
    "FrictionValue",
    "Load",
    "LoadPoint",
    "Measured",
    "Offer",
    "Pack",
    "Power",
    "Q",
    "Read",
    "SpringGroup",
    "State",
    "Torque",
    "read",
    "refusals",
    "sentence",
    "unknown_paths",
]
