"""`manage.py start`, up to the point where it starts real processes."""

import socket
import subprocess
import sys

import pytest

from coop.setup.environment import ROOT, Stopped
from coop.setup.start import address, read, refuse_busy_port, tasks, variables_for


@pytest.fixture
def busy_port():
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield server.getsockname()[1]


def test_a_busy_port_is_refused_with_another_to_take(busy_port):
    with pytest.raises(Stopped, match=f"Port {busy_port} is busy.*--port {busy_port + 1}"):
        refuse_busy_port("127.0.0.1", busy_port)


def test_the_command_says_one_sentence_and_no_more(busy_port):
    command = [sys.executable, "manage.py", "start", "--port", str(busy_port)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "busy" in done.stderr


def test_an_address_of_another_machine_is_refused():
    with pytest.raises(Stopped, match=r"cannot listen on 192\.0\.2\.1"):  # RFC 5737: nobody's
        refuse_busy_port("192.0.2.1", 8000)


@pytest.mark.parametrize("port", ["0", "65536", "eighty", "-1"])
def test_a_port_that_is_none_is_refused(port, capsys):
    with pytest.raises(SystemExit):
        read(["--port", port])
    assert "port" in capsys.readouterr().err


def test_only_this_machine_is_served_without_https():
    assert variables_for("127.0.0.1", 8000, {})["HTTPS"] == "off"
    assert "HTTPS" not in variables_for("0.0.0.0", 8000, {})


def test_a_setting_of_the_person_is_kept():
    assert variables_for("127.0.0.1", 8000, {"HTTPS": "on"})["HTTPS"] == "on"


@pytest.mark.parametrize(
    ("host", "given", "site"),
    [
        ("127.0.0.1", {}, "http://127.0.0.1:8080/"),
        ("::1", {}, "http://[::1]:8080/"),
        ("127.0.0.1", {"SITE_ADDRESS": "https://larders.example"}, "https://larders.example"),
        ("127.0.0.1", {"ALLOWED_HOSTS": "larders.example"}, None),  # behind a proxy of that name
        ("0.0.0.0", {}, None),  # no address that anybody could open
    ],
)
def test_links_in_letters_lead_to_what_is_served(host, given, site):
    assert variables_for(host, 8080, given).get("SITE_ADDRESS") == site


def test_the_site_a_worker_and_a_clock_are_run():
    web, worker, clock = tasks("python", "127.0.0.1", 8000, {})
    assert "coop.wsgi:application" in web.command
    assert "worker" in worker.command
    pool = "threads" if sys.platform == "win32" else "prefork"  # it forks who carries mail
    assert f"--pool={pool}" in worker.command
    assert "beat" in clock.command


def test_a_proxy_is_trusted_only_when_there_is_one():
    alone, behind = (
        tasks("python", "127.0.0.1", 8000, variables)[0].command
        for variables in ({}, {"TRUSTED_PROXIES": "1"})
    )
    assert not [part for part in alone if "proxy" in part]
    assert "--trusted-proxy-count=1" in behind


def test_an_ipv6_address_is_written_in_brackets():
    assert address("::1", 8000) == "http://[::1]:8000/"
