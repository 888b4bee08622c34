"""The words that stand for something on the wire, and what each of them means."""

from collections.abc import Collection, Mapping
from typing import Any

from flask_smorest import Api
from marshmallow import fields, validate

from service.engineering.threads.catalogue import families

Vocabulary = Mapping[str, str]

VOCABULARIES: Mapping[str, Vocabulary] = {
    "Acting": {
        "single": "one side of the piston takes steam",
        "double": "both sides of the piston take steam",
    },
    "BarShape": {
        "square": "square bar",
        "rectangle": "flat bar",
        "round": "round bar",
    },
    "BlockPlace": {
        "top": "upper face",
        "front": "face towards you",
        "bottom": "lower face",
        "back": "face away from you",
        "left end": "end from which x is measured",
        "right end": "the other end",
    },
    "CheckedJoints": {
        "summary": "verdict, findings, and each remedy with its minutes and doubts",
        "full": "the overlay, the engagement, and every step and check of each remedy too",
    },
    "Fit": {
        "basic": "both at their basic sizes",
        "tightest": "largest male in the smallest female",
        "middle": "both in the middle of their limits",
        "loosest": "smallest male in the largest female",
    },
    "Gender": {
        "male": "thread on the outside",
        "female": "thread in a hole",
    },
    "GoverningLoad": {
        "pressure": "pressure on the end of the male",
        "spanner": "pull of the spanner",
    },
    "GoverningPart": {
        "male thread": "the male's threads shear first",
        "female thread": "the female's threads shear first",
        "male neck": "the male parts at its thinnest section first",
    },
    "ItemKind": {
        "boiler": "boiler; carries its own data",
        "burner": "burner or other fire",
        "engine": "engine; carries its own data",
        "distribution_block": "block that shares the steam out",
        "stop_valve": "valve that shuts off",
        "safety_valve": "valve that lifts; carries its own data",
        "check_valve": "valve that lets pass one way",
        "blowdown_valve": "valve that empties the boiler",
        "water_gauge": "glass that shows the water",
        "pressure_gauge": "gauge for pressure",
        "whistle": "whistle",
        "lubricator": "oiler in the steam",
        "feed_pump": "pump that feeds the boiler",
        "separator": "trap for water or oil",
        "pipe": "length of pipe",
        "union": "union",
        "nipple": "short piece, male at both ends",
        "bush": "male outside, female inside",
        "adapter": "piece from one thread to another",
        "plug": "stopper",
        "fitting": "any other fitting",
    },
    "Level": {
        "ok": "nothing against it in what was looked at",
        "caution": "wants care, or a decision",
        "fail": "not as it is",
    },
    "Lie": {
        "horizontal": "barrel lying",
        "vertical": "barrel upright",
    },
    "LoadKind": {
        "governed": "holds its speed; below, it falls off like a propeller",
        "propeller": "torque as the square of speed",
        "fixed_torque": "holds its speed while the pressure carries it; below, takes what it gets",
    },
    "Measure": {
        "metric": "mm, bar, degC",
        "imperial": "inches, psi, degC; imperial pints",
        "us": "inches, psi, degF; US ounces",
    },
    "Operation": {
        "measuring": "measuring and identifying",
        "drawing": "drawing and planning",
        "marking_out": "marking out",
        "sawing": "sawing",
        "filing": "filing",
        "drilling": "drilling",
        "reaming": "reaming",
        "turning": "turning in the lathe",
        "milling": "milling",
        "threading": "tapping, dieing and chasing threads",
        "bending": "bending pipe and sheet",
        "silver_soldering": "silver soldering",
        "soft_soldering": "soft soldering",
        "lapping": "lapping seats and faces",
        "fitting": "fitting parts together",
        "piping": "running pipes",
        "lagging": "lagging",
        "woodwork": "woodwork",
        "painting": "painting",
        "polishing": "polishing",
        "hydraulic_test": "cold-water test",
        "steaming": "running under steam",
        "fault_finding": "looking for a fault",
        "sublet": "work given to others",
        "reporting": "reports and letters",
        "packing": "packing and sending",
        "ordering": "ordering parts and stock",
        "quoting": "estimates and quotations",
        "tool_making": "making tools and jigs",
        "rework": "putting own work right",
        "other": "anything else",
    },
    "Owner": {
        "customer": "the customer's property",
        "workshop": "the workshop's own, or made here",
        "bought": "bought for the commission",
    },
    "PartState": {
        "expected": "not here yet",
        "received": "here, in its place",
        "on_bench": "being worked on",
        "sublet": "with somebody else for work",
        "fitted": "in the plant",
        "used_up": "consumed",
        "returned": "given back",
        "spoiled": "beyond use",
        "lost": "not to be found",
    },
    "PassageStretch": {
        "trunk": "between boiler and block, shared by all",
        "branch": "between block and engine",
    },
    "PictureKind": {
        "supply-and-demand": "steam the boiler gives against what the engines take",
        "pressure-line": "pressure from boiler to engine",
    },
    "PriceBasis": {
        "estimate": "hours at a rate, against an estimate",
        "quotation": "one agreed price",
        "stage_prices": "an agreed price for each stage",
        "time_and_materials": "hours and materials as they fall",
    },
    "ProblemCode": {
        "above-inspector-pressure": "a pressure above the one the inspector stated",
        "bad-request": "a header or the query says nothing that is understood",
        "busy": "more requests than can be served just now",
        "conflict": "the change collides with another record",
        "document-issued-locked": "what was issued never changes",
        "document-refused": "the document cannot be made of this",
        "failed": "something failed inside the service; nothing was written",
        "insufficient-scope": "the token does not reach so far",
        "invalid": "a value that cannot be used; see errors",
        "key-reused": "the Idempotency-Key belongs to another request",
        "method-not-allowed": "the address does not take that method",
        "name-taken": "the name is another's",
        "not-acceptable": "the answer is not given in that media type",
        "not-found": "there is nothing here, or not for this token",
        "not-recognised": "no token, or none that is known",
        "overtaken": "somebody else wrote at the same moment; read again and repeat",
        "picture-damaged": "the picture cannot be read to its end",
        "picture-kind": "the picture is of a kind that is not kept",
        "picture-moving": "the picture moves",
        "picture-too-large": "the picture has too many points",
        "port-joined": "the port is joined already",
        "reference-taken": "the reference is another commission's",
        "refused": "a rule of the workshop forbids it",
        "report-revoked": "the report was revoked",
        "stale-version": "the record was changed since it was read",
        "too-large": "the body is larger than is taken",
        "unknown-record": "a record that the body names does not exist",
        "unreadable-body": "the body is not JSON that can be read",
        "unusable-picture": "the bytes are no photograph that can be kept",
        "version-needed": "an update without If-Match",
        "wrong-content-type": "a body of a kind the address does not take",
        "wrong-host": "the service is not known under this name",
    },
    "QuantityKind": {
        "length": "length",
        "area": "area",
        "volume": "volume",
        "angle": "angle",
        "mass": "mass",
        "force": "force",
        "torque": "torque",
        "pressure": "pressure over the atmosphere, as a gauge shows it",
        "pressure_absolute": "pressure from a full vacuum",
        "pressure_difference": "difference of two pressures",
        "temperature": "temperature",
        "temperature_difference": "difference of two temperatures",
        "speed": "speed of turning",
        "velocity": "speed along a line",
        "mass_flow": "mass in a time, as of steam",
        "power": "power, or heat in a time",
        "duration": "time that something takes",
    },
    "RemedyKind": {
        "recut": "cut the male's thread anew",
        "turn_down": "turn the male down and thread it smaller",
        "open_out": "open the hole out and tap it larger",
        "plug": "plug the hole, then drill and tap it anew",
        "bush": "fit a bush",
        "adapter": "make an adapter between the two",
        "replace": "make or buy another part",
    },
    "ReportState": {
        "draft": "follows the records",
        "issued": "never changes",
        "revoked": "is not shown",
    },
    "Scope": {
        "owner": "everything",
        "bench": "read but for money and private matters; post what the bench notes",
        "calculate": "calculations only",
    },
    "SpeedClass": {
        "fast": "high speed of the spindle",
        "medium": "middling speed of the spindle",
        "slow": "low speed of the spindle",
        "by hand": "turned by hand",
        "still": "nothing turns",
    },
    "Stage": {
        "enquiry": "somebody asks",
        "quoted": "a price is with the customer",
        "agreed": "agreed, not begun",
        "planning": "being planned",
        "in_hand": "being made",
        "waiting": "waiting for parts or a decision",
        "testing": "being tested",
        "ready": "ready to be handed over",
        "handed_over": "with the customer",
        "closed": "settled and closed",
        "declined": "came to nothing",
    },
    "ThreadFamily": {family.key: family.name for family in families()},
    "Touches": {
        "crest": "at the male's crest",
        "root": "at the male's root",
        "flank outer end": "on the flanks, near the male's crests",
        "flank inner end": "on the flanks, near the male's roots",
        "nowhere": "nowhere: there is play all round",
    },
    "Verdict": {
        "goes": "one thread, and nothing against its metal",
        "goes_with_care": "something wants care",
        "make_good": "not as it is, but some remedy passes its checks",
        "does_not_go": "not as it is, and no remedy passes its checks",
    },
}


class Term(fields.String):
    """A word of a vocabulary."""

    def __init__(self, vocabulary: str, **kwargs: Any) -> None:
        super().__init__(validate=validate.OneOf(list(VOCABULARIES[vocabulary])), **kwargs)
        self.vocabulary = vocabulary


def find_vocabulary(words: Collection[str]) -> str:
    """The name of the vocabulary that has these words and no other."""
    return next(name for name, known in VOCABULARIES.items() if set(known) == set(words))


def describe_vocabularies(api: Api) -> None:
    """Name each vocabulary in the description, and let every field of it refer to it."""
    for name, vocabulary in VOCABULARIES.items():
        api.spec.components.schema(name, _describe(vocabulary))
    api.ma_plugin.converter.add_attribute_function(_refer_to_vocabulary)


def _describe(vocabulary: Vocabulary) -> dict[str, Any]:
    meanings = "; ".join(f"{word}: {meaning}" for word, meaning in vocabulary.items())
    return {"type": "string", "enum": list(vocabulary), "description": f"{meanings}."}


def _refer_to_vocabulary(
    _: Any, field: fields.Field[Any], *, ret: dict[str, Any], **__: Any
) -> dict[str, Any]:
    if isinstance(field, Term):
        name = field.vocabulary
    elif isinstance(field, fields.Enum):
        name = find_vocabulary([member.value for member in field.enum])
    else:
        return {}
    for said in ("type", "enum"):  # the vocabulary says it
        ret.pop(said, None)
    reference = {"$ref": f"#/components/schemas/{name}"}
    return {"anyOf": [reference, {"type": "null"}]} if field.allow_none else reference
