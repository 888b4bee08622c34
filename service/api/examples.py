"""The example of a request body, put together from the examples of its fields.

A body whose fields exclude one another says its own: a class attribute `EXAMPLE`.
"""

from typing import Any

from marshmallow import Schema, fields


def example_of(schema: Schema) -> dict[str, Any]:
    """A body that the operation would take; a test sends each of them to the demo."""
    own: dict[str, Any] | None = getattr(schema, "EXAMPLE", None)
    if own is not None:
        return own
    return {name: _example(field) for name, field in schema.fields.items() if _has_example(field)}


def _has_example(field: fields.Field[Any]) -> bool:
    if isinstance(field, fields.List):
        return "example" in field.metadata or _has_example(field.inner)
    return "example" in field.metadata or isinstance(field, fields.Nested)


def _example(field: fields.Field[Any]) -> Any:
    if "example" in field.metadata:
        return field.metadata["example"]
    if isinstance(field, fields.List):
        return [_example(field.inner)]
    return example_of(field.schema)  # type: ignore[attr-defined]
