"""Files of records as a browser sends them, and what comes back."""

import csv
import io
import re

from httpx2 import Response

from app.records import database
from app.records.database import catalogue_revision
from tests.web.routes.conftest import Shop

SCRIPT = '<script>alert(1)</script>"><img src=x>{{7*7}}'
HEAD = "id,version,name,friction_plates,lift_mm,lift_mm_plus_minus\r\n"


def send(shop: Shop, data: bytes | str, kind: str = "") -> Response:
    body = data.encode() if isinstance(data, str) else data
    file = {"file": ("../../etc/x.csv", body, "text/csv")}
    return shop.client.post("/import", data={"kind": kind}, files=file)


def taken(shop: Shop, data: bytes | str, kind: str = "") -> str:
    answer = send(shop, data, kind)
    assert answer.status_code == 303, answer.text[:4000]
    return answer.headers["location"]


def export(shop: Shop, name: str, query: str = "") -> bytes:
    answer = shop.client.get(f"/export/{name}.csv{query}")
    assert answer.status_code == 200
    return answer.content


def rows_of(data: bytes, delimiter: str = ",") -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig")), delimiter=delimiter))


def as_csv(rows: list[dict[str, str]]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]), quoting=csv.QUOTE_ALL)
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def plain(text: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", text).replace("\u00a0", " ").split())


def revision(shop: Shop) -> int:
    with database.read_session(shop.client.app.state.engine) as session:
        return catalogue_revision(session)
