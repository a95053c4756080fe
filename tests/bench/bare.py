"""The bare ceiling: a route on the server and workers of the service that only reads a body of JSON and answers one."""

import sys
from pathlib import Path

from flask import Flask
from flask import Response
from flask import request

from api.server import run
from api.settings import Settings


def bare(answer: bytes) -> Flask:
    """An application that reads whatever is posted to it as JSON, and answers the same bytes each time."""
    app = Flask("bare")

    @app.post("/v1/ratings")
    def read_and_answer() -> Response:
        request.get_json()
        return Response(answer, content_type="application/json")

    return app


if __name__ == "__main__":
    folder, size, workers, threads = Path(sys.argv[1]), *map(int, sys.argv[2:])
    run(bare(b'"' + b"x" * (size - 2) + b'"'), Settings(port=0, data=folder, workers=workers, threads=threads))
