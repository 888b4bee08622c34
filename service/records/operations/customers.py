"""Customers: entering and amending."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.history import Signature, amend, check_version, enter
from service.records.models import Customer
from service.records.operations.lookup import get, page


def list_customers(
    session: Session, *, cursor: int | None, limit: int
) -> tuple[list[Customer], int | None]:
    """A page of customers, newest first."""
    return page(session, sa.select(Customer), Customer, cursor=cursor, limit=limit)


def create_customer(session: Session, *, signed: Signature, **particulars: Any) -> Customer:
    """Enter a new customer."""
    customer = Customer(**particulars)
    enter(session, customer, signed=signed)
    return customer


def update_customer(
    session: Session, customer_id: int, *, version: int | None, signed: Signature, **changes: Any
) -> Customer:
    """Amend a customer."""
    customer = get(session, Customer, customer_id)
    check_version(customer, version, "customer")
    amend(session, customer, changes, signed=signed)
    return customer
