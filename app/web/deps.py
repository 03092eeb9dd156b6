"""What a handler may ask for: a session to read with, a session to write with."""

from collections.abc import Iterator
from typing import Annotated

from fastapi import Depends, Request

from app.records import database
from app.records.database import ReadSession, WriteSession
from app.web.visitor import visitor_of

WHO = "this computer"
"""Who makes a change, for the history, where nobody signs in: nobody else can reach it there."""


def read_session(request: Request) -> Iterator[ReadSession]:
    """A session for reading; closed before the answer is sent."""
    with database.read_session(request.app.state.engine) as session:
        yield session


def write_session(request: Request) -> Iterator[WriteSession]:
    """A session for one change: committed when the handler returns, rolled back if it raises.

    A handler that finds something wrong raises, or looks before it touches the session:
    one that returns an error page commits whatever it did.
    """
    with database.writing(request.app.state.engine) as session:
        yield session


def _who_asks(request: Request) -> str:
    return visitor_of(request).name or WHO


Who = Annotated[str, Depends(_who_asks)]
"""Who makes a change, for the history: the member who is signed in."""

# Function scope: the commit comes before the answer goes out, so that the page that the
# browser asks for next cannot read the state before it.
ReadSessionDep = Annotated[ReadSession, Depends(read_session, scope="function")]
WriteSessionDep = Annotated[WriteSession, Depends(write_session, scope="function")]
