"""A noun of the records is a value: where it stands, and what is shown of it.

Its five views (list, create, read, amend, delete) are made of operations, by whose names the API
knows them. Any other view of a route is hung by `reads` or `writes`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from marshmallow import Schema

from service.api.access import JSON, admitting, reading, session, signed, writing
from service.api.answers import created, shown
from service.api.blueprint import Blueprint, Manner
from service.api.paging import PageQuery, envelope
from service.api.versions import match_version, require_version
from service.records.database import Base
from service.records.models import Scope
from service.records.operations.lookup import get, noun_of

View = TypeVar("View", bound=Callable[..., Any])
Gives = type[Schema] | dict[str, Any] | None

PICTURE = "image/*"
BINARY = {"type": "string", "format": "binary"}
_PICTURE_BODY = {
    "required": True,
    "content": {f"image/{kind}": {"schema": BINARY} for kind in ("jpeg", "png", "webp", "heic")},
}


def reads(
    blp: Blueprint,
    address: str,
    operation: str,
    gives: Gives,
    *,
    scope: Scope = Scope.BENCH,
    manner: Manner = "reads",
    query: type[Schema] | None = None,
    **response: Any,
) -> Callable[[View], View]:
    """Hang a view that only reads; its docstring is what the description says of it."""

    def hang(view: View) -> View:
        door = blp.response(200, gives, **response)(view)
        if query is not None:
            door = blp.arguments(query, location="query")(door)
        door = reading(scope)(blp.operation(operation, scope, manner)(door))
        blp.route(address, methods=["GET"], endpoint=operation)(door)
        return view

    return hang


def writes(
    blp: Blueprint,
    method: str,
    address: str,
    operation: str,
    gives: Gives,
    *,
    scope: Scope = Scope.OWNER,
    manner: Manner = "updates",
    status: int = 200,
    body: type[Schema] | None = None,
    query: type[Schema] | None = None,
    picture: bool = False,
    prepare: Callable[..., Any] | None = None,
) -> Callable[[View], View]:
    """Hang a view that writes; it takes the body named, a picture, or none.

    What is asked is read outside the transaction, and the answer is made inside it.
    """

    def hang(view: View) -> View:
        door = writing(scope, prepare=prepare)(blp.response(status, gives)(view))
        for schema, location in ((body, "json"), (query, "query")):
            if schema is not None:
                door = blp.arguments(schema, location=location)(door)
        if picture:
            door = blp.doc(requestBody=_PICTURE_BODY)(door)
        takes = PICTURE if picture else JSON if body else None
        door = blp.operation(operation, scope, manner)(door)
        seen = getattr(gives, "as_seen", None)
        door = admitting(scope, takes=takes, as_seen=seen)(door)
        blp.route(address, methods=[method], endpoint=operation)(door)
        return view

    return hang


@dataclass(frozen=True, slots=True)
class Noun:
    """A noun of the records; what stands in an address is handed to the operation in its order."""

    blp: Blueprint
    model: type[Base]
    gives: type[Schema]
    all: str = ""  # the address of its list
    one: str = ""  # the address of one record
    read_by: Scope = Scope.BENCH
    show: Callable[[Any], Any] = shown  # a record, to what is answered with it

    def lists(
        self,
        operation: Callable[..., Any],
        page: type[Schema],
        about: str,
        query: type[Schema] = PageQuery,
    ) -> None:
        """Its list, a page at a time."""

        def view(asked: dict[str, Any], **place: int) -> dict[str, Any]:
            return envelope(*operation(session(), *place.values(), **asked))

        name, scope = operation.__name__, self.read_by
        hang = reads(self.blp, self.all, name, page, scope=scope, manner="lists", query=query)
        hang(_about(about, view))

    def creates(
        self,
        operation: Callable[..., Any],
        body: type[Schema],
        about: str,
        scope: Scope = Scope.OWNER,
    ) -> None:
        """A new one, with its address."""

        def view(data: dict[str, Any], **place: int) -> Any:
            return created(operation(session(), *place.values(), signed=signed(), **data))

        writes(
            self.blp,
            "POST",
            self.all,
            operation.__name__,
            self.gives,
            scope=scope,
            manner="creates",
            status=201,
            body=body,
        )(_about(about, view))

    def reads(self, operation: str, about: str) -> None:
        """One by its number."""

        def view(**place: int) -> Any:
            return self.show(get(session(), self.model, *place.values()))

        hang = reads(self.blp, self.one, operation, self.gives, scope=self.read_by)
        hang(_about(about, view))

    def amends(self, operation: Callable[..., Any], body: type[Schema], about: str) -> None:
        """Some of its members, where the version is still the one that was read."""

        def view(data: dict[str, Any], **place: int) -> Any:
            return self.show(self._change(operation, place, **data))

        name = operation.__name__
        hang = writes(self.blp, "PATCH", self.one, name, self.gives, body=body)
        hang(_about(about, view))

    def deletes(self, operation: Callable[..., Any], about: str) -> None:
        """One taken out, where the version is still the one that was read."""

        def view(**place: int) -> None:
            self._change(operation, place)

        hang = writes(self.blp, "DELETE", self.one, operation.__name__, None, status=204)
        hang(_about(about, view))

    def _change(self, operation: Callable[..., Any], place: dict[str, int], /, **data: Any) -> Any:
        require_version()
        record: Any = get(session(), self.model, *place.values())
        version = match_version(noun_of(self.model), record.version)
        return operation(session(), *place.values(), version=version, signed=signed(), **data)


def _about(about: str, view: View) -> View:
    view.__doc__ = about
    return view
