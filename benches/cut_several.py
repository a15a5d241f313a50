"""Several stock lengths: least costs of random lists, against another solver.

    cargo build --release
    python3 benches/cut_several.py [cpsat|highs] [COUNT]

Needs the package ortools or highspy (not needed to build). Each list is solved by `coilwright cut`
and by a model that assigns pieces to stocks one by one; the plan that `cut` writes is counted again
here. Prints how many agree; exits 1 where one does not.
"""

import collections
import pathlib
import random
import subprocess
import sys
import tempfile

PROGRAM = pathlib.Path(__file__).resolve().parent.parent / "target/release/coilwright"


def random_list(chance):
    """Stocks as (length, count or None, cost) and pieces as {length: demand}."""
    longest = chance.randint(20, 120)
    stocks = [(longest, None, None)]
    for _ in range(chance.randint(1, 3)):
        stocks.append((chance.randint(longest // 3, longest), chance.choice([None, 1, 2, 3]), None))
    if chance.random() < 0.6:
        stocks = [(length, count, chance.randint(1, 60)) for length, count, _ in stocks]
    if chance.random() < 0.5:
        length, _, cost = stocks[0]
        stocks[0] = (length, chance.randint(3, 12), cost)
    pieces = collections.Counter(
        chance.randint(longest // 10, longest) for _ in range(chance.randint(4, 12))
    )
    return stocks, pieces


def text(stocks, pieces):
    lines = [str(len(pieces))]
    for length, count, cost in stocks:
        number = "-" if count is None else count
        lines.append(f"stock {length} {number}" + ("" if cost is None else f" {cost}"))
    return "\n".join(lines + [f"{length} {demand}" for length, demand in pieces.items()]) + "\n"


def bins(stocks, pieces):
    """Single stocks as (length, cost), as many as could be needed, and single pieces."""
    number = sum(pieces.values())
    single = [
        (length, length if cost is None else cost)
        for length, count, cost in stocks
        for _ in range(number if count is None else min(count, number))
    ]
    return single, sorted(pieces.elements(), reverse=True)


def by_cpsat(stocks, pieces):
    from ortools.sat.python import cp_model

    single, each = bins(stocks, pieces)
    model = cp_model.CpModel()
    used = [model.NewBoolVar("") for _ in single]
    put = [[model.NewBoolVar("") for _ in single] for _ in each]
    for row in put:
        model.AddExactlyOne(row)
    for place, (length, _) in enumerate(single):
        model.Add(sum(p * row[place] for p, row in zip(each, put)) <= length * used[place])
    for place in range(1, len(single)):
        if single[place] == single[place - 1]:
            model.AddImplication(used[place], used[place - 1])
    model.Minimize(sum(cost * use for (_, cost), use in zip(single, used)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    status = solver.Solve(model)
    assert status in (cp_model.OPTIMAL, cp_model.INFEASIBLE), solver.StatusName(status)
    return round(solver.ObjectiveValue()) if status == cp_model.OPTIMAL else None


def by_highs(stocks, pieces):
    import highspy

    single, each = bins(stocks, pieces)
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("mip_rel_gap", 0.0)
    used = [solver.addBinary(obj=cost) for _, cost in single]
    put = [[solver.addBinary() for _ in single] for _ in each]
    for row in put:
        solver.addConstr(sum(row[1:], row[0] + 0) == 1)
    for place, (length, _) in enumerate(single):
        held = sum((p * row[place] for p, row in zip(each, put)), 0 * used[place])
        solver.addConstr(held <= length * used[place])
    solver.run()
    status = solver.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return None
    assert status == highspy.HighsModelStatus.kOptimal, status
    return round(solver.getInfo().objective_function_value)


def ours(stocks, pieces, folder):
    """Cost of our plan, counted again, and whether it was called proved; None: none exists."""
    (folder / "list.txt").write_text(text(stocks, pieces))
    args = [PROGRAM, "cut", folder / "list.txt", "--format", "tsv", "--plan", folder / "plan.txt"]
    run = subprocess.run(args, capture_output=True, text=True)
    if run.returncode == 1 and "there is no way" in run.stderr:
        return None, True
    assert run.returncode == 0, run.stderr
    left = {}
    made = collections.Counter()
    rest = [[length, count, length if cost is None else cost] for length, count, cost in stocks]
    cost = 0
    for line in (folder / "plan.txt").read_text().splitlines()[1:]:
        times, stock, *cut = map(int, line.split())
        assert sum(a * b for a, b in zip(cut[::2], cut[1::2])) <= stock, line
        for length, number in zip(cut[::2], cut[1::2]):
            made[length] += number * times
        left[stock] = left.get(stock, 0) + times
    assert made == pieces, (made, pieces)
    # Stocks of one length may differ in cost: the cheapest first.
    for stock, times in left.items():
        for kind in sorted((k for k in rest if k[0] == stock), key=lambda k: k[2]):
            taken = times if kind[1] is None else min(times, kind[1])
            cost, times = cost + taken * kind[2], times - taken
        assert times == 0, (stock, "used more often than there are")
    return cost, run.stdout.split("\t")[6] == "yes"


def main():
    other = by_highs if "highs" in sys.argv[1:] else by_cpsat
    count = next((int(arg) for arg in sys.argv[1:] if arg.isdigit()), 200)
    equal = proved = impossible = 0
    with tempfile.TemporaryDirectory() as folder:
        for case in range(count):
            stocks, pieces = random_list(random.Random(case))
            cost, sure = ours(stocks, pieces, pathlib.Path(folder))
            best = other(stocks, pieces)
            proved += sure
            impossible += best is None
            equal += cost == best
            if cost != best:
                print(f"case {case}: {cost}, the other solver {best}\n{text(stocks, pieces)}")
    print(f"{equal} of {count} equal, {proved} proved, {impossible} of them without any plan")
    sys.exit(equal != count)


main()
