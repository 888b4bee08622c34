"""Plants, their items, joints and check over HTTP."""

from typing import Any

from flask import Response, jsonify
from flask.views import MethodView

from service.api.access import kit, reading, session, signed, version_named, writing
from service.api.answers import created, shown
from service.api.blueprint import Blueprint
from service.api.paging import PageQuery, envelope
from service.api.schemas.checks import CHECKS, CheckQuery, PlantCheckOut
from service.api.schemas.plants import (
    ItemIn,
    ItemOut,
    ItemPage,
    ItemPatch,
    JointIn,
    JointOut,
    JointPage,
    JointPatch,
    PlantOut,
    PlantPatch,
)
from service.plant.check import OnHand, check_plant
from service.records.models import Item, Joint, Plant, Scope
from service.records.operations.checking import load_plant
from service.records.operations.lookup import get
from service.records.operations.plants import (
    create_item,
    create_joint,
    delete_item,
    delete_joint,
    list_items,
    list_joints,
    update_item,
    update_joint,
    update_plant,
)

blp = Blueprint("plants", __name__, description="Plants as items with ports, and joints.")


@blp.route("/plants/<number:plant_id>")
class OnePlant(MethodView):
    """One plant."""

    @reading(Scope.BENCH)
    @blp.operation("get_plant", Scope.BENCH, "reads")
    @blp.response(200, PlantOut)
    def get(self, plant_id: int) -> Plant:
        """Read a plant."""
        return shown(get(session(), Plant, plant_id))

    @writing(Scope.OWNER)
    @blp.operation("update_plant", Scope.OWNER, "updates")
    @blp.arguments(PlantPatch)
    @blp.response(200, PlantOut)
    def patch(self, data: dict[str, Any], plant_id: int) -> Plant:
        """Amend a plant."""
        return shown(
            update_plant(session(), plant_id, version=version_named(), signed=signed(), **data)
        )


@blp.route("/plants/<number:plant_id>/check")
class CheckOfPlant(MethodView):
    """The check of a plant."""

    @reading(Scope.BENCH)
    @blp.operation("check_plant", Scope.BENCH, "reads")
    @blp.arguments(CheckQuery, location="query")
    @blp.response(200, PlantCheckOut)
    def get(self, query: dict[str, Any], plant_id: int) -> Response:
        """Check every joint, and the engines together against the boiler, worst first."""
        own = kit()
        found = check_plant(load_plant(session(), plant_id), OnHand(own.shims, own.times))
        return jsonify(CHECKS[query["joints"]].dump(found))


@blp.route("/plants/<number:plant_id>/items")
class ItemsOfPlant(MethodView):
    """The items of a plant."""

    @reading(Scope.BENCH)
    @blp.operation("list_items", Scope.BENCH, "lists")
    @blp.arguments(PageQuery, location="query")
    @blp.response(200, ItemPage)
    def get(self, query: dict[str, Any], plant_id: int) -> dict[str, Any]:
        """List a plant's items with their ports, newest first."""
        return envelope(*list_items(session(), plant_id, **query))

    @writing(Scope.OWNER)
    @blp.operation("create_item", Scope.OWNER, "creates")
    @blp.arguments(ItemIn)
    @blp.response(201, ItemOut)
    def post(self, data: dict[str, Any], plant_id: int) -> Any:
        """Enter an item with its ports."""
        return created(create_item(session(), plant_id, signed=signed(), **data))


@blp.route("/items/<number:item_id>")
class OneItem(MethodView):
    """One item."""

    @reading(Scope.BENCH)
    @blp.operation("get_item", Scope.BENCH, "reads")
    @blp.response(200, ItemOut)
    def get(self, item_id: int) -> Item:
        """Read an item."""
        return shown(get(session(), Item, item_id))

    @writing(Scope.OWNER)
    @blp.operation("update_item", Scope.OWNER, "updates")
    @blp.arguments(ItemPatch)
    @blp.response(200, ItemOut)
    def patch(self, data: dict[str, Any], item_id: int) -> Item:
        """Amend an item."""
        return shown(
            update_item(session(), item_id, version=version_named(), signed=signed(), **data)
        )

    @writing(Scope.OWNER, takes=None)
    @blp.operation("delete_item", Scope.OWNER, "updates")
    @blp.response(204)
    def delete(self, item_id: int) -> None:
        """Take an item out of the plan."""
        delete_item(session(), item_id, version=version_named(), signed=signed())


@blp.route("/plants/<number:plant_id>/joints")
class JointsOfPlant(MethodView):
    """The joints of a plant."""

    @reading(Scope.BENCH)
    @blp.operation("list_joints", Scope.BENCH, "lists")
    @blp.arguments(PageQuery, location="query")
    @blp.response(200, JointPage)
    def get(self, query: dict[str, Any], plant_id: int) -> dict[str, Any]:
        """List a plant's joints, newest first."""
        return envelope(*list_joints(session(), plant_id, **query))

    @writing(Scope.OWNER)
    @blp.operation("create_joint", Scope.OWNER, "creates")
    @blp.arguments(JointIn)
    @blp.response(201, JointOut)
    def post(self, data: dict[str, Any], plant_id: int) -> Any:
        """Join a male port to a female port."""
        return created(create_joint(session(), plant_id, signed=signed(), **data))


@blp.route("/joints/<number:joint_id>")
class OneJoint(MethodView):
    """One joint."""

    @reading(Scope.BENCH)
    @blp.operation("get_joint", Scope.BENCH, "reads")
    @blp.response(200, JointOut)
    def get(self, joint_id: int) -> Joint:
        """Read a joint."""
        return shown(get(session(), Joint, joint_id))

    @writing(Scope.OWNER)
    @blp.operation("update_joint", Scope.OWNER, "updates")
    @blp.arguments(JointPatch)
    @blp.response(200, JointOut)
    def patch(self, data: dict[str, Any], joint_id: int) -> Joint:
        """Amend how a joint points."""
        return shown(
            update_joint(session(), joint_id, version=version_named(), signed=signed(), **data)
        )

    @writing(Scope.OWNER, takes=None)
    @blp.operation("delete_joint", Scope.OWNER, "updates")
    @blp.response(204)
    def delete(self, joint_id: int) -> None:
        """Take a joint out of the plan."""
        delete_joint(session(), joint_id, version=version_named(), signed=signed())
