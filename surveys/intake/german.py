"""The meaning of each fault and how to mend it, in German; the codes are those of English."""

from surveys.intake.fault_texts import FaultText

FAULT_TEXTS: dict[str, FaultText] = {
    code: FaultText(meaning, fix)
    for code, meaning, fix in (
        ("field-missing", "Ein Feld fehlt, das jeder Datensatz braucht.", "Ergänzen Sie es."),
        (
            "field-unknown",
            "Ein Feld dieses Namens gibt es nicht.",
            "Entfernen Sie das Feld oder berichtigen Sie seinen Namen.",
        ),
        (
            "word-unknown",
            "Das Wort steht nicht in der Liste der erlaubten Wörter.",
            "Nehmen Sie eines der erlaubten Wörter.",
        ),
        (
            "number-out-of-range",
            "Die Zahl liegt außerhalb des Möglichen.",
            "Prüfen Sie die Zahl und ihre Einheit.",
        ),
        (
            "count-out-of-range",
            "Eine Zählung ist eine ganze Zahl ab 0.",
            (
                "Senden Sie 0, wenn Sie nichts gefunden haben, 'not_looked_for' oder null, "
                "wenn nicht gesucht wurde."
            ),
        ),
        (
            "number-too-precise",
            "Die Zahl hat zu viele Nachkommastellen.",
            "Senden Sie höchstens zwei Nachkommastellen.",
        ),
        (
            "number-not-readable",
            "Der Wert ist keine Zahl.",
            "Senden Sie eine Zahl wie 52.88, ohne Einheit.",
        ),
        (
            "number-decimal-comma",
            "Die Zahl hat ein Dezimalkomma.",
            "Schreiben Sie die Zahl mit Dezimalpunkt und ohne Anführungszeichen.",
        ),
        (
            "number-not-whole",
            "Der Wert ist keine ganze Zahl.",
            "Senden Sie eine ganze Zahl ohne Anführungszeichen.",
        ),
        ("not-yes-or-no", "Der Wert ist weder true noch false.", "Senden Sie true oder false."),
        ("text-expected", "Der Wert ist kein Text.", "Senden Sie Text in Anführungszeichen."),
        (
            "text-control-character",
            "Der Text enthält ein Zeichen, das weder gezeigt noch gespeichert werden kann.",
            "Entfernen Sie das unsichtbare Zeichen (oft vom Kopieren) und senden Sie erneut.",
        ),
        (
            "code-not-allowed",
            "Der Code enthält ein Zeichen, das Codes nicht haben dürfen.",
            (
                "Nehmen Sie Buchstaben, Ziffern, Punkt, Strich und Unterstrich; beginnen Sie mit "
                "Buchstabe oder Ziffer."
            ),
        ),
        ("text-too-short", "Der Text ist leer.", "Füllen Sie ihn aus."),
        ("text-too-long", "Der Text ist zu lang.", "Kürzen Sie ihn."),
        (
            "date-not-readable",
            "Der Tag ist nicht lesbar.",
            "Schreiben Sie den Tag als JJJJ-MM-TT.",
        ),
        ("list-too-short", "Die Liste ist leer.", "Tragen Sie mindestens einen Eintrag ein."),
        ("list-too-long", "Die Liste ist zu lang.", "Senden Sie weniger Einträge."),
        ("value-not-allowed", "Der Wert ist hier nicht erlaubt.", "Berichtigen Sie ihn."),
        (
            "protocol-unknown",
            "Eine solche Fassung eines Verfahrens gibt es nicht.",
            "Nennen Sie die Fassung auf Ihrem Bogen; alle stehen unter /api/v1/partner/protocols.",
        ),
        (
            "participant-unknown",
            "Ihre Gruppe hat keine Person mit diesem Code.",
            "Melden Sie die Person zuerst an: PUT /api/v1/partner/participants/CODE.",
        ),
        (
            "site-new-needs-place",
            "Ein Ort, der zum ersten Mal gesandt wird, braucht seine Lage.",
            "Senden Sie latitude, longitude und place_kind mit der ersten Begehung eines Ortes.",
        ),
        (
            "datum-unusable",
            "Das Bezugssystem ist keines, das wir in WGS 84 umrechnen können.",
            (
                "Senden Sie den EPSG-Code eines geografischen Bezugssystems, etwa EPSG:4326, oder "
                "'unknown'."
            ),
        ),
        (
            "site-differs",
            "Ein bekannter Ort wurde mit anderer Lage gesandt; das ist ein anderer Ort.",
            "Lassen Sie die Lage bei einem bekannten Ort weg, oder nehmen Sie einen neuen Code.",
        ),
        (
            "field-required-by-protocol",
            "Das Verfahren verlangt dieses Feld.",
            "Tragen Sie es vom Bogen nach.",
        ),
        (
            "position-half",
            "Eine Position braucht latitude und longitude.",
            "Senden Sie beide oder keine.",
        ),
        (
            "phase-not-in-protocol",
            "Das Verfahren hat keinen solchen Schritt, oder der Schritt steht zweimal da.",
            "Senden Sie jeden Schritt des Verfahrens einmal.",
        ),
        (
            "phase-details-without-step",
            "Mittel, Menge und Wartezeit gehören zu einem Schritt, der getan wurde.",
            "Setzen Sie done auf true, oder entfernen Sie agent, volume_ml und wait_min.",
        ),
        (
            "counts-without-step",
            "Zählungen gehören zu einem Schritt, der getan wurde.",
            "Setzen Sie done auf true, wenn er getan wurde, oder entfernen Sie die Zählungen.",
        ),
        (
            "line-not-in-protocol",
            "Das Verfahren zählt Gruppe, Stadium und Taxon so nicht.",
            "Nehmen Sie die Zeilen des Bogens zu diesem Verfahren.",
        ),
        (
            "line-twice",
            "Dieselbe Zeile steht zweimal in einem Schritt.",
            "Zählen Sie die Zahlen zusammen oder entfernen Sie eine Zeile.",
        ),
        (
            "batch-shape",
            "Eine Sendung ist ein Objekt mit einer Liste namens visits.",
            "Fassen Sie die Begehungen, auch eine einzelne, wie im Beispiel zusammen.",
        ),
        (
            "batch-size",
            "Eine Sendung enthält 1 bis 200 Begehungen.",
            "Teilen Sie eine größere Sendung.",
        ),
        (
            "ref-twice",
            "Dieselbe client_ref steht zweimal in der Sendung.",
            "Geben Sie jeder Begehung eine eigene.",
        ),
        (
            "ref-exists",
            "Diese client_ref ist schon mit anderem Inhalt gespeichert.",
            "Berichtigen Sie die Begehung mit PUT /api/v1/partner/visits/CLIENT_REF.",
        ),
        (
            "ref-unknown",
            "Die Gruppe hat keine Begehung mit dieser client_ref gesandt.",
            "Berichtigen Sie sie, oder senden Sie die Begehung als neue.",
        ),
        (
            "revision-stale",
            "Die Begehung wurde berichtigt, seit sie gelesen wurde.",
            "Lesen Sie sie noch einmal, und berichtigen Sie, was jetzt dort steht.",
        ),
        (
            "corrections-shape",
            "Berichtigungen sind eine Liste von Fassungen und ganzen Begehungen.",
            "Senden Sie sie wie im Beispiel.",
        ),
        (
            "visit-closed",
            "Eine zurückgenommene oder abgelehnte Begehung wird nicht mehr berichtigt.",
            "Senden Sie eine neue, oder legen Sie Widerspruch ein, wenn sie abgelehnt wurde.",
        ),
        (
            "ref-changed",
            "Eine Berichtigung behält die client_ref der Begehung.",
            "Senden Sie die Begehung unter ihrer eigenen client_ref.",
        ),
        (
            "statement-unknown",
            "Ein Ja gilt einem Text, der an dem Tag in Gebrauch war, in einer seiner Sprachen.",
            "Wählen Sie aus GET /api/v1/partner/consent-statements.",
        ),
        (
            "guardian-of-adult",
            "Für Volljährige antwortet niemand anderes.",
            "Senden Sie die Antwort der Person selbst.",
        ),
        (
            "too-young-online",
            "Die Person ist zu jung, um selbst online zuzustimmen.",
            "Fragen Sie das Kind auf Papier oder mündlich, und senden Sie dies als Beleg.",
        ),
        (
            "answer-in-future",
            "Eine Antwort kann nicht später als jetzt gegeben worden sein.",
            "Berichtigen Sie answered_at, oder lassen Sie es für jetzt weg.",
        ),
        (
            "age-two-ways",
            "Ein Alter ist durch einen Geburtstag bekannt oder durch einen Tag der Volljährigkeit.",
            "Senden Sie born_on oder of_age_by, nicht beides.",
        ),
        (
            "name-missing",
            "Wer genannt werden will, braucht einen Namen, der gezeigt wird.",
            "Senden Sie shown_name, oder lassen Sie die Zustimmung zur Nennung weg.",
        ),
        (
            "orcid-wrong",
            "Die ORCID iD hat eine andere Form oder eine falsche Prüfziffer.",
            "Kopieren Sie sie noch einmal, etwa 0000-0002-1825-0097, ohne Adresse davor.",
        ),
        (
            "ref-unknown",
            "Die Gruppe hat keine Begehung mit dieser client_ref geschickt.",
            "Berichtigen Sie die client_ref, oder schicken Sie die Begehung als neue.",
        ),
        (
            "revision-stale",
            "Die Begehung wurde berichtigt, seit sie gelesen wurde.",
            "Lesen Sie sie noch einmal, und berichtigen Sie, was jetzt dort steht.",
        ),
        (
            "corrections-shape",
            "Berichtigungen sind eine Liste aus Revisionen und ganzen Begehungen.",
            "Schicken Sie sie wie im beschriebenen Beispiel.",
        ),
        (
            "column-unknown",
            "Die Tabelle hat eine Spalte, die keine Vorlage hat.",
            "Berichtigen Sie ihren Namen, oder entfernen Sie sie: GET /api/v1/partner/templates.",
        ),
        (
            "column-twice",
            "Eine Spalte steht zweimal in der Tabelle.",
            "Behalten Sie eine davon.",
        ),
        (
            "column-missing",
            "Eine Spalte fehlt, die jede Tabelle braucht.",
            "Fügen Sie sie ein.",
        ),
        (
            "header-not-known",
            "Die erste Zeile der Tabelle enthält keine unserer Spalten.",
            "Beginnen Sie mit der Zeile der Spaltennamen einer Vorlage.",
        ),
        (
            "rows-disagree",
            "Zwei Zeilen einer Begehung oder Grube widersprechen einander.",
            "Berichtigen Sie eine; in späteren Zeilen darf der Wert fehlen.",
        ),
        (
            "rows-apart",
            "Die Zeilen einer Begehung stehen nicht untereinander.",
            "Ordnen Sie nach client_ref, und geben Sie jeder Begehung eine eigene.",
        ),
        (
            "visit-too-long",
            "Mehr Zeilen haben dieselbe client_ref, als eine Begehung haben kann.",
            "Geben Sie jeder Begehung eine eigene.",
        ),
        (
            "pit-out-of-order",
            "Die Gruben einer Begehung sind in der Folge ihrer Zeilen 1, 2 und so weiter.",
            "Zählen Sie neu, oder lassen Sie die Nummer in einer breiten Tabelle weg.",
        ),
        (
            "cells-beyond-header",
            "Eine Zeile hat mehr Zellen, als die Tabelle Spalten hat.",
            "Setzen Sie Text mit Trennzeichen in Anführungszeichen, oder benennen Sie die Spalte.",
        ),
        (
            "row-not-read",
            "Eine Zeile lässt sich nicht in Zellen teilen.",
            "Schließen Sie jedes Anführungszeichen, und verdoppeln Sie die im Text.",
        ),
        (
            "row-too-long",
            "Eine Zeile ist zu lang.",
            "Suchen Sie ein Anführungszeichen, das nicht geschlossen ist.",
        ),
        (
            "encoding-not-read",
            "Der Text ist in keiner Kodierung, die wir lesen.",
            "Speichern Sie die Datei als UTF-8, und senden Sie sie erneut.",
        ),
        (
            "file-empty",
            "Die Datei enthält keine Zeile.",
            "Senden Sie die Datei, die Sie meinten.",
        ),
        (
            "file-not-read",
            "Die Datei ist beschädigt, verschlüsselt oder von anderer Art, als ihre Bytes sagen.",
            "Speichern Sie sie neu als CSV, XLSX oder gewöhnliches Zip.",
        ),
        (
            "file-too-large-unpacked",
            "Die Datei wäre entpackt zu groß, oder ihr XML nennt einen Dokumenttyp.",
            "Speichern Sie nur die Datensätze, oder senden Sie CSV.",
        ),
        (
            "sheet-not-clear",
            "Die Mappe hat mehrere Blätter, und keines heißt records.",
            "Nennen Sie das Blatt mit den Datensätzen 'records', oder entfernen Sie die anderen.",
        ),
        (
            "table-not-clear",
            "Das Zip enthält keine Tabelle oder mehrere.",
            "Packen Sie eine Datei in CSV, XLSX oder NDJSON mit ihren Fotos.",
        ),
        (
            "photo-missing",
            "Eine Zeile nennt ein Foto, das im Zip fehlt oder doppelt ist.",
            "Packen Sie das Foto dazu, oder berichtigen Sie seinen Namen in der Tabelle.",
        ),
        (
            "photo-not-kept",
            "Die Begehung nimmt ein solches Foto nicht an.",
            "Eine Grube hat eine begrenzte Zahl Fotos, eine geschlossene Begehung nimmt keine.",
        ),
        (
            "body-not-json",
            "Der Inhalt ist nicht das JSON, das wir annehmen.",
            "Senden Sie ein JSON-Objekt.",
        ),
    )
}
