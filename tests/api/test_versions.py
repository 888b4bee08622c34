"""If-Match and If-None-Match as RFC 9110 (13.1.1, 13.1.2) reads them."""

from typing import Any

import pytest

from tests.conftest import Caller


def change(owner: Caller, customer: dict[str, Any], tag: str) -> Any:
    return owner.send(
        "PATCH", f"/customers/{customer['id']}", json={"phone": "1"}, headers={"If-Match": tag}
    )


@pytest.mark.parametrize(
    "tag",
    ['"1"', ' "1" ', "*", " * ", '"1", "2"', '"2","1"', '"abc", "1"', 'W/"2", "1"', 'W/"1", "1"',
     '"2" ,\t"1"', ', "1",, ', '"1-imperial"', '"1-bench"', '"1-us-bench"', "1"],
)  # fmt: skip
def test_a_change_goes_where_a_tag_is_the_version(owner: Caller, customer: dict, tag: str) -> None:
    assert change(owner, customer, tag).status_code == 200


@pytest.mark.parametrize(
    "tag",
    ['"2"', '"0"', '"abc"', '"2", "3"', '"-1"', '"1', '1"', '"*"', '"1 2"', '"', ",", "1.0", '"1"x',
     '"01"', '"' + "9" * 40 + '"', '"2","' + '1",' * 3],
)  # fmt: skip
def test_a_change_stops_where_no_tag_is_the_version(
    owner: Caller, customer: dict, tag: str
) -> None:
    answer = change(owner, customer, tag)

    assert (answer.status_code, answer.json["code"]) == (412, "stale-version")
    assert owner.get(f"/customers/{customer['id']}").headers["ETag"] == '"1"'


@pytest.mark.parametrize("tag", ['W/"1"', 'W/"2", W/"1"', 'W/"1-imperial"'])
def test_a_weak_tag_never_matches_and_the_refusal_says_so(
    owner: Caller, customer: dict, tag: str
) -> None:
    """Strong comparison; nobody changed the record, so nobody is told that somebody did."""
    answer = change(owner, customer, tag)

    assert (answer.status_code, answer.json["code"]) == (412, "weak-tag")
    assert "changed" not in answer.json["detail"]


@pytest.mark.parametrize("tag", ["", None])
def test_without_a_tag_nothing_is_changed(owner: Caller, customer: dict, tag: str | None) -> None:
    headers = {} if tag is None else {"If-Match": tag}
    answer = owner.send("PATCH", f"/customers/{customer['id']}", json={}, headers=headers)

    assert (answer.status_code, answer.json["code"]) == (428, "version-needed")


def test_any_version_of_what_is_not_there_is_not_there(owner: Caller) -> None:
    answer = change(owner, {"id": 2_000_000_000}, "*")

    assert answer.status_code == 404


def test_a_long_list_is_read_in_no_time(owner: Caller, customer: dict) -> None:
    answer = change(owner, customer, '"2",' * 20_000 + 'W/"' * 20_000)

    assert answer.status_code == 412


def test_a_list_naming_the_draft_that_was_read_issues_it(
    owner: Caller, one_of_each: dict[str, int]
) -> None:
    address = f"/reports/{one_of_each['report_id']}"
    tag = owner.get(address).headers["ETag"]
    other = tag.replace(tag.strip('"').partition(".")[2], "0" * 16)

    assert owner.post(f"{address}/issue", headers={"If-Match": other}).status_code == 412
    both = {"If-Match": f"{other}, {tag}"}
    assert owner.post(f"{address}/issue", headers=both).status_code == 200


@pytest.mark.parametrize("given", ['"1"', 'W/"1"', '"9", "1"', '"9", W/"1"', "*"])
def test_what_was_read_is_not_sent_again(owner: Caller, customer: dict, given: str) -> None:
    answer = owner.get(f"/customers/{customer['id']}", headers={"If-None-Match": given})

    assert (answer.status_code, answer.data) == (304, b"")


@pytest.mark.parametrize("given", ['"9"', '"9", "8"', '"1-imperial"', '"1-bench"'])
def test_what_was_not_read_is_sent(owner: Caller, customer: dict, given: str) -> None:
    answer = owner.get(f"/customers/{customer['id']}", headers={"If-None-Match": given})

    assert answer.status_code == 200


def test_a_reading_too_may_ask_for_a_version(owner: Caller, customer: dict) -> None:
    address = f"/customers/{customer['id']}"
    for tag in ("*", '"1"', '"9", "1"'):
        assert owner.get(address, headers={"If-Match": tag}).status_code == 200
    for tag in ('"9"', 'W/"1"'):
        answer = owner.get(address, headers={"If-Match": tag})
        assert (answer.status_code, answer.mimetype) == (412, "application/problem+json")
