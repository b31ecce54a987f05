"""Canaries: a word, an instant or a place in every private field, and how to find them again.

They are made from the fields of the models, so that a field added tomorrow gets one by itself. A
field that must not have one is named below with its reason.
"""

import hashlib
import math
import re
from collections.abc import Callable, Container, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from email.utils import format_datetime
from functools import cache, cached_property
from typing import Any

from django.apps import apps
from django.db import IntegrityError, models, transaction
from pyproj import Transformer

from portal.harvesters.models import Acknowledgement, Harvester
from portal.publication.models import GeneralisationSetting, SettingConfirmation, SitePlacement

PRIVATE: list[Any] = [
    *apps.get_app_config("surveys").get_models(),
    *(SitePlacement, GeneralisationSetting, SettingConfirmation, Harvester, Acknowledgement),
]
# What no word could stand in, or nobody could search for: a number, a yes, another row.
PLAIN = (models.BooleanField, models.IntegerField, models.FloatField, models.ForeignKey)
PUBLISHED = "published as it stands"
OF_A_VOCABULARY = "holds words of a vocabulary, or ways to read the rest"
SEARCHED_AS_A_PLACE = "coordinates get canaries of their own"
DECIDES = "decides what is released, or that it is"
EXEMPT: dict[str, str] = {
    "Site.latitude": SEARCHED_AS_A_PLACE,
    "Site.longitude": SEARCHED_AS_A_PLACE,
    "Pit.latitude": SEARCHED_AS_A_PLACE,
    "Pit.longitude": SEARCHED_AS_A_PLACE,
    "Group.meeting_latitude": SEARCHED_AS_A_PLACE,
    "Group.meeting_longitude": SEARCHED_AS_A_PLACE,
    **dict.fromkeys(("Group.west", "Group.south", "Group.east", "Group.north"), DECIDES),
    **dict.fromkeys(
        (
            *("Visit.visited_on", "Visit.public_id", "Pit.public_id", "Phase.public_id"),
            *("Count.public_id", "Site.public_id", "Pit.habitat", "Pit.management"),
            *("Pit.width_cm", "Pit.length_cm", "Pit.depth_cm", "Phase.agent", "Count.taxon"),
            *("SoilObservation.value", "SoilObservation.method"),
            *("ProtocolVersion.key", "ProtocolVersion.version", "ProtocolVersion.definition"),
            *("ProtocolVersion.valid_from", "TaxonSensitivity.scientific_name"),
            *("SitePlacement.site_id", "SitePlacement.cell"),
        ),
        PUBLISHED,
    ),
    **dict.fromkeys(
        (
            *("Consent.statement_version", "Consent.decided_at", "Consent.ends_on"),
            *("Consent.receipt_sha256", "ConsentStatement.version", "ConsentStatement.valid_from"),
            *("ConsentStatement.older_end_on", "ConsentStatement.texts"),
            *("ExactPermission.starts_on", "ExactPermission.ends_on"),
            *("ExactPermission.given_at", "ExactPermission.ended_at"),
            *("Participant.born_on", "Participant.of_age_by", "Review.decided_at"),
            *("TaxonSensitivity.made_at", "SitePlacement.place_class", "SitePlacement.unit"),
            *("GeneralisationSetting.rules", "GeneralisationSetting.made_at"),
            "SettingConfirmation.made_at",  # a release tells the day of its rules
            *("Site.place_detail_at", "Photo.decided_at", "PersonalLink.revoked_at"),
            *("AccessToken.expires_at", "AccessToken.created_at", "AccessToken.revoked_at"),
            *("PersonalLink.issued_at", "PersonalLink.expires_at", "PersonalLink.used_at"),
        ),
        DECIDES,
    ),
    **dict.fromkeys(
        ("Review.reason_code", "AccessToken.scopes", "CheckSetting.parameters"), OF_A_VOCABULARY
    ),
}
# The first of the planted instants, from a year that nothing else here knows.
BERTH = datetime(2003, 1, 2, 3, 4, 5, tzinfo=UTC)
# Further on than any instant without it, so that what ends does so after it starts.
UNTIL_THE_END = timedelta(days=365)


def name_of(field: Any) -> str:
    """Return the model and the name of a field."""
    return f"{field.model.__name__}.{field.name}"


def planted_fields(model: Any) -> list[Any]:
    """Return the fields of a model that get a canary."""
    return [
        field
        for field in model._meta.concrete_fields
        if name_of(field) not in EXEMPT
        and not field.choices
        and not field.primary_key
        and not isinstance(field, PLAIN)
    ]


def word_of(field: Any, key: Any) -> str:
    """Return the canary of a field of a row: eight letters that stand nowhere else."""
    return f"zq{hashlib.sha256(f'{name_of(field)} {key}'.encode()).hexdigest()[:6]}"


def instant_of(field: Any, key: Any) -> datetime:
    """Return the instant planted in a field of a row, to the second."""
    seed = hashlib.sha256(f"{name_of(field)} {key}".encode()).digest()
    instant = BERTH + timedelta(seconds=int.from_bytes(seed[:3], "big"))
    return instant + UNTIL_THE_END if field.name.startswith("end") else instant


def plant() -> dict[bytes, str]:
    """Put a canary into every private field of every row; returns what to look for."""
    planted: dict[bytes, str] = {}
    for model in PRIVATE:
        for row in model._base_manager.all():
            for field, value in _put(row, planted_fields(model)).items():
                for text in _as_read(field, row.pk, value):
                    planted[text.encode()] = f"{name_of(field)} of {row.pk}"
    return planted


def _put(row: Any, fields: list[Any]) -> dict[Any, Any]:
    """Change a row; if it may not hold one of the canaries, all that it may hold."""
    values = {field: _canary(field, row.pk) for field in fields}
    if _update(row, values):
        return values
    return {field: value for field, value in values.items() if _update(row, {field: value})}


def _update(row: Any, values: dict[Any, Any]) -> bool:
    changed = {field.attname: value for field, value in values.items()}
    try:
        with transaction.atomic():
            type(row)._base_manager.filter(pk=row.pk).update(**changed)
    except IntegrityError:
        return False
    return True


def _canary(field: Any, key: Any) -> Any:
    """Return what is planted in a field of a row.

    Raises
    ------
    TypeError
        If nobody has thought of such a field yet.
    """
    for kind, make in _MAKERS.items():
        if isinstance(field, kind):
            return make(field, key)
    message = f"No canary is known for {name_of(field)}."
    raise TypeError(message)


def _key_of(field: Any, key: Any) -> str:
    return hashlib.sha256(word_of(field, key).encode()).hexdigest()[:32]


# An instant is a day to Python and to Django, so it comes first.
_MAKERS: dict[type[Any], Callable[[Any, Any], Any]] = {
    models.DateTimeField: instant_of,
    models.DateField: lambda field, key: instant_of(field, key).date(),
    models.UUIDField: _key_of,
    models.BinaryField: lambda field, key: word_of(field, key).encode(),
    models.JSONField: lambda field, key: {word_of(field, key): word_of(field, key)},
    models.CharField: word_of,
    models.TextField: word_of,
}


def _as_read(field: Any, key: Any, value: Any) -> Iterator[str]:
    if isinstance(field, models.DateTimeField):
        yield f"{value:%Y-%m-%dT%H:%M:%S}"
        yield f"{value:%Y-%m-%d %H:%M:%S}"
        yield format_datetime(value, usegmt=True)
        yield f"{value.timestamp():.0f}"
    elif isinstance(field, models.DateField):
        yield value.isoformat()
    elif isinstance(field, models.UUIDField):
        yield f"{value[:8]}-{value[8:12]}"
        yield value
    else:
        yield word_of(field, key)


# What a canary can look like, so that a text is read once and not once for each of them.
LIKE_A_CANARY = re.compile(
    rb"zq[0-9a-f]{6}|\d{4}-\d\d-\d\d(?:[T ]\d\d:\d\d:\d\d)?|(?<!\d)\d{10}(?!\d)"
    rb"|[A-Z][a-z]{2}, \d\d [A-Z][a-z]{2} \d{4} \d\d:\d\d:\d\d GMT"
    rb"|(?<![0-9a-f])[0-9a-f]{8}-[0-9a-f]{4}|(?<![0-9a-f])[0-9a-f]{32}(?![0-9a-f])"
)
DAY_LENGTH = len("2003-01-02")


def found_in(text: bytes, planted: Container[bytes]) -> set[bytes]:
    """Return the canaries of words, instants, days and keys that stand in a text."""
    seen = set(LIKE_A_CANARY.findall(text))
    return {one for like in seen for one in (like, like[:DAY_LENGTH]) if one in planted}


# Map projections that a reader of the region would think of: UTM zone 30 N, the British National
# Grid, the European equal-area grid and the projection of web maps (EPSG codes).
PROJECTIONS = ("EPSG:32630", "EPSG:27700", "EPSG:3035", "EPSG:3857")
DEGREES = "(?:\N{DEGREE SIGN}|\N{MASCULINE ORDINAL INDICATOR}|&deg;|&#176;|\\\\u00b0|deg|d)"
SEXAGESIMAL = re.compile(
    rf"(?<![\d.])0?(\d{{1,2}}) ?{DEGREES} ?(\d{{1,2}})".encode()
    + rb"(?:[.,](\d\d)|[^\d<>\n]{1,8}(\d{1,2}))"
)


@dataclass(frozen=True)
class Mark:
    """A place, in the notations in which it could be written."""

    latitude: Decimal
    longitude: Decimal

    @cached_property
    def decimals(self) -> list[bytes]:
        """Return the axes in degrees, to the fourth digit, or as integers of 1e-7 degree."""
        found = []
        for degrees in (abs(self.latitude), abs(self.longitude)):
            whole, _, after = str(degrees).partition(".")
            found += [f"{whole}.{after[:4]}", f"{whole},{after[:4]}", f"{whole}{after}".lstrip("0")]
        return [text.encode() for text in found]

    @cached_property
    def sexagesimal(self) -> set[tuple[int, int, str]]:
        """Return degrees, minutes and the hundredths of a minute, or the seconds."""
        found = set()
        for degrees in (abs(self.latitude), abs(self.longitude)):
            minutes = degrees % 1 * 60
            hundredths, seconds = f"{minutes % 1:.6f}"[2:4], f"{int(minutes % 1 * 60)}"
            found |= {(int(degrees), int(minutes), rest) for rest in (f".{hundredths}", seconds)}
        return found

    @cached_property
    def metres(self) -> list[tuple[bytes, bytes]]:
        """Return northing and easting in whole metres, rounded down, in each projection."""
        found = []
        for projection in PROJECTIONS:
            place = _to(projection).transform(float(self.longitude), float(self.latitude))
            east, north = (str(abs(math.floor(metres))).encode() for metres in place)
            found.append((north, east))
        return found

    def stands_in(self, text: bytes) -> bool:
        """Tell whether the place stands in a text, in any notation."""
        return (
            any(_stands_alone(text, number) for number in self.decimals)
            or any(one in text and other in text for one, other in self.metres)
            or not self.sexagesimal.isdisjoint(_sexagesimal_in(text))
        )


def _stands_alone(text: bytes, number: bytes) -> bool:
    return number in text and re.search(rb"(?<![\d.])" + re.escape(number), text) is not None


def _sexagesimal_in(text: bytes) -> set[tuple[int, int, str]]:
    return {
        (int(degrees), int(minutes), f".{hundredths.decode()}" if hundredths else f"{int(seconds)}")
        for degrees, minutes, hundredths, seconds in SEXAGESIMAL.findall(text)
    }


@cache
def _to(projection: str) -> Transformer:
    return Transformer.from_crs("EPSG:4326", projection, always_xy=True)
