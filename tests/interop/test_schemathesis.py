"""Generated requests for every operation that the OpenAPI document names: nothing may be found.

schemathesis builds its cases from the document alone, wrong ones included. Each answer must be no
5xx, have a declared status and media type, and a body as declared.
"""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.interop.service import ROOT, Service

CHECKS = (
    "not_a_server_error",
    "status_code_conformance",
    "content_type_conformance",
    "response_headers_conformance",
    "response_schema_conformance",
)
# Few and always the same, so that the check takes minutes and a finding comes back.
BOUNDS = ("--max-examples", "5", "--seed", "1", "--phases", "coverage,fuzzing", "--no-color")
PATIENCE = ("--request-timeout", "300")  # making a release takes its time
PARTNER, REVIEW = "/api/v1/partner/", "/api/v1/review/"


def words_for(service: Service, token: str) -> dict[tuple[str, str], str]:
    """Return real values for parameters of paths, so that more than "not found" is answered."""
    submission = json.loads((ROOT / "fixtures" / "payloads" / "submission.json").read_text())
    service.json(f"{PARTNER}submissions", token, submission)
    visit = service.json("/api/v1/visits?limit=1")["data"][0]["id"]
    pit = service.json("/api/v1/pits?limit=1")["data"][0]["id"]
    count = service.json("/api/v1/counts?limit=1")["data"][0]["id"]
    client_ref = submission["visits"][0]["client_ref"]
    return {
        ("/api/v1/visits/", "record_id"): visit,
        ("/api/v1/pits/", "record_id"): pit,
        ("/api/v1/counts/", "record_id"): count,
        ("/api/v1/fields/", "name"): "habitat",
        ("/api/v1/vocabularies/", "name"): "habitat",
        (PARTNER, "client_ref"): client_ref,
        (PARTNER, "code"): submission["visits"][0]["participant"],
        (REVIEW, "group_code"): "QVD",
        (REVIEW, "client_ref"): client_ref,
    }


def configuration(words: dict[tuple[str, str], str]) -> str:
    """Return schemathesis.toml with a value for each parameter of a path."""
    return "\n".join(
        f"[[operations]]\ninclude-path-regex = '^{path}.*{{{name}}}'\n"
        f"parameters = {{ 'path.{name}' = '{value}' }}\n"
        for (path, name), value in words.items()
    )


@pytest.mark.parametrize(
    ("paths", "holder", "scopes"),
    [
        (f"^(?!{PARTNER}|{REVIEW})", (), ()),
        (f"^{PARTNER}", ("--group", "QVD"), ("read", "submit", "withdraw")),
        (f"^{REVIEW}(?!releases)", ("--reviewer", "V2"), ("read", "review")),
        (f"^{REVIEW}releases", ("--reviewer", "S1"), ("steward",)),
        (f"^({PARTNER}|{REVIEW})", (), ()),
    ],
    ids=["open", "partner", "reviewer", "steward", "without a token"],
)
def test_schemathesis_finds_nothing(
    practice: Service, tmp_path: Path, paths: str, holder: tuple[str, ...], scopes: tuple[str, ...]
) -> None:
    document = practice.json("/api/v1/openapi.json")
    (tmp_path / "openapi.json").write_text(json.dumps(document))
    group_token = practice.token("--group", "QVD", scopes=("read", "submit"))
    (tmp_path / "schemathesis.toml").write_text(configuration(words_for(practice, group_token)))
    authorised = (
        ("-H", f"Authorization: Bearer {practice.token(*holder, scopes=scopes)}") if holder else ()
    )

    ended = subprocess.run(  # noqa: S603 -- a list, no shell
        [
            *(str(Path(sys.executable).parent / "schemathesis"), "run", "openapi.json"),
            *("--url", practice.base, "--include-path-regex", paths, *authorised),
            *("--checks", ",".join(CHECKS), "--continue-on-failure", *BOUNDS),
            *("--suppress-health-check", "all", *PATIENCE),
        ],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )

    assert ended.returncode == 0, ended.stdout + ended.stderr
    assert " 0 generated" not in ended.stdout
    assert "Test cases:" in ended.stdout
