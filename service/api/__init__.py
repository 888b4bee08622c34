"""HTTP: checked data in, operations called, plain data out. Routes hold no rule of the trade."""

from collections.abc import Iterator
from importlib.metadata import version

from flask import Blueprint, Flask
from werkzeug.routing import IntegerConverter

from service.api.paging import LARGEST_ID

PREFIX = "/api/v1"


class NumberConverter(IntegerConverter):
    """A record's number; one that no database holds is read as 0, which no record bears.

    Refused here, it would be told as a method that the address does not take.
    """

    def __init__(self, map_: object) -> None:
        super().__init__(map_, min=1, max=LARGEST_ID)  # type: ignore[arg-type]

    def to_python(self, value: str) -> int:
        """The number, if a record can bear it."""
        number = int(value) if len(value) <= len(str(LARGEST_ID)) else 0
        return number if number <= LARGEST_ID else 0


def register_api(app: Flask) -> None:
    """Hang every route of the API on the application, with its description."""
    from service.api import health
    from service.api.calculations.passages import describe_elements
    from service.api.defences import defend_answers
    from service.api.description import document_common_parts
    from service.api.fields import describe_fields
    from service.api.headers import tell_request_ids
    from service.api.preferences import say_what_was_preferred
    from service.api.problems import ProblemApi, register_errors
    from service.api.quantity_fields import describe_quantities
    from service.api.request_log import log_requests

    app.url_map.converters["number"] = NumberConverter
    app.url_map.strict_slashes = app.url_map.merge_slashes = False  # no redirect tells a host
    app.config.update(
        API_TITLE="Clackbox",
        API_VERSION=version("clackbox"),
        OPENAPI_VERSION="3.1.0",
        OPENAPI_URL_PREFIX=PREFIX,
        OPENAPI_JSON_PATH="openapi.json",
    )
    log_requests(app)
    defend_answers(app)
    api = ProblemApi(app)
    describe_fields(api)
    describe_quantities(api)
    document_common_parts(api)
    describe_elements(api)
    for blueprint in _blueprints():
        api.register_blueprint(blueprint, url_prefix=PREFIX)
    register_errors(app)
    say_what_was_preferred(app)
    tell_request_ids(app)
    app.register_blueprint(health.blp)


def _blueprints() -> Iterator[Blueprint]:
    """The routes, in the order in which people read of them."""
    from service.api.routes import (
        calculations,
        commissions,
        customers,
        hydraulic_tests,
        labour,
        parts,
        plants,
        progress,
        reports,
        threads,
        tokens,
        workshop,
    )

    for module in (
        workshop, customers, commissions, plants, parts, labour, progress, reports, threads,
        hydraulic_tests, calculations, tokens,
    ):  # fmt: skip
        yield module.blp
