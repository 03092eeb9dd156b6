"""The one written form of a record: JSON, forms, CSV and demo files all make these documents."""

from app.documents.base import Document, Read, read, refusals, sentence, unknown_paths
from app.documents.beyond_range import BeyondRange, beyond_range
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
from app.documents.finding import Finding
from app.documents.instrument import Instrument
from app.documents.keeping import SavedComparison, ShortlistLine
from app.documents.offer import Offer
from app.documents.pack import Checked, Friction, FrictionPair, Pack
from app.documents.quantities import Q
from app.documents.slip_test import SlipTest, TorqueReading
from app.documents.state import State

__all__ = [
    "BeyondRange",
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
    "Finding",
    "Friction",
    "FrictionPair",
    "FrictionValue",
    "Instrument",
    "Load",
    "LoadPoint",
    "Measured",
    "Offer",
    "Pack",
    "Power",
    "Q",
    "Read",
    "SavedComparison",
    "ShortlistLine",
    "SlipTest",
    "SpringGroup",
    "State",
    "Torque",
    "TorqueReading",
    "beyond_range",
    "read",
    "refusals",
    "sentence",
    "unknown_paths",
]
