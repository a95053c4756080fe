"""A marshmallow schema that tells what is wrong as faults with codes, and that reads an object by what is in it."""

from collections.abc import Mapping
from functools import cached_property
from typing import Any
from typing import Final

from marshmallow import RAISE
from marshmallow import Schema
from marshmallow import ValidationError

from sccr.schema.fields import MISSING
from sccr.schema.fields import NULL
from sccr.schema.fields import Strict
from sccr.schema.problems import WHOLE
from sccr.schema.problems import Fault
from sccr.schema.problems import Found
from sccr.schema.problems import found
from sccr.schema.problems import shown
from sccr.schema.quick import ObjectTable
from sccr.schema.quick import Reading
from sccr.schema.quick import Table

_UNKNOWN: Final = Fault("unknown-field", "is not a field here")
#: Nothing here has more than forty.
_MOST_MEMBERS: Final = 1_000
_TOO_MANY: Final = Fault("too-many-fields", f"has more than {_MOST_MEMBERS} fields, most of which are none here")
NO_OBJECT: Final = Fault("not-an-object", 'is not an object; write it in braces, such as {"id": "-QA1"}')


class StrictSchema(Schema):
    """Base of the schemas here.

    `load` is marshmallow's. It visits every field declared, and a component has thirty, of which a document states
    nine or so; `read` gives the same result and visits those nine, in a seventh of the time.
    """

    class Meta:
        """A misspelt rating must not vanish."""

        unknown = RAISE

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.error_messages = {"unknown": _UNKNOWN, "type": NO_OBJECT}
        declared = {name: field for name, field in self.load_fields.items() if isinstance(field, Strict)}
        self._readers = {name: field.read for name, field in declared.items()}
        self._required = tuple(name for name, field in declared.items() if field.required)
        self._names = tuple(self._readers)

    def read(self, value: Any) -> Any:
        """Return what the object stands for; raise a ValidationError with everything that is wrong with it."""
        if not isinstance(value, dict):
            raise ValidationError({WHOLE: [NO_OBJECT]})
        if len(value) > _MOST_MEMBERS:
            raise ValidationError({WHOLE: [_TOO_MANY]})
        data: dict[str, Any] = {}
        errors: dict[Any, Any] = {}
        readers = self._readers
        for name, member in value.items():
            read = readers.get(name)
            if read is None:
                errors[_token(name)] = [self._unknown(name)]
                continue
            try:
                data[name] = read(member)
            except ValidationError as error:
                errors[name] = [NULL] if member is None else error.messages
        for name in self._required:
            if name not in value:
                errors[name] = [MISSING]
        if errors:
            raise ValidationError(errors, valid_data=data)
        return self.make(data)

    @cached_property
    def quick(self) -> Table:
        """The table of the right objects, made of what is declared when it is first asked for."""
        if type(self).read is not StrictSchema.read:
            return Reading(self.read)
        members = {name: field.quick() for name, field in self.load_fields.items() if isinstance(field, Strict)}
        makes = type(self).make is not StrictSchema.make
        return ObjectTable(members, self._required, self.make if makes else None)

    def all_of(self, document: Any) -> tuple[Mapping[str, Any], list[Found]]:
        """Return the members of a whole document that can be read, and everything that is wrong with the others."""
        if not isinstance(document, dict):
            return {}, list(found({WHOLE: [NO_OBJECT]}))
        if len(document) > _MOST_MEMBERS:
            return {}, list(found({WHOLE: [_TOO_MANY]}))
        try:
            return self.load(document), []
        except ValidationError as error:
            return error.valid_data, list(found(error.messages))  # type: ignore[return-value]  # an object gives one

    def make(self, data: dict[str, Any]) -> Any:
        """Return what the members stand for together; raise a ValidationError where they contradict each other."""
        return data

    def handle_error(self, error: ValidationError, data: Any, *, many: bool, **kwargs: Any) -> None:
        """Complete marshmallow's own messages about fields that it does not know."""
        if isinstance(data, dict) and isinstance(error.messages, dict):
            for name in data.keys() - self._readers.keys():
                error.messages.pop(name, None)
                error.messages[_token(name)] = [self._unknown(name)]

    def _unknown(self, name: object) -> Fault:
        word = name if isinstance(name, str) else None
        return Fault("unknown-field", f"{shown(name)} is not a field here", word, self._names)


def _token(name: object) -> object:
    """Return the name of a member as it stands in a path: a number there is a place in a list, never a name."""
    return name if isinstance(name, str) else (name,)


class Object(Strict):
    """An object, read by a schema."""

    def __init__(self, schema: StrictSchema, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._schema = schema

    def read(self, value: Any) -> Any:
        """Return what the object stands for."""
        return self._schema.read(value)

    def quick(self) -> Table:
        """Return the table of the right objects."""
        return self._schema.quick


def refused(faults: Mapping[str, Fault]) -> ValidationError:
    """Return the error of an object with these faults, by member."""
    return ValidationError({name: [fault] for name, fault in faults.items()})
