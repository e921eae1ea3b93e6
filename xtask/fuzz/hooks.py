"""What the fuzzer is told beside the document: runs, stills and a plan that there are.

An address with an invented id is answered "no such run" before its body is read, and a plan of
invented numbers is refused at its first key; so most ids are of runs that exist, and most plans are
the sound one with a few keys changed.
"""

import copy
import json
import os
import random
import urllib.request

import schemathesis

ADDRESS = os.environ["MIDDLECUT_FUZZ_ADDRESS"]
DRAWN = random.Random(int(os.environ["MIDDLECUT_FUZZ_SEED"]))
#: How often what exists is taken instead of what was invented; judgement: both ways must be met.
KNOWN_SHARE = 0.8


def ask(method, path, body=None):
    """One request; its answer."""
    data = None if body is None else json.dumps(body).encode()
    headers = {"content-type": "application/json"}
    request = urllib.request.Request(ADDRESS + path, data, headers, method=method)
    with urllib.request.urlopen(request, timeout=20) as answer:
        return json.load(answer)


def begun():
    """Runs of every kind: heated, not heated, rehearsed, given up; with their plan."""
    plan = ask("GET", "/api/house")["example"]["plans"][0]
    del plan["id"]
    runs = []
    kinds = [("real", True), ("real", False), ("rehearsal", None), ("real", True)]
    for number, (mode, started) in enumerate(kinds):
        own = copy.deepcopy(plan)
        own["still"]["name"] = f"Still {number}"
        run = {"plan": own, "mode": mode, "example": mode == "rehearsal"}
        run |= {"speed": 60} if started is None else {"started": started}
        runs.append(ask("POST", "/api/runs", run)["id"])
    ask("POST", f"/api/runs/{runs[-1]}/abandon", {"reason": "of no more use"})
    return runs, plan


RUNS, PLAN = begun()
#: What ends a run is asked of the last one, so that the others go on.
ENDS = ("/end", "/abandon")


def leaves(value, path=()):
    """The paths of all numbers, texts and truth values."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves(inner, (*path, key))
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            yield from leaves(inner, (*path, place))
    else:
        yield path


def changed(plan):
    """The sound plan with up to three leaves changed or taken out."""
    plan = copy.deepcopy(plan)
    for _ in range(DRAWN.randrange(4)):
        path = DRAWN.choice(list(leaves(plan)))
        inner = plan
        for key in path[:-1]:
            inner = inner[key]
        was = inner[path[-1]]
        drawn = [None, "", -1, 0, 1e-300, 1e308, -1e9, "\u0000", "x" * 300, [], {}, True, 7, 0.5]
        if isinstance(was, (int, float)) and not isinstance(was, bool):
            drawn += [was * 2 if abs(was) < 1e300 else 1, was / 3, -was]
        inner[path[-1]] = DRAWN.choice(drawn)
    return plan


@schemathesis.hook
def map_path_parameters(context, path_parameters):
    if path_parameters and DRAWN.random() < KNOWN_SHARE:
        if "id" in path_parameters:
            ends = context.operation.path.endswith(ENDS)
            path_parameters["id"] = RUNS[-1] if ends else DRAWN.choice(RUNS)
        if "name" in path_parameters:
            path_parameters["name"] = PLAN["still"]["name"]
    return path_parameters


@schemathesis.hook
def map_query(context, query):
    if query and "run" in query and DRAWN.random() < KNOWN_SHARE:
        query["run"] = DRAWN.choice(RUNS)
    return query


@schemathesis.hook
def map_body(context, body):
    if not isinstance(body, dict) or DRAWN.random() > KNOWN_SHARE:
        return body
    if "plan" in body:
        body["plan"] = changed(PLAN)
    if "still" in body and isinstance(body["still"], dict):
        body["still"] = changed(PLAN["still"])
    if "steps" in body and "charge" in body:
        return changed(PLAN)
    if "time_s" in body and isinstance(body["time_s"], (int, float)):
        body["time_s"] = DRAWN.choice([0, 0.5, 1, 30, body["time_s"]])
    return body
