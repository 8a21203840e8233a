"""Three keyboards, key by key: what each position of ISO/IEC 9995-1 prints without and with the shift key.

Written down apart from the service's own tables, position by position, so that a slip in either shows (from memory of
the American, German T1 and French layouts).
"""

from __future__ import annotations

# position: American, German, French; each without and with shift
KEYS = {
    "E00": ("`~", "^°", "² "),
    "E01": ("1!", "1!", "&1"),
    "E02": ("2@", '2"', "é2"),
    "E03": ("3#", "3§", '"3'),
    "E04": ("4$", "4$", "'4"),
    "E05": ("5%", "5%", "(5"),
    "E06": ("6^", "6&", "-6"),
    "E07": ("7&", "7/", "è7"),
    "E08": ("8*", "8(", "_8"),
    "E09": ("9(", "9)", "ç9"),
    "E10": ("0)", "0=", "à0"),
    "E11": ("-_", "ß?", ")°"),
    "E12": ("=+", "´`", "=+"),
    "D01": ("qQ", "qQ", "aA"),
    "D02": ("wW", "wW", "zZ"),
    "D03": ("eE", "eE", "eE"),
    "D04": ("rR", "rR", "rR"),
    "D05": ("tT", "tT", "tT"),
    "D06": ("yY", "zZ", "yY"),
    "D07": ("uU", "uU", "uU"),
    "D08": ("iI", "iI", "iI"),
    "D09": ("oO", "oO", "oO"),
    "D10": ("pP", "pP", "pP"),
    "D11": ("[{", "üÜ", "^¨"),
    "D12": ("]}", "+*", "$£"),
    "C01": ("aA", "aA", "qQ"),
    "C02": ("sS", "sS", "sS"),
    "C03": ("dD", "dD", "dD"),
    "C04": ("fF", "fF", "fF"),
    "C05": ("gG", "gG", "gG"),
    "C06": ("hH", "hH", "hH"),
    "C07": ("jJ", "jJ", "jJ"),
    "C08": ("kK", "kK", "kK"),
    "C09": ("lL", "lL", "lL"),
    "C10": (";:", "öÖ", "mM"),
    "C11": ("'\"", "äÄ", "ù%"),
    "C12": ("\\|", "#'", "*µ"),
    "B01": ("zZ", "yY", "wW"),
    "B02": ("xX", "xX", "xX"),
    "B03": ("cC", "cC", "cC"),
    "B04": ("vV", "vV", "vV"),
    "B05": ("bB", "bB", "bB"),
    "B06": ("nN", "nN", "nN"),
    "B07": ("mM", "mM", ",?"),
    "B08": (",<", ",;", ";."),
    "B09": (".>", ".:", ":/"),
    "B10": ("/?", "-_", "!§"),
}
LAYOUTS = {"German": 1, "French": 2}


def as_host_shows(text: str, *, layout: str) -> str:
    """What a host with this layout shows when a scanner presses the American keys of a text."""
    shown = []
    for sign in text:
        for prints in KEYS.values():
            if sign in prints[0]:
                shown.append(prints[LAYOUTS[layout]][prints[0].index(sign)])
                break
        else:
            shown.append(sign)
    return "".join(shown)
