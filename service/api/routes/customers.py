"""Customers over HTTP."""

from typing import Any

from flask.views import MethodView

from service.api.access import reading, session, signed, version_named, writing
from service.api.answers import created, shown
from service.api.blueprint import Blueprint
from service.api.paging import PageQuery, envelope
from service.api.schemas.customers import CustomerIn, CustomerOut, CustomerPage, CustomerPatch
from service.records.models import Customer, Scope
from service.records.operations.customers import create_customer, list_customers, update_customer
from service.records.operations.lookup import get

blp = Blueprint("customers", __name__, description="The people for whom plants are built.")


@blp.route("/customers")
class Customers(MethodView):
    """All customers."""

    @reading(Scope.BENCH)
    @blp.operation("list_customers", Scope.BENCH, "lists")
    @blp.arguments(PageQuery, location="query")
    @blp.response(200, CustomerPage)
    def get(self, query: dict[str, Any]) -> dict[str, Any]:
        """List customers, newest first."""
        return envelope(*list_customers(session(), **query))

    @writing(Scope.OWNER)
    @blp.operation("create_customer", Scope.OWNER, "creates")
    @blp.arguments(CustomerIn)
    @blp.response(201, CustomerOut)
    def post(self, data: dict[str, Any]) -> Any:
        """Enter a customer."""
        return created(create_customer(session(), signed=signed(), **data))


@blp.route("/customers/<number:customer_id>")
class OneCustomer(MethodView):
    """One customer."""

    @reading(Scope.BENCH)
    @blp.operation("get_customer", Scope.BENCH, "reads")
    @blp.response(200, CustomerOut)
    def get(self, customer_id: int) -> Customer:
        """Read a customer."""
        return shown(get(session(), Customer, customer_id))

    @writing(Scope.OWNER)
    @blp.operation("update_customer", Scope.OWNER, "updates")
    @blp.arguments(CustomerPatch)
    @blp.response(200, CustomerOut)
    def patch(self, data: dict[str, Any], customer_id: int) -> Customer:
        """Amend a customer."""
        return shown(
            update_customer(
                session(), customer_id, version=version_named(), signed=signed(), **data
            )
        )
