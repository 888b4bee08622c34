"""Thread calculations over HTTP."""

from dataclasses import fields
from typing import Any

from flask.views import MethodView

from service.api.access import calculating, reading, tables
from service.api.blueprint import Blueprint
from service.api.schemas.fittings import (
    FittingCheckIn,
    FittingCheckOut,
    read_female,
    read_male,
)
from service.api.schemas.threads import (
    CatalogueOut,
    CatalogueQuery,
    IdentifyIn,
    IdentifyOut,
    IndexingIn,
    IndexingOut,
    ThreadCalculationIn,
    ThreadCalculationOut,
    read_measurement,
)
from service.engineering.saturation import saturation_temperature
from service.engineering.threads.catalogue import (
    Thread,
    ThreadDescription,
    catalogue,
    describe_thread,
    disagreements,
    families,
    threads_of,
)
from service.engineering.threads.identify import identify_thread, judge_candidates, write_workings
from service.engineering.threads.joint import (
    POINTING_TOLERANCE,
    FittingCheck,
    Indexing,
    check_fitting,
    index_fitting,
)
from service.records.models import Scope

blp = Blueprint("threads", __name__, description="Threads: what they are, what goes into what.")


@blp.route("/calculations/thread")
class ThreadCalculation(MethodView):
    """The geometry of a thread."""

    @calculating
    @blp.operation("calculate_thread", Scope.CALCULATE, "calculates")
    @blp.arguments(ThreadCalculationIn)
    @blp.response(200, ThreadCalculationOut)
    def post(self, data: dict[str, Any]) -> ThreadDescription:
        """Give a thread's diameters and tapping drills, and judge a drill for it."""
        drill = data["drill"]
        return describe_thread(
            data["thread"],
            material=data["material"],
            drilled=None if drill is None else drill.si,
            drills=tables().drills,
        )


@blp.route("/threads")
class Catalogue(MethodView):
    """The catalogue of threads."""

    @reading(Scope.CALCULATE)
    @blp.operation("list_threads", Scope.CALCULATE, "lists")
    @blp.arguments(CatalogueQuery, location="query")
    @blp.response(200, CatalogueOut)
    def get(self, query: dict[str, Any]) -> dict[str, Any]:
        """List the threads of the catalogue, or of one family, and where sources disagree."""
        family = query["family"]
        own = tables().threads
        listed = (*catalogue(), *own) if family is None else threads_of(family)
        names = {thread.designation for thread in listed}
        return {
            "families": families(),
            "items": listed,
            "disagreements": [one for one in disagreements() if one.thread.designation in names],
        }


@blp.route("/calculations/thread-identify")
class ThreadIdentification(MethodView):
    """The naming of an unknown thread."""

    @calculating
    @blp.operation("identify_thread", Scope.CALCULATE, "calculates")
    @blp.arguments(IdentifyIn)
    @blp.response(200, IdentifyOut)
    def post(self, data: dict[str, Any]) -> dict[str, Any]:
        """Name the threads that would measure so, likeliest first."""
        candidates = identify_thread(read_measurement(data), catalogue=tables().catalogue)
        return {
            "candidates": candidates,
            "findings": judge_candidates(candidates),
            "workings": write_workings(candidates),
        }


@blp.route("/calculations/indexing")
class IndexingCalculation(MethodView):
    """The indexing of a fitting."""

    @calculating
    @blp.operation("calculate_indexing", Scope.CALCULATE, "calculates")
    @blp.arguments(IndexingIn)
    @blp.response(200, IndexingOut)
    def post(self, data: dict[str, Any]) -> Indexing:
        """Find the shims or the facing cut that make a fitting point as wanted."""
        return index_fitting(
            data["thread"],
            found=data["found"].si,
            wanted=data["wanted"].si,
            shims=[shim.si for shim in data["shims"]] if data["shims"] else tables().shims,
            tolerance=data["tolerance"].si,
            crush=data["crush"].si,
            flats=data["flats"],
        )


@blp.route("/calculations/fitting-check")
class FittingCalculation(MethodView):
    """The check of one joint."""

    @calculating
    @blp.operation("check_fitting", Scope.CALCULATE, "calculates")
    @blp.arguments(FittingCheckIn)
    @blp.response(200, FittingCheckOut)
    def post(self, data: dict[str, Any]) -> dict[str, Any]:
        """Tell whether a male goes into a female, and what makes it good."""
        check = check_joint(data)
        members = {member.name: getattr(check, member.name) for member in fields(FittingCheck)}
        return {**members, "indexing": _index(data["male"]["thread"], data["points"])}


def check_joint(data: dict[str, Any]) -> FittingCheck:
    """The joint of a request, checked."""
    pressure = data["pressure"].absolute if data["pressure"] else None
    return check_fitting(
        read_male(data["male"]),
        read_female(data["female"]),
        pressure=pressure,
        steam_temperature=None if pressure is None else saturation_temperature(pressure),
        table_of_times=tables().times,
    )


def _index(thread: Thread, points: dict[str, Any] | None) -> Indexing | None:
    if points is None:
        return None
    return index_fitting(
        thread,
        found=points["found"].si,
        wanted=points["wanted"].si,
        shims=tables().shims,
        tolerance=POINTING_TOLERANCE,
    )
