"""A small writer of SVG figures: black on white, with title and description for screen readers.

Nothing is said by colour alone: shapes and words carry the meaning. The same marks give the same
bytes.
"""

from xml.sax.saxutils import escape, quoteattr

FONT = "DejaVu Sans, Verdana, sans-serif"
TEXT_SIZE = 12


class Drawing:
    """Marks on a page, in pixels from the upper left corner."""

    def __init__(self, width: int, title: str, description: str) -> None:
        self.width = width
        self.title = title
        self.description = description
        self._marks: list[str] = []

    def text(
        self, x: float, y: float, words: str, *, anchor: str = "start", bold: bool = False
    ) -> None:
        """Write words; ``anchor`` is start, middle or end."""
        weight = ' font-weight="bold"' if bold else ""
        self._marks.append(
            f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"{weight}>{escape(words)}</text>'
        )

    def line(
        self, start: tuple[float, float], end: tuple[float, float], *, dashed: bool = False
    ) -> None:
        """Draw a line."""
        dash = ' stroke-dasharray="4 3"' if dashed else ""
        self._marks.append(
            f'<line x1="{start[0]:.1f}" y1="{start[1]:.1f}" x2="{end[0]:.1f}" y2="{end[1]:.1f}"'
            f' stroke="#000"{dash}/>'
        )

    def square(self, x: float, y: float) -> None:
        """Draw a filled square."""
        self._marks.append(f'<rect x="{x - 5:.1f}" y="{y - 5:.1f}" width="10" height="10"/>')

    def circle(self, x: float, y: float) -> None:
        """Draw an open circle."""
        self._marks.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="#fff" stroke="#000"'
            ' stroke-width="1.5"/>'
        )

    def arrow(self, x: float, y: float, *, right: bool) -> None:
        """Draw the head of an arrow: the line goes on beyond the figure."""
        back = -8 if right else 8
        points = f"{x:.1f},{y:.1f} {x + back:.1f},{y - 4:.1f} {x + back:.1f},{y + 4:.1f}"
        self._marks.append(f'<polygon points="{points}"/>')

    def svg(self, height: float) -> str:
        """Return the figure as a document."""
        size = f'width="{self.width}" height="{height:.0f}" viewBox="0 0 {self.width} {height:.0f}"'
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img"'
            f' aria-labelledby="title description" font-family={quoteattr(FONT)}'
            f' font-size="{TEXT_SIZE}">'
        )
        parts = [
            '<?xml version="1.0" encoding="UTF-8"?>',
            head,
            f'<title id="title">{escape(self.title)}</title>',
            f'<desc id="description">{escape(self.description)}</desc>',
            f'<rect width="{self.width}" height="{height:.0f}" fill="#fff"/>',
            *self._marks,
            "</svg>",
            "",
        ]
        return "\n".join(parts)
