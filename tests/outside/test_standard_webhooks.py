"""Signatures of events against the published scheme: its authors' own library, and the values of its documentation."""

from base64 import b64decode
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from standardwebhooks import Webhook, WebhookVerificationError

from fleet.planning.events import headers, shown_secret

# From the specification's reference tests (secret, id, timestamp, body, signature); recalled, and reproduced by
# the reference library.
SECRET = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"
MARK, STAMP, BODY = "msg_p5jXN8AQM9LWM0D4loKWxJek", 1_614_265_330, b'{"test": 2432232314}'
SIGNATURE = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="


def octets_of(secret: str) -> bytes:
    return b64decode(secret.removeprefix("whsec_"))


@pytest.mark.parametrize("signature", [pytest.param(SIGNATURE, id="Standard Webhooks 1.0.0 reference test")])
def test_the_signature_is_that_of_the_published_example(signature):
    told = headers(MARK, datetime.fromtimestamp(STAMP, UTC), BODY, octets_of(SECRET))

    assert told["webhook-signature"] == signature
    assert (told["webhook-id"], told["webhook-timestamp"]) == (MARK, str(STAMP))


@given(st.binary(min_size=24, max_size=64), st.text("abc-09", min_size=1, max_size=40), st.text(max_size=200))
def test_the_reference_library_verifies_what_we_sign(secret, mark, text):
    content = text.encode()

    told = headers(mark, datetime.now(UTC), content, secret)

    Webhook(shown_secret(secret)).verify(content, told, json_parse=False)


def test_the_reference_library_refuses_a_changed_body():
    told = headers(MARK, datetime.now(UTC), BODY, octets_of(SECRET))

    with pytest.raises(WebhookVerificationError):
        Webhook(SECRET).verify(BODY.replace(b"2", b"3"), told, json_parse=False)
