"""The description of the API is sound, and a running server does what it says.

Leans on openapi-spec-validator and schemathesis (tests/service/requirements.txt).
"""

import json
import os
import subprocess
import sys
import tempfile
import urllib.request

from openapi_spec_validator import OpenAPIV31SpecValidator

from common import Server, arguments, check, end

asked = arguments(__doc__)
here = os.path.dirname(os.path.abspath(__file__))
# Patience on both sides: what is asked here is what is said, not how soon on a busy machine.
with Server(asked.program, "--log", "off", "--head-wait", "60", "--body-wait", "60") as server:
    with urllib.request.urlopen(f"{server.url}/openapi.json") as reply:
        document = json.load(reply)
    faults = [str(e) for e in OpenAPIV31SpecValidator(document).iter_errors()]
    check(not faults, f"the description is no OpenAPI 3.1: {faults[:3]}")
    print(f"{len(document['paths'])} paths, {len(document['components']['schemas'])} schemas")
    schemathesis = os.path.join(os.path.dirname(sys.executable), "schemathesis")
    command = [
        schemathesis, "--config-file", os.path.join(here, "schemathesis.toml"), "run", f"{server.url}/openapi.json",
        "--checks", "all", "--continue-on-failure", "--request-timeout", "60", "--no-color", "--workers", "2",
    ]
    # Ten minutes, or a few of the same questions in every short run.
    command += ["--max-time", "600"] if asked.long else ["--max-examples", "10", "--seed", "20261"]
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run(command, cwd=folder, check=False, capture_output=True, text=True)
    shown = done.stdout.splitlines()
    print("\n".join(shown if done.returncode else shown[-14:]))
    check(done.returncode == 0, "the server does not do what the description says")
end("contract")
