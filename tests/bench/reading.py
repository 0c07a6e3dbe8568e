"""Reading pages of a farm with 40 fields: time at 20 requests a second, and pages a second."""

from __future__ import annotations

import http.client
import statistics
import threading
import time
from urllib.parse import urlsplit

from tests.bench.serving import Server, met, serving, table

PAGES = ("", "/fields", "/checklists", "/feed", "/weather")
SECONDS, RATE = 8, 20


def main() -> None:
    rows = []
    with serving(40) as server:
        for page in PAGES:
            _ask(server, page, _connect(server))
            p95 = _paced(server, page)
            rows.append(
                (f"p95 of {page or 'the board'} at {RATE} requests/s", "<= 50 ms", f"{p95:.1f} ms", met(p95 <= 50))
            )
        for page in PAGES[:3]:
            rate = _flat_out(server, page)
            rows.append(
                (f"pages a second, {page or 'the board'}, 4 connections", ">= 200", f"{rate:.0f}", met(rate >= 200))
            )
    table("Reading a farm of 40 fields", rows)


def _connect(server: Server) -> http.client.HTTPConnection:
    parts = urlsplit(server.address)
    return http.client.HTTPConnection(parts.hostname, parts.port, timeout=10)


def _ask(server: Server, page: str, connection: http.client.HTTPConnection) -> float:
    began = time.perf_counter()
    headers = {"Cookie": f"sid={server.cookies['owner']}", "Accept-Encoding": "gzip"}
    connection.request("GET", f"/farms/{server.farm_id}{page}", headers=headers)
    answer = connection.getresponse()
    answer.read()
    if answer.status != 200:
        raise RuntimeError(f"{page} answered {answer.status}")
    return (time.perf_counter() - began) * 1000


def _paced(server: Server, page: str) -> float:
    """95th per cent of the answer times when asked at a steady rate, each request on its own thread. [ms]"""
    times: list[float] = []
    threads = []
    start = time.perf_counter()
    for number in range(SECONDS * RATE):
        time.sleep(max(0.0, start + number / RATE - time.perf_counter()))
        thread = threading.Thread(target=lambda: times.append(_ask(server, page, _connect(server))))
        thread.start()
        threads.append(thread)
    for thread in threads:
        thread.join()
    return statistics.quantiles(times, n=20)[-1]


def _flat_out(server: Server, page: str, connections: int = 4, seconds: float = 4.0) -> float:
    done = [0] * connections
    stop = time.perf_counter() + seconds

    def run(place: int) -> None:
        connection = _connect(server)
        while time.perf_counter() < stop:
            _ask(server, page, connection)
            done[place] += 1

    threads = [threading.Thread(target=run, args=(place,)) for place in range(connections)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sum(done) / seconds


if __name__ == "__main__":
    main()
