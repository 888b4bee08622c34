"""Customers: entering and amending."""

from typing import Any

from sqlalchemy.orm import Session

from service.records.history import Signature, amend, enter
from service.records.models import Customer
from service.records.operations.lookup import Page, get_read, page


def list_customers(session: Session, **asked: Any) -> Page[Customer]:
    """A page of customers, newest first."""
    return page(session, Customer, **asked)


def create_customer(session: Session, *, signed: Signature, **particulars: Any) -> Customer:
    """Enter a new customer."""
    customer = Customer(**particulars)
    enter(session, customer, signed=signed)
    return customer


def update_customer(
    session: Session, customer_id: int, *, version: int | None, signed: Signature, **changes: Any
) -> Customer:
    """Amend a customer."""
    customer = get_read(session, Customer, customer_id, version)
    amend(session, customer, changes, signed=signed)
    return customer
