"""A catalogue as text; the same graph gives the same text."""

import json
from typing import Any

from rdflib import Graph


def turtle(graph: Graph) -> str:
    """Return a graph as Turtle."""
    return graph.serialize(format="turtle")


def json_ld(graph: Graph) -> str:
    """Return a graph as JSON-LD; its context lies in it, so that nobody must fetch one."""
    context = {prefix: str(namespace) for prefix, namespace in graph.namespaces()}
    document = json.loads(graph.serialize(format="json-ld", context=context))
    return json.dumps(_in_order(document), ensure_ascii=False, indent=2) + "\n"


def _in_order(node: Any) -> Any:
    """Return a document whose sets, written as lists, stand in one order."""
    if isinstance(node, dict):
        return {name: _in_order(node[name]) for name in sorted(node)}
    if isinstance(node, list):
        return sorted((_in_order(each) for each in node), key=_sort_key)
    return node


def _sort_key(node: Any) -> str:
    return node["@id"] if "@id" in node else json.dumps(node, sort_keys=True)
