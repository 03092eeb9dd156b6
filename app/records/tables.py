"""Every table, so that whoever needs them all (migrations, checks) imports one module."""

from sqlmodel import SQLModel

from app.records.bookkeeping import CatalogueRevision, Change, Setting, Submission
from app.records.engines import Engine
from app.records.packs import LoadPoint, Pack, Spring
from app.records.slip_tests import Finding, Instrument, SlipReading, SlipTest
from app.records.sources import Facing, FrictionValue, Offer

METADATA = SQLModel.metadata

__all__ = [
    "METADATA",
    "CatalogueRevision",
    "Change",
    "Engine",
    "Facing",
    "Finding",
    "FrictionValue",
    "Instrument",
    "LoadPoint",
    "Offer",
    "Pack",
    "Setting",
    "SlipReading",
    "SlipTest",
    "Spring",
    "Submission",
]
