"""Documents that are saved: under a name that no system takes for a path, and that goes through a header."""

import copy
from contextlib import closing
from pathlib import Path
from urllib.parse import quote

import pytest
import requests
from flask import Flask

from api.forms import as_file
from api.store import open_store
from tests.store.databases import fresh

from .prepared import ELEVATOR
from .prepared import fill
from .running import running


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("BE-01 nameplate.svg", 'inline; filename="BE-01 nameplate.svg"'),
        ("../../etc/passwd report.pdf", 'inline; filename="____etc_passwd report.pdf"'),
        ("..\\x\r\nA: b.pdf", 'inline; filename="__x__A_ b.pdf"'),
        ("...", "inline; filename=_"),
        ("", "inline; filename=document"),
        ("Élévateur.pdf", "inline; filename=Elevateur.pdf; filename*=UTF-8''%C3%89l%C3%A9vateur.pdf"),
        ("МИЛЛ.pdf", "inline; filename=____.pdf; filename*=UTF-8''%D0%9C%D0%98%D0%9B%D0%9B.pdf"),
    ],
)
def test_a_name_is_no_path_and_goes_through_a_header(name: str, told: str) -> None:
    """RFC 6266: letters beyond ASCII go into `filename*`, with a plain name beside it for who does not know that."""
    with Flask("names").test_request_context():
        header = as_file(b"", "application/pdf", name).headers["Content-Disposition"]

    assert header == told


@pytest.mark.parametrize("designation", ["МИЛЛ-1", "Förderer 2", "Młyn 3"])
def test_a_panel_in_any_script_has_its_plate_and_report(tmp_path: Path, designation: str) -> None:
    """Over HTTP: what the server cannot write into a header, no caller of the application by itself would see."""
    document = copy.deepcopy(ELEVATOR)
    document["panel"] = {**document["panel"], "designation": designation, "order": "SO-1"}
    with fresh(None, tmp_path) as address:
        with closing(open_store(address)) as store:
            fill(store)
        with running(address) as url:
            place = f"{url}/v1/orders/SO-1/panels/{quote(designation, safe='')}"
            made = requests.put(place, json=document, headers={"If-None-Match": "*"}, timeout=60)
            forms = ("nameplate?format=svg", "nameplate?format=pdf", "report?format=html", "report?format=pdf")
            answers = [requests.get(f"{place}/{form}", timeout=60) for form in forms]

    assert made.status_code == 201, made.text
    assert [answer.status_code for answer in answers] == [200] * len(forms)
    assert all(quote(designation, safe="") in answer.headers["Content-Disposition"] for answer in answers)
