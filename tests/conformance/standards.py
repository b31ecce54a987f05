"""Where copies of the standards lie on a developer's machine; the default run needs none."""

from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from lxml import etree

PROJECT_ROOT = Path(settings.BASE_DIR)
SHARED = PROJECT_ROOT.parent / "shared"
REFERENCE = PROJECT_ROOT / "fixtures" / "reference"

needs_shared = pytest.mark.skipif(not SHARED.is_dir(), reason="no copies of the standards here")


def schema(path: str) -> Any:
    """Return a compiled XML schema of the kit; nothing is fetched."""
    parser = etree.XMLParser(no_network=True)
    return etree.XMLSchema(etree.parse(str(SHARED / "standards" / path), parser))


def violations(path: str, document: bytes) -> list[str]:
    """Return what a schema says against a document."""
    rules = schema(path)
    rules.validate(etree.fromstring(document))
    return [str(violation) for violation in rules.error_log]
