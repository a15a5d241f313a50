"""Published instances: what `coilwright cut` proves of each class, and how long it takes.

    cargo build --release
    python3 benches/cut_collection.py FOLDER [SECONDS]

FOLDER holds `optima.tsv` (class, instance, capacity, items, types, optimum, file) and the lists.
Exits 1 where a plan beats a published optimum or a bound passes it.
"""

import collections
import csv
import pathlib
import subprocess
import sys

PROGRAM = pathlib.Path(__file__).resolve().parent.parent / "target/release/coilwright"


def main():
    folder = pathlib.Path(sys.argv[1])
    deadline = sys.argv[2] if len(sys.argv) > 2 else "60"
    with open(folder / "optima.tsv", newline="") as table:
        rows = list(csv.DictReader(table, delimiter="\t"))
    classes = collections.defaultdict(list)
    wrong = 0
    for row in rows:
        args = [PROGRAM, "cut", folder / row["file"], "--format", "tsv", "--deadline", deadline]
        run = subprocess.run(args, capture_output=True, text=True, check=True)
        _, _, _, _, stocks, bound, proved, seconds, _ = run.stdout.rstrip("\n").split("\t")
        best = int(row["optimum"])
        if int(stocks) < best or int(bound) > best:
            print(f"wrong: {row['instance']}: {stocks} stocks, bound {bound}, published {best}")
            wrong += 1
        if proved != "yes":
            print(f"open: {row['instance']}: {stocks} stocks, bound {bound}, published {best}")
        classes[row["class"]].append((proved == "yes", int(stocks) == best, float(seconds)))
    print("| class | instances | proved | optimal | mean s | longest s |\n|---|---|---|---|---|---|")
    for name, results in classes.items():
        proved, best, seconds = zip(*results)
        mean = sum(seconds) / len(seconds)
        print(
            f"| {name} | {len(results)} | {sum(proved)} | {sum(best)} "
            f"| {mean:.3f} | {max(seconds):.2f} |"
        )
    sys.exit(wrong > 0)


main()
