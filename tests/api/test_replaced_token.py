"""A phone whose token was replaced sends again what it could not be sure of."""

from flask import Flask

from service.records.models import Scope
from tests.conftest import Caller, make_caller


def test_a_repeat_under_a_new_token_of_the_same_name_is_done_once(
    app: Flask, owner: Caller, bench: Caller
) -> None:
    customer = owner.make("/customers", {"name": "Maud Ellery"})
    commission = owner.make("/commissions", {"customer_id": customer["id"], "title": "Plant"})
    entry = {"commission_id": commission["id"], "operation": "drilling", "minutes": 90}
    key = {"Idempotency-Key": "pressed-on-the-train"}
    first = bench.make("/labour", entry, headers=key)

    again = make_caller(app, Scope.BENCH).make("/labour", entry, headers=key)

    assert again == first
    assert len(owner.get("/labour").json["items"]) == 1
