"""Indexes of the published tables: each filter, and each declared pair, in the order of pages.

Pages run by first day and id. An index on (filter, first day, id) gives the rows of a value in
that order, however rare the value and however deep the page. The columns that tell whether a
version stands in a release are included, and its key, so that rows are found and counted by the
index alone.
"""

from django.db.models import Index

PAGE_KEY = ("sampled_first_on", "id")
STANDING = ("since_release", "until_release", "hidden", "row")
PLACE = ("latitude", "longitude")

# Filters by words, by the short name of their index.
VISIT_WORDS = {
    "group": "group_code",
    "kit": "protocol",
    "season": "season",
    "country": "country_code",
    "cell": "cell",
}
PIT_WORDS = VISIT_WORDS | {
    "habitat": "habitat",
    "moisture": "moisture",
    "texture": "texture",
    "expellant": "expellant",
}
COUNT_WORDS = PIT_WORDS | {
    "ecogroup": "group",
    "stage": "stage",
    "method": "method",
    "taxon": "taxon",
    "state": "state",
    "verified": "verification",
}
# Pairs that are asked for together: found as quickly as one filter.
COUNT_PAIRS = (
    ("habitat", "group"),
    ("habitat", "group_code"),
    ("habitat", "taxon"),
    ("group", "stage"),
    ("group_code", "group"),
)


def visit_indexes(table: str) -> list[Index]:
    """Return the indexes of visits."""
    return [*_common(table), *_by_words(table, VISIT_WORDS)]


def pit_indexes(table: str) -> list[Index]:
    """Return the indexes of pits."""
    by_found = _in_page_order(f"{table}_by_found", "found")
    return [*_common(table), by_found, *_by_words(table, PIT_WORDS)]


def count_indexes(table: str) -> list[Index]:
    """Return the indexes of counts."""
    pairs = [
        _in_page_order(f"{table}_pair_{number}", *pair)
        for number, pair in enumerate(COUNT_PAIRS, start=1)
    ]
    by_pit = Index(fields=["pit_id"], name=f"{table}_by_pit")
    by_phase = Index(fields=["phase_id"], name=f"{table}_by_phase")
    by_number = _in_page_order(f"{table}_by_number", "number")
    return [*_common(table), by_pit, by_phase, by_number, *_by_words(table, COUNT_WORDS), *pairs]


def _common(table: str) -> list[Index]:
    return [
        _in_page_order(f"{table}_by_day"),
        Index(
            fields=["degree_cell", *PAGE_KEY],
            include=[*STANDING, *PLACE],
            name=f"{table}_by_degree",
        ),
        Index(fields=["visit_id"], name=f"{table}_by_visit"),
        Index(fields=["site_id"], name=f"{table}_by_site"),
        Index(fields=["since_release", "id"], name=f"{table}_by_since"),
        Index(fields=["until_release", "id"], name=f"{table}_by_until"),
    ]


def _by_words(table: str, words: dict[str, str]) -> list[Index]:
    return [_in_page_order(f"{table}_word_{name}", column) for name, column in words.items()]


def _in_page_order(name: str, *columns: str) -> Index:
    return Index(fields=[*columns, *PAGE_KEY], include=STANDING, name=name)
