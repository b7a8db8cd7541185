"""Runs the program `desk`; the environment variable PEELCAST_DESK says where it is."""

import copy
import json
import os
import subprocess
import sys


def ask(verb, requests):
    """The answers of `desk VERB -` to one request or a list of them."""
    program = os.environ.get("PEELCAST_DESK")
    if not program:
        sys.exit("PEELCAST_DESK must say where the program desk is: cargo verify sets it.")
    done = subprocess.run(
        [program, verb, "-"],
        input=json.dumps(requests, allow_nan=False),
        capture_output=True,
        text=True,
        timeout=600,
    )
    if done.returncode != 0:
        sys.exit(f"desk {verb} failed ({done.returncode}): {done.stdout}{done.stderr}")
    return json.loads(done.stdout)


def changed(request, path, value):
    """The request with one field set, or removed where the value is `...`."""
    request = copy.deepcopy(request)
    at = request
    for step in path[:-1]:
        at = at[step]
    if value is ...:
        del at[path[-1]]
    else:
        at[path[-1]] = value
    return request


class Verdict:
    """Collects what was found and ends the script: 0 when all held, 1 otherwise."""

    def __init__(self):
        self.failures = []

    def hold(self, true, what):
        print(("ok    " if true else "WRONG ") + what)
        if not true:
            self.failures.append(what)

    def end(self):
        if self.failures:
            sys.exit(f"{len(self.failures)} of the statements above don't hold.")
