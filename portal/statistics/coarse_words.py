"""Words published in place of a rarer one, since too few households of a place share that.

The habitats of a kind are those under one letter of EUNIS 2012, to which our habitats are mapped;
the kinds of management are a judgement of our own. A pit told by such a word may be any of its
kind, so no comparison can put it on a side.
"""

from typing import Final

UNTOLD: Final = {"habitat": "ground not told", "management": "treatment not told"}
# For each coarse word its meaning, and the words that it may stand for.
KINDS: Final[dict[str, dict[str, tuple[str, tuple[str, ...]]]]] = {
    "habitat": {
        "grassland": (
            "any grassland; which is withheld",
            (
                *("old pasture", "hay meadow", "sown grass", "lawn", "rough grass", "dry grass"),
                *("wet grass", "road verge"),
            ),
        ),
        "cultivated ground": (
            "any field or garden bed; which is withheld",
            (
                *("crop field", "fallow", "field margin", "vegetable plot", "flower bed"),
                "compost heap",
            ),
        ),
        "shrubs": (
            "any ground under shrubs; which is withheld",
            ("vineyard", "hedge", "scrub", "heath"),
        ),
        "trees": (
            "any ground under trees; which is withheld",
            ("orchard", "broadleaved wood", "conifer wood", "mixed wood", "young plantation"),
        ),
        "watery ground": (
            "any mire, fen or bank; which is withheld",
            ("fen edge", "bog", "bank"),
        ),
        UNTOLD["habitat"]: ("any habitat; which is withheld", ("made ground",)),
    },
    "management": {
        "soil worked": (
            "any way of working the soil; which is withheld",
            ("ploughed", "min-tilled", "direct drilled"),
        ),
        "growth taken": ("cut or grazed this year; which is withheld", ("grazed", "mown")),
        "something added": (
            "anything added to the land; what is withheld",
            ("manured", "mulched", "limed", "fertilised", "sprayed"),
        ),
        "water led": ("watered or drained; which is withheld", ("irrigated", "drained")),
        UNTOLD["management"]: ("any of the words; which is withheld", ("left alone",)),
    },
}
PARENTS: Final[dict[str, dict[str, str]]] = {
    vocabulary: {word: kind for kind, (_, words) in kinds.items() for word in words}
    for vocabulary, kinds in KINDS.items()
}
MEANINGS: Final[dict[str, dict[str, str]]] = {
    vocabulary: {kind: meaning for kind, (meaning, _) in kinds.items()}
    for vocabulary, kinds in KINDS.items()
}


def is_coarse(word: str, vocabulary: str) -> bool:
    """Tell whether a word stands in place of a rarer one."""
    return word in MEANINGS.get(vocabulary, ())
