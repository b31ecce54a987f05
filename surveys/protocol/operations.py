"""Load protocol files into the database."""

import hashlib
import json
from datetime import datetime

from surveys.protocol.definition import Protocol
from surveys.protocol.models import ProtocolVersion


class ProtocolChanged(Exception):  # noqa: N818 -- reads as what happened
    """A stored version would change; records made under it would lose their meaning."""


def load_protocol(protocol: Protocol, *, at: datetime) -> ProtocolVersion:
    """Store a protocol version once.

    Raises
    ------
    ProtocolChanged
        If the same key and version is stored with another content.
    """
    definition = protocol.model_dump(mode="json")
    text = json.dumps(definition, sort_keys=True, ensure_ascii=False)
    sha256 = hashlib.sha256(text.encode()).hexdigest()
    stored, _ = ProtocolVersion.objects.get_or_create(
        key=protocol.key,
        version=protocol.version,
        defaults={
            "valid_from": protocol.valid_from,
            "definition": definition,
            "sha256": sha256,
            "loaded_at": at,
        },
    )
    if stored.sha256 != sha256:
        msg = f"{stored} is already stored with other rules: give the new rules a new version."
        raise ProtocolChanged(msg)
    return stored
