"""Ten published instances of different classes: `coilwright cut`, plain arc-flow in HiGHS, CP-SAT.

    cargo build --release
    python3 benches/cut_side_by_side.py FOLDER [SECONDS]

Needs the packages highspy and ortools (not needed to build). FOLDER as in cut_collection.py. Same
machine, one thread each, same limit, one after the other; the time to build a model counts.
Arc-flow: positions on the stock, an arc for each length at each position that longer ones reach,
and arcs of waste (Valerio de Carvalho 1999, from memory), without compression. CP-SAT: which piece
goes on which stock, with two stocks more than ours to choose from, used in order.
Prints a table; exits 1 where two that call a value least differ.
"""

import csv
import pathlib
import subprocess
import sys
import time

PROGRAM = pathlib.Path(__file__).resolve().parent.parent / "target/release/coilwright"
CLASSES = [
    ("falkenauer_u", 1), ("falkenauer_t", 1), ("scholl_1", 1), ("scholl_2", 2), ("scholl_3", 1),
    ("schwerin_1", 1), ("schwerin_2", 1), ("waescher", 1), ("hard28", 1),
]
MOST_ARCS = 1_500_000
MOST_BOOLEANS = 400_000


def instance(path):
    numbers = list(map(int, path.read_text().split()))
    pairs = zip(numbers[2::2], numbers[3::2])
    pieces = {}
    for length, demand in pairs:
        pieces[length] = pieces.get(length, 0) + demand
    return numbers[1], sorted(pieces.items(), reverse=True)


def ours(path, limit):
    args = [PROGRAM, "cut", path, "--format", "tsv", "--deadline", str(limit)]
    begun = time.monotonic()
    run = subprocess.run(args, capture_output=True, text=True, check=True)
    columns = run.stdout.rstrip("\n").split("\t")
    return int(columns[4]), int(columns[5]), columns[6] == "yes", time.monotonic() - begun


def arcs(capacity, pieces):
    """Arcs as (from, to, number of the length or None), or None where there are too many."""
    reached = {0}
    found = set()
    for number, (length, demand) in enumerate(pieces):
        for start in sorted(reached):
            at = start
            for _ in range(demand):
                if at + length > capacity:
                    break
                found.add((at, at + length, number))
                at += length
                reached.add(at)
            if len(found) > MOST_ARCS:
                return None
    nodes = sorted(reached | {capacity})
    return sorted(found, key=lambda arc: (arc[0], arc[1], arc[2])) + [
        (a, b, None) for a, b in zip(nodes, nodes[1:])
    ]


def by_highs(capacity, pieces, limit, _):
    import highspy
    import numpy

    begun = time.monotonic()
    all_arcs = arcs(capacity, pieces)
    if all_arcs is None:
        return None, None, False, time.monotonic() - begun
    nodes = {node: i for i, node in enumerate(sorted({n for a, b, _ in all_arcs for n in (a, b)}))}
    # The last column is the number of stocks, fed in at 0 and taken out at the end.
    rows = len(nodes) + len(pieces)
    starts, index, value = [], [], []
    for a, b, number in all_arcs:
        starts.append(len(index))
        index += [nodes[a], nodes[b]]
        value += [-1.0, 1.0]
        if number is not None:
            index.append(len(nodes) + number)
            value.append(1.0)
    starts.append(len(index))
    index += [nodes[0], nodes[capacity]]
    value += [1.0, -1.0]
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(all_arcs) + 1, rows
    lp.col_cost_ = numpy.array([0.0] * len(all_arcs) + [1.0])
    lp.col_lower_ = numpy.zeros(lp.num_col_)
    most = float(sum(demand for _, demand in pieces))
    lp.col_upper_ = numpy.full(lp.num_col_, most)
    lp.row_lower_ = numpy.array([0.0] * len(nodes) + [float(d) for _, d in pieces])
    lp.row_upper_ = numpy.array([0.0] * len(nodes) + [most] * len(pieces))
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = numpy.array(starts + [len(index)])
    lp.a_matrix_.index_ = numpy.array(index)
    lp.a_matrix_.value_ = numpy.array(value)
    lp.integrality_ = [highspy.HighsVarType.kInteger] * lp.num_col_
    solver = highspy.Highs()
    for option, setting in [
        ("output_flag", False), ("threads", 1), ("mip_abs_gap", 0.99), ("mip_rel_gap", 0.0),
        ("time_limit", max(0.1, limit - (time.monotonic() - begun))),
    ]:
        solver.setOptionValue(option, setting)
    solver.passModel(lp)
    solver.run()
    took = time.monotonic() - begun
    info = solver.getInfo()
    done = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    found = info.primal_solution_status == 2
    best = round(info.objective_function_value) if found else None
    bound = -int(-(info.mip_dual_bound - 1e-6) // 1) if info.mip_dual_bound > 0 else 0
    return best, best if done else bound, done, took


def by_cpsat(capacity, pieces, limit, stocks):
    from ortools.sat.python import cp_model

    begun = time.monotonic()
    if len(pieces) * stocks > MOST_BOOLEANS:
        return None, None, False, time.monotonic() - begun
    model = cp_model.CpModel()
    used = [model.new_bool_var("") for _ in range(stocks)]
    cut = [[model.new_int_var(0, min(d, capacity // l), "") for _ in used] for l, d in pieces]
    for row, (_, demand) in zip(cut, pieces):
        model.add(sum(row) == demand)
    for place, use in enumerate(used):
        held = sum(length * row[place] for row, (length, _) in zip(cut, pieces))
        model.add(held <= capacity * use)
    for first, second in zip(used, used[1:]):
        model.add_implication(second, first)
    model.minimize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = max(0.1, limit - (time.monotonic() - begun))
    status = solver.solve(model)
    took = time.monotonic() - begun
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, round(solver.best_objective_bound), False, took
    value = round(solver.objective_value)
    return value, round(solver.best_objective_bound), status == cp_model.OPTIMAL, took


def shown(best, bound, done, took):
    if done:
        return f"{best} proved, {took:.2f} s"
    if best is None and bound is None:
        return "model too large"
    return f"{'no plan' if best is None else best}, bound {bound}, {took:.0f} s"


def main():
    folder = pathlib.Path(sys.argv[1])
    limit = float(sys.argv[2]) if len(sys.argv) > 2 else 60.0
    with open(folder / "optima.tsv", newline="") as table:
        rows = list(csv.DictReader(table, delimiter="\t"))
    print("| instance | pieces | lengths | coilwright cut | arc-flow, HiGHS | CP-SAT |")
    print("|---|---|---|---|---|---|")
    wrong = False
    for name, number in CLASSES:
        of_class = [row for row in rows if row["class"] == name]
        step = len(of_class) // (number + 1)
        for row in of_class[step::step][:number]:
            path = folder / row["file"]
            capacity, pieces = instance(path)
            first = ours(path, limit)
            # The others are told a number of stocks that does: a first fit would find as many.
            some = first[0] + 2
            results = [first, by_highs(capacity, pieces, limit, some),
                       by_cpsat(capacity, pieces, limit, some)]
            values = {best for best, _, done, _ in results if done}
            wrong |= len(values | {int(row["optimum"])}) > 1
            cells = " | ".join(shown(*result) for result in results)
            print(f"| {row['instance']} | {row['items']} | {row['types']} | {cells} |", flush=True)
    sys.exit(wrong)


main()
