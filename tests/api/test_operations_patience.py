"""Sockets that do not wait for ever."""

import socket
import threading
import time
from collections.abc import Iterator

import pytest

from api.operations.patience import PatientSocket
from api.operations.patience import TooSlow


@pytest.fixture
def pair() -> Iterator[tuple[PatientSocket, socket.socket]]:
    one, other = socket.socketpair()
    with PatientSocket.of(one, send_seconds=0.3) as patient, other:
        yield patient, other


def test_what_comes_in_time_is_received(pair: tuple[PatientSocket, socket.socket]) -> None:
    patient, other = pair
    patient.expect(5)
    other.sendall(b"whole")
    assert patient.recv(100) == b"whole"
    assert not patient.late
    assert patient.gettimeout() is None


def test_drips_do_not_extend_the_time(pair: tuple[PatientSocket, socket.socket]) -> None:
    patient, other = pair
    done = threading.Event()

    def drip() -> None:
        while not done.wait(0.05):
            other.sendall(b".")

    thread = threading.Thread(target=drip)
    thread.start()
    began = time.monotonic()
    patient.expect(0.5)
    with pytest.raises(TooSlow):
        while True:
            patient.recv(1)
    assert 0.4 < time.monotonic() - began < 30
    assert patient.late
    done.set()
    thread.join()


def test_each_expectation_is_a_new_time(pair: tuple[PatientSocket, socket.socket]) -> None:
    patient, other = pair
    patient.expect(0.0)
    with pytest.raises(TooSlow):
        patient.recv(1)
    patient.expect(5)
    other.sendall(b"x")
    assert patient.recv(1) == b"x"


def test_an_answer_that_nobody_takes_is_given_up(pair: tuple[PatientSocket, socket.socket]) -> None:
    patient, _ = pair
    with pytest.raises(TooSlow):
        patient.sendall(b" " * 50_000_000)
    assert patient.answered


def test_a_shorter_timeout_of_the_socket_counts(pair: tuple[PatientSocket, socket.socket]) -> None:
    patient, _ = pair
    patient.expect(60)
    patient.settimeout(0.05)
    with pytest.raises(TimeoutError):
        patient.recv(1)
    assert patient.gettimeout() == 0.05
