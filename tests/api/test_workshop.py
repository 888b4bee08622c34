"""The workshop over HTTP."""

import io
from typing import Any

import pytest
from flask import Flask
from PIL import Image

from service.engineering.threads.catalogue import families
from tests.conftest import Caller

TAX = {"registered": True, "number": "123 4567 89", "rate": "17.5"}


def amend(owner: Caller, **changes: Any) -> dict[str, Any]:
    version = owner.get("/workshop").json["version"]
    answer = owner.patch("/workshop", changes, version=version)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    found: dict[str, Any] = answer.json
    return found


def a_picture(kind: str = "PNG", size: tuple[int, int] = (1600, 400)) -> bytes:
    written = io.BytesIO()
    Image.new("RGB", size, (30, 90, 60)).save(written, kind)
    return written.getvalue()


def put_logo(owner: Caller, picture: bytes, **kw: Any) -> Any:
    tag = f'"{owner.get("/workshop").json["version"]}"'
    return owner.send(
        "PUT", "/workshop/logo", data=picture, content_type="image/png",
        headers={"If-Match": tag}, **kw,
    )  # fmt: skip


def test_the_owner_amends_who_the_workshop_is(owner: Caller) -> None:
    changed = amend(
        owner, name="Harbour Lane Works", address="2 Harbour Lane\nNorthwold",
        email="works@example.org", phone="01632 960 140", currency="EUR", tax=TAX,
        measure="imperial", shelf=["BA", "metric"],
    )  # fmt: skip

    assert changed == owner.get("/workshop").json
    assert changed["name"] == "Harbour Lane Works"
    assert changed["tax"] == {"registered": True, "number": "123 4567 89", "rate": "17.50"}
    assert changed["shelf"][:2] == ["BA", "metric"]
    assert sorted(changed["shelf"]) == sorted(family.key for family in families())
    assert owner.get("/audit").json["items"][0]["noun"] == "workshop"


def test_a_write_needs_the_version_that_was_read(owner: Caller) -> None:
    version = owner.get("/workshop").json["version"]

    assert owner.patch("/workshop", {"name": "A"}, version=None).status_code == 428
    first = owner.patch("/workshop", {"name": "A"}, version=version)
    assert first.headers["ETag"] == f'"{version + 1}"'
    assert owner.patch("/workshop", {"name": "B"}, version=version).status_code == 412


def test_the_bench_reads_all_but_the_tax_and_writes_nothing(
    owner: Caller, bench: Caller, calculator: Caller
) -> None:
    mine = owner.get("/workshop").json

    theirs = bench.get("/workshop").json

    assert theirs == {name: value for name, value in mine.items() if name != "tax"}
    assert bench.patch("/workshop", {"name": "B"}, version=1).status_code == 403
    assert calculator.get("/workshop").status_code == 403


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"measure": "cubits"}, "measure"),
        ({"currency": "pounds"}, "currency"),
        ({"name": ""}, "name"),
        ({"name": None}, "name"),
        ({"email": "nowhere"}, "email"),
        ({"shelf": ["M E"]}, "shelf"),
        ({"shelf": ["ME", "ME"]}, "shelf"),
        ({"tax": {"registered": True}}, "tax.number"),
        ({"tax": {"registered": True, "number": "1", "rate": None}}, "tax.rate"),
        ({"tax": {"registered": False, "rate": "20"}}, "tax.rate"),
        ({"tax": {"registered": True, "number": "1", "rate": "100.01"}}, "tax.rate"),
        ({"tax": {"registered": True, "number": "1", "rate": 20}}, "tax.rate"),
        ({"logo": None}, "logo"),
    ],
)
def test_what_cannot_be_is_refused_by_field(
    owner: Caller, changes: dict[str, Any], field: str
) -> None:
    version = owner.get("/workshop").json["version"]

    answer = owner.patch("/workshop", changes, version=version)

    assert answer.status_code == 422
    assert field in answer.json["errors"]


def test_whoever_gives_up_the_registration_has_no_rate_any_more(owner: Caller) -> None:
    amend(owner, tax=TAX)

    changed = amend(owner, tax={"registered": False})

    assert changed["tax"] == {"registered": False, "number": None, "rate": None}


def test_texts_are_in_the_workshops_measure_unless_another_is_asked_for(
    owner: Caller, calculator: Caller
) -> None:
    asked = {"thread": "1/4 x 40 ME"}
    before = calculator.post("/calculations/thread", asked).json["pitch"]["text"]
    assert before.endswith(" mm")

    amend(owner, measure="imperial")

    after = calculator.post("/calculations/thread", asked)
    assert after.json["pitch"]["text"].endswith(" thou")
    assert "Preference-Applied" not in after.headers
    metric = {"Prefer": "measure=metric"}
    again = calculator.post("/calculations/thread", asked, headers=metric)
    assert again.json["pitch"]["text"] == before


def test_a_commission_is_reckoned_in_the_workshops_currency_unless_it_says_another(
    owner: Caller,
) -> None:
    amend(owner, currency="EUR")
    customer = owner.make("/customers", {"name": "Maud Ellery"})
    asked = {"customer_id": customer["id"], "title": "Plant"}

    assert owner.make("/commissions", asked)["currency"] == "EUR"
    assert owner.make("/commissions", {**asked, "currency": "USD"})["currency"] == "USD"


def test_a_logo_is_cleaned_bounded_kept_and_taken_away(owner: Caller, bench: Caller) -> None:
    assert owner.get("/workshop/logo").status_code == 404

    shown = put_logo(owner, a_picture()).json["logo"]

    assert (shown["width"], shown["height"], shown["media_type"]) == (800, 200, "image/jpeg")
    fetched = bench.get("/workshop/logo")
    assert Image.open(io.BytesIO(fetched.data)).size == (800, 200)
    tag = {"If-Match": fetched.headers["ETag"]}
    assert bench.send("DELETE", "/workshop/logo", headers=tag).status_code == 403
    assert owner.send("DELETE", "/workshop/logo", headers=tag).json["logo"] is None
    assert owner.get("/workshop/logo").status_code == 404


def test_a_logo_that_is_no_picture_is_refused(owner: Caller) -> None:
    assert put_logo(owner, b"no picture").status_code == 422
    no_tag = owner.send("PUT", "/workshop/logo", data=a_picture(), content_type="image/png")
    assert no_tag.status_code == 428


def draft(owner: Caller) -> dict[str, Any]:
    customer = owner.make("/customers", {"name": "Maud Ellery"})
    commission = owner.make("/commissions", {"customer_id": customer["id"], "title": "Plant"})
    return owner.make(
        "/reports",
        {"commission_id": commission["id"], "from_day": "2026-11-01", "to_day": "2026-11-14"},
    )


def issue(owner: Caller, report: dict[str, Any]) -> Any:
    tag = owner.get(f"/reports/{report['id']}").headers["ETag"]
    return owner.post(f"/reports/{report['id']}/issue", headers={"If-Match": tag})


def test_an_issued_report_keeps_its_bytes_and_its_page_the_head_it_was_issued_with(
    owner: Caller, app: Flask
) -> None:
    amend(owner, name="Harbour Lane Works", address="2 Harbour Lane", measure="imperial")
    put_logo(owner, a_picture())
    report = draft(owner)
    link = issue(owner, report).json["link"].partition("/r/")[2]
    paper = owner.get(f"/reports/{report['id']}/document.pdf").data
    logo = owner.get(f"/r/{link}/logo").data

    amend(owner, name="Other Name", address="Elsewhere", measure="us")
    put_logo(owner, a_picture(size=(300, 300)))

    page = owner.get(f"/r/{link}").get_data(as_text=True)
    assert "Harbour Lane Works" in page
    assert "2 Harbour Lane" in page
    assert "Other Name" not in page
    assert owner.get(f"/r/{link}/logo").data == logo
    assert owner.get(f"/reports/{report['id']}/document.pdf").data == paper
    database = app.extensions["clackbox"].database
    with database.reading() as session:
        from service.records.models import Report

        kept = session.get(Report, report["id"]).content
    assert (kept["measure"], kept["workshop"]) == ("imperial", "Harbour Lane Works")


def test_a_draft_follows_the_workshop_and_is_not_issued_under_a_name_nobody_read(
    owner: Caller,
) -> None:
    report = draft(owner)
    link = report["link"].partition("/r/")[2]
    read = owner.get(f"/reports/{report['id']}").headers["ETag"]

    amend(owner, name="Harbour Lane Works")

    assert "Harbour Lane Works" in owner.get(f"/r/{link}").get_data(as_text=True)
    assert owner.get(f"/r/{link}/logo").status_code == 404
    stale = owner.post(f"/reports/{report['id']}/issue", headers={"If-Match": read})
    assert stale.status_code == 412


def test_families_are_listed_in_the_order_of_the_shelf(owner: Caller, bench: Caller) -> None:
    shelf = amend(owner, shelf=["metric", "NPT"])["shelf"]

    listed = [family["key"] for family in bench.get("/threads").json["families"]]

    assert listed == shelf
    assert listed[:2] == ["metric", "NPT"]
