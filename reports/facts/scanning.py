"""What the code symbol of a sheet holds: where to ask about it, or else its number and digest."""

PATH = "paper"


def scanned_text(code: str, number: str, short_digest: str, verify_at: str) -> str:
    """The address that answers for this sheet; where the book has none: code, number and digest, nothing else.

    short_digest: the sixteen digits without blanks. In upper case throughout an address needs a smaller symbol
    (ISO/IEC 18004, alphanumeric mode), which scheme and host allow (RFC 3986, section 6.2.2.1) and a path of somebody
    else's does not.
    """
    if not verify_at:
        return f"{code} {number} {short_digest}"
    base = verify_at.rstrip("/")
    address = f"{base}/{PATH}/{number}/{short_digest}/"
    has_path = "/" in base.partition("://")[2]
    return address if has_path else address.upper()
