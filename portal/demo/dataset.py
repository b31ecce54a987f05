"""What the demonstration calls itself, as variables of the environment; no Django here."""

from portal.demo.region import REGION_NAME

ENVIRONMENT = {
    "DRILOSPHERE_DATASET_TITLE": f"Soil animals of the {REGION_NAME}, two seasons",
    "DRILOSPHERE_RIGHTS_HOLDER": "Wennish Soil Life Consortium",
    "DRILOSPHERE_PUBLISHER_CODE": "WSLC",
    "DRILOSPHERE_REGION": REGION_NAME,
    "DRILOSPHERE_COUNTRY_CODE": "GB",
    # A box that lies wholly in Great Britain; a cell outside it is shown without a country.
    "DRILOSPHERE_COUNTRY_BOX": "-2.0,51.6,0.0,53.2",
    "DRILOSPHERE_NOTICE": (
        "Invented data for demonstration: no person, group, place or count in it is real."
    ),
}
