"""Photos of a silenced radio: made small, freed of what the camera wrote beside the picture, and sealed."""

import io
import os
from datetime import datetime

from PIL import Image, ImageOps

from fleet.models import SealedPhoto, SilenceProof
from fleet.queries.replacing.photos import place_of_photo
from fleet.queries.sealed import plain_data_key
from fleet.snapshots import sealing
from fleet.verbs.seal import NONCE_OCTETS, data_key_for

LONGEST_SIDE = 1600
MOST_OCTETS = 25 * 1024 * 1024
MOST_PIXELS = 60_000_000
QUALITY = 80
FORMATS = ("JPEG", "PNG", "WEBP")
"""What phones take; no other reader is let loose on a file from outside."""


class PhotoRefused(Exception):
    """The photo is not taken; the sentence says why and what would be right."""


def made_small(octets: bytes) -> bytes:
    """A JPEG of at most 1,600 pixels a side, upright, without place, time or maker. Raises PhotoRefused."""
    if len(octets) > MOST_OCTETS:
        raise PhotoRefused(f"photo: {len(octets) >> 20} MB; a photo has at most {MOST_OCTETS >> 20} MB.")
    try:
        with Image.open(io.BytesIO(octets), formats=FORMATS) as raw:
            if raw.width * raw.height > MOST_PIXELS:
                raise PhotoRefused(f"photo: {raw.width} by {raw.height} points; take a smaller one.")
            picture = ImageOps.exif_transpose(raw).convert("RGB")
    except PhotoRefused:
        raise
    except Exception:  # a damaged picture may raise anything, down to SyntaxError; the file is a stranger's
        raise PhotoRefused("photo: this is no picture that can be read; take a JPEG or PNG.") from None
    picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()


def seal_photo(proof: SilenceProof, jpeg: bytes, now: datetime) -> SealedPhoto:
    """Seal a photo under the client's data key. Raises SealError or KeyRingError."""
    row = SealedPhoto(proof=proof, data_key=data_key_for(proof.replacement.mesh, now))
    key = plain_data_key(row.data_key)
    row.sealed = sealing.seal(key, jpeg, place_of_photo(row), os.urandom(NONCE_OCTETS))
    row.save(force_insert=True)
    return row
