"""Plants, their items, joints and check over HTTP."""

from typing import Any

from flask import Response, jsonify

from service.api.access import kit, session
from service.api.blueprint import Blueprint
from service.api.noun import Noun, reads
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
from service.plant.check import check_plant
from service.records.models import Item, Joint, Plant
from service.records.operations.checking import load_plant
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

plants = Noun(blp, Plant, PlantOut, one="/plants/<number:plant_id>")
plants.reads("get_plant", "Read a plant.")
plants.amends(update_plant, PlantPatch, "Amend a plant.")


@reads(blp, f"{plants.one}/check", "check_plant", PlantCheckOut, query=CheckQuery)
def show_check(query: dict[str, Any], plant_id: int) -> Response:
    """Check every joint, and the engines together against the boiler, worst first."""
    found = check_plant(load_plant(session(), plant_id), kit())
    return jsonify(CHECKS[query["joints"]].dump(found))


items = Noun(blp, Item, ItemOut, f"{plants.one}/items", "/items/<number:item_id>")
items.lists(list_items, ItemPage, "List a plant's items with their ports, newest first.")
items.creates(create_item, ItemIn, "Enter an item with its ports.")
items.reads("get_item", "Read an item.")
items.amends(update_item, ItemPatch, "Amend an item.")
items.deletes(delete_item, "Take an item out of the plan.")

joints = Noun(blp, Joint, JointOut, f"{plants.one}/joints", "/joints/<number:joint_id>")
joints.lists(list_joints, JointPage, "List a plant's joints, newest first.")
joints.creates(create_joint, JointIn, "Join a male port to a female port.")
joints.reads("get_joint", "Read a joint.")
joints.amends(update_joint, JointPatch, "Amend how a joint points.")
joints.deletes(delete_joint, "Take a joint out of the plan.")
