"""Least stops and least times of random cases, against a model in another solver.

The cases with our answers are written by a test:

    COILWRIGHT_EXPORT=$PWD/target/stops-cases.json cargo test --test exact_stops outside
    python3 benches/cpsat_stops.py target/stops-cases.json

The model is CP-SAT's (package ortools; not needed to build). Nothing of our search is in it: every
step of the strip may be a stop, a path of moves leads from one to the next. Move times are worked
out here too, by bisection on the peak speed. Prints how many cases agree; exits 1 where one does
not. Times agree to two nanoseconds a move: both sides round each move up.
"""

import json
import math
import sys

from ortools.sat.python import cp_model


def ramp(speed, rate, jerk):
    """Seconds from rest to speed, in metres and seconds."""
    if jerk is None:
        return speed / rate
    if speed * jerk >= rate * rate:
        return speed / rate + rate / jerk
    return 2 * math.sqrt(speed / jerk)


def move_ns(case, steps):
    """Time of a move, rest to rest, rounded up to a nanosecond."""
    distance = steps * case["increment_um"] / 1e6
    if distance == 0:
        return 0
    top, up, down = case["speed"] / 1e6, case["acceleration"] / 1e6, case["deceleration"] / 1e6
    jerk = None if case["jerk"] is None else case["jerk"] / 1e6

    def ramps(speed):
        return ramp(speed, up, jerk) + ramp(speed, down, jerk)

    if top * ramps(top) / 2 <= distance:
        seconds = ramps(top) + (distance - top * ramps(top) / 2) / top
    else:
        low, high = 0.0, top
        for _ in range(200):
            middle = (low + high) / 2
            if middle * ramps(middle) / 2 <= distance:
                low = middle
            else:
                high = middle
        seconds = ramps(high)
    return math.ceil(seconds * 1e9 - 1e-3)


def model_of(case):
    """The model, its stops by place, and its strokes as (stroke, way, place) -> variable."""
    model = cp_model.CpModel()
    ways = [way for stroke in case["strokes"] for way in stroke]
    places = sorted({at for way in ways for at in range(way["lo"], way["hi"] + 1)} | set(case["cuts"]))
    stop = {at: model.NewBoolVar(f"stop {at}") for at in places}
    for cut in case["cuts"]:
        model.Add(stop[cut] == 1)
    fires = {}
    for s, stroke in enumerate(case["strokes"]):
        for w, way in enumerate(stroke):
            for at in range(way["lo"], way["hi"] + 1):
                fires[s, w, at] = model.NewBoolVar(f"stroke {s} {w} {at}")
                model.AddImplication(fires[s, w, at], stop[at])
        model.AddExactlyOne(var for (of, _, _), var in fires.items() if of == s)
    clashes = {tuple(pair) for pair in case["clashes"]}
    most = min(case["most"], len(case["strokes"]))
    for at in places:
        here = [(case["strokes"][s][w], s, var) for (s, w, a), var in fires.items() if a == at]
        if not here:
            continue
        model.Add(sum(var for _, _, var in here) <= most)
        for press, force in enumerate(case["presses"]):
            model.Add(sum(way["force"] * var for way, _, var in here if way["press"] == press) <= force)
        for station in {way["station"] for way, _, _ in here}:
            model.AddAtMostOne(var for way, _, var in here if way["station"] == station)
        for i, (a, s, x) in enumerate(here):
            for b, t, y in here[:i]:
                pair = (a["tool"], b["tool"])
                if s != t and (pair in clashes or pair[::-1] in clashes):
                    model.AddAtMostOne([x, y])
    cuts = set(case["cuts"])
    for i, a in enumerate(places):
        for b in places[i + 1 :]:
            if b - a < case["least_feed"] and not (a in cuts and b in cuts):
                model.AddAtMostOne([stop[a], stop[b]])
    return model, stop, fires


def solve(model, value):
    """The least value, or None where there is none at all."""
    model.Minimize(value)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 120
    status = solver.Solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    if status != cp_model.OPTIMAL:
        sys.exit("the other solver did not end")
    return round(solver.ObjectiveValue())


def least_stops(case):
    model, stop, _ = model_of(case)
    return solve(model, sum(var for at, var in stop.items() if at not in case["cuts"]))


def least_time(case):
    model, stop, fires = model_of(case)
    places = sorted(stop)
    table = {}
    cost = []
    # A path from the start over all stops to the end.
    into, out = {at: [] for at in places}, {at: [] for at in places}
    first, last = [], []
    for i, b in enumerate(places):
        for a in [None, *places[:i]]:
            steps = b - (case["start"] if a is None else a)
            if steps not in table:
                table[steps] = move_ns(case, steps) + (case["settle_ns"] if steps else 0)
            arc = model.NewBoolVar(f"move {a} {b}")
            into[b].append(arc)
            (first if a is None else out[a]).append(arc)
            cost.append(table[steps] * arc)
        end = model.NewBoolVar(f"end {b}")
        out[b].append(end)
        last.append(end)
    none = model.NewBoolVar("no stop at all")
    model.AddExactlyOne([*first, none])
    model.AddExactlyOne([*last, none])
    for at in places:
        model.Add(sum(into[at]) == stop[at])
        model.Add(sum(out[at]) == stop[at])
        slowest = model.NewIntVar(0, 10**12, f"slowest {at}")
        for (s, w, a), var in fires.items():
            if a == at:
                model.Add(slowest >= case["strokes"][s][w]["time_ns"] * var)
        cost.append(slowest)
    return solve(model, sum(cost))


with open(sys.argv[1], encoding="utf-8") as file:
    cases = json.load(file)
possible = 0
for number, case in enumerate(cases):
    stops = least_stops(case)
    if stops != case["stops"]:
        sys.exit(f"case {number}: {case['stops']} stops, the other solver {stops}: {json.dumps(case)}")
    time = least_time(case)
    ours = case["least_time_ns"]
    near = ours == time if ours is None or time is None else abs(ours - time) <= 40
    if not near:
        sys.exit(f"case {number}: {ours} ns, the other solver {time} ns: {json.dumps(case)}")
    possible += stops is not None
print(f"{len(cases)} cases agree on least stops and least time, {possible} of them possible")
