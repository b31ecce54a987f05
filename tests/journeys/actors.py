"""The people of the stories: each talks to the service by HTTP and nothing else."""

import copy
import io
import json
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.test import Client
from django.utils import timezone

from surveys.people.models import Group, Reviewer
from surveys.people.operations import issue_token, register_group
from surveys.people.wording import library as statements
from surveys.people.wording import load_statement
from surveys.protocol.definition import library
from surveys.protocol.operations import load_protocol

EXAMPLE = Path(settings.BASE_DIR) / "fixtures" / "payloads" / "submission.json"
JSON = "application/json"


class Actor:
    """Somebody with or without a token."""

    def __init__(self, secret: str = "") -> None:
        self.client = Client()
        self.headers = {"Authorization": f"Bearer {secret}"} if secret else {}

    def get(self, address: str, **headers: str) -> Any:
        """Ask for an address, absolute ones by their path."""
        parts = urlsplit(address)
        path = parts.path + (f"?{parts.query}" if parts.query else "")
        return self.client.get(path, headers=self.headers | headers)

    def post(self, address: str, body: Any = None, **headers: str) -> Any:
        """Send JSON."""
        return self.client.post(
            address, json.dumps(body or {}), content_type=JSON, headers=self.headers | headers
        )

    def put(self, address: str, body: Any, **headers: str) -> Any:
        """Replace with JSON."""
        return self.client.put(
            address, json.dumps(body), content_type=JSON, headers=self.headers | headers
        )

    def delete(self, address: str, body: Any = None, **headers: str) -> Any:
        """Delete; a body is sent only if there is one."""
        sent = "" if body is None else json.dumps(body)
        return self.client.delete(address, sent, content_type=JSON, headers=self.headers | headers)

    def pages(self, address: str) -> Iterator[dict[str, Any]]:
        """Follow the links to the last page."""
        following: str | None = address
        while following:
            page = self.get(following).json()
            yield page
            following = page["links"]["next"]

    def rows(self, address: str) -> list[dict[str, Any]]:
        """Return the rows of all pages."""
        return [row for page in self.pages(address) for row in page["data"]]

    def download(self, address: str) -> io.BytesIO:
        """Return the bytes of a file."""
        response = self.get(address)
        assert response.status_code == 200, response.status_code
        return io.BytesIO(b"".join(response.streaming_content))


def office() -> tuple[Group, Actor, Actor, Actor]:
    """Set up what the office does: protocols, statements, a group, a reviewer, a steward."""
    now = timezone.now() - timedelta(days=1)
    for protocol in library():
        load_protocol(protocol, at=now)
    for statement in statements():
        load_statement(statement, at=now)
    group = register_group(
        code="QVD",
        name="Quellmoor Village Diggers",
        named_publicly=True,
        box=(Decimal("-0.9"), Decimal("52.6"), Decimal("-0.3"), Decimal("52.95")),
        at=now,
    )
    reviewer = Reviewer.objects.create(code="V1")
    steward = Reviewer.objects.create(code="S1", is_steward=True)

    def actor(holder: Group | Reviewer, *scopes: str) -> Actor:
        return Actor(issue_token(holder=holder, name="story", scopes=scopes, at=now)[1])

    return (
        group,
        actor(group, "read", "submit", "withdraw"),
        actor(reviewer, "review"),
        actor(steward, "steward"),
    )


def garden_visit(number: int) -> dict[str, Any]:
    """Return the documented example as the visit of one household of a village."""
    visit: dict[str, Any] = copy.deepcopy(json.loads(EXAMPLE.read_text())["visits"][0])
    visit["client_ref"] = f"QVD-S{number:02}"
    visit["participant"] = f"QVD-{number:02}"
    visit["site"] |= {
        "code": f"garden-{number}",
        "latitude": 52.881234 + number * 0.000937,
        "longitude": -0.715432,
    }
    visit["pits"][0]["phases"][0]["counts"][3]["number"] = number
    del visit["pits"][0]["total"]
    return visit
