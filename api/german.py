"""Title, meaning and remedy of each problem in German; codes and members stay as they are."""

PROBLEMS: dict[str, tuple[str, str, str]] = {
    "not-found": (
        "Hier ist nichts",
        "Eine solche Adresse oder einen solchen Datensatz gibt es nicht.",
        "Prüfen Sie die Adresse.",
    ),
    "gone": (
        "Zurückgenommen",
        "Der Datensatz oder die Datei wurde zurückgenommen; es bleiben Kennung, Tag und Grund.",
        "Löschen Sie Ihre Kopie. Dateien stehen unter neuer Adresse: siehe die Ausgabe.",
    ),
    "parameter-unknown": (
        "Unbekannter Parameter",
        "Die Adresse hat einen Parameter, den es hier nicht gibt.",
        "Berichtigen Sie seinen Namen; der ähnlichste bekannte steht dabei.",
    ),
    "parameter-wrong": (
        "Falscher Parameter",
        "Ein Parameter hat einen Wert, der nicht erlaubt ist.",
        "Nehmen Sie einen der erlaubten Werte.",
    ),
    "cursor-invalid": (
        "Zeiger nicht gültig",
        "Der Zeiger stammt nicht von diesem Dienst oder wurde verändert.",
        "Beginnen Sie ohne Zeiger, und folgen Sie den Verweisen, wie sie sind.",
    ),
    "cursor-mismatch": (
        "Zeiger einer anderen Abfrage",
        "Filter, Reihenfolge oder Ausgabe haben sich unter dem Zeiger geändert.",
        "Lassen Sie die Abfrage, wie sie war, oder beginnen Sie ohne Zeiger.",
    ),
    "invalid-records": (
        "Datensätze nicht angenommen",
        "Einige oder alle Datensätze haben Fehler; jeder ist mit seiner Stelle aufgeführt.",
        "Berichtigen Sie die genannten Felder, und senden Sie jene Datensätze erneut.",
    ),
    "body-not-json": (
        "Inhalt nicht lesbar",
        "Der Inhalt ist nicht das JSON, das wir annehmen.",
        "Senden Sie ein JSON-Objekt in UTF-8.",
    ),
    "token-missing": (
        "Schlüssel nötig",
        "Diese Adresse braucht einen Schlüssel, der bekannt und in Kraft ist.",
        "Senden Sie die Kopfzeile Authorization: Bearer IHR-SCHLÜSSEL, oder bitten Sie um einen.",
    ),
    "scope-missing": (
        "Nicht erlaubt",
        "Dem Schlüssel fehlt die Befugnis, die diese Adresse braucht.",
        "Nehmen Sie einen Schlüssel mit dieser Befugnis.",
    ),
    "practice-only": (
        "Nicht zum Üben",
        "Ein Übungsschlüssel öffnet diese Adresse nicht.",
        "Nehmen Sie einen Schlüssel für echte Datensätze.",
    ),
    "not-allowed": (
        "Nicht erlaubt",
        "Diese Person darf dies mit diesem Datensatz nicht tun.",
        "Überlassen Sie die Entscheidung jemand anderem.",
    ),
    "method-not-allowed": (
        "Falsche Methode",
        "Die Adresse kennt diese Methode nicht.",
        "Siehe Allow.",
    ),
    "format-not-available": (
        "Kein solches Format",
        "Die Adresse antwortet nicht im gewünschten Format.",
        "Bitten Sie um eines der genannten Formate.",
    ),
    "body-type-not-taken": (
        "Art des Inhalts nicht angenommen",
        "Diese Adresse liest Inhalte dieser Art nicht.",
        "Senden Sie application/json.",
    ),
    "too-large": (
        "Zu groß",
        "Der Inhalt überschreitet die Grenze.",
        "Senden Sie kleinere Teile.",
    ),
    "photo-not-taken": (
        "Foto nicht angenommen",
        "Die Datei ist kein Bild, das wir annehmen; das Feld fault sagt, warum.",
        (
            "Senden Sie ein Bild in JPEG, PNG oder WebP, in RGB oder Grau, nicht bewegt, nicht "
            "abgeschnitten."
        ),
    ),
    "consent-missing": (
        "Keine Zustimmung in Kraft",
        "Die betroffene Person hat dem nicht oder nicht mehr zugestimmt.",
        "Fragen Sie die Person, und tragen Sie die Antwort ein, bevor Sie erneut senden.",
    ),
    "range-not-satisfiable": (
        "Keine solchen Bytes",
        "Die Datei endet vor dem gewünschten Bereich.",
        "Ihre Größe steht in Content-Range.",
    ),
    "idempotency-reused": (
        "Schlüssel einer anderen Anfrage",
        "Der Idempotency-Key kam schon mit anderem Inhalt oder anderer Wahl.",
        "Nehmen Sie für eine neue Anfrage einen neuen.",
    ),
    "idempotency-busy": (
        "Noch in Arbeit",
        "Die erste Anfrage mit diesem Idempotency-Key ist noch nicht beantwortet.",
        "Warten Sie so lange, wie Retry-After sagt, und senden Sie dieselbe Anfrage erneut.",
    ),
    "idempotency-key-wrong": (
        "Schlüssel nicht brauchbar",
        "Ein Idempotency-Key hat 1 bis 128 druckbare Zeichen.",
        "Senden Sie zum Beispiel eine zufällige UUID.",
    ),
    "revision-missing": (
        "Fassung nicht genannt",
        "Eine Änderung braucht If-Match mit dem ETag, den Sie gelesen haben.",
        "Lesen Sie den Datensatz, und senden Sie seinen ETag in If-Match.",
    ),
    "revision-stale": (
        "Inzwischen geändert",
        "Jemand hat den Datensatz geändert oder entschieden, seit Sie ihn gelesen haben.",
        "Lesen Sie ihn noch einmal, und entscheiden Sie neu.",
    ),
    "claimed": (
        "Bei jemand anderem",
        "Jemand anderes prüft diese Begehung gerade.",
        "Nehmen Sie eine andere, oder warten Sie; die Antwort sagt, bis wann.",
    ),
    "wrong-state": (
        "Nicht in diesem Zustand",
        "Der Zustand des Datensatzes lässt dies nicht zu.",
        "Lesen Sie den Datensatz: Sein Zustand sagt, was möglich ist.",
    ),
    "too-many-requests": (
        "Zu viele Anfragen",
        "Die Grenze der Anfragen ist erreicht.",
        "Warten Sie so lange, wie Retry-After sagt.",
    ),
    "bad-request": (
        "Nicht verstanden",
        "Die Anfrage ist nicht lesbar.",
        "Prüfen Sie Adresse, Kopfzeilen und Inhalt.",
    ),
    "server-error": (
        "Unser Fehler",
        "Bei uns ist etwas schiefgegangen; nichts Halbes wurde behalten.",
        "Versuchen Sie es später, und nennen Sie uns die Nummer der Anfrage.",
    ),
    "unavailable": (
        "Zurzeit nicht erreichbar",
        "Datenbank oder Dateien sind nicht erreichbar, oder die Antwort dauerte zu lange.",
        "Warten Sie so lange, wie Retry-After sagt; hat es zu lange gedauert, fragen Sie weniger.",
    ),
}
NOT_ACCEPTED = (
    "{rejected} von {received} Begehungen wurden nicht angenommen. Berichtigen Sie die genannten "
    "Felder, und senden Sie jene Begehungen erneut."
)
# What a fault of a body means and how to mend it, by its code.
BODY_FAULTS: dict[str, tuple[str, str]] = {
    "field-missing": ("Ein Feld fehlt, das jeder Datensatz braucht.", "Ergänzen Sie es."),
    "field-unknown": (
        "Ein Feld dieses Namens gibt es nicht.",
        "Entfernen Sie das Feld oder berichtigen Sie seinen Namen.",
    ),
    "word-unknown": (
        "Das Wort steht nicht in der Liste der erlaubten Wörter.",
        "Nehmen Sie eines der erlaubten Wörter.",
    ),
    "number-out-of-range": (
        "Die Zahl liegt außerhalb des Möglichen.",
        "Prüfen Sie die Zahl und ihre Einheit.",
    ),
    "number-not-whole": (
        "Der Wert ist keine ganze Zahl.",
        "Senden Sie eine ganze Zahl ohne Anführungszeichen.",
    ),
    "not-yes-or-no": ("Der Wert ist weder true noch false.", "Senden Sie true oder false."),
    "text-expected": ("Der Wert ist kein Text.", "Senden Sie Text in Anführungszeichen."),
    "text-too-short": ("Der Text ist leer.", "Füllen Sie ihn aus."),
    "text-too-long": ("Der Text ist zu lang.", "Kürzen Sie ihn."),
    "list-too-short": ("Die Liste ist leer.", "Tragen Sie mindestens einen Eintrag ein."),
    "value-not-allowed": ("Der Wert ist hier nicht erlaubt.", "Berichtigen Sie ihn."),
}
