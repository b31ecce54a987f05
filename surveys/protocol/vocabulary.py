"""The only list of controlled words: stages, groups, phases, soil classes, habitats, place kinds.

Habitat and management words are plain speech mapped to open code lists: EUNIS 2012 habitat
types of the European Environment Agency. Moisture is a five-step squeeze scale of our own;
fizz classes follow the USDA Field Book for Describing and Sampling Soils (Schoeneberger et
al. 2012), 1 M hydrochloric acid; vinegar has its own two words because it cannot rank.
"""

from django.db.models import TextChoices


class LifeStage(TextChoices):
    """How far an animal has grown; adult means that the saddle is present."""

    ADULT = "adult", "adult (saddle present)"
    SUBADULT = "subadult", "subadult (pads, no full saddle)"
    JUVENILE = "juvenile", "juvenile (neither pads nor saddle)"
    EGG = "egg", "egg (cocoon)"


class EcologicalGroup(TextChoices):
    """Where an earthworm lives and feeds (Bouche 1972, Lombriciens de France)."""

    EPIGEIC = "epigeic", "litter-dwelling (epigeic)"
    ENDOGEIC = "endogeic", "soil-feeding (endogeic)"
    ANECIC = "anecic", "deep-burrowing (anecic)"
    UNASSIGNED = "unassigned", "not assigned to a group"


class PhaseKind(TextChoices):
    """A step by which animals are taken from one pit."""

    HAND_SORT = "hand_sort", "hand sorting"
    EXPELLANT = "expellant", "expellant drench"


class PhaseState(TextChoices):
    """Whether a step was carried out."""

    DONE = "done", "done"
    NOT_DONE = "not_done", "not done"
    NOT_ENTERED = "not_entered", "not entered"


class CountState(TextChoices):
    """The three kinds of nothing and their opposite: only a counted zero is an absence."""

    COUNTED = "counted", "looked for and counted, zero included"
    NOT_LOOKED_FOR = "not_looked_for", "not looked for"
    NOT_ENTERED = "not_entered", "not entered"


class SoilProperty(TextChoices):
    """What is noted about the soil of a pit."""

    MOISTURE = "moisture", "soil moisture class"
    FIZZ = "fizz", "acid reaction class"
    TEXTURE = "texture", "soil texture class"
    COLOUR = "colour", "soil colour"


class Moisture(TextChoices):
    """Squeeze scale for volunteers, driest first."""

    DRY = "dry", "powder or hard crumbs, will not hold together"
    SLIGHTLY_MOIST = "slightly moist", "holds weakly, fingers stay clean"
    MOIST = "moist", "holds in a ball, fingers damp"
    WET = "wet", "ball with a film of water"
    WATERLOGGED = "waterlogged", "free water drips or stands"


class Fizz(TextChoices):
    """Reaction to a drop of acid; the last word is the most that vinegar can show."""

    NONE = "none", "no bubbles"
    VERY_SLIGHT = "very slight", "a few bubbles"
    SLIGHT = "slight", "bubbles readily seen"
    STRONG = "strong", "bubbles form a low foam"
    VIOLENT = "violent", "thick foam quickly"
    SEEN = "fizz seen", "fizz seen or heard (vinegar)"


class Texture(TextChoices):
    """Three-class texture by feel."""

    SAND = "sand", "does not hold in a ball"
    LOAM = "loam", "between sand and clay"
    CLAY = "clay", "rolls into a sausage and shines when rubbed"


class ColourState(TextChoices):
    """A soil colour means little without its moisture state."""

    MOIST = "moist", "moist"
    DRY = "dry", "dry"


class PlaceKind(TextChoices):
    """What kind of place a site is; decides how coarsely it is shown."""

    PRIVATE_GARDEN = "private_garden", "private garden"
    ALLOTMENT = "allotment", "allotment"
    SCHOOL_GROUND = "school_ground", "school ground"
    FARM = "farm", "farm"
    PUBLIC_GREEN = "public_green", "public green"
    RESERVE = "reserve", "reserve"
    OTHER = "other", "other"


class PlaceDetail(TextChoices):
    """How finely a participant lets a site be shown."""

    FINE = "fine", "fine"
    STANDARD = "standard", "standard"
    COARSE = "coarse", "coarse"
    REGION = "region", "region only"
    NO_COORDINATES = "no_coordinates", "no coordinates"


HABITATS: dict[str, tuple[str, str]] = {
    # word: (meaning, EUNIS 2012 code)
    "old pasture": ("grass grazed for five years or more, not resown", "E2.1"),
    "hay meadow": ("grass cut for hay once or twice a year", "E2.2"),
    "sown grass": ("resown or heavily fed grass, ley included", "E2.6"),
    "lawn": ("grass mown short and often, sports turf included", "E2.6"),
    "rough grass": ("uncut and ungrazed grass", "E2.1"),
    "dry grass": ("thin dry turf, often on chalk or sand", "E1"),
    "wet grass": ("grass on ground wet for part of the year", "E3"),
    "crop field": ("land dug or drilled for yearly crops", "I1"),
    "fallow": ("crop land or stubble with no crop now", "I1.5"),
    "field margin": ("strip at the edge of a crop left uncropped", "I1"),
    "vegetable plot": ("garden bed, allotment or market garden", "I1.2"),
    "flower bed": ("planted garden ground, shrub beds included", "I2.2"),
    "compost heap": ("heaped rotting plant matter", "I2"),
    "orchard": ("fruit trees with ground cover", "G1.D"),
    "vineyard": ("vines in rows", "FB.4"),
    "hedge": ("line of shrubs with its bank", "FA"),
    "scrub": ("bushes cover over half the ground", "F3.1"),
    "heath": ("dwarf shrubs such as heather", "F4"),
    "broadleaved wood": ("trees that drop their leaves", "G1"),
    "conifer wood": ("needle trees", "G3"),
    "mixed wood": ("both kinds of tree", "G4"),
    "young plantation": ("planted trees under about ten years", "G5"),
    "fen edge": ("wet ground with tall herbs or reeds", "D5"),
    "bog": ("peat with moss or cottongrass", "D1"),
    "bank": ("within two metres of fresh water", "C3"),
    "road verge": ("rough ground shaped by people", "E5.1"),
    "made ground": ("rubble, fill or sealed edge", "J"),
}

MANAGEMENT: dict[str, str] = {
    "ploughed": "soil turned over by plough",
    "min-tilled": "worked shallowly, not turned",
    "direct drilled": "sown without tillage",
    "grazed": "stock on the land this year",
    "mown": "cut this year",
    "manured": "manure, slurry or compost added within a year",
    "mulched": "covered with plant matter within a year",
    "limed": "lime added within three years",
    "fertilised": "mineral feed added within a year",
    "sprayed": "pesticide used within a year",
    "irrigated": "watered in the last month",
    "drained": "drains under the land",
    "left alone": "none of these for five years",
}
