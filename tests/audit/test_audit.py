"""`make audit` on a package with a known advisory, and where the advisories cannot be reached.

Run by hand (pytest tests/audit -m audit): the target installs pip-audit. The advisories come from a server of
this test on loopback, so that the proof does not hang on anybody's network; the one it knows is GHSA-462w-v97r-4m45
(CVE-2019-10906, Jinja2 before 2.10.1, from memory).
"""

import http.server
import json
import shutil
import subprocess
import threading
from pathlib import Path

import pytest

pytestmark = pytest.mark.audit
ROOT = Path(__file__).resolve().parents[2]
ADVISORY = {
    "id": "GHSA-462w-v97r-4m45",
    "aliases": ["CVE-2019-10906"],
    "summary": "Sandbox escape in Jinja2",
    "affected": [
        {
            "package": {"ecosystem": "PyPI", "name": "jinja2"},
            "ranges": [{"type": "ECOSYSTEM", "events": [{"introduced": "0"}, {"fixed": "2.10.1"}]}],
        }
    ],
}


class Advisories(http.server.BaseHTTPRequestHandler):
    """Answers as the OSV service does: the advisory for Jinja2 2.10, nothing for all else."""

    def do_POST(self):
        asked = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        known = asked["package"]["name"].lower() == "jinja2" and asked["version"] == "2.10"
        body = json.dumps({"vulns": [ADVISORY]} if known else {}).encode()
        self.send_response(200)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_):
        pass


@pytest.fixture(scope="module")
def project(tmp_path_factory):
    """The Makefile in a folder of its own, so that its tools are not installed into the tree."""
    place = tmp_path_factory.mktemp("audit")
    shutil.copy(ROOT / "Makefile", place)
    shutil.copy(ROOT / "requirements.lock", place)
    return place


@pytest.fixture(scope="module")
def service():
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Advisories)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/v1/query"
    server.shutdown()


def audit(project, version, url):
    lock = project / f"jinja2-{version}.lock"
    lock.write_text(f"jinja2=={version} --hash=sha256:{'0' * 64}\n")
    flags = f"--vulnerability-service osv --osv-url {url} --cache-dir {project / 'cache'}"
    return subprocess.run(
        ["make", "audit", f"LOCK={lock.name}", f"AUDIT={flags}"], cwd=project, capture_output=True, text=True, timeout=300
    )


def test_a_package_with_a_known_advisory_fails_the_audit_and_is_named(project, service):
    done = audit(project, "2.10", service)
    assert done.returncode != 0
    assert "GHSA-462w-v97r-4m45" in done.stdout + done.stderr or "CVE-2019-10906" in done.stdout + done.stderr


def test_a_package_without_one_passes(project, service):
    done = audit(project, "3.1.6", service)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "No known vulnerabilities found" in done.stdout + done.stderr


def test_advisories_that_cannot_be_reached_fail_the_audit(project):
    done = audit(project, "3.1.6", "http://127.0.0.1:9/v1/query")
    assert done.returncode != 0
    assert "No known vulnerabilities found" not in done.stdout + done.stderr


def test_every_package_of_the_lock_is_looked_up(project, service):
    flags = f"--vulnerability-service osv --osv-url {service} --cache-dir {project / 'cache'}"
    done = subprocess.run(["make", "audit", f"AUDIT={flags}"], cwd=project, capture_output=True, text=True, timeout=500)
    assert done.returncode == 0, done.stdout + done.stderr
