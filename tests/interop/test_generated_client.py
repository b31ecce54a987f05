"""A client generated from the OpenAPI document: a read, a good submission and a bad one.

The document is all it knows, so what it can call and parse is what the document really says.
"""

import subprocess
import sys
from collections.abc import Callable, Iterator
from importlib import import_module
from types import ModuleType
from typing import Any

import httpx
import pytest
from django.core.handlers.wsgi import WSGIHandler
from django.test import Client as Browser

from tests.api.holders import partner
from tests.factories.private import put, visit_payload
from tests.factories.published import small_release

pytestmark = [pytest.mark.slow, pytest.mark.django_db]

NAME = "generated_client"
# Nothing that formats what is read once; which bodies are bytes the generator has to be told.
CONFIGURATION = """
post_hooks: []
content_type_overrides:
  image/jpeg: application/octet-stream
  text/csv: application/octet-stream
  application/x-ndjson: application/octet-stream
  application/zip: application/octet-stream
  application/vnd.openxmlformats-officedocument.spreadsheetml.sheet: application/octet-stream
"""
NEGATIVE = "/pits/0/phases/0/counts/0/number"

Part = Callable[[str], ModuleType]


@pytest.fixture(scope="module")
def part(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Part]:
    """Generate the client, and return how to get a module of it."""
    folder = tmp_path_factory.mktemp("client")
    (folder / "openapi.json").write_bytes(Browser().get("/api/v1/openapi.json").content)
    (folder / "config.yaml").write_text(CONFIGURATION)
    ended = subprocess.run(  # noqa: S603 -- a list, no shell
        [
            *(sys.executable, "-m", "openapi_python_client", "generate", "--meta", "none"),
            *("--path", str(folder / "openapi.json"), "--output-path", str(folder / NAME)),
            *("--config", str(folder / "config.yaml"), "--fail-on-warning"),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 0, ended.stdout + ended.stderr
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(folder)
        yield lambda name: import_module(f"{NAME}.{name}")


@pytest.fixture
def here() -> dict[str, Any]:
    """Return what makes the client talk to this process, without a socket."""
    transport = httpx.WSGITransport(app=WSGIHandler())
    return {"base_url": "http://testserver", "httpx_args": {"transport": transport}}


@pytest.fixture
def sender(part: Part, here: dict[str, Any]) -> Any:
    """Return the client with a group's token."""
    _, caller = partner()
    secret = caller.headers["Authorization"].removeprefix("Bearer ")
    return part("client").AuthenticatedClient(token=secret, **here)


def test_generated_client_reads(part: Part, here: dict[str, Any]) -> None:
    small_release()

    answer = part("api.read.list_pits").sync(client=part("client").Client(**here), limit=2)

    wanted = Browser().get("/api/v1/pits?limit=2").json()
    assert len(wanted["data"]) == 2
    assert answer.to_dict() == wanted


def test_generated_client_sends_a_good_submission(part: Part, sender: Any) -> None:
    body = part("models").BatchIn.from_dict({"visits": [visit_payload()]})

    answer = part("api.partner.send_submission").sync(client=sender, body=body)

    assert answer.summary.to_dict()["stored"] == 1


def test_generated_client_parses_what_is_wrong_with_a_bad_submission(
    part: Part, sender: Any
) -> None:
    wrong = put(visit_payload(), NEGATIVE, -1)
    models = part("models")

    answer = part("api.partner.send_submission").sync_detailed(
        client=sender,
        body=models.BatchIn.from_dict({"visits": [wrong]}),
        on_error=models.SendSubmissionOnError.ABORT,
    )

    assert answer.status_code == 422
    assert isinstance(answer.parsed, models.Problem)
    assert answer.parsed.type_.endswith("/problems/invalid-records")
    (fault,) = answer.parsed.errors
    assert isinstance(fault, models.Fault)
    assert fault.pointer == f"/visits/0{NEGATIVE}"
    assert (fault.code, fault.received) == ("count-out-of-range", -1)
