"""A file that was sent with a form, read as a table. Its name is the sender's and not used."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends
from starlette.datastructures import UploadFile
from starlette.requests import Request

from app.errors import BadInput, Problem
from app.presentation.csv_reading import CsvLimits, CsvTable, read_csv
from app.web.forms.reader import FormReader
from app.web.visitor import visitor_of

FILE = "file"
MOST_ROWS = 5000
MOST_COLUMNS = 6000
LONGEST_CELL = 50_000


@dataclass(frozen=True)
class Upload:
    """A form with the bytes of its file, None where none was chosen."""

    form: FormReader
    data: bytes | None

    def table(self, most_bytes: int) -> CsvTable:
        """The file as a table.

        Raises:
            BadInput: there is none, or it is no such table; what is wrong and where.
        """
        if self.data is None:
            raise BadInput([Problem(FILE, "Choose a CSV file from this computer.")])
        return read_csv(self.data, limits(most_bytes))


def limits(most_bytes: int) -> CsvLimits:
    """How large a file of records is taken."""
    return CsvLimits(most_bytes, MOST_ROWS, MOST_COLUMNS, LONGEST_CELL)


async def _sent_file(request: Request) -> Upload:
    async with request.form(max_fields=50, max_files=1) as data:
        form = FormReader(dict(data))
        form.by = visitor_of(request).name or None
        sent = data.get(FILE)
        body = await sent.read() if isinstance(sent, UploadFile) and sent.filename else None
    return Upload(form, body)


SentFile = Annotated[Upload, Depends(_sent_file)]
"""The form with its file, as a handler asks for it."""
