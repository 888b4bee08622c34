"""The parts of the OpenAPI description that belong to no single route."""

from flask_smorest import Api
from marshmallow import Schema

from service.api.schemas.calculations import FindingOut, JudgedFindingOut, WorkingOut

ABOUT = """\
Job tracking and engineering checks for a workshop that builds miniature steam plants to commission.

Quantities go in as text in workshop notation, always with their unit: `7/32 in`, `60 psi`, `1h30`.
Pressures are gauge unless they say otherwise. They come out as value, unit and text.

A refusal is a problem (RFC 9457): its `code` is one of those of `ProblemCode`, and its `id` names
the request.

A customer's address, e-mail and telephone, private notes, rates and money are the owner's: they are
left out of what any other token is answered.

Nothing here is a certificate. Figures about pressure, strength, valves and tests are indicative;
local rules and the licensed or appointed inspector decide.
"""


def document_common_parts(api: Api) -> None:
    """Describe the service, how a token is sent, and the shapes that findings and workings have."""
    api.spec.options["info"] = {
        "description": ABOUT,
        "license": {"name": "MIT", "identifier": "MIT"},
    }
    api.spec.components.security_scheme(
        "token",
        {
            "type": "http",
            "scheme": "bearer",
            "description": "Made by `clackbox token create`; scopes owner, bench, calculate.",
        },
    )
    shapes: dict[str, type[Schema]] = {
        "Finding": FindingOut,
        "JudgedFinding": JudgedFindingOut,
        "Working": WorkingOut,
    }
    for name, schema in shapes.items():
        api.spec.components.schema(name, schema=schema)
