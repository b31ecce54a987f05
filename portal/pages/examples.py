"""Examples to copy; a test runs each of them."""

from dataclasses import dataclass

from portal.records.models import Release


@dataclass(frozen=True)
class Example:
    """What to do, the address, and the command to copy."""

    title: str
    explanation: str
    path: str
    command: str


SEND = (
    'curl -H "Authorization: Bearer $TOKEN" -H "Content-Type: application/json" '
    '--data @fixtures/payloads/submission.json "{}"'
)


def examples(public_url: str, release: Release | None) -> list[Example]:
    """Return the examples of the home page."""
    number = release.number if release else 1
    wanted = [
        (
            "Records",
            "Pits of one habitat, found in spring, as JSON. Follow links.next for more.",
            "/api/v1/pits?habitat=lawn&season=spring&limit=5",
            'curl "{}"',
        ),
        (
            "Table",
            "Counts of adults as CSV, ready for a spreadsheet or a script.",
            "/api/v1/counts?stage=adult&fields=sampled_on,habitat,group,number&f=csv",
            'curl "{}"',
        ),
        (
            "Darwin Core names",
            "The same counts as occurrences, zeros as absences.",
            "/api/v1/occurrences?limit=5",
            'curl "{}"',
        ),
        (
            "Densities",
            "Animals per square metre by habitat, with number of pits and interval.",
            "/api/v1/summary?by=habitat",
            'curl "{}"',
        ),
        (
            "What the fields mean",
            "Definition, unit, allowed words and the meaning of null.",
            "/api/v1/fields",
            'curl "{}"',
        ),
        (
            "Releases and files",
            "Every release with its rules, its files and their checksums.",
            f"/api/v1/releases/{number}",
            'curl "{}"',
        ),
        (
            "What changed",
            "Ids added, changed and removed by a release, and withdrawn since.",
            f"/api/v1/releases/{number}/changes",
            'curl "{}"',
        ),
        (
            "Catalogue",
            "The dataset, its releases, files and services as DCAT 3, here as Turtle.",
            "/catalogue?f=ttl",
            'curl "{}"',
        ),
        (
            "Citation",
            "How to cite a release, here for BibTeX; also ris, csl, cff and txt.",
            f"/releases/{number}/citation?f=bib",
            'curl "{}"',
        ),
        (
            "Send visits",
            "For partner groups: a rehearsal that stores nothing. Needs your token.",
            "/api/v1/partner/submissions?dry_run=true",
            SEND,
        ),
    ]
    return [
        Example(title, text, path, command.format(public_url + path))
        for title, text, path, command in wanted
    ]
