"""The form of a teardown: each answered question becomes a finding."""

from typing import Any

from app import documents
from app.documents import Finding
from app.documents.finding import OUTCOMES
from app.errors import BadInput
from app.presentation.teardown import CHECKS, free_lengths, outcome_of_lengths
from app.web.forms.figures import refused
from app.web.forms.reader import FormReader

LONGEST_LINE = 200
LONGEST_NOTES = 2000
PARTS = ("outcome", "measured", "notes")


def read_findings(form: FormReader, pack: str) -> list[Finding]:
    """The findings that a form describes, one for each question that is answered.

    Free lengths without an answer give one by their spread.

    Raises:
        BadInput: with everything that is wrong, each under the name of its box; also where no
            question is answered.
    """
    common = {"pack": pack, "date": form.text("date"), "by": form.text("by", longest=LONGEST_LINE)}
    found = []
    for check in CHECKS:
        raw = _answer(form, check.key)
        if raw is None:
            continue
        known = {name: value for name, value in {**common, **raw}.items() if value is not None}
        try:
            found.append(documents.read(Finding, known).document)
        except BadInput as refusal:
            names = {part: f"{check.key}.{part}" for part in PARTS}
            refused(form, refusal.problems, names)
    if not found and not form.problems:
        form.say("", "Answer one question at least, or leave the page.")
    form.refuse_problems()
    return found


def _answer(form: FormReader, key: str) -> dict[str, Any] | None:
    """One question's answer; None where it is not answered or was refused at its box."""
    outcome = form.choice(f"{key}.outcome", OUTCOMES)
    measured = form.text(f"{key}.measured", longest=LONGEST_LINE)
    notes = form.text(f"{key}.notes", longest=LONGEST_NOTES)
    if measured is not None and key == "spring_lengths":
        try:
            lengths = free_lengths(measured)
        except BadInput as refusal:
            form.say(f"{key}.measured", refusal.message)
            return None
        outcome = outcome or outcome_of_lengths(lengths)
    if outcome is None:
        if measured is not None or notes is not None:
            form.say(f"{key}.outcome", "Choose an answer too: good, use it, or bad.")
        return None
    return {"check": key, "outcome": outcome, "measured": measured, "notes": notes}
