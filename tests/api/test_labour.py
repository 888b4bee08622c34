"""Labour over HTTP."""

import datetime as dt

import pytest

from tests.conftest import Caller


def entry(commission: dict, **changes: object) -> dict:
    return {"commission_id": commission["id"], "operation": "drilling", "minutes": 90} | changes


@pytest.mark.parametrize(
    ("written", "minutes"),
    [
        (90, 90),
        ("1h30", 90),
        ("90 min", 90),
        ("1 h 30 min", 90),
        ("1:30", 90),
        (1, 1),
        (1440, 1440),
    ],
)
def test_minutes_are_taken_as_number_or_duration(
    bench: Caller, commission: dict, written: object, minutes: int
) -> None:
    record = bench.make("/labour", entry(commission, minutes=written))

    assert record["minutes"] == minutes
    assert record["billable"] is True
    assert record["person"] == "bench token"
    assert bench.get(f"/labour/{record['id']}").json == record


@pytest.mark.parametrize(
    "minutes", [0, -5, 1441, "5", "0,5 h", "90", "1h30s", "25 h", "90.5 s", 1.5, True, None, "-1 h",
                "1e2 min", "", [90], 10**40],
)  # fmt: skip
def test_minutes_that_are_no_bench_time_are_refused(
    bench: Caller, commission: dict, minutes: object
) -> None:
    answer = bench.post("/labour", entry(commission, minutes=minutes))

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["minutes"]


def test_the_day_is_today_unless_it_is_given(bench: Caller, commission: dict) -> None:
    today = bench.make("/labour", entry(commission))["day"]
    given = bench.make("/labour", entry(commission, day="2026-02-03"))["day"]

    assert abs((dt.date.fromisoformat(today) - dt.datetime.now(dt.UTC).date()).days) <= 1
    assert given == "2026-02-03"


def test_labour_of_a_day_that_has_not_come_is_refused(bench: Caller, commission: dict) -> None:
    later = dt.datetime.now(dt.UTC).date() + dt.timedelta(days=3)
    answer = bench.post("/labour", entry(commission, day=later.isoformat()))

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["day"]


@pytest.mark.parametrize("billable", [1, 0, "true", "yes", 1.0])
def test_a_claim_is_true_or_false_and_nothing_else(
    bench: Caller, commission: dict, billable: object
) -> None:
    answer = bench.post("/labour", entry(commission, billable=billable))

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["billable"]


def test_an_unknown_commission_or_operation_is_named(bench: Caller, commission: dict) -> None:
    nowhere = bench.post("/labour", entry(commission, commission_id=1_999_999_999))
    strange = bench.post("/labour", entry(commission, operation="welding"))

    assert list(nowhere.json["errors"]) == ["commission_id"]
    assert list(strange.json["errors"]) == ["operation"]
    assert {nowhere.status_code, strange.status_code} == {422}


def test_the_list_is_filtered_by_commission_operation_and_days(
    owner: Caller, commission: dict
) -> None:
    other = owner.make("/commissions", {"customer_id": commission["customer_id"], "title": "Other"})
    first = owner.make("/labour", entry(commission, day="2026-02-01"))
    second = owner.make("/labour", entry(commission, day="2026-02-05", operation="turning"))
    third = owner.make("/labour", entry(other, day="2026-02-09"))

    def ids(query: str) -> list[int]:
        return [one["id"] for one in owner.get(f"/labour?{query}").json["items"]]

    assert ids(f"commission_id={commission['id']}") == [second["id"], first["id"]]
    assert ids("operation=turning") == [second["id"]]
    assert ids("from_day=2026-02-05&to_day=2026-02-09") == [third["id"], second["id"]]
    assert ids(f"to_day=2026-02-01&commission_id={other['id']}") == []


def test_a_correction_keeps_what_stood_before_in_the_audit(owner: Caller, commission: dict) -> None:
    record = owner.make("/labour", entry(commission, note="block drilled"))
    answer = owner.patch(f"/labour/{record['id']}", {"minutes": "2h"}, version=1)

    assert answer.json["minutes"] == 120
    line = owner.get(f"/audit?noun=labour_entries&record_id={record['id']}").json["items"][0]
    assert (line["action"], line["person"]) == ("changed", "owner token")
    assert (line["before"], line["after"]) == ({"minutes": 90}, {"minutes": 120})
