"""Files for the browser: our own from static/, other people's from installed distributions.

Each has an address that changes with its content, so a browser may keep it for good.
Texts are compressed once. What is not in the table does not exist: no path is ever
joined from what a request says.
"""

import gzip
import hashlib
import threading
from dataclasses import dataclass, field
from importlib import metadata
from pathlib import Path

from starlette.requests import Request
from starlette.responses import FileResponse, Response

KEEP = "public, max-age=31536000, immutable"
CHECK = "no-cache"
TYPES = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}


@dataclass(frozen=True)
class OwnFile:
    """One of our own files, read at start: it is small."""

    body: bytes
    packed: bytes
    media_type: str
    mark: str
    """First 12 hex digits of the content's SHA-256."""


@dataclass
class LibraryFile:
    """A script that an installed distribution ships; compressed at the first request."""

    path: Path
    version: str
    _packed: bytes | None = None
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def packed(self) -> bytes:
        """The file, gzipped once. The 5 MB script takes a fifth of a second, the first time."""
        with self._lock:
            if self._packed is None:
                self._packed = gzip.compress(self.path.read_bytes(), compresslevel=6, mtime=0)
            return self._packed


LIBRARIES = {
    "htmx.min.js": ("django-js-lib-htmx", "js_lib_htmx/static/htmx/htmx.min.js"),
    "plotly.min.js": ("plotly", "plotly/package_data/plotly.min.js"),
}


def find_library(distribution: str, inside: str) -> LibraryFile:
    """The file inside an installed distribution, found without importing its code."""
    found = metadata.distribution(distribution)
    path = Path(str(found.locate_file(inside)))
    if not path.is_file():
        raise FileNotFoundError(f"{distribution} {found.version} does not hold {inside}")
    return LibraryFile(path, found.version)


def read_own(folder: Path) -> dict[str, OwnFile]:
    """Our own files by name under static/, hashed and compressed.

    A folder with a file's ending is sent as that one file, its parts in the order of their names:
    they are small enough to read, and a browser asks once.
    """
    files = {}
    for path in sorted(folder.rglob("*")):
        if path.suffix in TYPES and path.parent.suffix not in TYPES:
            parts = sorted(path.iterdir()) if path.is_dir() else [path]
            body = b"".join(part.read_bytes() for part in parts)
            files[path.relative_to(folder).as_posix()] = OwnFile(
                body=body,
                packed=gzip.compress(body, compresslevel=9, mtime=0),
                media_type=TYPES[path.suffix],
                mark=hashlib.sha256(body).hexdigest()[:12],
            )
    return files


class Assets:
    """All files that a page may ask for, and their addresses."""

    def __init__(self, folder: Path) -> None:
        self.own = read_own(folder)
        self.libraries = {name: find_library(*place) for name, place in LIBRARIES.items()}

    def address(self, name: str) -> str:
        """Address of a file: `css/base.css` of ours, or `plotly.min.js` of a library."""
        if name in self.libraries:
            return f"/libraries/{self.libraries[name].version}/{name}"
        return f"/static/{name}?v={self.own[name].mark}"

    def own_response(self, request: Request, name: str) -> Response | None:
        """Answer with one of our own files, or None if there is none of this name."""
        file = self.own.get(name)
        if file is None:
            return None
        tag = f'W/"{file.mark}"'
        current = request.query_params.get("v") == file.mark
        headers = {
            "Cache-Control": KEEP if current else CHECK,
            "ETag": tag,
            "Vary": "Accept-Encoding",
        }
        if tag in request.headers.get("if-none-match", ""):
            return Response(status_code=304, headers=headers)
        if takes_gzip(request):
            headers["Content-Encoding"] = "gzip"
            return Response(file.packed, headers=headers, media_type=file.media_type)
        return Response(file.body, headers=headers, media_type=file.media_type)

    def library_response(self, request: Request, version: str, name: str) -> Response | None:
        """Answer with a library's file, or None if it is not that version's."""
        file = self.libraries.get(name)
        if file is None or file.version != version:
            return None
        headers = {"Cache-Control": KEEP, "Vary": "Accept-Encoding"}
        media_type = TYPES[file.path.suffix]
        if takes_gzip(request):
            headers["Content-Encoding"] = "gzip"
            return Response(file.packed(), headers=headers, media_type=media_type)
        return FileResponse(file.path, headers=headers, media_type=media_type)


def takes_gzip(request: Request) -> bool:
    """Whether the client reads gzip: it names it, and not with a weight of nought."""
    for part in request.headers.get("accept-encoding", "").lower().split(","):
        coding, _, weight = part.partition(";")
        if coding.strip() in ("gzip", "*"):
            return weight.replace(" ", "") not in ("q=0", "q=0.0", "q=0.00", "q=0.000")
    return False
