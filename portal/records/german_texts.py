"""What fields mean, their units and what their null means, in German."""

UNITS: dict[str, str] = {
    "people": "Personen",
    "degree north": "Grad Nord",
    "degree east": "Grad Ost",
    "m": "m",
    "cm": "cm",
    "m2": "m²",
    "min": "min",
    "ml": "ml",
    "animals": "Tiere",
    "animals per m2": "Tiere je m²",
}

NULLS: dict[str, str] = {
    "not entered": "nicht eingetragen",
    "coordinates are withheld (cell_level 0)": "Koordinaten werden zurückgehalten (cell_level 0)",
    "coordinates are withheld": "Koordinaten werden zurückgehalten",
    "not shown": "wird nicht gezeigt",
    "anonymous": "anonym",
    "anonymous, or none given": "anonym oder nicht angegeben",
    "the cell is not known to lie wholly in one country": (
        "es ist nicht bekannt, dass die Zelle ganz in einem Land liegt"
    ),
    "see management_state": "siehe management_state",
    "nothing poured, or not entered": "nichts gegossen oder nicht eingetragen",
    "nothing was counted": "nichts wurde gezählt",
    "not determined further": "nicht weiter bestimmt",
    "see state": "siehe state",
    "no count, or a zero beside finds of the same name, which is no absence": (
        "keine Zählung, oder eine Null neben Funden desselben Namens, die kein Fehlen belegt"
    ),
    "the name does not reach this rank": "der Name reicht nicht bis zu diesem Rang",
    "not known": "nicht bekannt",
    "no common name": "kein Trivialname",
    "neither was chosen": "keines von beiden wurde gewählt",
    "no ecological group": "keine ökologische Gruppe",
    "not generalised": "nicht vergröbert",
    "nothing is withheld": "nichts wird zurückgehalten",
}

_UNCERTAINTY = (
    "Abstand von der Mitte zur fernsten Ecke, mit einem Zuschlag für die Ungenauigkeit des Geräts."
)

DEFINITIONS: dict[str, str] = {
    "id": "Bleibende zufällige Kennung des Datensatzes.",
    "visit_id": "Bleibende zufällige Kennung der Begehung.",
    "site_id": "Bleibende zufällige Kennung des Ortes; bei späteren Begehungen dieselbe.",
    "group_code": ("Beitragende Gruppe, wenn sie zugestimmt hat und ihr Name keinen Ort verrät."),
    "sampled_on": "Tag der Begehung, JJJJ-MM-TT; bei Schulen nur der Monat, JJJJ-MM.",
    "sampled_first_on": "Frühester Tag, an dem die Begehung gewesen sein kann.",
    "sampled_last_on": "Spätester Tag, an dem die Begehung gewesen sein kann.",
    "date_precision": "day (Tag) oder month (Monat).",
    "season": "Meteorologische Jahreszeit der Begehung.",
    "protocol": "Schlüssel und Fassung des befolgten Verfahrens.",
    "paired": (
        "Zwei oder mehr Gruben, die sich alle in Lebensraum oder Bewirtschaftung unterscheiden."
    ),
    "people_digging": "Personen, die gegraben und ausgelesen haben.",
    "recorded_by": (
        "Name der aufnehmenden Person, wenn sie volljährig ist und der Nennung in dieser Ausgabe "
        "zugestimmt hat."
    ),
    "recorded_by_id": "ORCID iD einer genannten aufnehmenden Person, als Adresse.",
    "country_code": "Code nach ISO 3166-1 alpha-2, wo die ganze Zelle in dem Land liegt.",
    "latitude": "Mitte der veröffentlichten Rasterzelle, WGS 84.",
    "longitude": "Mitte der veröffentlichten Rasterzelle, WGS 84.",
    "cell": (
        "Schrittweite|Süden|Westen der veröffentlichten Zelle, root, oder exact|Breite|Länge, wo "
        "es erlaubt ist."
    ),
    "cell_level": (
        "0 keine Koordinaten, 1 bis 5 Zellen von 1, 0,5, 0,1, 0,01 und 0,001 Grad, 6 der genaue "
        "Ort."
    ),
    "uncertainty_m": _UNCERTAINTY,
    "data_generalizations": "Wie grob der Ort gezeigt wird.",
    "information_withheld": "Was zurückgehalten wird, und wen man fragen kann.",
    "verification": "Wie weit der Datensatz geprüft ist.",
    "remarks": "Notiz der Begehung, nur wenn sie bei der Prüfung freigegeben wurde.",
    "pits": "Gruben der Begehung.",
    "habitats": "Lebensräume der Gruben.",
    "pit_id": "Bleibende zufällige Kennung der Grube.",
    "habitat": (
        "Lebensraum der Grube. Ein Wort wird als seine Art genannt oder gar nicht, wo es zu wenige "
        "Haushalte der Zelle teilen."
    ),
    "management": (
        "Was mit der Fläche gemacht wurde; eine leere Liste heißt: nichts davon. Ein Wort wird als "
        "seine Art genannt oder gar nicht, wo es zu wenige Haushalte der Zelle teilen."
    ),
    "management_state": (
        "listed (aufgezählt), not_known (gefragt, niemand wusste es) oder not_entered (nicht "
        "eingetragen)."
    ),
    "width_cm": "Innere Breite der Grube.",
    "length_cm": "Innere Länge der Grube.",
    "depth_cm": "Tiefe der Grube.",
    "area_m2": "Breite mal Länge.",
    "sorting_minutes": "Minuten der Handauslese.",
    "sorted_to_end": "Die aufnehmende Person bestätigte, dass der Boden zu Ende ausgelesen wurde.",
    "hand_sort": "Wurde sie gemacht?",
    "expellant": "Wurde ein Austreibungsmittel gegossen?",
    "expellant_agent": "Was gegossen wurde.",
    "expellant_ml": "Menge, die auf den Grund der Grube gegossen wurde.",
    "expellant_wait_min": "Minuten, die nach dem Gießen gewartet wurde.",
    "effort_known": (
        "Von jedem Schritt ist bekannt, ob er gemacht wurde; nur solche Gruben gehen in "
        "Siedlungsdichten ein."
    ),
    "moisture": "Probe durch Drücken in der Hand.",
    "fizz": "Aufbrausen mit der Säure, die daneben steht.",
    "fizz_acid": (
        "Verwendete Säure. Essig kann Karbonat zeigen, aber weder ausschließen noch abstufen."
    ),
    "texture": "Bodenart nach der Fingerprobe.",
    "texture_key": "Verwendeter Schlüssel.",
    "colour": "Schreibweise nach Munsell.",
    "colour_state": "moist (feucht) oder dry (trocken).",
    "found": "Tiere aller gezählten Zeilen.",
    "phase_id": "Bleibende zufällige Kennung des Schrittes in seiner Grube.",
    "method": "Schritt, bei dem die Tiere gefangen wurden.",
    "group": "Gruppe der Tiere; Gruppen sind keine Taxa.",
    "stage": "Stadium der Tiere.",
    "taxon": "Wissenschaftlicher Name.",
    "coarse_taxon": "Taxon, zu dem alle gezählten Tiere gehören.",
    "state": (
        "counted (gezählt, auch null), not_looked_for (nicht gesucht) oder not_entered (nicht "
        "eingetragen)."
    ),
    "number": "Tiere nach der letzten Bestimmung; 0 = gesucht und keines gefunden.",
    "occurrence_status": (
        "present (vorhanden), oder absent (fehlt), wo jede Zeile des Schrittes, die ein Tier "
        "desselben Namens enthalten könnte, gezählt wurde und null ist."
    ),
    "number_recorded": "Tiere, wie sie die aufnehmende Person aufschrieb.",
    "density_per_m2": "Zahl der Tiere durch die gegrabene Fläche.",
    "occurrenceID": "Bleibende Adresse der gezählten Zeile.",
    "eventID": "Bleibende Adresse des Fangschrittes.",
    "basisOfRecord": "Immer HumanObservation.",
    "occurrenceStatus": "Ob auf der Zeile Tiere gefunden wurden.",
    "individualCount": "Tiere nach der letzten Bestimmung; 0 = gesucht und keines gefunden.",
    "organismQuantity": "Dieselbe Zahl, in der Einheit von organismQuantityType.",
    "organismQuantityType": "Immer individuals.",
    "lifeStage": "Stadium der Tiere.",
    "scientificName": "Engster Name aller gezählten Tiere.",
    "taxonRank": "Rang des wissenschaftlichen Namens.",
    "kingdom": "Reich des Namens.",
    "phylum": "Stamm des Namens.",
    "class": "Klasse des Namens.",
    "family": "Familie des Namens.",
    "genus": "Gattung des Namens.",
    "vernacularName": "Englischer Name des weiteren Taxons.",
    "verbatimIdentification": (
        "Was die aufnehmende Person auf dem Bogen wählte: ein Taxon oder eine ökologische Gruppe."
    ),
    "identificationVerificationStatus": "Wie weit der Datensatz geprüft ist.",
    "recordedBy": (
        "Die aufnehmende Person, wenn sie volljährig ist und der Nennung zugestimmt hat; sonst die "
        "Freiwilligen insgesamt."
    ),
    "recordedByID": "ORCID iD einer genannten aufnehmenden Person, als Adresse.",
    "dynamicProperties": "JSON mit der ökologischen Gruppe, die kein Taxon ist.",
    "eventDate": "Tag der Begehung, JJJJ-MM-TT; bei Schulen nur der Monat, JJJJ-MM.",
    "samplingProtocol": "Titel des befolgten Verfahrens.",
    "sampleSizeValue": "Fläche der Grube.",
    "sampleSizeUnit": "Immer square metre (Quadratmeter).",
    "countryCode": "Code nach ISO 3166-1 alpha-2, wo die ganze Zelle in dem Land liegt.",
    "locationID": "Bleibende Adresse des Ortes.",
    "decimalLatitude": "Mitte der veröffentlichten Rasterzelle, WGS 84.",
    "decimalLongitude": "Mitte der veröffentlichten Rasterzelle, WGS 84.",
    "geodeticDatum": "Bezugssystem der Koordinaten.",
    "coordinateUncertaintyInMeters": _UNCERTAINTY,
    "dataGeneralizations": "Wie grob der Ort gezeigt wird.",
    "informationWithheld": "Was zurückgehalten wird, und wen man fragen kann.",
    "license": "Adresse des Rechtstextes.",
    "rightsHolder": "Wer die Rechte an den Daten hat.",
}
