"""What is meant: the data dictionary and the lists of controlled words, in each language."""

from dataclasses import asdict
from typing import Any

from django.http import HttpResponse
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request

from api.errors import Problem
from api.links import address
from api.open.answers import json_answer
from api.open.documentation import REFUSALS, RELEASE
from api.open.languages import chosen_language
from api.open.parameters import read_release
from api.open.rows import DICTIONARY
from api.open.views import OpenView
from api.parameters import require_only_json
from api.schema import json_body
from portal.records.fields import Field, every_field
from portal.records.labels import LANGUAGES, field_labels, field_texts, word_labels, word_meaning
from portal.records.models import Release
from portal.records.occurrence_fields import OCCURRENCE_FIELDS
from portal.records.vocabularies import VOCABULARIES

EVERY_FIELD = {**{field.name: field for field in OCCURRENCE_FIELDS}, **every_field()}
LANG = OpenApiParameter("lang", str, enum=list(LANGUAGES), description="Wins over Accept-Language.")


class FieldsView(OpenView):
    """The data dictionary."""

    @extend_schema(
        operation_id="list_fields",
        tags=["about"],
        summary="Every field: definition, unit, values, what null means",
        parameters=[RELEASE, LANG],
        responses={200: json_body("Fields by collection."), **REFUSALS},
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer all fields, by collection."""
        require_only_json(request.query_params, "release", "lang")
        language = chosen_language(request)
        release = read_release(request.query_params)
        fields = {
            name: [_field(field, language) for field in listed]
            for name, listed in DICTIONARY.items()
        }
        query = _query("/api/v1/fields", release, language)
        return json_answer(request, release, query, {"data": fields}, language=language)


class FieldView(OpenView):
    """One field."""

    @extend_schema(
        operation_id="read_field",
        tags=["about"],
        summary="One field with its allowed values",
        parameters=[RELEASE, LANG],
        responses={200: json_body("The field."), **REFUSALS},
    )
    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer one field.

        Raises
        ------
        Problem
            If there is no such field.
        """
        require_only_json(request.query_params, "release", "lang")
        language = chosen_language(request)
        field = EVERY_FIELD.get(name)
        if field is None:
            code = "not-found"
            raise Problem(code, "There is no such field.", allowed=sorted(EVERY_FIELD))
        release = read_release(request.query_params)
        query = _query(f"/api/v1/fields/{name}", release, language)
        body = {"data": _field(field, language)}
        return json_answer(request, release, query, body, language=language)


class VocabulariesView(OpenView):
    """All lists of controlled words."""

    @extend_schema(
        operation_id="list_vocabularies",
        tags=["about"],
        summary="Names of the lists of controlled words",
        parameters=[RELEASE],
        responses={200: json_body("The lists."), **REFUSALS},
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer the names and addresses of all vocabularies."""
        require_only_json(request.query_params, "release")
        release = read_release(request.query_params)
        listed = [
            {"name": name, "words": len(words), "href": address(f"/api/v1/vocabularies/{name}")}
            for name, words in VOCABULARIES.items()
        ]
        query = f"/api/v1/vocabularies?release={release.number}"
        return json_answer(request, release, query, {"data": listed})


class VocabularyView(OpenView):
    """One list of controlled words."""

    @extend_schema(
        operation_id="read_vocabulary",
        tags=["about"],
        summary="Controlled words with their meaning and their labels by language",
        parameters=[RELEASE, LANG],
        responses={200: json_body("The words."), **REFUSALS},
    )
    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer the words of a vocabulary.

        Raises
        ------
        Problem
            If there is no such vocabulary.
        """
        require_only_json(request.query_params, "release", "lang")
        language = chosen_language(request)
        words = VOCABULARIES.get(name)
        if words is None:
            code = "not-found"
            raise Problem(code, "There is no such vocabulary.", allowed=sorted(VOCABULARIES))
        release = read_release(request.query_params)
        data = []
        for word in words:
            labels, meaning = word_labels(name, word), word_meaning(name, word, language)
            told = {"word": word, "label": labels[language], "labels": labels, "meaning": meaning}
            data.append(told)
        query = _query(f"/api/v1/vocabularies/{name}", release, language)
        return json_answer(request, release, query, {"data": data}, language=language)


def _field(field: Field, language: str) -> dict[str, Any]:
    labels = field_labels(field)
    words = VOCABULARIES.get(field.vocabulary)
    return {
        **asdict(field),
        "label": labels[language],
        "labels": labels,
        **field_texts(field, language),
        "allowed_values": None if words is None else list(words),
    }


def _query(path: str, release: Release, language: str) -> str:
    return f"{path}?lang={language}&release={release.number}"
