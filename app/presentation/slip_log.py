"""Slip tests in words and figures: a line of the log, and the page of one run."""

import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from app.comparison.cell import Reading
from app.comparison.slip_runs import Compared, Measured, RunLoad, against_prediction, measured
from app.documents import SlipTest, TorqueReading
from app.presentation.numbers import MINUS, NBSP, NOT_KNOWN, number_text, quantity_text, with_unit
from app.presentation.photos import PhotoBox, photo_box
from app.presentation.readouts import Readout

STATE_WORDS = {
    ("dry", "static"): "Dry, static",
    ("dry", "sliding"): "Dry, sliding",
    ("oiled", "static"): "Oiled, static",
    ("oiled", "sliding"): "Oiled, sliding",
}
KIND_WORDS = {
    "value": "A value",
    "span": "Between two",
    "at_least": "At least: still held",
    "at_most": "At most: slipped below",
}
NOT_APART = (
    " The prediction's friction is fitted to this pack's own runs, so the two are not independent."
)
FAR = 2.0
"""From so many combined standard uncertainties on, a difference is more than chance explains."""


@dataclass(frozen=True, slots=True)
class RunLine:
    """One run as a line of a table; texts ready, torques in N·m without their unit."""

    id: str
    name: str
    href: str
    state: str
    springs: str
    readings: str
    measured: str
    predicted: str
    difference: str
    in_uncertainties: str
    note: str


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """One reading: its place, what was read, as it was typed, what is remarkable."""

    place: int
    text: str
    typed: str
    note: str


@dataclass(frozen=True)
class RunPage:
    """The page of one run."""

    id: str
    version: int
    name: str
    changed: str
    pack: str
    pack_href: str
    pack_note: str
    state: str
    lubrication: str
    friction: str
    readouts: tuple[Readout, ...]
    says: str
    readings: tuple[ReadingLine, ...]
    facts: tuple[tuple[str, str], ...]
    repeats: str
    excluded: str
    why_out: str
    notes: str
    photos: PhotoBox

    @property
    def fit(self) -> str:
        """Address of the fit that this run is part of."""
        pack = self.pack_href.removeprefix("/packs/")
        return f"/tests/fit/{pack}?lubrication={self.lubrication}&friction={self.friction}"


def reading_text(reading: TorqueReading) -> str:
    """A reading in words, without its unit.

    >>> reading_text(TorqueReading(at_least_nm=60)), reading_text(TorqueReading(torque_nm=57.5))
    ('at least 60', '57.5')
    """
    low, high = (None if end is None else number_text(end) for end in reading.ends)
    return {
        "value": str(low),
        "span": f"{low}–{high}",
        "at_least": f"at least {low}",
        "at_most": f"at most {high}",
    }[reading.kind]


def readings_text(test: SlipTest) -> str:
    """The readings of a run in one line."""
    return "; ".join(reading_text(reading) for reading in test.readings)


def signed(value: float, decimals: int) -> str:
    """A difference with its sign.

    >>> signed(1.25, 1), signed(-0.04, 1)
    ('+1.2', '0.0')
    """
    text = number_text(abs(value), decimals=decimals)
    if not text.strip("0."):
        return text
    return f"{'+' if value > 0 else MINUS}{text}"


def springs_text(test: SlipTest, load: RunLoad | None) -> str:
    """How many springs were fitted."""
    if test.springs_fitted is not None:
        return str(test.springs_fitted)
    if load is not None and load.springs is not None:
        return f"all {load.springs}"
    return "all"


def run_line(key: str, test: SlipTest, load: RunLoad | None) -> RunLine:
    """One run of the log.

    Args:
        key: id of the record.
        test: its document.
        load: its load and prediction; None where its pack was put aside.
    """
    found = None if load is None else measured(load.run)
    predicted = None if load is None else load.load.predicted
    compared = against_prediction(found, predicted)
    note = "" if load is None else load.why_out
    return RunLine(
        id=key,
        name=str(test.name),
        href=f"/tests/{key}",
        state=STATE_WORDS[test.lubrication, test.friction],
        springs=springs_text(test, load),
        readings=readings_text(test),
        measured=_only_bounds(test) if found is None else number_text(found.value, decimals=1),
        predicted=NOT_KNOWN if predicted is None else number_text(predicted.value, decimals=1),
        difference="" if compared is None else signed(compared.difference_nm, 1),
        in_uncertainties=uncertainties_text(compared),
        note=("Left out: " + note[:1].lower() + note[1:]) if note else "",
    )


def _only_bounds(test: SlipTest) -> str:
    """What is measured where no reading is a value: the tightest bounds."""
    if any(reading.kind in ("value", "span") for reading in test.readings):
        return NOT_KNOWN
    least = max((r.at_least_nm for r in test.readings if r.at_least_nm), default=None)
    most = min((r.at_most_nm for r in test.readings if r.at_most_nm), default=None)
    parts = [
        f"{word} {number_text(bound)}"
        for word, bound in (("at least", least), ("at most", most))
        if bound is not None
    ]
    return ", ".join(parts)


def uncertainties_text(compared: Compared | None) -> str:
    """A difference in combined standard uncertainties."""
    if compared is None or compared.in_uncertainties is None:
        return ""
    return signed(compared.in_uncertainties, 1)


def run_page(
    key: str,
    version: int,
    test: SlipTest,
    changed: str,
    pack: str,
    pack_in_use: bool,
    instrument: str,
    load: RunLoad | None,
    repeats: Sequence[RunLoad],
    own_friction: bool = False,
    photos: PhotoBox | None = None,
) -> RunPage:
    """The page of one run.

    Args:
        key: id of the record.
        version: of the record.
        test: its document.
        changed: who changed it last, and when.
        pack: name of its pack.
        pack_in_use: whether the pack is in use.
        instrument: name of the instrument, "" for none.
        load: its load and prediction; None where the pack was put aside.
        repeats: every run of the pack with the same state, springs and wear, this one too.
        own_friction: whether the prediction's friction is fitted to the pack's own runs.
        photos: its photos.
    """
    found = None if load is None else measured(load.run)
    predicted = None if load is None else load.load.predicted
    compared = against_prediction(found, predicted)
    return RunPage(
        id=key,
        version=version,
        name=str(test.name),
        changed=changed,
        pack=pack,
        pack_href=f"/packs/{test.pack}" if pack_in_use else "",
        pack_note="" if pack_in_use else "The pack was put aside; its runs stay.",
        state=STATE_WORDS[test.lubrication, test.friction],
        lubrication=test.lubrication,
        friction=test.friction,
        readouts=_readouts(test, load, found, predicted, compared),
        says=compared_words(found, predicted, compared) + (NOT_APART if own_friction else ""),
        readings=tuple(_reading_line(i, r) for i, r in enumerate(test.readings, start=1)),
        facts=_facts(test, load, instrument),
        repeats=repeats_words(repeats),
        excluded=(test.excluded_reason or "") if test.excluded else "",
        why_out="" if load is None or test.excluded else load.why_out,
        notes=test.notes or "",
        photos=photos or photo_box(f"/tests/{key}/photos", str(test.name), ()),
    )


def _readouts(
    test: SlipTest,
    load: RunLoad | None,
    found: Measured | None,
    predicted: Reading | None,
    compared: Compared | None,
) -> tuple[Readout, ...]:
    measured_one = Readout("Measured", _only_bounds(test), "N·m")
    if found is not None:
        text, _, doubt = quantity_text(found.value, found.std or None).partition(" ± ")
        range_ = f"standard uncertainty {doubt}" if doubt else "doubt not known"
        measured_one = Readout("Measured", text, "N·m", range_, _mean_words(found))
    predicted_one = Readout("Predicted", NOT_KNOWN)
    if predicted is not None:
        text, _, doubt = quantity_text(predicted.value, predicted.std or None).partition(" ± ")
        predicted_one = Readout(
            "Predicted", text, "N·m", f"standard uncertainty {doubt}" if doubt else ""
        )
    lines = [measured_one, predicted_one]
    if compared is not None:
        share = uncertainties_text(compared)
        told = f"{share} combined standard uncertainties" if share else ""
        lines.append(
            Readout("Measured less predicted", signed(compared.difference_nm, 2), "N·m", told)
        )
    if load is not None and load.load.clamp_n is not None:
        lines.append(Readout("Clamp load in this run", number_text(load.load.clamp_n, decimals=0),
                             "N"))
    return tuple(lines)


def _mean_words(found: Measured) -> str:
    parts = [] if found.values == 1 else [f"mean of {found.values}"]
    if found.spread is not None:
        spread = number_text(found.spread, digits=2)
        parts.append(f"scatter {spread}{NBSP}N·m")
    if found.bounds:
        bounds = "1 bound" if found.bounds == 1 else f"{found.bounds} bounds"
        parts.append(f"{bounds} not in it")
    return ", ".join(parts)


def compared_words(
    found: Measured | None, predicted: Reading | None, compared: Compared | None
) -> str:
    """What the comparison says, in a sentence."""
    if predicted is None:
        return "There is no prediction: the pack lacks a figure, or was put aside."
    if found is None:
        return "Every reading is a bound, so there is no mean to hold against the prediction."
    if compared is None or compared.in_uncertainties is None:
        return "Neither figure has a doubt, so the difference can't be judged."
    size = abs(compared.in_uncertainties)
    if size < FAR:
        share = number_text(size, decimals=1)
        return ("Measured and predicted agree within their doubts "
                f"({share} combined standard uncertainties).")
    way = "more" if compared.difference_nm > 0 else "less"
    return (f"Measured is {way} than predicted by {number_text(size, decimals=1)} combined "
            "standard uncertainties: more than their doubts explain.")


def repeats_words(repeats: Sequence[RunLoad]) -> str:
    """Mean and spread of the runs that repeat one another."""
    means = [found.value for load in repeats if (found := measured(load.run)) is not None]
    if len(means) < 2:
        return "No other run repeats this one yet."
    mean, spread = statistics.fmean(means), statistics.stdev(means)
    share = number_text(100 * spread / mean, digits=2)
    return (f"{len(means)} runs alike: mean {with_unit(number_text(mean, decimals=1), 'N·m')}, "
            f"spread {with_unit(number_text(spread, digits=2), 'N·m')} ({share}{NBSP}%).")


def _reading_line(place: int, reading: TorqueReading) -> ReadingLine:
    typed = reading.typed or ""
    if reading.typed_high:
        typed = f"{typed} to {reading.typed_high}"
    note = "Beyond the gauge's range, and read so" if reading.as_read else ""
    return ReadingLine(place, with_unit(reading_text(reading), "N·m"), typed, note)


def _facts(test: SlipTest, load: RunLoad | None, instrument: str) -> tuple[tuple[str, str], ...]:
    yes_no = {True: "yes", False: "no", None: NOT_KNOWN}
    return (
        ("Date", test.date or NOT_KNOWN),
        ("Tested by", test.by or NOT_KNOWN),
        ("Plates", "dry" if test.lubrication == "dry" else "oiled"),
        ("Tells of", "sliding friction" if test.friction == "sliding" else
         "static friction, at the first slip"),
        ("Springs fitted", springs_text(test, load)),
        ("Direction", test.direction or "not said"),
        ("Speed of slip", with_unit(number_text(test.speed_rpm), "r/min")),
        ("Temperature", with_unit(number_text(test.temperature_c), "°C")),
        ("Runs since assembly", number_text(test.runs_since_assembly)),
        ("Stack wear", "taken as 0" if test.wear_mm is None
         else with_unit(number_text(test.wear_mm), "mm")),
        ("Instrument", instrument or "not said"),
        ("Oil on the plates", yes_no[test.oil_on_plates]),
        ("Cold or hot", test.heat or NOT_KNOWN),
        ("Facings", test.facings or NOT_KNOWN),
    )
