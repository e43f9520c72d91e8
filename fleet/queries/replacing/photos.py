"""Opening the photo of a silenced radio."""

from fleet.models import SealedPhoto
from fleet.queries.sealed import plain_data_key
from fleet.snapshots import digests, sealing


def place_of_photo(row: SealedPhoto) -> bytes:
    """What binds a sealed photo to its proof, so that it opens for no other."""
    proof = row.proof
    return sealing.associated_data(
        "photo", str(row.data_key.uid), str(proof.replacement.uid), str(proof.radio.code), str(row.uid)
    )


def open_photo(row: SealedPhoto) -> bytes:
    """The JPEG; SealError where its octets are damaged or another's."""
    jpeg = sealing.open_sealed(plain_data_key(row.data_key), bytes(row.sealed), place_of_photo(row))
    if digests.digest_of_bytes(jpeg).hex() != row.proof.photo_sha256:
        raise sealing.SealError("it opens to another photo")
    return jpeg
