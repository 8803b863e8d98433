"""Any text in the letters that a plain pen and a plain file have: ASCII, the nearest there are."""

from __future__ import annotations

import unicodedata

# What taking accents off leaves as it is. Cyrillic as ICAO Doc 9303 writes it in passports, Greek as it is
# mostly written beside the original on signs; both from memory.
_NEAREST = {
    "ß": "ss", "ẞ": "SS", "æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ð": "d", "þ": "th", "ł": "l", "ħ": "h",
    "ı": "i", "ŋ": "n", "ə": "e", "⁄": "/", "×": "x", "·": ".", "–": "-", "—": "-", "‐": "-", "‑": "-",
    "−": "-",
    "’": "'", "‘": "'", "“": '"', "”": '"', "„": '"', "«": '"', "»": '"',
    "а": "a", "б": "b", "в": "v", "г": "g", "ґ": "g", "д": "d", "е": "e", "ё": "e", "є": "ie", "ж": "zh",
    "з": "z", "и": "i", "і": "i", "ї": "i", "й": "i", "к": "k", "л": "l", "м": "m", "н": "n", "о": "o",
    "п": "p", "р": "r", "с": "s", "т": "t", "у": "u", "ў": "u", "ф": "f", "х": "kh", "ц": "ts", "ч": "ch",
    "ш": "sh", "щ": "shch", "ъ": "", "ы": "y", "ь": "", "э": "e", "ю": "iu", "я": "ia", "ј": "j", "љ": "lj",
    "њ": "nj", "ћ": "c", "ђ": "d", "џ": "dz",
    "α": "a", "β": "v", "γ": "g", "δ": "d", "ε": "e", "ζ": "z", "η": "i", "θ": "th", "ι": "i", "κ": "k",
    "λ": "l", "μ": "m", "ν": "n", "ξ": "x", "ο": "o", "π": "p", "ρ": "r", "σ": "s", "ς": "s", "τ": "t",
    "υ": "y", "φ": "f", "χ": "ch", "ψ": "ps", "ω": "o",
}  # fmt: skip


def nearest_letters(text: str) -> str:
    """Return a text in printable ASCII: accents off, Cyrillic and Greek spelled out, the rest left out.

    >>> nearest_letters("tide 12"), nearest_letters("Grün"), nearest_letters("Żółw"), nearest_letters("Щука")
    ('tide 12', 'Grun', 'Zolw', 'Shchuka')
    >>> nearest_letters("海 no. ３"), nearest_letters("海")
    ('no. 3', '')
    """
    if text.isascii():
        return text
    return " ".join("".join(map(_nearest, unicodedata.normalize("NFC", text))).split())


def _nearest(sign: str) -> str:
    if sign.isascii():
        return sign
    if sign in _NEAREST:
        return _NEAREST[sign]
    small = sign.lower()
    if small in _NEAREST:
        return _NEAREST[small].capitalize()
    parts = unicodedata.normalize("NFKD", sign)
    # Accents and letters without a like fall away; a letter below an accent may have one.
    return "" if parts == sign else "".join(map(_nearest, parts))
