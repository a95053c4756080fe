"""A receiver of webhooks, and what brings it a message."""

import threading
from http.server import BaseHTTPRequestHandler
from http.server import ThreadingHTTPServer
from ssl import PROTOCOL_TLS_SERVER
from ssl import SSLContext
from typing import Any

from flask import Flask
from flask.testing import FlaskClient
from trustme import LeafCert
from werkzeug.test import TestResponse

from api import create_app
from api.settings import Settings
from api.store import Store
from api.webhook_sending import send_some
from api.work.rating_batches import BatchWork

EVENTS = ["batch.ended", "panel.rating_changed"]


class Receiver:
    """A real receiver on this machine, which answers with what it is told to; with a certificate, over TLS."""

    def __init__(self, certificate: LeafCert | None = None) -> None:
        self.received: list[tuple[dict[str, str], bytes]] = []
        self.answers: list[tuple[int, dict[str, str]]] = []
        own = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                body = self.rfile.read(int(self.headers["Content-Length"]))
                own.received.append(({name.lower(): value for name, value in self.headers.items()}, body))
                status, headers = own.answers.pop(0) if own.answers else (204, {})
                self.send_response(status)
                for name, value in headers.items():
                    self.send_header(name, value)
                self.end_headers()

            def log_message(self, format: str, *arguments: Any) -> None:
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.port = self.server.server_address[1]
        self.origin = f"http://127.0.0.1:{self.port}"
        if certificate is not None:
            context = SSLContext(PROTOCOL_TLS_SERVER)
            certificate.configure_cert(context)
            self.server.socket = context.wrap_socket(self.server.socket, server_side=True)
            self.origin = f"https://localhost:{self.port}"
        threading.Thread(target=self.server.serve_forever, args=(0.02,), daemon=True).start()

    def close(self) -> None:
        self.server.shutdown()
        self.server.server_close()


def app_on(store: Store, receiver: Receiver, **more: Any) -> Flask:
    return create_app(Settings(webhook_targets=(receiver.origin,), webhook_seconds=2, **more), store)


def register(client: FlaskClient, url: str, events: Any = None) -> TestResponse:
    return client.post("/v1/webhooks", json={"url": url, "events": events or EVENTS})


def send(app: Flask) -> bool:
    with app.app_context():
        return send_some()


def end_a_batch(app: Flask) -> str:
    headers = {"Content-Type": "application/x-ndjson"}
    id: str = app.test_client().post("/v1/batches", data=b"{}\n", headers=headers).get_json()["id"]
    with app.app_context():
        BatchWork("worker").do_some()
    return id
