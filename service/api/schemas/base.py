"""The two bases of every schema: what comes in is strict, what goes out is not."""

from collections.abc import Mapping
from typing import Any, ClassVar

from marshmallow import INCLUDE, RAISE, Schema, fields, missing, pre_load
from marshmallow.validate import Range

from service.api.access import sees_all
from service.api.fields import Listed, Moment, Whole, Words
from service.api.paging import LARGEST_ID


class In(Schema):
    """A body coming in: a member that no field bears is refused."""

    class Meta:
        """Refuse unknown members."""

        unknown = RAISE


class Asked(In):
    """A question: null and absent mean the same for whatever may be left out.

    Of a noun's members, all of which may be left out of a patch, `NEEDED` are those that a new one
    must have, and `TAKEN` what the others are without.
    """

    NEEDED: ClassVar[tuple[str, ...]] = ()
    TAKEN: ClassVar[Mapping[str, Any]] = {}

    def on_bind_field(self, field_name: str, field_obj: fields.Field[Any]) -> None:
        """Let the description say so."""
        field_obj.required = field_obj.required or field_name in self.NEEDED
        field_obj.load_default = self.TAKEN.get(field_name, field_obj.load_default)
        if not field_obj.required:
            field_obj.allow_none = True

    @pre_load
    def leave_out_nulls(self, data: Any, **_: Any) -> Any:
        """Let the default be taken where null was sent."""
        if not isinstance(data, Mapping):
            return data
        return {name: value for name, value in data.items() if not self._is_left_out(name, value)}

    def _is_left_out(self, name: str, value: Any) -> bool:
        return value is None and name in self.fields and not self.fields[name].required


class Out(Schema):
    """A record going out: fields may be added without breaking a strict client."""

    class Meta:
        """Let the description say that more may come."""

        unknown = INCLUDE


class PartlyOwners(Out):
    """A record of which some members are the owner's: addresses, private notes, rates and money.

    For anybody else they are left out, and not null, which would say that nothing is known.
    """

    OWNERS: ClassVar[tuple[str, ...]] = ()

    def on_bind_field(self, field_name: str, field_obj: fields.Field[Any]) -> None:
        """Let the description say so."""
        if field_name in self.OWNERS:
            field_obj.required = False
            told = {"description": "left out for whoever is not the owner"}
            field_obj.metadata = {**field_obj.metadata, **told}

    def get_attribute(self, obj: Any, attr: str, default: Any) -> Any:
        """The value of a member; for whoever may not see it, none."""
        if attr in self.OWNERS and not sees_all():
            return missing
        return super().get_attribute(obj, attr, default)

    @classmethod
    def as_seen(cls, shown: dict[str, Any]) -> dict[str, Any]:
        """A record that was shown in full, as this asker may see it."""
        if sees_all():
            return shown
        return {name: value for name, value in shown.items() if name not in cls.OWNERS}


class RecordOut(Out):
    """What every versioned record shows."""

    id = fields.Integer(required=True, metadata={"example": 1})
    version = fields.Integer(required=True, metadata={"example": 1})
    created_at = Moment(required=True)
    updated_at = Moment(required=True)


def record_id(**kwargs: Any) -> Whole:
    """A field that names another record."""
    return Whole(validate=Range(1, LARGEST_ID), **kwargs)


class Many(Listed):
    """From `least` to `most` of a thing; a tuple inside."""

    def __init__(
        self, item: type[Schema] | fields.Field[Any], least: int, most: int, **kwargs: Any
    ) -> None:
        inner = item if isinstance(item, fields.Field) else fields.Nested(item)
        super().__init__(inner, least=least, most=most, **kwargs)

    def _deserialize(self, *args: Any, **kwargs: Any) -> Any:
        return tuple(super()._deserialize(*args, **kwargs))


def page_of(schema: type[Schema], name: str) -> type[Schema]:
    """The envelope of a list of `schema`."""
    return Out.from_dict(
        {
            "items": fields.List(fields.Nested(schema), required=True),
            "next": Words(
                required=True,
                allow_none=True,
                metadata={"description": "relative address of the next page; null on the last"},
            ),
            "next_cursor": fields.Integer(
                required=True,
                allow_none=True,
                metadata={"description": "what to send as `cursor` for the next page"},
            ),
        },
        name=name,
    )
