"""Figures, read as the SVG documents they are."""

import re

import pytest
from lxml import etree

from portal.analysis.drawing import Drawing
from portal.analysis.figures import deep_figure, ratios_figure
from portal.analysis.findings import DeepAnimals, answers_of, deep_animals_of
from portal.records.models import Release
from portal.statistics.density import pooled_density
from portal.statistics.samples import PitSample
from portal.statistics.tallies import DRENCHED

SVG = "{http://www.w3.org/2000/svg}"


def read(svg: str) -> etree._Element:
    return etree.fromstring(svg.encode())


def words(figure: etree._Element) -> list[str]:
    return [text.text or "" for text in figure.iter(f"{SVG}text")]


def test_drawing_names_itself_for_screen_readers() -> None:
    figure = read(Drawing(300, "Title", "What it shows.").svg(200))

    # WAI-ARIA graphics: an image named by its title and description (W3C, SVG accessibility)
    assert figure.get("role") == "img"
    named_by = (figure.get("aria-labelledby") or "").split()
    named = {node.get("id"): node.text for node in figure if node.get("id")}
    assert [named[name] for name in named_by] == ["Title", "What it shows."]
    assert figure.get("viewBox") == "0 0 300 200"


def test_drawing_writes_any_text_safely() -> None:
    drawing = Drawing(300, "a < b & c", '"quoted"')
    drawing.text(10, 20, "5 < 6 & 7", anchor="end", bold=True)

    figure = read(drawing.svg(200))

    assert words(figure) == ["5 < 6 & 7"]
    assert figure.findtext(f"{SVG}title") == "a < b & c"


def test_ratios_show_shape_and_word_for_each_verdict(release: Release) -> None:
    figure = read(ratios_figure(answers_of(release), "findings.csv"))

    said = words(figure)
    assert "Tillage: direct drilled against ploughed, pits of one visit" in said
    assert "n 8 visits, 3.07, clear" in said
    assert "n 9 pits: too few" in said
    assert any(line.endswith("no clear difference") for line in said)
    clear = sum(line.endswith(", clear") for line in said)
    unclear = sum(line.endswith(", no clear difference") for line in said)
    squares = [mark for mark in figure.iter(f"{SVG}rect") if mark.get("width") == "10"]
    assert (len(squares), len(list(figure.iter(f"{SVG}circle")))) == (clear, unclear)
    assert "findings.csv" in (figure.findtext(f"{SVG}desc") or "")


def test_figures_use_black_and_white_only(release: Release) -> None:
    both = ratios_figure(answers_of(release), "a.csv") + deep_figure(deep_animals_of(release), "b")

    assert set(re.findall(r"#[0-9a-fA-F]{3,6}", both)) == {"#000", "#fff"}
    assert not re.search(r"(fill|stroke)=\"(?!#000|#fff)", both)


def test_deep_animals_have_no_point_where_nothing_was_poured(release: Release) -> None:
    figure = read(deep_figure(deep_animals_of(release), "deep-animals.csv"))

    squares = [mark for mark in figure.iter(f"{SVG}rect") if mark.get("width") == "10"]
    assert len(squares) == 1
    assert "n 2 pits, 25.0, none in 1" in words(figure)
    assert "n 1 pit: nothing is said, as nothing was poured" in words(figure)


@pytest.mark.parametrize(("count", "arrows"), [(40, 1), (2, 0)])
def test_an_interval_beyond_the_figure_ends_in_an_arrow(count: int, arrows: int) -> None:
    density = pooled_density(PitSample("bank", (count,), (0.4,)))
    wide = pooled_density(PitSample("bank", (60,), (0.4,)))  # 150 per m2: the axis ends at 100
    rows = [DeepAnimals("bank", "kit", DRENCHED, 1, 0, density)]
    rows += [DeepAnimals("heap", "kit", DRENCHED, 1, 0, wide)]

    figure = read(deep_figure(rows, "deep-animals.csv"))

    assert len(list(figure.iter(f"{SVG}polygon"))) == arrows + 2  # both limits of the heap
