"""Customers over HTTP."""

from service.api.blueprint import Blueprint
from service.api.noun import Noun
from service.api.schemas.customers import CustomerIn, CustomerOut, CustomerPage, CustomerPatch
from service.records.models import Customer
from service.records.operations.customers import create_customer, list_customers, update_customer

blp = Blueprint("customers", __name__, description="The people for whom plants are built.")

customers = Noun(blp, Customer, CustomerOut, "/customers", "/customers/<number:customer_id>")
customers.lists(list_customers, CustomerPage, "List customers, newest first.")
customers.creates(create_customer, CustomerIn, "Enter a customer.")
customers.reads("get_customer", "Read a customer.")
customers.amends(update_customer, CustomerPatch, "Amend a customer.")
