"""What is changed in the OpenAPI document after it was made.

`const` and an `enum` of one value say the same: JSON Schema 2020-12, Validation, section 6.1.3.
"""

import pytest
from jsonschema import Draft202012Validator

from api.schema import choices_as_enums

NUMBER = {"anyOf": [{"type": "integer"}, {"const": "not_looked_for"}, {"type": "null"}]}


@pytest.mark.parametrize(
    "value", [0, 7, "not_looked_for", None, "0", "not looked for", 1.5], ids=repr
)
def test_choices_as_enums_keeps_what_a_schema_takes(value: object) -> None:
    written = choices_as_enums({"properties": {"number": NUMBER}})["properties"]["number"]

    before, after = Draft202012Validator(NUMBER), Draft202012Validator(written)
    assert after.is_valid(value) == before.is_valid(value)


def test_choices_as_enums_leaves_no_const() -> None:
    assert choices_as_enums(NUMBER) == {
        "anyOf": [{"type": "integer"}, {"enum": ["not_looked_for"]}, {"type": "null"}]
    }
