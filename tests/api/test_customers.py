"""Customers over HTTP: the manners that every record shares are tried here."""

from tests.conftest import Caller


def test_a_customer_is_created_and_read_back(owner: Caller) -> None:
    answer = owner.post("/customers", {"name": "  Maud Ellery ", "email": "maud@example.org"})

    assert answer.status_code == 201
    assert answer.json["name"] == "Maud Ellery"
    assert owner.get(answer.headers["Location"]).json == answer.json
    assert answer.headers["ETag"] == '"1"'
