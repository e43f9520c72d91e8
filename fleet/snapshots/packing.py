"""Documents made small: alone, or against a base document that both sides hold.

Packed form: one octet for the form, then
  1  whole: a zstd frame (RFC 8878) with its content size;
  2  against a base: check, length of the document, then a zstd frame with the base as its dictionary;
  3  steps of the base's numbers (number_steps): check, length of the frame, a zstd frame of what is told,
     then the bits.
A check is the CRC-32 of the document in 4 octets, by which a wrong base is noticed; a length is 3 octets; both
lowest octet first. Frames of forms 2 and 3 leave out what is known already: magic number, size, checksum.

A whole document is packed at level 1, as one arrives with every push; level 3 makes it no smaller. Against a
base it is level 19 and takes ten milliseconds or so: for the time when a newer copy has become the whole one.
"""

from threading import local
from zlib import crc32

import zstandard

from fleet.snapshots.number_steps import Steps, StepsError, follow_steps, steps_between

MAX_SIZE = 4 * 1024 * 1024

_WHOLE, _AGAINST_BASE, _STEPS = 1, 2, 3
_HEAD_OCTETS = 8
_BEST, _BEST_FOR_LARGE = 19, 9
_LARGE = 256 * 1024
_LONGEST = (1 << 24) - 1
_MAGIC = zstandard.FRAME_HEADER
_NO_SIZE = -1


class PackError(ValueError):
    """A packed document that cannot be unpacked; the message says what is wrong with it."""


class _Tools(local):
    """A compressor holds state, so each thread has its own; making one costs as much as using it."""

    def __init__(self) -> None:
        self.whole = zstandard.ZstdCompressor(level=1)


_TOOLS = _Tools()


def pack(body: bytes, base: bytes | None = None) -> bytes:
    """The smallest form of a document. Give unpack the same base, octet for octet.

    A document of 16 MiB or more is packed whole.
    """
    if base is None or len(body) > _LONGEST:
        return bytes([_WHOLE]) + _TOOLS.whole.compress(body)
    against_base = _head(_AGAINST_BASE, body, len(body)) + _compressed(body, base)
    steps = steps_between(base, body)
    if steps is None:
        return against_base
    frame = _compressed(steps.told)
    return min(against_base, _head(_STEPS, body, len(frame)) + frame + steps.bits, key=len)


def unpack(packed: bytes, base: bytes | None = None, max_size: int = MAX_SIZE) -> bytes:
    """The document, at most max_size octets. Raises PackError.

    Memory stays within a few times max_size and the base, whatever the packed octets claim.
    """
    form = packed[0] if packed else 0
    if form in (_AGAINST_BASE, _STEPS) and base is None:
        raise PackError("this document was packed against a base document, which is not given")
    try:
        if form == _WHOLE:
            return _from_whole(packed[1:], max_size)
        if form == _AGAINST_BASE:
            body = _from_base(packed, base or b"", max_size)
        elif form == _STEPS:
            body = _from_steps(packed, base or b"")
        else:
            raise PackError(f"packed form {form} is not known: right are 1, 2 and 3")
    except (zstandard.ZstdError, StepsError) as error:
        raise PackError("the packed document is damaged, or this is not its base document") from error
    if crc32(body) != int.from_bytes(packed[1:5], "little"):
        raise PackError("the packed document is damaged, or this is not its base document")
    _within(len(body), max_size)
    return body


def needs_base(packed: bytes) -> bool:
    """True where unpack must be given the base."""
    return packed[:1] != bytes([_WHOLE])


def _head(form: int, body: bytes, length: int) -> bytes:
    return bytes([form]) + crc32(body).to_bytes(4, "little") + length.to_bytes(3, "little")


def _length(packed: bytes) -> int:
    return int.from_bytes(packed[5:_HEAD_OCTETS], "little")


def _compressed(data: bytes, base: bytes = b"") -> bytes:
    parameters = zstandard.ZstdCompressionParameters.from_level(
        _BEST if len(data) + len(base) <= _LARGE else _BEST_FOR_LARGE,
        source_size=len(data),
        dict_size=len(base),
        write_content_size=False,
        write_dict_id=False,
    )
    tool = zstandard.ZstdCompressor(compression_params=parameters, dict_data=_dictionary(base))
    return tool.compress(data).removeprefix(_MAGIC)


def _expanded(frame: bytes, most: int, base: bytes = b"") -> bytes:
    frame = _MAGIC + frame
    # A frame that states its size is not ours, and would be given all the memory that it asks for.
    if zstandard.frame_content_size(frame) != _NO_SIZE:
        raise zstandard.ZstdError("a frame with a size of its own")
    tool = zstandard.ZstdDecompressor(dict_data=_dictionary(base))
    return tool.decompress(frame, max_output_size=max(1, most))  # 0 would mean no limit


def _dictionary(base: bytes) -> zstandard.ZstdCompressionDict | None:
    return zstandard.ZstdCompressionDict(base, dict_type=zstandard.DICT_TYPE_RAWCONTENT) if base else None


def _from_whole(frame: bytes, max_size: int) -> bytes:
    _within(zstandard.frame_content_size(frame), max_size)
    return zstandard.ZstdDecompressor().decompress(frame, max_output_size=max_size)


def _from_base(packed: bytes, base: bytes, max_size: int) -> bytes:
    _within(_length(packed), max_size)
    return _expanded(packed[_HEAD_OCTETS:], _length(packed), base)


def _from_steps(packed: bytes, base: bytes) -> bytes:
    frame, bits = packed[_HEAD_OCTETS:][: _length(packed)], packed[_HEAD_OCTETS + _length(packed) :]
    # Steps take at most eleven octets for each number of the base, and a number at least one.
    return follow_steps(base, Steps(_expanded(frame, 11 * len(base) + 16), bits))


def _within(size: int, max_size: int) -> None:
    if not 0 <= size <= max_size:
        raise PackError(f"the packed document would be {size} octets: right are 0 to {max_size}")
