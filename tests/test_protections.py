"""JupyterLab and Voila keep their protections: loopback, a token, the same origin; nothing here turns one off."""

import json
import os
import re
import socket
import subprocess
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from heritagemove.editing.laying_out import lab_command

ROOT = Path(__file__).resolve().parents[1]
#: Settings that open a server to others, or take away what keeps others' pages out of it.
OPEN = re.compile(
    r"(IdentityProvider|ServerApp|NotebookApp|Voila)\.(token|password)|allow_origin|allow_credentials|allow_remote_access|"
    r"disable_check_xsrf|allow_unauthenticated|password_required|0\.0\.0\.0|ip\s*=\s*['\"]?(\*|::|$)|--no-auth|local_hostnames|"
    r"Content-Security-Policy|webbrowser_open_new|JUPYTER_TOKEN",
    re.IGNORECASE,
)


def started_with():
    """Return every file that starts or configures a server."""
    plain = [ROOT / name for name in ("Makefile", "pyproject.toml", "environment.yml", ".ci/run")]
    plain.append(ROOT / "heritagemove/editing/laying_out.py")
    folders = [ROOT / name for name in ("heritagemove/panels/jupyter", "notebooks", "binder")]
    found = [path for path in plain if path.is_file()]
    found += [path for folder in folders if folder.is_dir() for path in folder.rglob("*") if path.is_file()]
    return [path for path in found if path.suffix in ("", ".toml", ".yml", ".json", ".py", ".ipynb")]


def test_nothing_that_starts_a_server_turns_a_protection_off():
    files = started_with()
    assert {"Makefile", "laying_out.py", "server.json", "decision.ipynb"} <= {path.name for path in files}
    lines = [(path.name, line) for path in files for line in path.read_text(encoding="utf-8").splitlines()]
    assert [entry for entry in lines if OPEN.search(entry[1])] == []


@pytest.mark.parametrize("line", [
    "jupyter lab --ServerApp.token=''", "--IdentityProvider.token=", '"allow_origin": "*"', "--ip=0.0.0.0",
    "c.ServerApp.disable_check_xsrf = True", '{"ServerApp": {"allow_remote_access": true}}', "--ip='*'",
])  # fmt: skip
def test_the_ways_to_turn_one_off_are_known(line):
    assert OPEN.search(line)


def test_the_server_settings_say_nothing_but_how_kernels_are_reached():
    settings = json.loads((ROOT / "heritagemove/panels/jupyter/server.json").read_text())
    assert settings == {"MappingKernelManager": {"transport_encryption": "auto"}}


def test_lab_listens_on_loopback_alone_and_asks_for_its_token(tmp_path):
    """As `heritagemove lab` starts it: no answer without the token, none on the machine's other address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    program = lab_command(tmp_path, port, browser=False)
    own = ("HOME", "JUPYTER_CONFIG_DIR", "JUPYTER_RUNTIME_DIR")
    home = {name: str(tmp_path / name.lower()) for name in own}
    env = {name: value for name, value in os.environ.items() if not name.startswith("JUPYTER")} | home
    with (tmp_path / "log").open("w") as log:
        server = subprocess.Popen(program, env=env, stdout=log, stderr=log)
        try:
            refused = _answer(f"http://127.0.0.1:{port}/api/contents", server)
            listening = _listening(server.pid, port)
        finally:
            server.terminate()
            server.wait(20)
    assert refused == 403
    assert "token=" in (tmp_path / "log").read_text()
    if listening is not None:
        assert listening <= {"127.0.0.1", "::1"} and listening


def _answer(address, server):
    for _ in range(150):
        assert server.poll() is None, "JupyterLab did not start"
        try:
            return urllib.request.urlopen(address, timeout=5).status
        except urllib.error.HTTPError as error:
            return error.code
        except OSError:
            time.sleep(0.2)
    return None


def _listening(pid, port):
    """Return the addresses a port is listened on, as the kernel says; None where it cannot be asked."""
    tables = [Path(f"/proc/{pid}/net/{name}") for name in ("tcp", "tcp6")]
    if not tables[0].exists():
        return None
    found = set()
    for table in tables:
        for line in table.read_text().splitlines()[1:] if table.exists() else ():
            local, state = line.split()[1], line.split()[3]
            host, _, number = local.partition(":")
            if state == "0A" and int(number, 16) == port:
                found.add({"0100007F": "127.0.0.1", "00000000000000000000000001000000": "::1"}.get(host, host))
    return found
