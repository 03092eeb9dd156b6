"""Every table, so that whoever needs them all (migrations, checks) imports one module."""

from sqlmodel import SQLModel

from app.records.backups import Backup
from app.records.bookkeeping import CatalogueRevision, Change, Setting, Submission
from app.records.engines import Engine
from app.records.import_jobs import ImportJob, ImportRow
from app.records.keeping import SavedComparison, ShortlistLine
from app.records.members import ApiToken, FailedTries, Member, MemberSession, SetupToken
from app.records.packs import LoadPoint, Pack, Spring
from app.records.photos import Photo
from app.records.slip_tests import Finding, Instrument, SlipReading, SlipTest
from app.records.sources import Facing, FrictionValue, Offer
from app.records.verdicts import Verdict, VerdictInput

METADATA = SQLModel.metadata

__all__ = [
    "METADATA",
    "ApiToken",
    "Backup",
    "CatalogueRevision",
    "Change",
    "Engine",
    "Facing",
    "FailedTries",
    "Finding",
    "FrictionValue",
    "ImportJob",
    "ImportRow",
    "Instrument",
    "LoadPoint",
    "Member",
    "MemberSession",
    "Offer",
    "Pack",
    "Photo",
    "SavedComparison",
    "Setting",
    "SetupToken",
    "ShortlistLine",
    "SlipReading",
    "SlipTest",
    "Spring",
    "Submission",
    "Verdict",
    "VerdictInput",
]
