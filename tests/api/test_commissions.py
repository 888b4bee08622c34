"""Commissions over HTTP: references, money, hours, totals."""

import re

import pytest

from tests.conftest import Caller


def test_a_commission_takes_the_next_reference_of_the_year(owner: Caller, customer: dict) -> None:
    first, second = (
        owner.make("/commissions", {"customer_id": customer["id"], "title": "T"}) for _ in "12"
    )

    year, number = first["reference"].split("-")
    assert re.fullmatch("[0-9]{2}-[0-9]{3}", first["reference"])
    assert second["reference"] == f"{year}-{int(number) + 1:03d}"
    assert first["stage"] == "enquiry"
    assert first["price_basis"] == "estimate"
    assert first["currency"] == "GBP"


def test_a_reference_of_ones_own_is_kept_and_taken_once(owner: Caller, customer: dict) -> None:
    body = {"customer_id": customer["id"], "title": "T", "reference": "26-014"}
    owner.make("/commissions", body)
    again = owner.post("/commissions", body)

    assert again.status_code == 409
    assert again.json["code"] == "reference-taken"
    assert list(again.json["errors"]) == ["reference"]


def test_a_reference_cannot_be_changed_to_one_that_is_taken(owner: Caller, customer: dict) -> None:
    one, other = (
        owner.make("/commissions", {"customer_id": customer["id"], "title": "T"}) for _ in "12"
    )
    answer = owner.patch(f"/commissions/{other['id']}", {"reference": one["reference"]}, version=1)

    assert answer.status_code == 409
    assert owner.get(f"/commissions/{other['id']}").json == other


def test_a_very_long_running_number_does_not_spoil_the_next(owner: Caller, customer: dict) -> None:
    year = owner.make("/commissions", {"customer_id": customer["id"], "title": "T"})["reference"][
        :2
    ]
    long = f"{year}-99999999999999999"
    owner.make("/commissions", {"customer_id": customer["id"], "title": "T", "reference": long})
    following = owner.make("/commissions", {"customer_id": customer["id"], "title": "T"})

    assert following["reference"] == f"{year}-002"


@pytest.mark.parametrize(
    "rate", ["12.345", 12.5, 12, "1e3", "-1", "+1", "", " 1", "1,50", "1.", ".5", "٣", "1_0", True,
             "99999999999.00", "NaN", "Infinity", ["1.00"]],
)  # fmt: skip
def test_money_that_is_not_a_plain_decimal_text_is_refused(
    owner: Caller, customer: dict, rate: object
) -> None:
    answer = owner.post(
        "/commissions", {"customer_id": customer["id"], "title": "T", "hourly_rate": rate}
    )

    assert answer.status_code == 422, answer.json
    assert list(answer.json["errors"]) == ["hourly_rate"]


@pytest.mark.parametrize(
    ("rate", "shown"),
    [("38.5", "38.50"), ("38", "38.00"), ("0", "0.00"), ("9999999999.99", "9999999999.99")],
)
def test_money_comes_back_with_two_places(
    owner: Caller, customer: dict, rate: str, shown: str
) -> None:
    record = owner.make(
        "/commissions", {"customer_id": customer["id"], "title": "T", "hourly_rate": rate}
    )

    assert record["hourly_rate"] == shown
    assert owner.get(f"/commissions/{record['id']}").json["hourly_rate"] == shown


@pytest.mark.parametrize("currency", ["GBP\n", "gbp", "POUND", "G", "", "GB1", "ＧＢＰ", 1])
def test_a_currency_is_three_capital_letters(
    owner: Caller, customer: dict, currency: object
) -> None:
    answer = owner.post(
        "/commissions", {"customer_id": customer["id"], "title": "T", "currency": currency}
    )

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["currency"]


@pytest.mark.parametrize(
    ("written", "hours"),
    [(40, 40), (37.5, 37.5), ("37.5", 37.5), ("37 h 30 min", 37.5), ("1h30", 1.5), (0, 0),
     (None, None), ("90 min", 1.5)],
)  # fmt: skip
def test_an_estimate_is_kept_in_whole_minutes(
    owner: Caller, customer: dict, written: object, hours: object
) -> None:
    record = owner.make(
        "/commissions", {"customer_id": customer["id"], "title": "T", "estimate_hours": written}
    )

    assert record["estimate_hours"] == hours


@pytest.mark.parametrize("hours", [-1, "0,5 h", 0.001, 100_001, "many", True, [], "40 mm", 1e300])
def test_an_estimate_that_is_no_time_is_refused(
    owner: Caller, customer: dict, hours: object
) -> None:
    answer = owner.post(
        "/commissions", {"customer_id": customer["id"], "title": "T", "estimate_hours": hours}
    )

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["estimate_hours"]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"customer_id": 4_000_000}, "customer_id"),
        ({"customer_id": 2**31}, "customer_id"),
        ({"customer_id": 10**30}, "customer_id"),
        ({"customer_id": 0}, "customer_id"),
        ({"customer_id": "1"}, "customer_id"),
        ({"stage": "finished"}, "stage"),
        ({"stage": ["agreed"]}, "stage"),
        ({"price_basis": "cost_plus"}, "price_basis"),
        ({"promised": "2026-W48-3"}, "promised"),
        ({"promised": "20261125"}, "promised"),
        ({"promised": "2026-02-30"}, "promised"),
        ({"promised": "0001-01-01"}, "promised"),
        ({"promised": "9999-12-31"}, "promised"),
        ({"reference": "26 014"}, "reference"),
        ({"reference": "26-014\n"}, "reference"),
        ({"reference": "x" * 21}, "reference"),
        ({"estimate_minutes": 60}, "estimate_minutes"),
        ({"version": 3}, "version"),
        ({"id": 3}, "id"),
    ],
)
def test_a_member_that_cannot_be_used_is_named(
    owner: Caller, customer: dict, changes: dict, field: str
) -> None:
    answer = owner.post("/commissions", {"customer_id": customer["id"], "title": "T"} | changes)

    assert answer.status_code == 422
    assert field in answer.json["errors"]


def test_the_list_carries_totals_and_filters(owner: Caller, commission: dict) -> None:
    other = owner.make(
        "/commissions",
        {"customer_id": commission["customer_id"], "title": "Other", "stage": "agreed"},
    )
    for minutes, billable in ((90, True), (30, False)):
        owner.make(
            "/labour",
            {"commission_id": commission["id"], "operation": "drilling", "minutes": minutes,
             "billable": billable},
        )  # fmt: skip
    owner.make("/parts", {"commission_id": commission["id"], "name": "Whistle"})

    newest, older = owner.get("/commissions").json["items"][:2]
    assert (newest["id"], newest["minutes"], newest["part_lines"]) == (other["id"], 0, 0)
    assert (older["minutes"], older["billable_minutes"], older["part_lines"]) == (120, 90, 1)
    assert older["customer_name"] == "Maud Ellery"
    assert {name: older[name] for name in commission} == commission

    by_stage = owner.get("/commissions?stage=agreed").json["items"]
    assert [one["id"] for one in by_stage] == [other["id"]]
    by_reference = owner.get(f"/commissions?reference={commission['reference']}").json["items"]
    assert [one["id"] for one in by_reference] == [commission["id"]]
    nobody = owner.get("/commissions?customer_id=2000000000").json
    assert nobody == {"items": [], "next": None, "next_cursor": None}


def test_the_summary_adds_up(owner: Caller, commission: dict) -> None:
    for operation, minutes, billable in (
        ("drilling", "1h30", True), ("turning", 20, True), ("rework", 45, False),
    ):  # fmt: skip
        owner.make(
            "/labour",
            {"commission_id": commission["id"], "operation": operation, "minutes": minutes,
             "billable": billable},
        )  # fmt: skip
    owner.make("/parts", {"commission_id": commission["id"], "name": "Union", "quantity": 3})
    owner.make(
        "/progress",
        {"commission_id": commission["id"], "text": "t", "for_customer": True,
         "decision_wanted": "Upright?"},
    )  # fmt: skip

    summary = owner.get(f"/commissions/{commission['id']}/summary").json
    assert summary["minutes"] == 155
    assert summary["billable_minutes"] == 110
    assert summary["minutes_left"] == 40 * 60 - 110
    assert summary["minutes_by_operation"] == {"drilling": 90, "rework": 45, "turning": 20}
    assert summary["labour_value"] == "70.58"  # 110 min at 38.50 an hour is 70.583
    assert summary["estimate_value"] == "1540.00"
    assert summary["parts_by_state"] == {"received": 3}
    assert [one["decision_wanted"] for one in summary["decisions"]] == ["Upright?"]
    assert summary["near_estimate"] is False


def test_a_summary_without_rate_or_estimate_says_null(owner: Caller, customer: dict) -> None:
    bare = owner.make("/commissions", {"customer_id": customer["id"], "title": "T"})

    summary = owner.get(f"/commissions/{bare['id']}/summary").json
    assert summary["labour_value"] is None
    assert summary["estimate_value"] is None
    assert summary["minutes_left"] is None
