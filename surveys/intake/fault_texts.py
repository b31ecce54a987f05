"""What each fault of a sent record means and how to mend it; one text for answer and page."""

from dataclasses import dataclass


@dataclass(frozen=True)
class FaultText:
    """The explanation of one fault."""

    meaning: str
    fix: str


FAULT_TEXTS: dict[str, FaultText] = {
    code: FaultText(meaning, fix)
    for code, meaning, fix in (
        ("field-missing", "A field that every record needs is not there.", "Add this field."),
        (
            "field-unknown",
            "There is no field of this name.",
            "Remove the field or correct its name.",
        ),
        (
            "word-unknown",
            "The word is not in the list of allowed words.",
            "Use one of the allowed words.",
        ),
        (
            "number-out-of-range",
            "The number is outside what is possible.",
            "Check the number and its unit.",
        ),
        (
            "count-out-of-range",
            "A count is a whole number of 0 or more.",
            "Use 0 when you looked and found none, 'not_looked_for' or null when you did not.",
        ),
        ("number-too-precise", "The number has too many decimals.", "Use at most two decimals."),
        (
            "number-not-readable",
            "The value is no number.",
            "Send a JSON number such as 52.88, without unit.",
        ),
        (
            "number-decimal-comma",
            "The number has a decimal comma.",
            "Write the number with a decimal point and without quotation marks.",
        ),
        (
            "number-not-whole",
            "The value is no whole number.",
            "Send a whole number without quotation marks.",
        ),
        ("not-yes-or-no", "The value is neither true nor false.", "Send true or false."),
        ("text-expected", "The value is no text.", "Send a text in quotation marks."),
        (
            "text-control-character",
            "The text holds a character that cannot be shown or stored.",
            "Remove the invisible character (often from copying) and send the visit again.",
        ),
        (
            "code-not-allowed",
            "The code holds a character that codes must not have.",
            "Use letters, digits, dot, dash and underscore; begin with a letter or digit.",
        ),
        ("text-too-short", "The text is empty.", "Fill the text in."),
        ("text-too-long", "The text is too long.", "Shorten the text."),
        ("date-not-readable", "The day cannot be read.", "Write the day as YYYY-MM-DD."),
        ("list-too-short", "The list is empty.", "Add at least one entry."),
        ("list-too-long", "The list is too long.", "Send fewer entries."),
        ("value-not-allowed", "The value is not allowed here.", "Correct the value."),
        (
            "protocol-unknown",
            "There is no such protocol version.",
            "Name the version printed on your form; all are listed at /api/v1/partner/protocols.",
        ),
        (
            "participant-unknown",
            "Your group has no participant with this code.",
            "Register the participant first: PUT /api/v1/partner/participants/CODE.",
        ),
        (
            "site-new-needs-place",
            "A site that is sent for the first time needs its place.",
            "Send latitude, longitude and place_kind with the first visit to a site.",
        ),
        (
            "datum-unusable",
            "The datum is none of latitude and longitude that we can turn into WGS 84.",
            "Send the EPSG code of a geographic datum, such as EPSG:4326, or 'unknown'.",
        ),
        (
            "site-differs",
            "A known site was sent with another place; a moved place is another place.",
            "Leave the place out for a known site, or use a new site code.",
        ),
        (
            "field-required-by-protocol",
            "The protocol asks for this field.",
            "Fill it in from the form.",
        ),
        (
            "position-half",
            "A position needs latitude and longitude.",
            "Send both or neither.",
        ),
        (
            "phase-not-in-protocol",
            "The protocol has no such step, or the step stands twice.",
            "Send each step of the protocol once.",
        ),
        (
            "phase-details-without-step",
            "Agent, volume and waiting time belong to a step that was done.",
            "Set done to true, or remove agent, volume_ml and wait_min.",
        ),
        (
            "counts-without-step",
            "Counts belong to a step that was done.",
            "Set done to true if it was done, or remove the counts.",
        ),
        (
            "line-not-in-protocol",
            "The protocol does not count this group, stage and taxon.",
            "Use the lines of the protocol's form.",
        ),
        (
            "line-twice",
            "The same line stands twice in one step.",
            "Add the numbers up or remove one line.",
        ),
        (
            "batch-shape",
            "A batch is an object with a list called visits.",
            "Wrap the visits, even a single one, as in the documented example.",
        ),
        ("batch-size", "A batch holds 1 to 200 visits.", "Split a larger batch."),
        (
            "ref-twice",
            "The same client_ref stands twice in one batch.",
            "Give every visit its own reference.",
        ),
        (
            "ref-exists",
            "This client_ref is stored already with other content.",
            "Correct the stored visit with PUT /api/v1/partner/visits/CLIENT_REF.",
        ),
        (
            "visit-closed",
            "A withdrawn or declined visit takes no correction.",
            "Send a new visit, or appeal if it was declined.",
        ),
        (
            "ref-changed",
            "A correction keeps the reference of the visit.",
            "Send the visit under its own reference.",
        ),
        (
            "statement-unknown",
            "A yes must be to a statement that was in use on that day, in one of its languages.",
            "Choose from GET /api/v1/partner/consent-statements.",
        ),
        (
            "guardian-of-adult",
            "Nobody answers for a participant who is of age.",
            "Send the participant's own answer.",
        ),
        (
            "too-young-online",
            "A participant below the age for agreeing online has answered on a page.",
            "Ask the child on paper or aloud, and send that as the evidence.",
        ),
        (
            "answer-in-future",
            "An answer can't have been given later than now.",
            "Correct answered_at, or leave it out for now.",
        ),
        (
            "age-two-ways",
            "An age is known by a birthday, or by a day on which the person was of age.",
            "Send born_on or of_age_by, not both.",
        ),
        (
            "name-missing",
            "Who agrees to be named needs a name to be shown.",
            "Send shown_name, or leave the consent to be named out.",
        ),
        (
            "orcid-wrong",
            "The ORCID iD has another form or a wrong check digit.",
            "Copy it again, such as 0000-0002-1825-0097, without an address before it.",
        ),
        (
            "ref-unknown",
            "The group has sent no visit with this client_ref.",
            "Correct the reference, or send the visit as a new one.",
        ),
        (
            "revision-stale",
            "The visit was corrected since it was read.",
            "Read it again, and correct what stands there now.",
        ),
        (
            "corrections-shape",
            "Corrections are a list of revisions and whole visits.",
            "Send them as in the documented example.",
        ),
        (
            "column-unknown",
            "A table has a column that no template has.",
            "Correct its name or remove the column; GET /api/v1/partner/templates lists templates.",
        ),
        ("column-twice", "A column stands twice in a table.", "Keep one of them."),
        ("column-missing", "A column that every table needs is not there.", "Add the column."),
        (
            "header-not-known",
            "The first row of a table holds none of our columns.",
            "Begin with the row of column names of a template.",
        ),
        (
            "rows-disagree",
            "Two rows of one visit, or of one pit, say different things about it.",
            "Correct one of them; in later rows of a visit the value may be left out.",
        ),
        (
            "rows-apart",
            "The rows of a visit do not stand one below the other.",
            "Sort the table by client_ref, and give every visit a reference of its own.",
        ),
        (
            "visit-too-long",
            "More rows have the same reference than one visit can have.",
            "Give every visit its own reference.",
        ),
        (
            "pit-out-of-order",
            "Pits of a visit are numbered 1, 2 and so on in the order of their rows.",
            "Number them anew, or leave the number out of a wide table.",
        ),
        (
            "cells-beyond-header",
            "A row has more cells than the table has columns.",
            "Put a text that holds the separator in quotation marks, or name the column.",
        ),
        (
            "row-not-read",
            "A row of a table cannot be taken apart into cells.",
            "Close every quotation mark, and double those inside a text.",
        ),
        ("row-too-long", "A row is too long.", "Look for a quotation mark that is not closed."),
        (
            "encoding-not-read",
            "The text is in no encoding that we read.",
            "Save the file as UTF-8 and send it again.",
        ),
        ("file-empty", "The file holds no row.", "Send the file that you meant to send."),
        (
            "file-not-read",
            "The file is damaged, encrypted or of another kind than its bytes say.",
            "Save it again as CSV, XLSX or an ordinary zip.",
        ),
        (
            "file-too-large-unpacked",
            "The file would be too large when unpacked, or its XML declares a document type.",
            "Save it again with the records only, or send it as CSV.",
        ),
        (
            "sheet-not-clear",
            "A workbook has several sheets and none is called records.",
            "Call the sheet with the records 'records', or remove the others.",
        ),
        (
            "table-not-clear",
            "A zip holds no table, or several.",
            "Pack one CSV, XLSX or NDJSON file with its photos.",
        ),
        (
            "photo-missing",
            "A row names a photo that is not in the zip, or is there twice.",
            "Pack the photo, or correct its name in the table.",
        ),
        (
            "photo-not-kept",
            "The visit takes no photo like this.",
            "See the message: a pit has a limited number of photos, a closed visit takes none.",
        ),
        ("body-not-json", "The body is not the JSON that we accept.", "Send one JSON object."),
    )
}
