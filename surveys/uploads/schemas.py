"""JSON Schema of a visit under one protocol version: the payload's own, with its allowed values."""

import copy
from typing import Any

from surveys.intake.payload import VisitIn
from surveys.protocol.definition import PhaseRule, Protocol

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def visit_schema(protocol: Protocol, address: str) -> dict[str, Any]:
    """Return the schema; ``address`` is where it stands.

    It says what a visit may hold. Some rules look at several values at once, at what the group
    sent before, or at the plausible range: only the service can check those.
    """
    schema = copy.deepcopy(VisitIn.model_json_schema())
    definitions = schema["$defs"]
    schema["properties"]["protocol"]["const"] = protocol.name
    pit = definitions["PitIn"]
    pit["required"] = sorted({*pit["required"], *protocol.required_on_pit})
    for name in protocol.required_on_pit:
        pit["properties"][name] = _not_null(pit["properties"][name])
    performed = [rule for rule in protocol.phases if rule.performed]
    pit["properties"]["phases"]["items"] = {"oneOf": [_phase(rule) for rule in performed]}
    pit["properties"]["phases"]["maxItems"] = len(performed)
    definitions["CountIn"]["oneOf"] = [
        {
            "properties": {
                "group": {"const": line.group.value},
                "stage": {"const": line.stage.value},
                "taxon": {"const": line.taxon},
            },
            **({"required": ["taxon"]} if line.taxon else {}),
        }
        for line in protocol.categories
    ]
    title = f"A visit under {protocol.name}: {protocol.title}"
    return {"$schema": DIALECT, "$id": address} | schema | {"title": title}


def _phase(rule: PhaseRule) -> dict[str, Any]:
    return {
        "allOf": [
            {"$ref": "#/$defs/PhaseIn"},
            {"properties": {"kind": {"const": rule.kind.value}}},
        ]
    }


def _not_null(part: dict[str, Any]) -> dict[str, Any]:
    if "anyOf" not in part:
        return part
    kept = [one for one in part["anyOf"] if one.get("type") != "null"]
    return {name: value for name, value in part.items() if name != "default"} | {"anyOf": kept}
