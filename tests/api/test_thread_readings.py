"""What a thread was taken for, its hand, limits and taper, over HTTP."""

import pytest

from tests.api.conftest import Record
from tests.conftest import Caller


def ask(caller: Caller, name: str, body: dict[str, object]) -> dict[str, object]:
    answer = caller.post(f"/calculations/{name}", body)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    found: dict[str, object] = answer.json
    return found


def taken(answer: dict[str, object]) -> list[str]:
    findings = answer["findings"]
    assert isinstance(findings, list)
    return [one["text"] for one in findings if one["code"] == "family-taken"]


def test_a_bare_size_takes_the_workshops_own_shelf_and_says_so(
    owner: Caller, calculator: Caller
) -> None:
    before = ask(calculator, "thread", {"thread": "1/4x40"})
    amended = owner.patch(
        "/workshop", {"shelf": ["UNS"]}, version=owner.get("/workshop").json["version"]
    )
    assert amended.status_code == 200
    after = ask(calculator, "thread", {"thread": "1/4x40"})

    assert before["designation"] == "1/4 x 40 ME"
    assert "1/4 x 40 ME is taken, the first on the workshop's shelf" in taken(before)[0]
    assert "1/4-40 UNS" in taken(before)[0]
    assert after["designation"] == "1/4-40 UNS"
    assert "1/4-40 UNS is taken" in taken(after)[0]


def test_a_written_family_needs_no_word(calculator: Caller) -> None:
    assert taken(ask(calculator, "thread", {"thread": "1/4x40 ME"})) == []


@pytest.mark.parametrize(
    ("name", "body"),
    [
        ("fitting-check", {"male": {"thread": "1/4x40"}, "female": {"thread": "1/4x40"}}),
        ("thread-overlay", {"male": "1/4x40", "female": "1/4-28", "engaged_length": "1/4 in"}),
        ("indexing", {"thread": "6 x 0.75", "found": "20 deg", "wanted": "110 deg"}),
        (
            "adapter",
            {
                "a": {"gender": "male", "thread": "1/4x40"},
                "b": {"gender": "male", "thread": "1/4 x 40 ME"},
                "bore": "1/8 in",
            },
        ),
    ],
)
def test_every_calculation_says_what_was_taken_once(
    calculator: Caller, name: str, body: dict[str, object]
) -> None:
    texts = taken(ask(calculator, name, body))

    assert texts
    assert len(set(texts)) == len(texts)
    text = calculator.post(f"/calculations/{name}", body, headers={"Accept": "text/plain"})
    assert "is taken" in " ".join(text.get_data(as_text=True).split())
    assert calculator.post(f"/calculations/{name}/sheet.pdf", body).status_code == 200


def test_left_hand_is_never_joined_to_right_hand(calculator: Caller) -> None:
    ends = {"male": {"thread": "5/8 BSP LH"}, "female": {"thread": "5/8 BSP"}}
    answer = ask(calculator, "fitting-check", ends)
    both = ask(calculator, "fitting-check", {**ends, "female": {"thread": "G 5/8 left"}})
    refused = calculator.post(
        "/calculations/engagement",
        {"male": "5/8 BSP LH", "female": "5/8 BSP", "length": "10 mm", "pressure": "4 bar"},
    )

    assert (answer["verdict"], answer["remedies"]) == ("does_not_go", [])
    findings = answer["findings"]
    assert isinstance(findings, list)
    assert "5/8 BSP LH is a left-hand thread" in findings[0]["text"]
    assert both["verdict"] == "goes"
    assert refused.status_code == 422
    assert "opposite hands" in refused.get_data(as_text=True)


def test_hand_is_shown(calculator: Caller) -> None:
    left = ask(calculator, "thread", {"thread": "M14 x 1.5 LH"})

    assert (left["designation"], left["hand"]) == ("M14 x 1.5 LH", "left")
    assert ask(calculator, "thread", {"thread": "M14 x 1.5"})["hand"] == "right"


def test_limits_of_the_class_that_is_asked(calculator: Caller) -> None:
    """1/4-20 UNC in class 2A and 2B as ASME B1.1 prints it: .2164/.2127, .2175/.2224, .196/.207."""
    limits = ask(
        calculator, "thread", {"thread": "1/4-20 UNC", "male_class": "2A", "female_class": "2B"}
    )["limits"]
    assert isinstance(limits, dict)

    for name, least, most in (
        ("male_effective", 0.2127, 0.2164),
        ("female_effective", 0.2175, 0.2224),
        ("male_major", 0.2408, 0.2489),
        ("female_core", 0.1959, 0.2074),
    ):
        assert limits[name]["least"]["value"] / 25.4 == pytest.approx(least, abs=1e-4)
        assert limits[name]["most"]["value"] / 25.4 == pytest.approx(most, abs=1e-4)
    assert (limits["male_class"], limits["female_class"]) == ("2A", "2B")
    wrong = calculator.post("/calculations/thread", {"thread": "M6", "male_class": "2A"})
    assert wrong.status_code == 422
    assert "6g" in wrong.get_data(as_text=True)


def test_a_taper_along_its_length(calculator: Caller) -> None:
    """1/8 NPT: E0 0.36351 in, L1 0.1615, L2 0.2639, E3 0.35656 at L1 + L3 from the gauge plane."""
    body = {"thread": "1/8 NPT", "distance": "0.2726 in", "distance_from": "gauge plane"}
    answer = ask(calculator, "thread", body)
    small, place, lengths = (
        answer[key] for key in ("at_small_end", "at_distance", "taper_lengths")
    )
    assert isinstance(small, dict)
    assert isinstance(place, dict)
    assert isinstance(lengths, dict)

    assert small["effective_diameter"]["value"] / 25.4 == pytest.approx(0.36351, abs=2e-5)
    assert place["effective_diameter"]["value"] / 25.4 == pytest.approx(0.35656, abs=2e-5)
    assert lengths["hand_tight_length"]["value"] / 25.4 == pytest.approx(0.1615, abs=2e-5)
    assert lengths["effective_length"]["value"] / 25.4 == pytest.approx(0.2639, abs=6e-5)
    assert lengths["hand_tight_turns"] == pytest.approx(4.36, abs=0.006)
    assert lengths["wrench_turns"] == 3
    parallel = calculator.post("/calculations/thread", {"thread": "M6", "distance": "5 mm"})
    assert parallel.status_code == 422


def test_the_check_of_a_plant_refuses_to_join_the_hands(owner: Caller, plant: Record) -> None:
    address = f"/plants/{plant['id']}"
    ends = {}
    for gender, thread in (("male", "5/8 BSP LH"), ("female", "5/8 BSP")):
        port = {"name": "end", "gender": gender, "thread": thread}
        item = {"kind": "fitting", "name": gender, "ports": [port]}
        ends[f"{gender}_port_id"] = owner.make(f"{address}/items", item)["ports"][0]["id"]
    owner.make(f"{address}/joints", ends)

    (joint,) = owner.get(f"{address}/check").json["joints"]

    assert (joint["verdict"], joint["remedies"]) == ("does_not_go", [])
    assert "left-hand thread" in joint["findings"][0]["text"]


def test_a_stored_bare_size_stays_the_thread_it_was_taken_for(owner: Caller, plant: Record) -> None:
    item = owner.make(
        f"/plants/{plant['id']}/items",
        {
            "kind": "stop_valve",
            "name": "valve",
            "ports": [
                {"name": "inlet", "gender": "male", "thread": "1/4x40", "length": "1/4 in"},
                {"name": "gas", "gender": "female", "thread": "G 5/8 left"},
            ],
        },
    )

    assert [port["thread"] for port in item["ports"]] == ["1/4 x 40 ME", "G 5/8 left"]
