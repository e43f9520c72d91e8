"""Calling addresses outside: which are refused, and what a hostile receiver cannot do."""

import socket
import ssl
import threading
import time
from collections.abc import Iterator

import pytest
import trustme

from fleet.planning.reaching import networks
from fleet.verbs.call_out import NoAnswer, call_out
from tests.fleet.verbs.receiving import Listening, listening

HERE = networks(["127.0.0.0/8"])


@pytest.fixture
def receiver() -> Iterator[Listening]:
    with listening() as found:
        yield found


@pytest.fixture
def may_reach_here(settings) -> None:
    settings.EVENTS_MAY_REACH = HERE


def test_an_address_inside_is_refused_and_never_called(receiver):
    with pytest.raises(NoAnswer, match="SPAREBOOK_EVENTS_MAY_REACH"):
        call_out("POST", receiver.address, {}, b"x")

    assert receiver.heard == []


@pytest.mark.parametrize(
    "host", ["localhost", "0x7f.1", "2130706433", "127.1", "[::1]", "[::ffff:127.0.0.1]"]
)
def test_other_ways_to_write_it_are_refused_too(receiver, host):
    with pytest.raises(NoAnswer):
        call_out("POST", f"http://{host}:{receiver.port}/", {})

    assert receiver.heard == []


def test_a_name_with_one_address_inside_is_refused_whole(receiver, settings, monkeypatch):
    answers = [(2, 1, 6, "", ("93.184.216.34", receiver.port)), (2, 1, 6, "", ("127.0.0.1", receiver.port))]
    monkeypatch.setattr(socket, "getaddrinfo", lambda *args, **kwargs: answers)

    with pytest.raises(NoAnswer, match="may not call"):
        call_out("POST", "http://two-faced.example/", {})


def test_a_name_that_changes_its_mind_is_asked_once_only(receiver, settings, monkeypatch):
    """DNS rebinding: the address that was judged is the one that is called."""
    settings.EVENTS_MAY_REACH = networks(["127.0.0.1/32"])
    real, asked = socket.getaddrinfo, []

    def turning(host, port, *args, **kwargs):
        if host != "turning.example":
            return real(host, port, *args, **kwargs)
        asked.append(host)
        return [(2, 1, 6, "", ("127.0.0.1" if len(asked) == 1 else "127.0.0.2", port))]

    monkeypatch.setattr(socket, "getaddrinfo", turning)

    status = call_out("POST", f"http://turning.example:{receiver.port}/", {})

    assert (status, asked) == (204, ["turning.example"])
    assert receiver.heard[0].headers["host"] == f"turning.example:{receiver.port}"


def test_a_firm_may_call_its_own_network(receiver, may_reach_here):
    assert call_out("POST", receiver.address, {"x-mark": "7"}, b"{}") == 204

    (got,) = receiver.heard
    assert (got.path, got.body, got.headers["x-mark"]) == ("/events", b"{}", "7")


def test_a_redirect_is_an_answer_and_is_not_followed(receiver, may_reach_here):
    receiver.answer, receiver.headers = 302, {"Location": "http://127.0.0.1:1/secrets"}

    assert call_out("GET", receiver.address, {}) == 302
    assert len(receiver.heard) == 1


def test_nobody_there_is_said_without_the_path(may_reach_here):
    with pytest.raises(NoAnswer) as error:
        call_out("POST", "http://127.0.0.1:9/token-that-is-secret", {})

    assert str(error.value).startswith("Nobody answered at 127.0.0.1")
    assert "token-that-is-secret" not in str(error.value)


def test_a_name_that_leads_nowhere_is_said():
    with pytest.raises(NoAnswer, match="leads nowhere"):
        call_out("POST", "http://nowhere.invalid/", {})


@pytest.fixture
def dripping() -> Iterator[int]:
    """A server that sends one octet of its answer every tenth of a second, for as long as anybody waits."""
    server = socket.create_server(("127.0.0.1", 0))
    stop = threading.Event()

    def drip() -> None:
        peer, _ = server.accept()
        with peer:
            peer.sendall(b"HTTP/1.1 200 OK\r\nx-endless: ")
            while not stop.wait(0.1):
                try:
                    peer.sendall(b"x")
                except OSError:
                    return

    threading.Thread(target=drip, daemon=True).start()
    yield server.getsockname()[1]
    stop.set()
    server.close()


def test_a_receiver_that_drips_is_cut_off(dripping, may_reach_here):
    began = time.monotonic()

    with pytest.raises(NoAnswer):
        call_out("POST", f"http://127.0.0.1:{dripping}/", {}, limit=1)

    assert time.monotonic() - began < 4


@pytest.fixture
def tls(monkeypatch, tmp_path, may_reach_here) -> Iterator[Listening]:
    """A receiver with a certificate for receiver.example, from an authority that this machine trusts."""
    authority = trustme.CA()
    authority.cert_pem.write_to_path(tmp_path / "authority.pem")
    monkeypatch.setenv("SSL_CERT_FILE", str(tmp_path / "authority.pem"))
    real = socket.getaddrinfo
    names = ("receiver.example", "impostor.example")
    monkeypatch.setattr(
        socket,
        "getaddrinfo",
        lambda host, port, *args, **kwargs: (
            [(2, 1, 6, "", ("127.0.0.1", port))] if host in names else real(host, port, *args, **kwargs)
        ),
    )
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    authority.issue_cert("receiver.example").configure_cert(context)
    with listening(lambda plain: context.wrap_socket(plain, server_side=True)) as found:
        yield found


def test_tls_is_checked_against_the_name_though_the_address_is_called(tls):
    assert call_out("POST", f"https://receiver.example:{tls.port}/", {}, b"{}") == 204


def test_a_certificate_for_another_name_is_no_answer(tls):
    with pytest.raises(NoAnswer, match="SSL"):
        call_out("POST", f"https://impostor.example:{tls.port}/", {}, b"{}")

    assert tls.heard == []
