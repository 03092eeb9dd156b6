"""A physical figure as it is written down: a value, its doubt and how it is known.

`Q` is what the JSON interface, the forms, the CSV files and the stored records share. The
aliases below it add what physics asks of a sign or a range; they refuse nothing else.
"""

import math
from collections.abc import Mapping
from typing import Annotated, Any, cast

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    SerializerFunctionWrapHandler,
    model_serializer,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError

from app.documents.text import Line, Moment
from app.mechanics.inputs import How, Quantity

LARGEST = 1e9
"""Nothing in a clutch is larger in the units used here; beyond it a figure is a slip of the pen."""


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise PydanticCustomError("number", "Write a number without quotes, like 12.5.")
    if abs(value) > LARGEST or math.isnan(value):  # an int too large for a float stops here too
        raise PydanticCustomError(
            "number_size", "Write a number between -1000000000 and 1000000000."
        )
    return float(value)


def _count(value: Any) -> int:
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if isinstance(value, bool) or not isinstance(value, int):
        raise PydanticCustomError("count", "Write a whole number, like 6.")
    if abs(value) > 1_000_000:
        raise PydanticCustomError("count_size", "Write a whole number up to 1000000.")
    return value


def no_bool(value: Any) -> Any:
    """True equals 1 among allowed whole numbers; as an answer to "how many" it is no number."""
    return str(value) if isinstance(value, bool) else value


def _above_zero(value: float) -> float:
    if value <= 0:
        raise PydanticCustomError("above_zero", "Write a number above 0.")
    return value


def _not_negative(value: float) -> float:
    if value < 0:
        raise PydanticCustomError("not_negative", "Write 0 or a number above it.")
    return value


def _fraction(value: float) -> float:
    if not 0 <= value < 1:
        raise PydanticCustomError("fraction", "Write a fraction from 0 to below 1; 0.02 is 2 %.")
    return value


def _one_or_more(value: int) -> int:
    if value < 1:
        raise PydanticCustomError("one_or_more", "Write 1 or a whole number above it.")
    return value


Number = Annotated[float, BeforeValidator(_number)]
PositiveNumber = Annotated[
    Number, AfterValidator(_above_zero), Field(json_schema_extra={"exclusiveMinimum": 0})
]
NonNegativeNumber = Annotated[
    Number, AfterValidator(_not_negative), Field(json_schema_extra={"minimum": 0})
]
Fraction = Annotated[
    Number,
    AfterValidator(_fraction),
    Field(json_schema_extra={"minimum": 0, "exclusiveMaximum": 1}),
]
Count = Annotated[
    int,
    BeforeValidator(_count),
    AfterValidator(_one_or_more),
    Field(json_schema_extra={"minimum": 1}),
]
CountOrNone = Annotated[
    int,
    BeforeValidator(_count),
    AfterValidator(_not_negative),
    Field(json_schema_extra={"minimum": 0}),
]


class Q(BaseModel):
    """A figure with its doubt: a bare number is exact; otherwise say how far it may be off.

    `plus_minus` is a limit (rectangular, u = a/√3, JCGM 100:2008 4.3.7), `std` a standard
    uncertainty; one of the two at most. With `how` and neither, the usual doubt of that kind of
    figure is used. The keys after `how` say where the figure came from and do not change it.
    """

    model_config = ConfigDict(extra="ignore", frozen=True, title="Quantity")

    value: Number = Field(description="The figure, in the unit that the field's name ends with.")
    plus_minus: NonNegativeNumber | None = Field(
        default=None, description="Half-width of the limits, in the same unit; 0 is exact."
    )
    std: NonNegativeNumber | None = Field(
        default=None, description="Standard uncertainty, in the same unit."
    )
    how: How | None = Field(
        default=None, description="How it is known: measured, listed, estimated or assumed."
    )
    typed: Line = Field(default=None, description="The figure as it was typed, with its unit.")
    typed_doubt: Line = Field(default=None, description="The doubt as it was typed.")
    by: Line = Field(default=None, description="Who measured it or read it off.")
    at: Moment = Field(default=None, description="When, as year-month-day.")
    with_what: Line = Field(default=None, description="The instrument or the page it is from.")
    default_doubt: bool = Field(
        default=False, strict=True, description="True when the doubt is the usual one of its kind."
    )

    @model_validator(mode="before")
    @classmethod
    def _bare_number(cls, raw: Any) -> Any:
        if isinstance(raw, Mapping | Q):
            return raw
        if isinstance(raw, bool) or not isinstance(raw, int | float):
            raise PydanticCustomError(
                "quantity",
                'Write a number, like 12.5, or an object like {"value": 12.5, "plus_minus": 0.1}.',
            )
        return {"value": _number(raw)}

    @model_validator(mode="after")
    def _one_doubt(self) -> "Q":
        if self.plus_minus is not None and self.std is not None:
            raise PydanticCustomError(
                "two_doubts",
                "Give plus_minus (a limit) or std (a standard uncertainty), not both.",
            )
        return self

    @model_serializer(mode="wrap")
    def _short(self, handler: SerializerFunctionWrapHandler) -> Any:
        """A bare number when there is nothing but the value; else only the keys that are given."""
        full = {k: v for k, v in handler(self).items() if v is not None and v is not False}
        return full["value"] if len(full) == 1 else full

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        schema = handler(_without_serializer(core))
        written = handler.resolve_ref_schema(schema)
        as_object = {k: v for k, v in written.items() if k not in ("title", "description")}
        text = written.get("description", "")
        written.clear()
        written.update(title="Quantity", description=text, anyOf=[{"type": "number"}, as_object])
        return schema

    def to_quantity(self) -> Quantity:
        """The same figure as the mechanics take it."""
        return Quantity(self.value, self.plus_minus, self.std, self.how)


def _without_serializer(core: CoreSchema) -> CoreSchema:
    """The core schema with the short written form left out, so that both directions read alike."""
    plain: dict[str, Any] = {k: v for k, v in core.items() if k != "serialization"}
    if isinstance(plain.get("schema"), dict) and plain["type"] != "model-fields":
        plain["schema"] = _without_serializer(plain["schema"])
    return cast("CoreSchema", plain)


def _doubt_below_value(q: Q) -> Q:
    if q.plus_minus is not None and q.plus_minus >= abs(q.value):
        raise PydanticCustomError(
            "doubt_too_large",
            "Write a doubt smaller than the value itself: this figure can't reach 0.",
        )
    return q


def _positive(q: Q) -> Q:
    _above_zero(q.value)
    return _doubt_below_value(q)


def _zero_or_more(q: Q) -> Q:
    _not_negative(q.value)
    return q


def _share(q: Q) -> Q:
    _fraction(q.value)
    return q


def _efficiency(q: Q) -> Q:
    if not 0 < q.value <= 1:
        raise PydanticCustomError(
            "efficiency", "Write an efficiency above 0 and up to 1; 0.96 is 96 %."
        )
    return _doubt_below_value(q)


def _ramp(q: Q) -> Q:
    if not 0 < q.value < 90:
        raise PydanticCustomError("ramp", "Write an angle above 0 and below 90 degrees.")
    return _doubt_below_value(q)


def _poisson(q: Q) -> Q:
    if not 0 <= q.value <= 0.5:
        raise PydanticCustomError(
            "poisson", "Write Poisson's ratio between 0 and 0.5; steel has about 0.3."
        )
    return q


PositiveQ = Annotated[Q, AfterValidator(_positive)]
ZeroOrMoreQ = Annotated[Q, AfterValidator(_zero_or_more)]
FractionQ = Annotated[Q, AfterValidator(_share)]
EfficiencyQ = Annotated[Q, AfterValidator(_efficiency)]
RampAngleQ = Annotated[Q, AfterValidator(_ramp)]
PoissonQ = Annotated[Q, AfterValidator(_poisson)]
