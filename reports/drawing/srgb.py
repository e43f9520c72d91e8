"""The colour space of all ink on sheets, as an ICC profile (ISO 15076-1): sRGB (IEC 61966-2-1), made here.

A profile that a library makes carries the time of its making; this one is the same octets everywhere and always.
"""

from functools import cache

D50 = (0.9642, 1.0, 0.8249)
# The primaries and white of sRGB adapted to D50 by the linear Bradford transform (ISO 15076-1, annex E).
RED = (0.43606567, 0.22248840, 0.01391602)
GREEN = (0.38514709, 0.71687317, 0.09707642)
BLUE = (0.14306641, 0.06060791, 0.71409607)
ADAPTED = (
    1.04788208,
    0.02291870,
    -0.05021667,
    0.02958679,
    0.99047852,
    -0.01707458,
    -0.00923157,
    0.01507568,
    0.75167847,
)
# Y = (aX + b)^g above d, cX below it: IEC 61966-2-1, clause 5.2.
CURVE = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
MADE = (2027, 1, 1, 0, 0, 0)


@cache
def profile() -> bytes:
    """The octets of the profile, version 4.2, a display's."""
    curve = b"para" + _u32(0) + _u16(3) + _u16(0) + b"".join(map(_fixed, CURVE))
    tags = {
        b"desc": _text("sRGB"),
        b"cprt": _text("No copyright, use freely"),
        b"wtpt": _xyz(D50),
        b"chad": b"sf32" + _u32(0) + b"".join(map(_fixed, ADAPTED)),
        b"rXYZ": _xyz(RED),
        b"gXYZ": _xyz(GREEN),
        b"bXYZ": _xyz(BLUE),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    place = 128 + 4 + 12 * len(tags)
    table, data, places = _u32(len(tags)), b"", dict[bytes, int]()
    for name, content in tags.items():
        padded = content + bytes(-len(content) % 4)
        if content not in places:
            places[content] = place + len(data)
            data += padded
        table += name + _u32(places[content]) + _u32(len(content))
    return _head(place + len(data)) + table + data


def _head(size: int) -> bytes:
    """ISO 15076-1, 7.2: size, no preferred module, version, class, spaces, date, and the illuminant D50."""
    made = b"".join(map(_u16, MADE))
    first = _u32(size) + _u32(0) + _u32(0x0420_0000) + b"mntrRGB XYZ " + made + b"acsp"
    return (first + bytes(28) + b"".join(map(_fixed, D50))).ljust(128, b"\0")


def _text(text: str) -> bytes:
    """multiLocalizedUnicodeType (10.13), one record: English."""
    octets = text.encode("utf-16-be")
    return b"mluc" + _u32(0) + _u32(1) + _u32(12) + b"enUS" + _u32(len(octets)) + _u32(28) + octets


def _xyz(values: tuple[float, float, float]) -> bytes:
    return b"XYZ " + _u32(0) + b"".join(map(_fixed, values))


def _fixed(value: float) -> bytes:
    """s15Fixed16Number (4.6)."""
    return round(value * 65536).to_bytes(4, "big", signed=True)


def _u32(value: int) -> bytes:
    return value.to_bytes(4, "big")


def _u16(value: int) -> bytes:
    return value.to_bytes(2, "big")
