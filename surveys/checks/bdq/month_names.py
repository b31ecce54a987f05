"""Names of months in English, French, German, Dutch, Spanish, Italian and Portuguese.

Any beginning of three letters or more is understood as long as only one month has it; roman
numerals are usual in natural history.
"""

import unicodedata

MONTHS = range(1, 13)
SHORTEST = 3
ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii")
_NAMES = """
    january janvier januar januari enero gennaio janeiro jänner
    february février februar februari febrero febbraio fevereiro feber
    march mars märz maart marzo março
    april avril abril aprile
    may mai mei mayo maggio maio
    june juin juni junio giugno junho
    july juillet juli julio luglio julho
    august août augustus agosto
    september septembre septiembre settembre setembro
    october octobre oktober octubre ottobre outubro
    november novembre noviembre novembro
    december décembre dezember diciembre dicembre dezembro
"""


def bare(text: str) -> str:
    """Return a word without case and accents."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(char for char in plain if not unicodedata.combining(char))


def _beginnings() -> dict[str, int]:
    found: dict[str, set[int]] = {}
    rows = _NAMES.strip().splitlines()
    for number, row in zip(MONTHS, rows, strict=True):
        for name in bare(row).split():
            for end in range(SHORTEST, len(name) + 1):
                found.setdefault(name[:end], set()).add(number)
    return {start: months.pop() for start, months in found.items() if len(months) == 1}


_NUMBERS = _beginnings() | dict(zip(ROMAN, MONTHS, strict=True)) | {"sept": 9}


def month_number(word: str) -> int | None:
    """Return 1 to 12 for a name, a shortened name or a roman numeral."""
    return _NUMBERS.get(bare(word).strip(" ."))
