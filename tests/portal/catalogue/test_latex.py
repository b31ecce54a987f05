"""Words for LaTeX, by the tables of accents and specials of the LaTeX manual (from memory)."""

import pytest

from portal.catalogue.latex import latex


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("Soil & roots", r"Soil \& roots"),
        ("50 % of {pits}", r"50 \% of \{pits\}"),
        ("a_b#c$d", r"a\_b\#c\$d"),
        ("~ ^ \\", r"\textasciitilde{} \textasciicircum{} \textbackslash{}"),
        ("<b>", r"\textless{}b\textgreater{}"),
        ("é", r"{\'{e}}"),
        ("Ü", r'{\"{U}}'),
        ("ç", r"{\c{c}}"),
        ("å", r"{\r{a}}"),
        ("ő", r"{\H{o}}"),
        ("ž", r"{\v{z}}"),
        ("Ærø Łódź groß", r"{\AE}r{\o} {\L}{\'{o}}d{\'{z}} gro{\ss}"),
        ("1\N{EN DASH}2", "1--2"),
        ("土", "土"),
        ("ệ", "ệ"),
    ],
)  # fmt: skip
def test_text_is_written_for_latex(text: str, written: str) -> None:
    assert latex(text) == written


def test_letter_with_a_loose_mark_is_the_same_as_one_character() -> None:
    assert latex("e\N{COMBINING ACUTE ACCENT}") == latex("é")
