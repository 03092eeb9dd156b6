"""What the About page says: promises, limits, cautions, and the facts of this installation."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.presentation.cautions import CAUTIONS, Caution
from app.presentation.copies import CopiesView


@dataclass(frozen=True)
class Promise:
    """A promise with what it rests on, what it leaves out, and how to check it."""

    promise: str
    condition: str
    not_covered: str
    check: str


PROMISES = (
    Promise(
        "“Saved” means that the change is on the disk: it survives the program being killed at "
        "any moment.",
        "The database lies on a local disk, or on a PostgreSQL server, that keeps what it "
        "acknowledges. The tests kill the program twenty times while it saves, in each way that "
        "the database keeps its journal, and look for every save that was acknowledged.",
        "A disk that fails or lies about what it wrote, a network drive, copies of the file made "
        "by hand while the program runs. Killing a program proves nothing about a power cut: for "
        "that the program has the database wait for the disk at every save, and rests on the "
        "database's own tests.",
        "Save a record, kill the program without warning, start it again: the record is there. "
        "Or run tests/crash/kill_writers.py, which does that as often as you like.",
    ),
    Promise(
        "A backup is made every day and before each upgrade, and is opened and checked before it "
        "counts.",
        "The server runs at some time of the day, and its disk has room. With PostgreSQL, its "
        "programs pg_dump and pg_restore are installed where the server runs.",
        "A disk that breaks: it holds the backups too. Copy them to another disk. Backups are not "
        "encrypted, and hold whatever the database holds.",
        "See under Backups below; run gripledger check FILE on one; put one back into a folder "
        "of its own, as the README's drill says.",
    ),
    Promise(
        "Two people cannot overwrite each other unnoticed.",
        "Both change records through the pages or the interface of this program.",
        "A change made in the database file by other means.",
        "Open one record in two windows and save both: the second is refused, with both versions "
        "shown.",
    ),
    Promise(
        "The same inputs give the same figures: on the page, in print, in the CSV and in the "
        "interface.",
        "The same version of the program, named at the foot of each page.",
        "Figures of another version: a corrected formula may change a verdict, and the history "
        "of changes to the program says so.",
        "Compare a cell's working with the CSV of the board, at full precision.",
    ),
    Promise(
        "A figure that is not known is never filled in silently.",
        "It was left blank, here and in what was imported.",
        "A figure that somebody typed without knowing it. Mark such figures Assumed.",
        "Leave a friction coefficient out: the verdict reads Not known and names it.",
    ),
    Promise(
        "Nothing leaves this computer: the program asks no other machine for anything.",
        "You use the pages as they are served.",
        "What you copy, export or print yourself, and links that members put into their notes.",
        "Pull the network plug: every page works, charts included.",
    ),
)

LIMITS = (
    "Friction is the figure that matters most and is known least. A published coefficient is a "
    "span for a kind of facing; only your own slip test is about your pack.",
    "Intervals are 95 % intervals of the doubts that were typed in. A doubt that nobody thought "
    "of is in none of them.",
    "Torque is taken as its mean over a cycle. The pulses of a single cylinder stand far above "
    "it; a service factor allows for them, and the program never applies one unasked.",
    "Facings are taken as flat, evenly loaded rings, springs as linear and balanced, the stack as "
    "free to slide on its splines. Warped plates, notched tabs and dragging splines are for the "
    "bench.",
    "The stress of coil springs is checked, that of disc springs is not: take it from EN 16984 or "
    "from their maker. Where friction along the splines is asked for, its loss is the most that "
    "can be lost.",
    "Heat is reckoned for one launch into the plain plates. Repeated slipping, fade and oil "
    "temperature are outside the model.",
    "A verdict is no approval. It does not replace the engine builder's judgement, and where the "
    "law asks for a licensed or certified person it defers to that person.",
)


@dataclass(frozen=True)
class AboutView:
    """The About page."""

    facts: Sequence[tuple[str, str]]
    """Pairs of name and value about this installation."""
    promises: Sequence[Promise]
    limits: Sequence[str]
    cautions: Sequence[Caution]
    copies: CopiesView


def about_view(version: str, storage: Mapping[str, str], copies: CopiesView) -> AboutView:
    """The page's view.

    Args:
        version: the program's version.
        storage: names and values that describe the database.
        copies: what the page says of the copies.
    """
    facts = [("Program version", version)]
    for name, value in storage.items():
        label = "database version" if name == "version" else name
        facts.append((label[:1].upper() + label[1:], value))
    return AboutView(facts, PROMISES, LIMITS, tuple(CAUTIONS.values()), copies)
