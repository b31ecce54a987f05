"""How a value of a flat table is written in a cell of a CSV file."""

LIST_SEPARATOR = "|"


def csv_cell(value: object) -> str:
    """Return a value as text; null is empty, the words of a list are joined by ``|``."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return LIST_SEPARATOR.join(str(part) for part in value)
    return str(value)
