"""Where copies of the standards lie on a developer's machine; the default run needs none."""

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
import xmlschema
from django.conf import settings
from lxml import etree

PROJECT_ROOT = Path(settings.BASE_DIR)
Judge = Callable[[str, bytes], list[str]]
SHARED = PROJECT_ROOT.parent / "shared"
REFERENCE = PROJECT_ROOT / "fixtures" / "reference"

needs_shared = pytest.mark.skipif(not SHARED.is_dir(), reason="no copies of the standards here")


@lru_cache
def schema(path: str) -> Any:
    """Return a compiled XML schema of the kit; nothing is fetched."""
    parser = etree.XMLParser(no_network=True)
    return etree.XMLSchema(etree.parse(str(SHARED / "standards" / path), parser))


def violations(path: str, document: bytes) -> list[str]:
    """Return what a schema says against a document."""
    rules = schema(path)
    rules.validate(etree.fromstring(document))
    return [str(violation) for violation in rules.error_log]


@lru_cache
def second_schema(path: str) -> Any:
    """Return a schema of the kit compiled by another engine; nothing is fetched."""
    return xmlschema.XMLSchema(SHARED / "standards" / path, allow="local")


def second_opinion(path: str, document: bytes) -> list[str]:
    """Return what the other engine says against a document."""
    return [str(fault.reason) for fault in second_schema(path).iter_errors(document)]
