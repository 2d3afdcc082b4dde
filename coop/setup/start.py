"""`manage.py start`: the site, its worker and its clock, from nothing but a Python."""

import argparse
import errno
import os
import signal
import socket
import subprocess
from collections.abc import Mapping, Sequence
from contextlib import suppress

from coop.setup.environment import ROOT, RUN, Environment, Stopped
from coop.setup.processes import IS_WINDOWS, Processes, Task

DEFAULT_PORT = 8000
LAST_PORT = 65535
WEB_THREADS = 8
FIRST_ANSWER_SECONDS = 60.0
LOOPBACK = {"127.0.0.1", "localhost", "::1"}


def start(arguments: Sequence[str]) -> int:
    """Prepare what is missing, run the site until Ctrl-C, and return the exit code."""
    options = read(arguments)
    refuse_busy_port(options.host, options.port)
    environment = Environment()
    environment.ready(RUN)
    variables = variables_for(options.host, options.port, os.environ)
    shown = _prepare(environment, variables, demo=options.demo and options.host in LOOPBACK)
    return _serve(environment, variables, options, shown)


def read(arguments: Sequence[str]) -> argparse.Namespace:
    """Read `--host`, `--port` and `--no-demo`."""
    parser = argparse.ArgumentParser(
        prog="manage.py start", description="Run the site, its worker and its clock."
    )
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (%(default)s)")
    parser.add_argument("--port", default=DEFAULT_PORT, type=_port, help="port (%(default)s)")
    parser.add_argument(
        "--no-demo", dest="demo", action="store_false", help="do not load the demo co-op"
    )
    return parser.parse_args(arguments)


def _port(text: str) -> int:
    if not text.isdecimal() or not 0 < int(text) <= LAST_PORT:
        raise argparse.ArgumentTypeError(f"{text!r} is no port: take one from 1 to {LAST_PORT}")
    return int(text)


def refuse_busy_port(host: str, port: int) -> None:
    """Stop, before anything slow is done, where the address cannot be listened on."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        if os.name != "nt":  # there the option would share the port with whoever has it
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as error:
            raise Stopped(_why_not_bound(error, host, port)) from None


def _why_not_bound(error: OSError, host: str, port: int) -> str:
    if error.errno == errno.EADDRINUSE:
        other = port + 1 if port < LAST_PORT else DEFAULT_PORT
        return (
            f"Port {port} is busy: another program listens there. Stop it, or choose another "
            f"port: python3 manage.py start --port {other}"
        )
    if error.errno == errno.EACCES:
        return f"Port {port} may not be used by this account. Choose one above 1023."
    return f"This machine cannot listen on {host}: {error.strerror or error}."


def variables_for(host: str, port: int, given: Mapping[str, str]) -> dict[str, str]:
    """Settings for the children: plain HTTP is fine where nobody else can listen in.

    Links in letters lead to the address served, unless other names of the site are given.
    """
    variables = dict(given)
    if host in LOOPBACK:
        variables.setdefault("HTTPS", "off")
        if not variables.get("ALLOWED_HOSTS"):
            variables.setdefault("SITE_ADDRESS", address(host, port))
    # The worker may run as root in a container; it takes JSON only, which is why that is safe.
    variables.setdefault("PYTHONWARNINGS", "ignore::UserWarning:celery.platforms")
    return variables


def _prepare(environment: Environment, variables: Mapping[str, str], *, demo: bool) -> str:
    command = [str(environment.python), "manage.py", "prepare", *([] if demo else ["--no-demo"])]
    done = subprocess.run(
        command, cwd=ROOT, env=dict(variables), stdout=subprocess.PIPE, text=True, check=False
    )
    if done.returncode:
        raise Stopped("The site was not started.")
    return done.stdout


def tasks(python: str, host: str, port: int, variables: Mapping[str, str]) -> list[Task]:
    """What runs: the web server, a worker, and the clock that wakes it."""
    web = [python, "-m", "waitress", f"--host={host}", f"--port={port}", f"--threads={WEB_THREADS}"]
    if (proxies := variables.get("TRUSTED_PROXIES", "0")) != "0":
        web += ["--trusted-proxy=*", f"--trusted-proxy-count={proxies}"]
        web += ["--trusted-proxy-headers=x-forwarded-for x-forwarded-proto"]
    celery = [python, "-m", "celery", "--quiet", "--app=coop.celery"]
    quiet = ["--loglevel=WARNING"]
    alone = ["--without-gossip", "--without-mingle", "--without-heartbeat"]
    return [
        Task("web server", [*web, "coop.wsgi:application"], signal.SIGINT),
        Task("worker", [*celery, "worker", *_pool(), *alone, *quiet]),
        Task("clock", [*celery, "beat", "--pidfile=", *quiet]),
    ]


def _pool() -> list[str]:
    """Two at work at once: processes, which can fork what must outlive them; threads on Windows."""
    return [f"--pool={'threads' if IS_WINDOWS else 'prefork'}", "--concurrency=2"]


def _serve(
    environment: Environment, variables: Mapping[str, str], options: argparse.Namespace, shown: str
) -> int:
    processes = Processes(ROOT, variables)
    processes.listen()
    try:
        for task in tasks(str(environment.python), options.host, options.port, variables):
            processes.start(task)
        is_up = processes.wait_until(
            lambda: _answers(options.host, options.port), seconds=FIRST_ANSWER_SECONDS
        )
        if is_up:
            print(f"\nMany Larders is at {address(options.host, options.port)}\n{shown}", end="")
            print("Stop it with Ctrl-C.", flush=True)
        ended = processes.wait()
    finally:
        processes.end()
    if ended:
        raise Stopped(
            f"The {ended[0]} ended as soon as it had begun, so everything was stopped. "
            "Nothing that was saved is lost."
        )
    print("\nStopped.")
    return 0


def _answers(host: str, port: int) -> bool:
    asked = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)  # noqa: S104  (asks, binds not)
    with suppress(OSError), socket.create_connection((asked, port), timeout=1):
        return True
    return False


def address(host: str, port: int) -> str:
    """Return the address to open in a browser."""
    return f"http://[{host}]:{port}/" if ":" in host else f"http://{host}:{port}/"
