"""Ways to write where a place is, in plain text: coordinates, grid and post codes, addresses.

No country's own list is used; the shapes are those of several. Open Location Code alphabet:
its open specification. Letters and zones of the military grid and of UTM: common practice.
"""

import re

_NOT_UNITS = r"(?!\s?(?:mm|cm|ml|kg|km|mg|am|pm|st|nd|rd|th|yr|hr|mins?|m2)\b)"
_DEGREE = r"(?:\u00b0|\s?deg(?:rees?)?\b\.?|(?<=\d)d(?=\s?\d))"
_OLC = "[23456789CFGHJMPQRVWX]"
# A letter of a script that puts spaces between words; in others three sentences look like this.
_SPACED = "[^\\W\\d_\u0e00-\u0e7f\u2e80-\u9fff]"
PLACE_CODE = re.compile(
    # decimal degrees: a pair, one beside its letter, one beside its word
    rf"\d{{1,3}}[.,]\d{{3,15}}{_DEGREE}?\s{{0,2}}[NSEW]?\s{{0,2}}[,;/|\s]\s{{0,2}}[NSEW]?\s?"
    r"[-+]?\d{1,3}[.,]\d{3,15}"
    rf"|(?<![\d.,])\d{{1,3}}[.,]\d{{2,15}}{_DEGREE}?\s?[NSEW]\b"
    rf"|\b[NSEW]\s?\d{{1,3}}[.,]\d{{2,15}}(?!\d)"
    rf"|(?i:\b(?:lat|lon|lng|long|latitude|longitude|coords?|coordinates|gps)\b)"
    rf"[^\w\n-]{{0,4}}[-+]?\d{{1,3}}[.,]\d{{2,15}}"
    # degrees and minutes, with marks or with spaces before the letter
    rf"|\d{{1,3}}\s{{0,2}}{_DEGREE}\s{{0,2}}\d{{1,2}}(?:[.,]\d{{1,6}})?\s{{0,2}}(?:'|m\b|m(?=\d)|min)"
    r"|(?<!\d)\d{1,2}\s\d{1,2}\s\d{1,2}(?:\.\d+)?\s?[NS]\b.{0,3}(?<!\d)\d{1,3}\s\d{1,2}\s\d{1,2}"
    # letters of a national grid: three figures a side and more, or two when written together
    r"|\b[A-HJ-Z]{2}\s?\d{3,5}\s?\d{3,5}\b|\b[a-hj-z]{2}\d{6,10}\b|\b[A-HJ-Z]{2}\d{4}\b"
    r"|\b[A-HJ-Z](?:\s?\d{3}\s\d{3}|\s?\d{6}|\s\d{4}\s\d{4}|\s\d{5}\s\d{5})\b"
    # zone, then easting and northing, or the military square
    r"|\b\d{1,2}\s?[C-X]\s?\d{6,7}(?:\s?m?E)?[\s,;]{0,3}\d{6,7}\b"
    r"|\b\d{1,2}[C-X]\s?[A-HJ-NP-Z]{2}\s?\d{2,5}\s?\d{2,5}\b"
    # two long figures, which are metres east and north
    r"|(?<![\d.])[EN]?\s?\d{6,7}(?:\.\d+)?\s?m?[EN]?\s{0,2}[,;/\s]\s{0,2}[EN]?\s?\d{6,7}(?![\d])"
    # codes: open location code, locator square of six
    rf"|(?<![\w+]){_OLC}{{4,8}}\+{_OLC}{{2,4}}\b|\b[A-R]{{2}}\d{{2}}[a-x]{{2}}(?:\d{{2}})?\b"
    # three words, with slashes, with dots, with dots spelled out
    r"|/{2,3}\s?[^\W\d_]{2,}[.\s][^\W\d_]{2,}[.\s][^\W\d_]{2,}"
    rf"|(?<![\w.]){_SPACED}{{3,}}\.{_SPACED}{{3,}}\.{_SPACED}{{3,}}(?![\w.])"
    r"|\b[^\W\d_]{3,}\s(?i:dot)\s[^\W\d_]{3,}\s(?i:dot)\s[^\W\d_]{3,}"
)
POSTCODE = re.compile(
    rf"\b[A-Za-z]{{1,2}}\d[A-Za-z\d]?\s{{0,2}}\d{_NOT_UNITS}(?:[A-Z]{{2}}|[a-z]{{2}})\b{_NOT_UNITS}"
    r"|\b\d{4}\s?(?!AM|PM|BC|AD|NE|NW|SE|SW|YR|ML|MM|CM|KG|KM)[A-Z]{2}\b"
    r"|\b(?:[A-Z]{1,2}-)?\d{5}\s{1,2}[A-Z\u00c0-\u00de][a-z\u00df-\u00ff]+"
    r"|\b[A-Z]\d[A-Z]\s?\d[A-Z]\d\b|\b\d{5}-\d{4}\b|\u3012\s?\d{3}-?\d{4}"
    r"|(?i:\b(?:post\s?code|zip(?:\scode)?|plz|code\spostal|c\u00f3digo\spostal))\W{1,3}"
    r"(?i:is\s)?[A-Z\d]{0,3}\d{2,6}"
)
_STREET = (
    "street|st|road|rd|lane|avenue|ave|drive|way|court|gardens|terrace|crescent|square|"
    "close|row|hill"
)
_LEADING = (
    "rue|chemin|all\u00e9e|place|viale|piazza|strada|calle|avenida|plaza|rua|ulica|ul\\.|"
    "\u0443\u043b\u0438\u0446\u0430|\u0443\u043b\\."
)
_MEASURES = "from|off|near|along|beside|down|the|a|steps|paces|yards|feet|metres|meters|pits|worms"
_HOUSE = "house|hse|cottage|flat|apartment|apt|haus|maison|casa|huis"
ADDRESS = re.compile(
    rf"\b\d{{1,4}}[A-Za-z]?,?\s+(?:[A-Z][\w'-]+\s+){{1,3}}(?i:{_STREET})\b"
    rf"|\b\d{{1,4}}[a-z]?\s(?!(?:{_MEASURES})\b)[a-z]{{3,}}\s(?:street|road|lane|avenue|crescent)\b"
    r"|\b\w+(?:stra(?:\u00df|ss)e|str\.|weg|gasse|laan|straat|plein|vej|gatan?|k\u00e4tu)\s+\d{1,4}\b"
    rf"|\b\d{{1,4}},?\s+(?i:{_LEADING})\s?\w+|\b\d{{1,4}},?\s+(?i:via)\s[A-Z]\w+"
    rf"|(?<!\w)(?i:{_LEADING}|via)\s?(?:(?:de|del|della|du|des|da|do|la)\s){{0,2}}"
    r"[A-Z\u00c0-\u00de\u0410-\u042f]\w+,?\s\d{1,4}\b"
    rf"|\b(?i:{_HOUSE})\s(?i:no\.?\s|number\s|nr\.?\s|\#)?\d{{1,4}}[a-z]?\b(?!\s?%|\.\d){_NOT_UNITS}"
    rf"|\b(?i:at|we\sare|live\sat)\s(?i:number|no\.|nr\.)\s?\d{{1,4}}\b{_NOT_UNITS}"
    r"|\d+(?:\u4e01\u76ee|\u756a\u5730|\u53f7|\u865f|\u53f7\u697c)|\u0634\u0627\u0631\u0639\s\S+"
)
