"""How much the check of a plant tells: a summary of its joints, or the whole; nothing goes lost."""

from typing import Any

import pytest

from tests.conftest import Caller

Check = dict[str, Any]

DETAIL = {"overlay", "engagement"}
REMEDY_DETAIL = {"steps", "metal_checks", "sealing"}


@pytest.fixture
def address(owner: Caller, plant: dict[str, Any]) -> str:
    """The check of a plant with a joint that goes, one to make good and one of pipe threads."""
    address = f"/plants/{plant['id']}"
    pairs = [
        ("M6 x 0.75", "1/4 x 40 ME"), ("1/4 x 40 ME", "1/4 x 40 ME"), ("1/8-27 NPT", "1/8 BSP"),
    ]  # fmt: skip
    for number, threads in enumerate(pairs):
        ends = {}
        for gender, thread in zip(("male", "female"), threads, strict=True):
            port = {"name": "end", "gender": gender, "thread": thread}
            size = {"length": "5/16 in"} | ({"bore": "1/8 in"} if gender == "male" else {})
            item = {"kind": "fitting", "name": f"{gender} {number}", "ports": [port | size]}
            ends[f"{gender}_port_id"] = owner.make(f"{address}/items", item)["ports"][0]["id"]
        owner.make(f"{address}/joints", ends)
    return f"{address}/check"


@pytest.fixture
def summary(owner: Caller, address: str) -> Check:
    """The check as it is answered when nothing is asked of it."""
    answer: Check = owner.get(address).json
    return answer


@pytest.fixture
def full(owner: Caller, address: str) -> Check:
    """The whole check."""
    answer: Check = owner.get(f"{address}?joints=full").json
    return answer


def test_every_finding_caution_and_level_stands_in_both(summary: Check, full: Check) -> None:
    assert {**summary, "joints": None} == {**full, "joints": None}
    for brief, whole in zip(summary["joints"], full["joints"], strict=True):
        assert brief.keys() == whole.keys() - DETAIL
        assert {**brief, "remedies": None} == {
            **{name: whole[name] for name in brief}, "remedies": None,
        }  # fmt: skip


def test_a_summary_keeps_each_remedy_with_all_that_speaks_against_it(
    summary: Check, full: Check
) -> None:
    doubtful = 0
    for brief, whole in zip(summary["joints"], full["joints"], strict=True):
        assert len(brief["remedies"]) == len(whole["remedies"])
        for short, long in zip(brief["remedies"], whole["remedies"], strict=True):
            assert short == {name: long[name] for name in long.keys() - REMEDY_DETAIL}
            against = [check for check in long["metal_checks"] if check["level"] != "ok"]
            assert short["doubts"] == against
            assert short["level"] == long["metal_checks"][0]["level"]
            doubtful += bool(against)
    assert doubtful


def test_every_finding_of_a_joint_stands_in_the_plants_list(summary: Check) -> None:
    for joint in summary["joints"]:
        of_joint = [
            {name: value for name, value in finding.items() if name != "subject"}
            for finding in summary["findings"]
            if finding["subject"] == joint["joint"]
        ]
        assert len(of_joint) == len(joint["findings"])
        assert all(finding in of_joint for finding in joint["findings"])


def test_the_summary_may_be_asked_for_and_nothing_else(
    owner: Caller, address: str, summary: Check
) -> None:
    assert owner.get(f"{address}?joints=summary").json == summary
    refused = owner.get(f"{address}?joints=everything")
    assert refused.status_code == 422
    assert list(refused.json["errors"]) == ["joints"]
    assert owner.get(f"{address}?detail=full").status_code == 422


def test_texts_follow_the_measure_from_one_request_to_the_next(
    owner: Caller, address: str, summary: Check
) -> None:
    imperial = owner.get(address, headers={"Prefer": "measure=imperial"}).json
    again = owner.get(address).json

    assert again == summary
    codes = [finding["code"] for finding in imperial["findings"]]
    assert codes == [finding["code"] for finding in summary["findings"]]
