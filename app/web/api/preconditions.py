"""Versions of records in HTTP: the ETag that is sent, the If-Match that a change must bring."""

import re
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, HTTPException, Request

from app.web.etag import record_tag

# RFC 9110, 8.8.3: W/ marks a weak tag; inside the quotes anything but a quote or a control sign.
_TAG = re.compile(r'(W/)?"([\x21\x23-\x7e\x80-\xff]*)"[ \t]*(?:,|$)')
_BETWEEN = re.compile(r"[ \t,]*")


@dataclass(frozen=True)
class Expected:
    """The versions that a change may start from; `any_version` for `If-Match: *`."""

    tags: frozenset[str]
    any_version: bool = False

    def start(self, current: int) -> int:
        """The version to hold the record against: its own if it is among those expected.

        Otherwise one that was sent, or 0, which no record ever has: both are stale.
        """
        if self.any_version or record_tag(current).strip('"') in self.tags:
            return current
        numbers = [int(tag) for tag in self.tags if tag.isdecimal() and len(tag) < 10]
        return max((n for n in numbers if n != current), default=0)


def if_match(request: Request) -> Expected:
    """What If-Match says.

    Raises:
        HTTPException: 428 when there is none, 400 when it is no list of entity tags.
    """
    lines = request.headers.getlist("if-match")
    if not lines:
        raise HTTPException(
            428,
            "Read the record first and send its ETag in If-Match, so that nobody's newer figures "
            "are lost. Nothing was changed.",
        )
    header = ",".join(lines).strip()
    if header == "*":
        return Expected(frozenset(), any_version=True)
    tags: set[str] = set()
    at = _skipped(header, 0)
    while at < len(header):
        tag = _TAG.match(header, at)
        if tag is None:
            tags.clear()
            break
        # A weak tag keeps its mark and never matches: it promises less than the same bytes.
        tags.add((tag[1] or "") + tag[2])
        at = _skipped(header, tag.end())
    if not tags:
        raise HTTPException(
            400,
            'Write If-Match as the ETag was sent, with its quotes, like "3". Nothing was changed.',
        )
    return Expected(frozenset(tags))


def _skipped(header: str, at: int) -> int:
    between = _BETWEEN.match(header, at)
    return at if between is None else between.end()


IfMatch = Annotated[Expected, Depends(if_match)]
