import jsonschema
import pytest
from pydantic import Field

from holdwright.operations import OPERATIONS
from holdwright.parameters.describe import FieldDescription, describe, differences, is_relevant, schema_of
from holdwright.parameters.kinds import Parameters, PointPick, Share
from pipeline.toys import BringParameters, ClipParameters, GrowParameters


def described(parameters: type[Parameters]) -> dict[str, FieldDescription]:
    return {field.name: field for field in describe(parameters)}


def test_a_choice_shows_its_values_in_order() -> None:
    rule = described(GrowParameters)["rule"]
    assert (rule.kind, rule.choices, rule.default) == ("choice", ("factor", "height"), "factor")


def test_limits_are_read_open_and_closed() -> None:
    fields = described(GrowParameters)
    factor = fields["factor"]
    assert (factor.minimum, factor.minimum_open, factor.maximum) == (0, True, None)
    height = fields["height"]
    assert (height.minimum, height.minimum_open, height.maximum) == (1, False, 500)
    assert (height.kind, height.unit, height.optional, height.default) == ("length", "mm", True, None)


def test_limits_within_a_kind_are_read() -> None:
    class Shared(Parameters):
        infill: Share = Field(0.2, title="Infill", description="Share filled.")

    assert [(field.minimum, field.maximum) for field in describe(Shared)] == [(0, 1)]


def test_kinds_of_names_picks_and_rows() -> None:
    assert described(BringParameters)["leave_out"].kind == "names"
    fields = described(ClipParameters)
    assert (fields["spots"].kind, fields["washer"].kind, fields["washer"].rows) == ("picks", "row", "washers")


def test_relevance_follows_the_other_field() -> None:
    factor = described(GrowParameters)["factor"]
    assert is_relevant(factor, GrowParameters(rule="factor"))
    assert not is_relevant(factor, GrowParameters(rule="height"))


def test_a_type_without_a_kind_is_a_mistake() -> None:
    class Odd(Parameters):
        colour: complex = 1j

    with pytest.raises(TypeError, match="colour"):
        describe(Odd)


def test_differences_read_like_the_work_sheet() -> None:
    spot = PointPick(point=(1.0, 2.0, 3.0))
    assert differences(ClipParameters(height=18), ClipParameters(height=22)) == ("clip height 18 -> 22 mm",)
    assert differences(ClipParameters(), ClipParameters(spots=(spot,))) == ("spots 0 places -> 1 place",)
    assert differences(GrowParameters(height=5), GrowParameters(height=None)) == ("height 5 -> none",)
    assert differences(GrowParameters(), GrowParameters()) == ()


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation.name)
def test_every_operation_is_described_and_its_defaults_fit_its_schema(operation) -> None:
    fields = describe(operation.parameters)
    for field in fields:
        assert field.title, field.name
        assert field.description.endswith("."), field.name
    names = {field.name for field in fields}
    assert all(field.relevant is None or field.relevant.field in names for field in fields)
    schema = schema_of(operation.parameters)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(operation.parameters().model_dump(mode="json"), schema)
