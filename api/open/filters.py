"""Filters of the open collections; each reads published columns only."""

from datetime import date, timedelta
from typing import Any

import django_filters
from django import forms
from django.db.models import Q, QuerySet

from portal.records.models import PublishedCount, PublishedPit, PublishedVisit
from portal.records.vocabularies import VOCABULARIES

MAX_WORDS = 50
EAST_MAX = 180
NORTH_MAX = 90
LONGEST_SPAN = timedelta(days=31)  # dates are published by day or by month
DAY = ["%Y-%m-%d"]  # else a form takes 03/04/2025 as well


class WordsFilter(django_filters.BaseInFilter, django_filters.CharFilter):
    """Any of several words, by commas or by repeating the name."""


class AnyWholeWordFilter(WordsFilter):
    """Rows whose list holds any of the words; reads the column ``|word|word|``."""

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        """Narrow the rows."""
        if not value:
            return qs
        any_of = Q()
        for word in value:
            any_of |= Q(**{f"{self.field_name}__contains": f"|{word}|"})
        return qs.filter(any_of)


class BoxField(forms.CharField):
    """A box "west,south,east,north" in degrees."""

    def clean(self, value: Any) -> tuple[float, float, float, float] | None:
        """Return the four numbers.

        Raises
        ------
        ValidationError
            If they are not four numbers on the globe, south below north.
        """
        text = super().clean(value)
        if not text:
            return None
        message = "bbox is west,south,east,north in degrees, for example -1,52.5,-0.5,53"
        try:
            west, south, east, north = (float(part) for part in text.split(","))
        except ValueError as error:
            raise forms.ValidationError(message) from error
        on_globe = all(-EAST_MAX <= edge <= EAST_MAX for edge in (west, east))  # "nan" is not
        if not on_globe or not -NORTH_MAX <= south <= north <= NORTH_MAX:
            raise forms.ValidationError(message)
        return west, south, east, north


class BoxFilter(django_filters.Filter):
    """Rows whose published cell centre lies in a box; west > east crosses 180 degrees."""

    field_class = BoxField

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        """Narrow the rows."""
        if not value:
            return qs
        west, south, east, north = value
        rows = qs.filter(latitude__gte=south, latitude__lte=north)
        if west <= east:
            return rows.filter(longitude__gte=west, longitude__lte=east)
        return rows.filter(Q(longitude__gte=west) | Q(longitude__lte=east))


class FromDayFilter(django_filters.DateFilter):
    """Visits that can have been on a day or later."""

    def filter(self, qs: QuerySet[Any], value: date | None) -> QuerySet[Any]:
        """Narrow the rows; the second condition follows from the first, and an index serves it."""
        if value is None:
            return qs
        earliest = value - min(LONGEST_SPAN, value - date.min)
        return qs.filter(sampled_last_on__gte=value, sampled_first_on__gte=earliest)


class VisitFilters(django_filters.FilterSet):
    """What visits, pits and counts have in common."""

    sampled_from = FromDayFilter(input_formats=DAY)
    sampled_to = django_filters.DateFilter(
        field_name="sampled_first_on", lookup_expr="lte", input_formats=DAY
    )
    bbox = BoxFilter()
    group_code = WordsFilter(field_name="group_code", lookup_expr="in")
    protocol = WordsFilter(field_name="protocol", lookup_expr="in")
    season = WordsFilter(field_name="season", lookup_expr="in")
    country = WordsFilter(field_name="country_code", lookup_expr="in")
    cell = WordsFilter(field_name="cell", lookup_expr="in")
    site_id = django_filters.UUIDFilter(field_name="site_id")
    visit_id = django_filters.UUIDFilter(field_name="visit_id")
    paired = django_filters.BooleanFilter(field_name="paired")
    min_uncertainty_m = django_filters.NumberFilter(field_name="uncertainty_m", lookup_expr="gte")
    max_uncertainty_m = django_filters.NumberFilter(field_name="uncertainty_m", lookup_expr="lte")
    min_people_digging = django_filters.NumberFilter(field_name="people_digging", lookup_expr="gte")
    max_people_digging = django_filters.NumberFilter(field_name="people_digging", lookup_expr="lte")
    min_cell_level = django_filters.NumberFilter(field_name="cell_level", lookup_expr="gte")

    class Meta:
        model = PublishedVisit
        fields: list[str] = []


class VisitHabitatFilters(VisitFilters):
    """Filters of visits by the habitats of their pits."""

    habitat = AnyWholeWordFilter(field_name="habitats_text")


class PitFilters(VisitFilters):
    """Filters of pits."""

    pit_id = django_filters.UUIDFilter(field_name="pit_id")
    habitat = WordsFilter(field_name="habitat", lookup_expr="in")
    management = AnyWholeWordFilter(field_name="management_text")
    expellant = WordsFilter(field_name="expellant", lookup_expr="in")
    moisture = WordsFilter(field_name="moisture", lookup_expr="in")
    texture = WordsFilter(field_name="texture", lookup_expr="in")
    effort_known = django_filters.BooleanFilter(field_name="effort_known")
    min_area_m2 = django_filters.NumberFilter(field_name="area_m2", lookup_expr="gte")
    max_area_m2 = django_filters.NumberFilter(field_name="area_m2", lookup_expr="lte")
    min_depth_cm = django_filters.NumberFilter(field_name="depth_cm", lookup_expr="gte")
    max_depth_cm = django_filters.NumberFilter(field_name="depth_cm", lookup_expr="lte")
    min_sorting_minutes = django_filters.NumberFilter(
        field_name="sorting_minutes", lookup_expr="gte"
    )
    max_sorting_minutes = django_filters.NumberFilter(
        field_name="sorting_minutes", lookup_expr="lte"
    )
    min_expellant_ml = django_filters.NumberFilter(field_name="expellant_ml", lookup_expr="gte")
    max_expellant_ml = django_filters.NumberFilter(field_name="expellant_ml", lookup_expr="lte")
    min_expellant_wait_min = django_filters.NumberFilter(
        field_name="expellant_wait_min", lookup_expr="gte"
    )
    max_expellant_wait_min = django_filters.NumberFilter(
        field_name="expellant_wait_min", lookup_expr="lte"
    )

    class Meta:
        model = PublishedPit
        fields: list[str] = []


class PitCountFilters(PitFilters):
    """Filters of pits by what was found."""

    min_found = django_filters.NumberFilter(field_name="found", lookup_expr="gte")
    max_found = django_filters.NumberFilter(field_name="found", lookup_expr="lte")


class CountFilters(PitFilters):
    """Filters of counts and occurrences."""

    phase_id = django_filters.UUIDFilter(field_name="phase_id")
    group = WordsFilter(field_name="group", lookup_expr="in")
    stage = WordsFilter(field_name="stage", lookup_expr="in")
    method = WordsFilter(field_name="method", lookup_expr="in")
    taxon = WordsFilter(field_name="taxon", lookup_expr="in")
    state = WordsFilter(field_name="state", lookup_expr="in")
    verification = WordsFilter(field_name="verification", lookup_expr="in")
    min_number = django_filters.NumberFilter(field_name="number", lookup_expr="gte")
    max_number = django_filters.NumberFilter(field_name="number", lookup_expr="lte")
    min_number_recorded = django_filters.NumberFilter(
        field_name="number_recorded", lookup_expr="gte"
    )
    max_number_recorded = django_filters.NumberFilter(
        field_name="number_recorded", lookup_expr="lte"
    )

    class Meta:
        model = PublishedCount
        fields: list[str] = []


FILTERS: dict[str, type[VisitFilters]] = {
    "visits": VisitHabitatFilters,
    "pits": PitCountFilters,
    "counts": CountFilters,
    "occurrences": CountFilters,
}
# Closed lists by filter name; a word outside its list is a wrong value, not an empty answer.
WORDS: dict[str, frozenset[str]] = {
    name: frozenset(VOCABULARIES[vocabulary])
    for name, vocabulary in {
        "season": "season",
        "habitat": "habitat",
        "management": "management",
        "moisture": "moisture",
        "texture": "texture",
        "group": "group",
        "stage": "stage",
        "method": "method",
        "state": "count_state",
        "expellant": "phase_state",
        "verification": "verification",
    }.items()
}
