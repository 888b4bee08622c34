"""The words that stand for something on the wire, and what each of them means."""

from collections.abc import Collection, Mapping
from importlib.resources import files
from typing import Any

from flask_smorest import Api
from marshmallow import fields, validate

from service.engineering.data_files import read_rows
from service.engineering.threads.catalogue import families

Vocabulary = Mapping[str, str]


def _read_vocabularies() -> dict[str, dict[str, str]]:
    """The words of the table, and the families of threads, which the catalogue names."""
    read: dict[str, dict[str, str]] = {
        "ThreadFamily": {family.key: family.name for family in families()}
    }
    table = (files("service.api") / "vocabularies.csv").read_text(encoding="utf-8")
    for row in read_rows(table):
        read.setdefault(row["vocabulary"], {})[row["word"]] = row["meaning"]
    return dict(sorted(read.items()))


VOCABULARIES: Mapping[str, Vocabulary] = _read_vocabularies()


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
