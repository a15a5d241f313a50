"""What an RS-274 interpreter makes of our programs is what the stop lists of the same batch say.

The same batch is compiled twice, once for each of two dialects that ship. The batch interpreter of
another project runs the RS-274 programs and prints the operations of its abstract machine; strokes,
dwells, cuts, marks and their order must be those of the stop lists, with the times of the line's
file. Usage: rs274.py INTERPRETER FOLDER-RS-274 FOLDER-STOP-LIST LINE.toml
"""

import json
import pathlib
import re
import subprocess
import sys
import tempfile
import tomllib
from fractions import Fraction

FIRST_TOOL = 2
OPERATION = re.compile(r"^\s*\d+\s+N\.*\d*\s+(\w+)\((.*)\)$")


def seconds(text):
    number, unit = text.split()
    return Fraction(number) * {"s": 1, "ms": Fraction(1, 1000)}[unit]


def line_of(path):
    line = tomllib.loads(pathlib.Path(path).read_text())
    tools = {}
    for station in line["station"]:
        for tool in station["tool"]:
            tools[tool["name"]] = (FIRST_TOOL + len(tools), seconds(tool["time"]))
    settle = seconds((line.get("feed") or {}).get("settle", "0 s"))
    return tools, settle, seconds(line["shear"]["time"])


def wanted(stop_list, line):
    """The operations that a stop list asks for."""
    tools, settle, cut = line
    yield ("units", "mm")
    for record in map(json.loads, stop_list.read_text().splitlines()):
        if "stop" in record:
            yield ("move", Fraction(str(record["stop"])))
            yield ("dwell", settle)
            phases = sorted({stroke["phase"] for stroke in record["fire"]})
            for phase in phases:
                fired = [tools[s["tool"]] for s in record["fire"] if s["phase"] == phase]
                yield from (("on", output) for output, _ in fired)
                yield ("dwell", max(time for _, time in fired))
                yield from (("off", output) for output, _ in fired)
        elif "cut" in record or "trim" in record:
            yield ("piece", record["piece"]) if "cut" in record else ("scrap",)
            yield ("move", Fraction(str(record.get("cut", record.get("trim")))))
            yield from [("dwell", settle), ("on", 0), ("dwell", cut), ("off", 0)]
        elif "mark" in record:
            yield ("move", Fraction(str(record["mark"])))
            yield from [("off", 1), ("message", record["text"]), ("on-with-move", 1)]
        elif "end" in record:
            yield ("move", Fraction(str(record["end"])))
            yield ("end",)


def made(interpreter, program):
    """The operations that the interpreter makes of a program."""
    with tempfile.TemporaryDirectory() as folder:
        variables, table = pathlib.Path(folder, "vars"), pathlib.Path(folder, "tools")
        variables.touch()
        table.touch()
        run = [interpreter, "-v", variables, "-t", table, "-g", program]
        done = subprocess.run(run, capture_output=True, text=True, timeout=300)
    if done.returncode != 0:
        sys.exit(f"{program}: the interpreter refuses it: {done.stderr.strip()}")
    begun = False
    for line in done.stdout.splitlines():
        operation = OPERATION.match(line)
        if operation is None:
            continue
        name, arguments = operation.groups()
        if name == "COMMENT":
            word, _, rest = arguments.strip('"').partition(" ")
            begun = begun or word == "program"
            if word == "piece":
                yield ("piece", int(rest))
            elif word == "scrap":
                yield ("scrap",)
        elif not begun:
            continue
        elif name == "USE_LENGTH_UNITS":
            yield ("units", {"CANON_UNITS_MM": "mm"}.get(arguments, arguments))
        elif name == "STRAIGHT_TRAVERSE":
            x, *others = [Fraction(figure) for figure in arguments.split(",")]
            if any(others):
                sys.exit(f"{program}: another axis moves: {line}")
            yield ("move", x)
        elif name == "DWELL":
            yield ("dwell", Fraction(arguments))
        elif name == "SET_AUX_OUTPUT_BIT":
            yield ("on", int(arguments))
        elif name == "CLEAR_AUX_OUTPUT_BIT":
            yield ("off", int(arguments))
        elif name == "SET_MOTION_OUTPUT_BIT":
            yield ("on-with-move", int(arguments))
        elif name == "MESSAGE":
            yield ("message", arguments[1:-1])
        elif name == "PROGRAM_END":
            yield ("end",)
            return
        elif name in ("STRAIGHT_FEED", "STRAIGHT_PROBE", "ARC_FEED", "RIGID_TAP"):
            sys.exit(f"{program}: {line.strip()}: nothing of ours does that")


def alike(a, b):
    """The interpreter prints four decimals."""
    return a[0] == b[0] and len(a) == len(b) and all(
        abs(x - y) <= Fraction(1, 20000) if isinstance(x, Fraction) else x == y
        for x, y in zip(a[1:], b[1:])
    )


def main(interpreter, programs, stop_lists, line_file):
    line = line_of(line_file)
    count = compared = 0
    for program in sorted(pathlib.Path(programs, "programs").iterdir()):
        other = pathlib.Path(stop_lists, "programs", program.stem + ".jsonl")
        asked, done = list(wanted(other, line)), list(made(interpreter, program))
        for number, (a, b) in enumerate(zip(asked, done), 1):
            if not alike(a, b):
                sys.exit(f"{program}: operation {number} should be {a}, the interpreter has {b}")
        if len(asked) != len(done):
            sys.exit(f"{program}: {len(asked)} operations are due, the interpreter has {len(done)}")
        count, compared = count + 1, compared + len(asked)
    if compared < 1000:
        sys.exit(f"only {compared} operations were compared")
    print(f"{count} programs, {compared} operations: strokes, dwells, cuts and order agree")


main(*sys.argv[1:])
