"""The form of displacement classes and of the bands of mean effective pressure."""

from dataclasses import dataclass

from app.fields import ENGINE, Field
from app.services.class_settings import ClassSettings, Row, problems_of, shown_bands
from app.web.forms.figures import plain
from app.web.forms.reader import FormReader

PARTS = ("cc", "low", "high")
FIELDS = {
    "cc": ENGINE["displacement_cc"],
    "low": ENGINE["primary_ratio"],
    "high": ENGINE["primary_ratio"],
}
PRESSURE = ENGINE["bmep_kpa"]
SPARE_ROWS = 3


@dataclass(frozen=True)
class Wanted:
    """What the form asks for."""

    classes: list[Row]
    bands: dict[str, tuple[float, float]]


def class_texts(settings: ClassSettings) -> dict[str, str]:
    """The texts of the form's boxes, by name."""
    texts: dict[str, str] = {}
    for i, c in enumerate(settings.classes):
        figures = (c.displacement_cc, c.ratio_low, c.ratio_high)
        texts |= {f"classes.{i}.{p}": plain(x) for p, x in zip(PARTS, figures, strict=True)}
    for band in settings.bands:
        texts[f"bands.{band.kind}.low"] = plain(band.low_kpa)
        texts[f"bands.{band.kind}.high"] = plain(band.high_kpa)
    return texts


def rows_shown(form: FormReader) -> list[int]:
    """Rows of the table of classes: those that hold anything, and some blank ones."""
    filled = [n for n in form.places("classes") if _given(form, n)]
    return list(range(max(filled, default=-1) + 1 + SPARE_ROWS))


def read_classes(form: FormReader) -> tuple[Wanted, dict[str, str]]:
    """What the form asks for, and the way from the settings' paths to its boxes.

    Raises:
        BadInput: with everything that cannot be read, each under the name of its box.
    """
    rows: list[Row] = []
    names: dict[str, str] = {}
    for n in form.places("classes"):
        if not _given(form, n):
            continue
        size, low, high = (_figure(form, f"classes.{n}.{part}", FIELDS[part]) for part in PARTS)
        names |= {f"classes.{len(rows)}.{part}": f"classes.{n}.{part}" for part in PARTS}
        rows.append((size, low, high))
    bands = {
        band.kind: (
            _figure(form, f"bands.{band.kind}.low", PRESSURE),
            _figure(form, f"bands.{band.kind}.high", PRESSURE),
        )
        for band in shown_bands()
    }
    if form.problems:
        # What can be read is told as well, so that one look mends all of it.
        unread = {problem.field.rpartition(".")[0] for problem in form.problems}
        for problem in problems_of(rows, bands):
            box = names.get(problem.field, problem.field)
            if box.rpartition(".")[0] not in unread:
                form.say(box, problem.message)
    form.refuse_problems()
    return Wanted(rows, bands), names


def _figure(form: FormReader, name: str, field: Field) -> float:
    value = form.number(name, field)
    if value is None and not form.message_for(name):
        row = name.startswith("classes")
        told = "Write this figure too, or clear the row." if row else (
            "Write this figure; the program's own stands beside it.")
        form.say(name, told)
    return 0.0 if value is None else value


def _given(form: FormReader, n: int) -> bool:
    return any(form.raw.get(f"classes.{n}.{part}", "").strip() for part in PARTS)
