"""Addresses that every kind of record has alike: its form pages, putting aside, bringing back."""

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.records.listing import Search
from app.services.catalogue import Catalogue
from app.web.deps import ReadSessionDep, WriteSessionDep
from app.web.forms.form_pages import FormPages
from app.web.forms.record_forms import SentForm, sent_version, usual_name, who
from app.web.htmx import redirect
from app.web.list_pages import aside_page, read_asked
from app.web.notices import Notice
from app.web.render import page


def add_form_pages(router: APIRouter, pages: FormPages[Any], *, copies: bool = True) -> None:
    """Give a router the form pages of one kind of record.

    Args:
        router: of the kind's pages; an address with a key in it must come after "new".
        pages: the form pages.
        copies: whether a form may be filled from another record.
    """
    path = pages.path

    @router.get(f"{path}/new")
    def blank(request: Request, session: ReadSessionDep) -> Response:
        """A blank form."""
        return pages.blank(request, session)

    @router.post(f"{path}/new")
    def add(request: Request, form: SentForm) -> Response:
        """Add a record, or change the form itself."""
        return pages.add(request, form)

    @router.get(f"{path}/{{key}}/edit")
    def edit(request: Request, session: ReadSessionDep, key: str) -> Response:
        """A record's form as it was filled in."""
        return pages.edit(request, session, key)

    @router.post(f"{path}/{{key}}/edit")
    def change(request: Request, form: SentForm, key: str) -> Response:
        """Change a record, or change the form itself."""
        return pages.change(request, form, key)

    if not copies:
        return

    @router.get(f"{path}/{{key}}/copy")
    def copy(request: Request, session: ReadSessionDep, key: str) -> Response:
        """A form filled from another record."""
        return pages.copy(request, session, key)

    @router.post(f"{path}/{{key}}/copy")
    def add_copy(request: Request, form: SentForm, key: str) -> Response:
        """Add a record that was filled from another."""
        return pages.add_copy(request, form, key)


def add_putting_aside(router: APIRouter, catalogue: Catalogue[Any], path: str) -> None:
    """Give a router the list of what was put aside, putting aside and bringing back.

    Args:
        router: of the kind's pages; before an address with a key in it.
        catalogue: the records.
        path: address of their list.
    """

    @router.get(f"{path}/put-aside")
    def put_aside_list(request: Request, session: ReadSessionDep) -> Response:
        """Records that were put aside, to bring back."""
        asked = read_asked(request)
        found = catalogue.page(session, Search(put_aside=True, order="-changed"), page=asked.page)
        view = aside_page(catalogue, found, asked, path)
        return page(request, "pages/records/put_aside.html", view, asked.status)

    @router.post(f"{path}/{{key}}/put-aside")
    def put_aside(request: Request, session: WriteSessionDep, form: SentForm, key: str) -> Response:
        """Put a record aside; the next page offers to undo it."""
        by = who(form, usual_name(session))
        stored = catalogue.put_aside(session, key, sent_version(form), by=by)
        told = Notice(f"{stored.name} was put aside.", undo=f"{path}/{key}/bring-back")
        return redirect(request, path, told)

    @router.post(f"{path}/{{key}}/bring-back")
    def bring_back(
        request: Request, session: WriteSessionDep, form: SentForm, key: str
    ) -> Response:
        """Bring a record back."""
        stored = catalogue.bring_back(session, key, by=who(form, usual_name(session)))
        return redirect(request, f"{path}/{key}", Notice(f"{stored.name} is in use again."))
