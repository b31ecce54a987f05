"""What the checks say, in German: by the code of the answer, with the same arguments.

An argument that is an English phrase is left out here; the numbers and words of the form stay.
"""

COMMENTS: dict[str, str] = {
    "counts-blank": (
        "Grube {pit}: Die Zählungen sind leer, und leer ist nicht null. Senden Sie 0 für jede "
        "Zeile, in der Sie gesucht und nichts gefunden haben; bis dahin wartet die Grube."
    ),
    "counts-partly-blank": (
        "Grube {pit}: {received} Zeile(n) sind leer neben ausgefüllten. Eine leere Zeile gilt als "
        "unbekannt; senden Sie 0, wo Sie gesucht und nichts gefunden haben."
    ),
    "count-not-a-number": (
        "Grube {pit}: Eine gezählte Zeile braucht eine ganze Zahl ab 0, und nur eine gezählte hat "
        "eine. Senden Sie 0, wenn Sie gesucht und nichts gefunden haben."
    ),
    "count-negative": (
        "Grube {pit}: Die Zahl der Tiere muss eine ganze Zahl ab 0 sein; erhalten: {received}. "
        "Senden Sie 0, wenn Sie gesucht und nichts gefunden haben."
    ),
    "total-differs": (
        "Grube {pit}: Als Summe steht {received} da, die Zeilen ergeben aber {expected}. Zählen "
        "Sie alle Schritte (Handauslese und Austreibung) und berichtigen Sie Zeilen oder Summe."
    ),
    "zero-not-confirmed": (
        "Grube {pit}: Es wurde nichts gefunden. Bitte bestätigen Sie, dass die Grube ganz "
        "ausgehoben und bis zum Ende durchsucht wurde; sonst zählt die Null nicht als Fehlen."
    ),
    "count-beyond-belief": (
        "Grube {pit}: {received} Tiere sind {per_m2} je m2; üblich sind {expected} in so einer "
        "Grube. Bitte schauen Sie auf den Papierbogen: Ist eine Ziffer zu viel oder eine Zeile "
        "doppelt? Stimmt die Zahl, so sagen Sie es, und die Prüfung nimmt sie an."
    ),
    "count-unusual": (
        "Grube {pit}: {received} Tiere sind {per_m2} je m2; üblich sind {expected} in so einer "
        "Grube. Bitte schauen Sie auf den Papierbogen: Ist eine Ziffer zu viel oder eine Zeile "
        "doppelt? Stimmt die Zahl, so sagen Sie es, und die Prüfung nimmt sie an."
    ),
    "category-not-in-kit": (
        "Grube {pit}: {kit} hat keine Zeile {group}, {stage}. Tiere, denen dieses Verfahren keine "
        "Gruppe gibt, gehören in die Zeile ohne Gruppe."
    ),
    "anecic-adults-unusual": (
        "Grube {pit}: {received} erwachsene Tiefgräber; mehr als {expected} in einer Grube dieser "
        "Größe sind selten. Waren gefärbte Streubewohner oder Tiere ohne Gürtel dabei? Vergleichen "
        "Sie Länge und Farbe mit dem Schlüssel; stimmt die Zahl, so bleibt sie."
    ),
    "adult-share-unusual": (
        "Grube {pit}: {received} von {found} Tieren sind erwachsen; meist ist die Hälfte oder mehr "
        "jung. Erwachsene haben einen Gürtel. Wurden kleine Tiere übersehen oder junge als "
        "erwachsen gezählt? Stimmen die Zahlen, so bleiben sie."
    ),
    "soil-moisture-unsuitable": (
        "Grube {pit}: Der Boden war trocken oder wassergesättigt ('{received}'). Die Tiere sitzen "
        "dann tief oder sind fort; die Grube bleibt, lässt sich aber nicht mit feuchten "
        "vergleichen. Graben Sie möglichst noch einmal, wenn der Boden feucht ist."
    ),
    "coordinates-zero": (
        "Die Koordinaten sind 0, 0. Senden Sie die richtigen, oder lassen Sie sie weg."
    ),
    "number-out-of-range": (
        "{term} muss eine Zahl von {expected} sein. Prüfen Sie Ziffern, Vorzeichen und Einheit."
    ),
    "possible-duplicate": (
        "{number} andere Begehung(en) haben denselben Ort, Tag und dieselben Zahlen. Haben zwei "
        "Leute eine Begehung gesandt, so nehmen Sie eine zurück; sind es zwei, so sagen Sie es, "
        "und beide bleiben."
    ),
    "effort-missing": (
        "Eine Angabe zum Aufwand fehlt. Tragen Sie sie nach, wenn Sie sie wissen: Eine Zahl ohne "
        "ihren Aufwand lässt sich mit keiner anderen vergleichen."
    ),
    "sorting-time-unusual": (
        "Grube {pit}: {received} Minuten Auslese; üblich sind {expected}. Berichtigen Sie die "
        "Zahl, wenn es die Zeit der ganzen Begehung oder einer von mehreren Personen ist."
    ),
    "expelled-not-poured": (
        "Grube {pit}: Tiere kamen mit der Austreibung, aber es wurde nicht gegossen. Geben Sie "
        "an, dass gegossen wurde, oder zählen Sie die Tiere zur Handauslese."
    ),
    "drench-not-in-kit": (
        "Grube {pit}: Dieses Verfahren gießt nichts. Wurde nach einem anderen gearbeitet, so "
        "senden Sie die Begehung unter jenem."
    ),
    "drench-volume": (
        "Grube {pit}: Die gegossene Menge weicht um mehr als 20 % vom Verfahren ab. Prüfen Sie "
        "Zahl und Einheit (0,5 l sind 500 ml)."
    ),
    "drench-wait": (
        "Grube {pit}: Nach dem Gießen wurde kürzer gewartet, als das Verfahren verlangt. Tief "
        "sitzende Tiere können noch unten gewesen sein."
    ),
    "pit-size-implausible": (
        "Grube {pit}: Ein Maß von {received} cm; möglich sind {expected} cm. Maße stehen in "
        "Zentimetern; messen Sie noch einmal oder berichtigen Sie die Ziffer oder die Einheit."
    ),
    "pit-size-differs": (
        "Grube {pit}: Ein Maß von {received} cm, während {kit} {expected} cm vorsieht. Wurde "
        "wirklich so gegraben, so sagen Sie in der Bemerkung, warum; die Prüfung entscheidet."
    ),
    "too-many-pits": (
        "{kit} hat {expected} Gruben je Begehung, erhalten: {received}. Senden Sie weitere Gruben "
        "als eigene Begehung."
    ),
    "visit-unpaired": (
        "Ein Paar sind zwei Gruben auf zweierlei Grund (Lebensraum oder Nutzung); erhalten: {pits} "
        "Grube(n) auf {kinds}. Die Begehung bleibt, zählt aber nicht in Vergleichen von Paaren."
    ),
    "pit-position-copied": (
        "Zwei Gruben haben dieselbe Position; üblich sind {expected} m Abstand. Nehmen Sie die "
        "Position an jeder Grube, oder lassen Sie sie weg, wenn nur der Ort bekannt ist."
    ),
    "pits-separation": (
        "Zwei Gruben liegen {received} m auseinander; üblich sind {expected} m. Nehmen Sie die "
        "Position an jeder Grube, oder lassen Sie sie weg, wenn nur der Ort bekannt ist."
    ),
    "position-outside-region": (
        "Die Position liegt mehr als {buffer_km} km außerhalb des Gebiets der Gruppe. Prüfen Sie "
        "Reihenfolge (Breite zuerst), Vorzeichen (West und Süd sind minus) und Dezimalpunkt."
    ),
    "position-reading": (
        "Die Position liegt anders gelesen im Gebiet der Gruppe: mit vertauschten Achsen oder "
        "anderem Vorzeichen. Der Vorschlag steht dabei; bestätigen Sie ihn mit einer Berichtigung."
    ),
    "position-accuracy-missing": (
        "Die Genauigkeit der Position fehlt. Senden Sie die Genauigkeit, die das Gerät anzeigt, "
        "oder geben Sie an, dass der Punkt von Hand gesetzt wurde."
    ),
    "position-zero": (
        "Die Position ist 0, 0 und liegt im Meer. Nehmen Sie sie an der Grube, oder setzen Sie "
        "den Punkt von Hand und sagen Sie es."
    ),
    "position-meeting-point": (
        "Die Position ist der Treffpunkt der Gruppe. Nehmen Sie sie an der Grube, oder setzen Sie "
        "den Punkt von Hand und sagen Sie es."
    ),
    "position-region-centre": (
        "Die Position ist die Mitte des Gebiets. Nehmen Sie sie an der Grube, oder setzen Sie den "
        "Punkt von Hand und sagen Sie es."
    ),
    "position-shared": (
        "{others} andere Personen haben genau diese Position gesandt, bis zur letzten Ziffer. "
        "Nehmen Sie sie an der Grube, oder setzen Sie den Punkt von Hand und sagen Sie es."
    ),
    "position-coarse": (
        "Die Position ist nur auf {received} m genau; um den Lebensraum zu erkennen, braucht es "
        "{expected} m oder besser. Warten Sie auf besseren Empfang, oder setzen Sie den Punkt "
        "von Hand."
    ),
    "position-rounded": (
        "Die Position hat {decimals} Nachkommastellen und kann so um {rounded} m danebenliegen, "
        "als Genauigkeit stehen aber {received} m da. Senden Sie alle Stellen des Geräts."
    ),
    "soil-moisture-and-count": (
        "Grube {pit}: {received} Tiere, obwohl der Boden trocken oder wassergesättigt war; 19 von "
        "20 solchen Gruben haben höchstens {expected}. Prüfen Sie beides."
    ),
    "soil-fizz-and-acid": (
        "Grube {pit}: Die Stufe '{received}' passt nicht zur Säure. Essig zeigt nur 'none' oder "
        "'fizz seen'; die feineren Stufen brauchen Salzsäure, 1 M."
    ),
    "soil-said-twice": (
        "Grube {pit}: Für {name} wurden zwei verschiedene Werte gesandt. Senden Sie einen."
    ),
    "colour-not-readable": (
        "Grube {pit}: Die Bodenfarbe ist keine Munsell-Angabe. Schreiben Sie Farbton, Helligkeit "
        "und Sättigung wie auf der Tafel, etwa 10YR 3/2, oder N 4/ für Grau."
    ),
    "colour-without-moisture": (
        "Grube {pit}: Geben Sie an, ob der Boden beim Ablesen der Farbe feucht oder trocken war; "
        "trockener Boden sieht heller aus."
    ),
    "text-control-character": (
        "Der Text enthält ein Zeichen, das weder gezeigt noch gespeichert werden kann "
        "({received}). Entfernen Sie es; oft kommt es vom Kopieren."
    ),
    "text-personal": (
        "Der Text scheint Angaben zu einer Person zu enthalten. Bitte senden Sie ihn ohne sie "
        "noch einmal; er bleibt vertraulich, und keine Bemerkung erscheint ohne Freigabe."
    ),
    "text-place-name": (
        "Der Text scheint Hof, Feld, Haus oder Schule zu nennen und verriete so den Ort. "
        "Beschreiben Sie lieber den Grund (etwa 'die Weide am Bach')."
    ),
    "text-formula": (
        "Der Text beginnt wie eine Formel einer Tabelle. Er bleibt Text; Dateien für Tabellen "
        "kennzeichnen ihn so, dass nichts ausgeführt wird. Beginnen Sie besser mit einem Wort."
    ),
    "date-reading": (
        "Der Tag ist unmöglich, außerhalb der Saison oder lange vor dem Senden; mit vertauschtem "
        "Tag und Monat wäre er es nicht. Bestätigen Sie den Vorschlag mit einer Berichtigung."
    ),
    "date-in-future": (
        "Der Tag {received} liegt nach dem Tag des Eingangs ({arrived}). Prüfen Sie das Jahr, und "
        "ob Tag und Monat vertauscht sind."
    ),
    "date-before-kit": (
        "Der Tag {received} liegt vor dem Beginn von {kit} ({start}). Prüfen Sie den Tag, oder "
        "senden Sie die Begehung unter dem Verfahren, nach dem gearbeitet wurde."
    ),
    "sent-late": (
        "Gesandt {received} Tage nach der Begehung; üblich sind bis zu {expected}. Sie bleibt; "
        "bitte vergleichen Sie Tag und Zahlen mit dem Papierbogen."
    ),
    "out-of-season": (
        "Monat {month} liegt außerhalb der Saison von {kit} (Monate {months}). Die Begehung bleibt "
        "und wird gekennzeichnet: Bei Hitze und Frost gehen die Tiere in die Tiefe. Prüfen Sie, "
        "ob Tag und Monat vertauscht sind."
    ),
}
