"""`gripledger import` and `gripledger export`: files of records, as on the page Import."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.errors import AppError, BadInput
from app.settings import Settings

if TYPE_CHECKING:
    from sqlalchemy.engine import Engine

KINDS = ("packs", "engines", "offers")
MOST_BYTES = 256 * 1024 * 1024
MOST_ROWS = 200_000
_SHOWN = 20


@click.command("import")
@click.argument(
    "files", nargs=-1, required=True, type=click.Path(exists=True, dir_okay=False, path_type=Path)
)
@click.option(
    "--kind", type=click.Choice(KINDS), help="What the files hold; else told from their headings."
)
@click.option("--good-rows-only", is_flag=True, help="Leave out the rows that cannot be read.")
@click.option("--dry-run", is_flag=True, help="Say what would change, and change nothing.")
@click.option("--by", default="command line", help="Whose change it is, for the history.")
def import_files(
    files: tuple[Path, ...], kind: str | None, good_rows_only: bool, dry_run: bool, by: str
) -> None:
    """Take records in from CSV files: each file as a whole, or not at all."""
    from app.services.starting import open_engine, prepare

    settings = Settings()
    try:
        prepare(settings)
        engine = open_engine(settings)
    except AppError as fact:
        raise click.ClickException(fact.message) from fact
    try:
        for file in files:
            _import_one(engine, file, kind, good_rows_only, dry_run, by)
    finally:
        engine.dispose()


@click.command("export")
@click.argument("kind", type=click.Choice(KINDS))
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--semicolon", is_flag=True, help="Semicolons between the cells, decimal commas.")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
def export_file(kind: str, file: Path, semicolon: bool, force: bool) -> None:
    """Write all packs, engines or offers in use to a CSV file."""
    from app.presentation.csv_text import csv_text
    from app.presentation.records_csv import record_sheet
    from app.records.database import read_session
    from app.services.importing import KINDS as CATALOGUES
    from app.services.readable import every
    from app.services.starting import open_engine, prepare

    if file.exists() and not force:
        raise click.ClickException(f"{file} is there already. Name another, or say --force.")
    settings = Settings()
    try:
        prepare(settings)
        engine = open_engine(settings)
        try:
            catalogue = CATALOGUES[kind.removesuffix("s")]
            with read_session(engine) as session:
                records = [(s.id, s.version, s.document) for s in every(session, catalogue)]
        finally:
            engine.dispose()
    except AppError as fact:
        raise click.ClickException(fact.message) from fact
    sheet = record_sheet(catalogue.noun.model, records)
    text = csv_text(sheet.headings, sheet.rows, variant="semicolon" if semicolon else "comma")
    file.write_bytes(text.encode("utf-8"))
    click.echo(f"{len(sheet.rows)} {kind} written to {file}")


def _import_one(
    engine: "Engine", file: Path, kind: str | None, good: bool, dry_run: bool, by: str
) -> None:
    from app.presentation.csv_reading import CsvLimits, read_csv
    from app.presentation.import_page import found_words
    from app.records.database import read_session
    from app.services import importing

    try:
        table = read_csv(file.read_bytes(), CsvLimits(MOST_BYTES, MOST_ROWS, 6000, 50_000))
        job = importing.take_in(
            engine,
            table.columns,
            table.rows,
            kind=kind.removesuffix("s") if kind else None,
            variant=table.variant,
            by=by,
        )
        importing.check(engine, job)
        with read_session(engine) as session:
            found = importing.job_of(session, job)
            bad = importing.bad_rows(session, found, _SHOWN)
        click.echo(f"{file}: {found_words(found.counts)}")
        for number, heading, text, expected in bad:
            click.echo(f"  row {number}, {heading or 'row'}: {text or 'blank'}. {expected}")
        if dry_run:
            return
        if not found.count("new") + found.count("changed") and not found.count("bad"):
            click.echo("  nothing to change")
            return
        importing.begin_save(engine, job)
        importing.save(engine, job, importing.GOOD if good else importing.ALL, by=by)
        click.echo("  imported")
    except BadInput as refusal:
        told = "\n".join(f"  {problem.message}" for problem in refusal.problems)
        raise click.ClickException(f"{file}: nothing was imported.\n{told}") from refusal
    except AppError as fact:
        raise click.ClickException(f"{file}: {fact.message}") from fact
