"""No relation crosses the boundary, neither by class nor by string; no code reaches over it."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.conf import settings

ROOT = Path(settings.BASE_DIR)
OPEN_CODE = ("api/open", "api/harvest", "portal/records", "portal/archive", "portal/pages")
BY_STRING = {"get_model", "import_module", "__import__", "import_string"}
MODELS = [
    model for label in ("portal", "surveys") for model in apps.get_app_config(label).get_models()
]


def relations(model: Any) -> Iterator[tuple[str, str]]:
    """Yield field and label of the app of each relation, forwards and backwards."""
    for field in model._meta.get_fields(include_hidden=True):
        related = getattr(field, "related_model", None)
        if related is not None:
            label = related if isinstance(related, str) else related._meta.label
            yield field.name, label.partition(".")[0]


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model._meta.label)
def test_relation_stays_on_its_side(model: Any) -> None:
    own = model._meta.app_label
    allowed = {"portal": {"portal"}, "surveys": {"surveys", "auth"}}[own]

    crossing = {(name, label) for name, label in relations(model) if label not in allowed}

    assert crossing == set()


def test_both_sides_have_models_and_relations() -> None:
    """The check above must have something to check."""
    found = {(model._meta.app_label, label) for model in MODELS for _, label in relations(model)}

    assert found == {("portal", "portal"), ("surveys", "surveys"), ("surveys", "auth")}


def sources() -> list[Path]:
    return sorted(path for folder in OPEN_CODE for path in (ROOT / folder).rglob("*.py"))


def docstrings(tree: ast.AST) -> set[int]:
    """Return the identities of the constants that are docstrings."""
    found = set()
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        if isinstance(body, list) and body and isinstance(body[0], ast.Expr):
            found.add(id(body[0].value))
    return found


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(ROOT)))
def test_open_code_names_no_private_module_or_table(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped = docstrings(tree)
    texts = [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in skipped
    ]
    names = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
    names |= {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}

    assert not [text for text in texts if "surveys" in text or "siteplacement" in text.lower()]
    assert not names & (BY_STRING | {"raw", "SitePlacement", "RawSQL"})


def test_open_code_is_found() -> None:
    assert len(sources()) > 30
