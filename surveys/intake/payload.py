"""The shape of what a partner group sends: the only definition of it.

Lengths in cm, volumes in ml, times in minutes, positions in decimal degrees, of WGS 84 unless
another datum is named.
"""

from collections.abc import Iterable
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Annotated, Any, Literal, LiteralString

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    WithJsonSchema,
)
from pydantic_core import PydanticCustomError

from surveys.protocol.vocabulary import (
    HABITATS,
    MANAGEMENT,
    EcologicalGroup,
    Fizz,
    LifeStage,
    Moisture,
    PhaseKind,
    PlaceDetail,
    PlaceKind,
    Texture,
)

NOT_LOOKED_FOR: Literal["not_looked_for"] = "not_looked_for"
MAX_VISITS = 200
STORED_PLACES = 7  # of a coordinate: about a centimetre


def _known(words: Iterable[str]) -> AfterValidator:
    kind: LiteralString = "word_unknown"
    message: LiteralString = "This word is not in the vocabulary."

    def check(word: str) -> str:
        if word not in words:
            raise PydanticCustomError(kind, message, {"allowed": sorted(words)})
        return word

    return AfterValidator(check)


def _as_decimal(value: Any) -> Decimal:
    """Take a number but no text, which may hold digits of other scripts or a unit.

    Raises
    ------
    PydanticCustomError
        If it is no JSON number.
    """
    kind: LiteralString = "decimal_type"
    message: LiteralString = "Input should be a number."
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise PydanticCustomError(kind, message)
    return Decimal(str(value))


def _as_stored(degrees: Decimal) -> Decimal:
    """Return a coordinate as it is stored, so that a site sent again is the same site."""
    return round(degrees, STORED_PLACES)


def _in_utc(at: datetime) -> datetime:
    """Refuse an instant that has no date in UTC.

    Raises
    ------
    PydanticCustomError
        If it lies in the first or last hours of the calendar.
    """
    kind: LiteralString = "instant_impossible"
    message: LiteralString = "There is no such time."
    try:
        return at.astimezone(UTC)
    except OverflowError as error:
        raise PydanticCustomError(kind, message) from error


Code = Annotated[
    str, StringConstraints(min_length=1, max_length=40, pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]*$")
]
Ref = Annotated[
    str, StringConstraints(min_length=1, max_length=80, pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]*$")
]
Latitude = Annotated[
    Decimal,
    Field(ge=-90, le=90),
    BeforeValidator(_as_decimal),
    AfterValidator(_as_stored),
    WithJsonSchema({"type": "number", "minimum": -90, "maximum": 90}),
]
Longitude = Annotated[
    Decimal,
    Field(ge=-180, le=180),
    BeforeValidator(_as_decimal),
    AfterValidator(_as_stored),
    WithJsonSchema({"type": "number", "minimum": -180, "maximum": 180}),
]
Length = Annotated[
    Decimal,
    Field(gt=0, le=200, decimal_places=2),
    BeforeValidator(_as_decimal),
    WithJsonSchema({"type": "number", "exclusiveMinimum": 0, "maximum": 200}),
]
Datum = Annotated[str, StringConstraints(pattern=r"^(EPSG:[0-9]{4,6}|unknown)$")]
Instant = Annotated[AwareDatetime, AfterValidator(_in_utc)]
Minutes = Annotated[int, Field(ge=0, le=1440)]
CountNumber = Annotated[int, Field(ge=0, le=100_000)]
Habitat = Annotated[str, _known(HABITATS), WithJsonSchema({"type": "string", "enum": [*HABITATS]})]
ManagementWord = Annotated[
    str, _known(MANAGEMENT), WithJsonSchema({"type": "string", "enum": [*MANAGEMENT]})
]
Colour = Annotated[str, StringConstraints(min_length=1, max_length=20)]


class Part(BaseModel):
    """Refuse fields that nobody knows; take numbers as numbers and texts as texts."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class SiteIn(Part):
    """Where the visit was. A known ``code`` needs no more; a new one needs position and kind."""

    code: Code = Field(description="The group's own code of the place.")
    latitude: Latitude | None = None
    longitude: Longitude | None = None
    datum: Datum = Field(
        "EPSG:4326",
        description="Of site and pits, by EPSG code of latitude and longitude, or 'unknown'.",
    )
    uncertainty_m: float | None = Field(None, gt=0, le=10_000, allow_inf_nan=False)
    placed_by_hand: bool = Field(default=False, description="Set on a map, not measured.")
    place_kind: PlaceKind | None = None
    place_detail: PlaceDetail = Field(
        PlaceDetail.STANDARD, description="How finely the participant lets the place be shown."
    )


class CountIn(Part):
    """One line of the form."""

    group: EcologicalGroup
    stage: LifeStage
    taxon: str = Field("", max_length=120)
    number: CountNumber | Literal["not_looked_for"] | None = Field(
        description="0 = looked and found none; 'not_looked_for'; null = not entered."
    )


class PhaseIn(Part):
    """One step. ``done: false`` makes all its lines "not looked for"."""

    kind: PhaseKind
    done: bool | None = Field(description="null = not entered.")
    agent: str = Field("", max_length=60)
    volume_ml: int | None = Field(None, ge=1, le=20_000)
    wait_min: Minutes | None = None
    counts: list[CountIn] = Field(default_factory=list, max_length=60)


class SoilIn(Part):
    """Soil observations; each a class word, 'not_looked_for' or null (not entered)."""

    moisture: Moisture | Literal["not_looked_for"] | None = None
    fizz: Fizz | Literal["not_looked_for"] | None = None
    fizz_acid: Literal["1 M hydrochloric acid", "household vinegar"] | None = None
    texture: Texture | Literal["not_looked_for"] | None = None
    texture_key: Literal["simple", "full"] = "simple"
    colour: Colour | None = Field(
        None, description="Munsell notation such as '10YR 3/2', or 'not_looked_for'."
    )
    colour_state: Literal["moist", "dry"] | None = None


class PitIn(Part):
    """One hole."""

    habitat: Habitat
    management: list[ManagementWord] | Literal["not_known"] | None = Field(
        None, description="Words that apply ([] = none), 'not_known', or null (not entered)."
    )
    width_cm: Length
    length_cm: Length
    depth_cm: Length
    sorting_minutes: Minutes | None = None
    sorted_to_end: bool | None = Field(
        None, description="True confirms that a pit with nothing found was sorted to the end."
    )
    total: CountNumber | None = Field(None, description="The total written on the form, if any.")
    latitude: Latitude | None = None
    longitude: Longitude | None = None
    phases: list[PhaseIn] = Field(min_length=1, max_length=4)
    soil: SoilIn = SoilIn()


class VisitIn(Part):
    """One site, one day, one protocol version."""

    client_ref: Ref = Field(description="The group's own reference, unique in the group.")
    protocol: str = Field(description="Key and version, such as 'contrast-pit/2'.", max_length=70)
    participant: Code
    site: SiteIn
    visited_on: date
    sent_at: Instant | None = Field(None, description="The sender's clock, for late sending.")
    people_digging: int | None = Field(None, ge=1, le=200)
    note: str = Field("", max_length=2000, description="Private unless a reviewer approves it.")
    pits: list[PitIn] = Field(min_length=1, max_length=10)


class BatchIn(Part):
    """One submission."""

    visits: list[VisitIn] = Field(min_length=1, max_length=MAX_VISITS)


class CorrectionIn(Part):
    """A whole visit in place of the revision that was read."""

    revision: int = Field(ge=1)
    visit: VisitIn


class CorrectionsIn(Part):
    """Corrections of own visits."""

    corrections: list[CorrectionIn] = Field(min_length=1, max_length=MAX_VISITS)
