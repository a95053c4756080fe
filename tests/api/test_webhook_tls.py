"""Webhooks over TLS: a message goes only to whom a certificate names that somebody trusted has signed."""

from collections.abc import Callable
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from standardwebhooks import Webhook as Verifier
from trustme import CA
from trustme import LeafCert

from api import create_app
from api.settings import Settings
from api.store import Store
from api.webhook_posting import _tls

from .receiving import Receiver
from .receiving import end_a_batch
from .receiving import register
from .receiving import send

#: That a name leads into this machine is allowed here.
LOOPBACK = ("127.0.0.0/8", "::1/128")


@pytest.fixture(scope="module")
def authority() -> CA:
    return CA()


@pytest.fixture(autouse=True)
def trusted(authority: CA, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Have the certificates of our own authority trusted, as an installation does: by the file that OpenSSL reads."""
    path = tmp_path / "authority.pem"
    authority.cert_pem.write_to_path(str(path))
    monkeypatch.setenv("SSL_CERT_FILE", str(path))
    _tls.cache_clear()
    yield
    _tls.cache_clear()


@contextmanager
def receiving(certificate: LeafCert) -> Iterator[Receiver]:
    receiver = Receiver(certificate)
    try:
        yield receiver
    finally:
        receiver.close()


def told(desk: Store, receiver: Receiver, origin: str | None = None) -> tuple[dict[str, Any], str]:
    """Have the end of a batch told; return what became of the message, and the secret by which it was signed."""
    origin = origin or receiver.origin
    app = create_app(Settings(webhook_targets=(origin, *LOOPBACK), webhook_seconds=5), desk)
    made = register(app.test_client(), f"{origin}/hook")
    assert made.status_code == 201, made.text
    end_a_batch(app)
    assert send(app)
    [delivery] = app.test_client().get("/v1/deliveries").get_json()["deliveries"]
    return delivery, made.get_json()["secret"]


def test_a_message_goes_to_whom_a_trusted_certificate_names(desk: Store, authority: CA) -> None:
    with receiving(authority.issue_cert("localhost")) as receiver:
        delivery, secret = told(desk, receiver)
        [(headers, body)] = receiver.received
    assert (delivery["state"], delivery["last_status"]) == ("delivered", 204)
    assert Verifier(secret).verify(body, headers)["type"] == "batch.ended"
    assert headers["host"] == f"localhost:{receiver.port}"


def test_a_certificate_may_name_an_address(desk: Store, authority: CA) -> None:
    with receiving(authority.issue_cert("127.0.0.1")) as receiver:
        delivery, _ = told(desk, receiver, f"https://127.0.0.1:{receiver.port}")
    assert delivery["state"] == "delivered"


@pytest.mark.parametrize(
    ("certificate", "origin", "why"),
    [
        (lambda own: own.issue_cert("mill.example"), None, "Hostname mismatch"),
        (lambda own: own.issue_cert("mill.example", "localhost.example"), None, "Hostname mismatch"),
        (lambda own: own.issue_cert("localhost"), "https://127.0.0.1:{port}", "IP address mismatch"),
        (lambda own: CA().issue_cert("localhost"), None, "unable to get local issuer certificate"),
        (
            lambda own: own.issue_cert("localhost", not_after=datetime(2020, 1, 1, tzinfo=UTC)),
            None,
            "certificate has expired",
        ),
    ],
    ids=["another name", "other names", "no address", "another authority", "expired"],
)
def test_nothing_is_told_to_whom_no_certificate_names(
    desk: Store, authority: CA, certificate: Callable[[CA], LeafCert], origin: str | None, why: str
) -> None:
    with receiving(certificate(authority)) as receiver:
        delivery, _ = told(desk, receiver, origin and origin.format(port=receiver.port))
        assert receiver.received == []
    assert (delivery["state"], delivery["attempts"], delivery["last_status"]) == ("pending", 1, None)
    assert delivery["last_error"].startswith("not delivered: ")
    assert why in delivery["last_error"]
