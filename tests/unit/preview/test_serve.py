"""The preview over a real socket: to this machine by its own name, the last good briefing under the fault, new after a save."""

from __future__ import annotations

import http.client
import json
import threading
import time
from pathlib import Path

from briefgen.preview.serve import HOST, SCRIPT, STATE, Served, serve
from tests.shared.demo_missions import edited

WAIT_S = 60.0


def asked(at: Served, path: str, host: str | None = None) -> tuple[int, str, str]:
    """Return status, policy and body of a page."""
    port = int(at.address.rstrip("/").rpartition(":")[2])
    connection = http.client.HTTPConnection(HOST, port, timeout=WAIT_S)
    connection.putrequest("GET", path, skip_host=True)
    connection.putheader("Host", host or f"{HOST}:{port}")
    connection.endheaders()
    answer = connection.getresponse()
    return answer.status, answer.getheader("Content-Security-Policy") or "", answer.read().decode(errors="replace")


def number(at: Served) -> int:
    return int(json.loads(asked(at, STATE)[2])["number"])


def until(at: Served, past: int) -> None:
    end = time.monotonic() + WAIT_S
    while number(at) <= past:
        assert time.monotonic() < end
        time.sleep(0.05)


def test_a_save_is_followed_and_a_fault_stands_on_top_of_the_last_good_briefing(tmp_path: Path) -> None:
    spec = edited(tmp_path, "mudlark")
    page = "/lrf-0419-mudlark/index.html"
    stop, said = threading.Event(), list[str]()
    with serve(spec) as at:
        follower = threading.Thread(target=at.follow, args=(said.append, stop))
        follower.start()
        try:
            status, policy, body = asked(at, page)
            assert (status, "Mudlark" in body, "preview-fault" in body) == (200, True, False)
            assert f'src="{SCRIPT}"' in body
            assert "default-src 'none'" in policy
            assert "Content-Security-Policy" not in body
            assert asked(at, page, "elsewhere.example")[0] == 403
            assert asked(at, "/../../etc/passwd")[0] == 404

            before, text = number(at), spec.read_text(encoding="utf-8")
            spec.write_text(text.replace("150 mph indicated", "150 mpx indicated"), encoding="utf-8")
            until(at, before)
            status, _, body = asked(at, page)
            assert status == 200
            assert "mudlark.yaml:54:" in body
            assert "&#x27;mpx&#x27; is not a known unit" in body
            assert "Old Quarry Strip" in body

            before = number(at)
            weather = spec.parent / "weather" / "mudlark.yaml"
            spec.write_text(text.replace("revision: 1", "revision: 2"), encoding="utf-8")
            until(at, before)
            body = asked(at, page)[2]
            assert "revision 2" in body
            assert "preview-fault" not in body

            before = number(at)
            weather.write_text(weather.read_text(encoding="utf-8") + "# looked at\n", encoding="utf-8")
            until(at, before)
        finally:
            stop.set()
            follower.join()
    assert any(line.startswith("built again in") for line in said)


def test_it_listens_on_the_loopback_address_alone(tmp_path: Path) -> None:
    with serve(edited(tmp_path, "mudlark")) as at:
        assert at.address.startswith("http://127.0.0.1:")
