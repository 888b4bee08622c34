"""The description of the API for people: one page from the same document machines read."""

import json
from typing import Any

from flask import Blueprint, Response, current_app, render_template

from service.api.vocabularies import VOCABULARIES

blp = Blueprint(
    "documentation", __name__, template_folder="templates", static_folder="static",
    static_url_path="/static",
)  # fmt: skip


@blp.get("/api/docs")
def documentation() -> Response:
    """Every operation with its fields and an example, without a script or an outside request."""
    description = current_app.extensions["flask-smorest"]["apis"][""]["ext_obj"].spec.to_dict()
    page = render_template(
        "documentation.html",
        info=description["info"],
        groups=group_operations(description),
        schemas=description["components"]["schemas"],
        problems=VOCABULARIES["ProblemCode"],
    )
    return Response(page, headers={"Cache-Control": "no-cache"})


def group_operations(description: dict[str, Any]) -> dict[str, list[dict[str, Any]]]:
    """Operations by tag, each with its method, address, body and example."""
    groups: dict[str, list[dict[str, Any]]] = {}
    for path, methods in description["paths"].items():
        shared = methods.get("parameters", [])
        for method, operation in methods.items():
            if method == "parameters":
                continue
            shown = {
                "method": method.upper(),
                "path": path,
                "parameters": [*shared, *operation.get("parameters", [])],
                "body": schema_name(_json_of(operation).get("schema", {})),
                "example": _example(operation),
                **{name: operation.get(name, "") for name in ("operationId", "summary")},
                "scope": operation.get("security", [{}])[0].get("token", [""])[0],
            }
            groups.setdefault(operation["tags"][0], []).append(shown)
    return groups


def schema_name(reference: dict[str, Any]) -> str | None:
    """The name of the schema that a reference points at."""
    return str(reference["$ref"]).rpartition("/")[2] if "$ref" in reference else None


def _example(operation: dict[str, Any]) -> str | None:
    content = _json_of(operation)
    if "example" not in content:
        return None
    return json.dumps(content["example"], indent=2, ensure_ascii=False)


def _json_of(operation: dict[str, Any]) -> dict[str, Any]:
    content: dict[str, dict[str, Any]] = operation.get("requestBody", {}).get("content", {})
    return content.get("application/json", {})
