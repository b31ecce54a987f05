"""Every fault of a sent visit: what is changed in a sound one, and where which fault is told."""

from dataclasses import dataclass
from typing import Any

from tests.factories.private import (
    Payload,
    counts_payload,
    pit_payload,
    put,
    visit_payload,
    without,
)

GONE = object()
PIT, STEP, LINE = "/pits/0", "/pits/0/phases/0", "/pits/0/phases/0/counts/0"


@dataclass(frozen=True)
class Case:
    """A change at a place of a sound visit, and the one fault that it makes."""

    at: str
    value: Any
    code: str
    told_at: str = ""

    @property
    def pointer(self) -> str:
        """Return where the fault is told."""
        return self.told_at or self.at

    @property
    def payload(self) -> Payload:
        """Return the visit with the change."""
        if self.value is GONE:
            return without(visit_payload(), self.at)
        return put(visit_payload(), self.at, self.value)

    def __str__(self) -> str:
        shown = "gone" if self.value is GONE else ascii(self.value)[:40]
        return f"{self.at} {shown}"


READING = (
    Case("/client_ref", GONE, "field-missing"),
    Case("/site", GONE, "field-missing"),
    Case("/site/code", GONE, "field-missing"),
    Case(f"{PIT}/habitat", GONE, "field-missing"),
    Case(f"{STEP}/done", GONE, "field-missing"),
    Case(f"{LINE}/number", GONE, "field-missing"),
    Case("/weather", "sunny", "field-unknown"),
    Case("/a~1b~0c", 1, "field-unknown"),
    Case(f"{PIT}/side_cm", 20, "field-unknown"),
    Case(f"{LINE}/count", 3, "field-unknown"),
    Case("/site/datum", "Airy", "code-not-allowed"),
    Case("/site/place_kind", "castle", "word-unknown"),
    Case("/site/place_detail", "exact", "word-unknown"),
    Case(f"{PIT}/habitat", "Lawn", "word-unknown"),
    Case(f"{PIT}/management", ["mown", "burnt"], "word-unknown", f"{PIT}/management/1"),
    Case(f"{STEP}/kind", "electric_shock", "word-unknown"),
    Case(f"{LINE}/group", "swimming", "word-unknown"),
    Case(f"{LINE}/stage", "pupa", "word-unknown"),
    Case(f"{PIT}/soil/moisture", "damp", "word-unknown"),
    Case(f"{PIT}/soil/fizz", "loud", "word-unknown"),
    Case(f"{PIT}/soil/fizz_acid", "lemon", "word-unknown"),
    Case(f"{PIT}/soil/texture", "silt", "word-unknown"),
    Case(f"{PIT}/soil/colour_state", "wet", "word-unknown"),
    Case("/site/latitude", 90.1, "number-out-of-range"),
    Case("/site/longitude", -180.1, "number-out-of-range"),
    Case("/site/uncertainty_m", 0, "number-out-of-range"),
    Case("/site/uncertainty_m", 10001, "number-out-of-range"),
    Case("/people_digging", 0, "number-out-of-range"),
    Case(f"{PIT}/width_cm", 0, "number-out-of-range"),
    Case(f"{PIT}/depth_cm", -20, "number-out-of-range"),
    Case(f"{PIT}/length_cm", 200.01, "number-out-of-range"),
    Case(f"{PIT}/length_cm", 1e308, "number-out-of-range"),
    Case(f"{PIT}/sorting_minutes", -1, "number-out-of-range"),
    Case(f"{PIT}/sorting_minutes", 1441, "number-out-of-range"),
    Case(f"{PIT}/total", -1, "number-out-of-range"),
    Case("/pits/0/phases/1/volume_ml", 0, "number-out-of-range"),
    Case("/pits/0/phases/1/wait_min", -5, "number-out-of-range"),
    Case(f"{LINE}/number", -1, "count-out-of-range"),
    Case(f"{LINE}/number", 100_001, "count-out-of-range"),
    Case(f"{PIT}/width_cm", 20.125, "number-too-precise"),
    Case(f"{PIT}/width_cm", "20", "number-not-readable"),
    Case(f"{PIT}/width_cm", "20 cm", "number-not-readable"),
    Case(f"{PIT}/width_cm", "٢٠", "number-not-readable"),
    Case(f"{PIT}/width_cm", "1_0", "number-not-readable"),
    Case(f"{PIT}/width_cm", "NaN", "number-not-readable"),
    Case(f"{PIT}/width_cm", value=True, code="number-not-readable"),
    Case(f"{PIT}/width_cm", None, "number-not-readable"),
    Case(f"{PIT}/width_cm", [20], "number-not-readable"),
    Case("/site/latitude", "52.88", "number-not-readable"),
    Case("/site/uncertainty_m", "5", "number-not-readable"),
    Case("/site/uncertainty_m", value=False, code="number-not-readable"),
    Case(f"{PIT}/width_cm", "20,5", "number-decimal-comma"),
    Case("/site/longitude", "-0,72345", "number-decimal-comma"),
    Case("/site/uncertainty_m", "5,0", "number-decimal-comma"),
    Case("/people_digging", 2.0, "number-not-whole"),
    Case("/people_digging", "2", "number-not-whole"),
    Case(f"{PIT}/total", "٩", "number-not-whole"),
    Case(f"{LINE}/number", 1.5, "number-not-whole"),
    Case(f"{LINE}/number", "1", "number-not-whole"),
    Case(f"{LINE}/number", "many", "number-not-whole"),
    Case(f"{LINE}/number", value=True, code="number-not-whole"),
    Case(f"{LINE}/number", {"of": 3}, "number-not-whole"),
    Case("/site/placed_by_hand", "yes", "not-yes-or-no"),
    Case(f"{STEP}/done", 1, "not-yes-or-no"),
    Case(f"{PIT}/sorted_to_end", "true", "not-yes-or-no"),
    Case("/note", 7, "text-expected"),
    Case("/participant", None, "text-expected"),
    Case(f"{PIT}/management", ["mown", 3], "text-expected", f"{PIT}/management/1"),
    Case("/note", "a\x00b", "text-control-character"),
    Case("/note", "a\x1b[2J", "text-control-character"),
    Case("/note", "half \ud83d", "text-control-character"),
    Case("/client_ref", "QVD\x00", "text-control-character"),
    Case(f"{PIT}/management", ["mown\x07"], "text-control-character", f"{PIT}/management/0"),
    Case("/client_ref", "QVD S01", "code-not-allowed"),
    Case("/client_ref", "QVD-S01\n", "code-not-allowed"),
    Case("/client_ref", "../QVD", "code-not-allowed"),
    Case("/client_ref", "-QVD", "code-not-allowed"),
    Case("/client_ref", "QVD-Ä1", "code-not-allowed"),
    Case("/participant", "QVD/07", "code-not-allowed"),
    Case("/site/code", "½", "code-not-allowed"),
    Case("/client_ref", "", "text-too-short"),
    Case(f"{PIT}/soil/colour", "", "text-too-short"),
    Case("/client_ref", "A" * 81, "text-too-long"),
    Case("/site/code", "A" * 41, "text-too-long"),
    Case("/note", "a" * 2001, "text-too-long"),
    Case("/pits/0/phases/1/agent", "a" * 61, "text-too-long"),
    Case(f"{LINE}/taxon", "a" * 121, "text-too-long"),
    Case(f"{PIT}/soil/colour", "10YR" * 6, "text-too-long"),
    Case("/visited_on", "12.04.2025", "date-not-readable"),
    Case("/visited_on", "2025-4-12", "date-not-readable"),
    Case("/visited_on", "2025-02-29", "date-not-readable"),
    Case("/visited_on", "٢٠٢٥-04-12", "date-not-readable"),
    Case("/visited_on", "2025-04-12T10:00:00", "date-not-readable"),
    Case("/visited_on", 20250412, "date-not-readable"),
    Case("/visited_on", None, "date-not-readable"),
    Case("/pits", [], "list-too-short"),
    Case(f"{PIT}/phases", [], "list-too-short"),
    Case("/pits", [pit_payload()] * 11, "list-too-long"),
    Case(f"{STEP}/counts", counts_payload(1, 1, 1, 1) * 16, "list-too-long"),
    Case("/site", "QVD-07-1", "value-not-allowed"),
    Case("/pits", pit_payload(), "value-not-allowed"),
    Case(LINE, None, "value-not-allowed"),
    Case(f"{PIT}/management", "mown", "value-not-allowed"),
    Case("/sent_at", "yesterday", "value-not-allowed"),
    Case("/sent_at", "2025-04-12T10:00:00", "value-not-allowed"),
    Case("/sent_at", "9999-12-31T23:59:59-12:00", "value-not-allowed"),
    Case("/sent_at", 1744452000, "value-not-allowed"),
)

POURED = visit_payload()["pits"][0]["phases"][1]

RESOLVING = (
    Case("/protocol", "contrast-pit/3", "protocol-unknown"),
    Case("/protocol", "contrast-pit", "protocol-unknown"),
    Case("/protocol", "", "protocol-unknown"),
    Case("/participant", "QVD-08", "participant-unknown"),
    Case("/site/latitude", GONE, "site-new-needs-place"),
    Case("/site/longitude", None, "site-new-needs-place"),
    Case("/site/place_kind", GONE, "site-new-needs-place"),
    Case("/site/datum", "EPSG:27700", "datum-unusable"),
    Case("/site", {"code": "OLD", "latitude": 52.8812301}, "site-differs", "/site/latitude"),
    Case("/site", {"code": "OLD", "longitude": -0.72346}, "site-differs", "/site/longitude"),
    Case("/site", {"code": "OLD", "place_kind": "farm"}, "site-differs", "/site/place_kind"),
    Case(f"{PIT}/sorting_minutes", None, "field-required-by-protocol"),
    Case("/pits/1/sorted_to_end", GONE, "field-required-by-protocol"),
    Case(f"{PIT}/latitude", 52.9, "position-half", f"{PIT}/longitude"),
    Case(f"{PIT}/longitude", -0.7, "position-half"),
    Case("/pits/0/phases/1/kind", "hand_sort", "phase-not-in-protocol"),
    Case(f"{STEP}/kind", "expellant", "phase-not-in-protocol", "/pits/0/phases/1/kind"),
    Case(
        "/pits/0/phases/1",
        POURED | {"done": False, "counts": []},
        "phase-details-without-step",
        "/pits/0/phases/1/done",
    ),
    Case("/pits/0/phases/1/done", None, "phase-details-without-step"),
    Case(f"{STEP}/done", value=False, code="counts-without-step", told_at=f"{STEP}/counts"),
    Case(f"{LINE}/stage", "juvenile", "line-not-in-protocol", LINE),
    Case(f"{LINE}/stage", "egg", "line-not-in-protocol", LINE),
    Case(f"{LINE}/taxon", "Lumbricus rubellus", "line-not-in-protocol", LINE),
    Case(f"{LINE}/group", "endogeic", "line-twice", f"{STEP}/counts/1"),
)

# Faults of a batch or a correction; each is made by a test of batches, operations or corrections.
# Made by tests of tables, in tests/surveys/uploads and tests/api/partners/test_uploads.py.
OF_A_TABLE = {
    "cells-beyond-header",
    "column-missing",
    "column-twice",
    "column-unknown",
    "encoding-not-read",
    "file-empty",
    "file-not-read",
    "file-too-large-unpacked",
    "header-not-known",
    "photo-missing",
    "photo-not-kept",
    "pit-out-of-order",
    "row-not-read",
    "row-too-long",
    "rows-apart",
    "rows-disagree",
    "sheet-not-clear",
    "table-not-clear",
    "visit-too-long",
}
AROUND_A_VISIT = OF_A_TABLE | {
    "age-two-ways",
    "answer-in-future",
    "batch-shape",
    "batch-size",
    "body-not-json",
    "corrections-shape",
    "guardian-of-adult",
    "name-missing",
    "orcid-wrong",
    "ref-changed",
    "ref-exists",
    "ref-twice",
    "ref-unknown",
    "revision-stale",
    "statement-unknown",
    "too-young-online",
    "visit-closed",
}
