#!/usr/bin/python3
"""make bench: what the program costs beside general-purpose tools, as ratios measured in one run.

Both sides take turns; a figure is the median of seven. Where both sides keep to one thread, seconds
are those of the thread or process, so that other work on the machine disturbs less; otherwise they
are wall seconds. Exit status 1 when a figure is missed by 15 %. docs/performance.md explains rows.

    bench.py [--build FOLDER] [GROUP ...]      groups: arrays reduce monte-carlo read convert book
                                               answers
"""
import argparse
import array
import importlib.util
import json
import os
import pathlib
import platform
import random
import statistics
import sys
import tempfile
import time

for name in ("OPENBLAS_CORETYPE", "OPENBLAS_L2_SIZE"):  # would hold NumPy back
    os.environ.pop(name, None)
os.environ["OPENBLAS_NUM_THREADS"] = "1"
sys.dont_write_bytecode = os.environ["PYTHONDONTWRITEBYTECODE"] = "1"

import answers  # noqa: E402
import book_rows  # noqa: E402
import heat_rows  # noqa: E402
from measure import Driver, Launched, machine, take_turns  # noqa: E402

ROOT = pathlib.Path(__file__).resolve().parent.parent
LEVELS = {1: "AVX2", 2: "AVX-512"}
TOLERANCE = 1.15


class Table:
    """Rows as they come; remembers what was missed."""

    def __init__(self):
        self.missed = []
        print(f"{'what':<46} {'ours':>10} {'theirs':>10} {'ratio':>8}  wanted")

    def row(self, what, ours, theirs, figure, most=None, least=None, unit="ms", scale=1e3):
        """`figure` is the ratio, or what a limit without another side applies to."""
        wanted = "" if most is None and least is None else (
            f"<= {most:g}" if least is None else f">= {least:g}")
        missed = (most is not None and figure > most * TOLERANCE) or (
            least is not None and figure < least / TOLERANCE)
        if missed:
            self.missed.append(what)
        other = f"{theirs * scale:8.4g} {unit[:2]}" if theirs is not None else ""
        print(f"{what:<46} {ours * scale:7.4g} {unit:<2} {other:>10} {figure:8.3g}  {wanted}"
              f"{'  MISSED' if missed else ''}", flush=True)


def arrays(table, build):
    """10^7 resistances to T90 against copying them, and against NumPy."""
    import numpy_arrays

    driver = Driver(build / "benchmarks" / "bench-convert-arrays")
    best = int(driver.ask("level"))
    for number, words, make, limits in ((0, "0..660", numpy_arrays.to_aluminium, (2, 1.4)),
                                        (1, "-189..0", numpy_arrays.to_argon, (3, 1.9))):
        driver.ask("fill", number)
        for level in range(1, best + 1):
            ours, copying = take_turns([lambda k=level: driver.ask("convert", number, k),
                                        lambda: driver.ask("copy")])
            table.row(f"{words} degC, {LEVELS[level]} / copying", ours, copying, ours / copying,
                      most=limits[level - 1])
        theirs = make()
        theirs.fill()
        ours, numpy, by_hand = take_turns([lambda: driver.ask("convert", number),
                                           theirs.convert, theirs.convert_by_hand])
        path = LEVELS.get(best, "plain")
        table.row(f"{words} degC, NumPy / {path}", ours, numpy, numpy / ours, least=13)
        table.row(f"{words} degC, NumPy in place by hand / {path}", ours, by_hand, by_hand / ours)
        table.row(f"{words} degC, error from the exact root",
                  driver.ask("error", number, best), theirs.largest_error_K(),
                  driver.ask("error", number, best) / 1e-11, most=1, unit="pK", scale=1e12)
    driver.close()


def reduce(table, build, folder):
    """An example end to end, and what of it is computing."""
    job = ROOT / "examples" / "long-stem-25-ohm"
    launch = build / "benchmarks" / "bench-launch"
    ours = Launched(launch, [build / "firn", "reduce", job / "job.yaml", "--pdf", folder / "a.pdf",
                             "--result", folder / "a.json"])
    theirs = Launched(launch, ["/usr/bin/python3", ROOT / "benchmarks" / "numpy_reduce.py",
                               job / "readings.csv", folder / "b.pdf", folder / "b.json"])
    mine, other = take_turns([ours.processor, theirs.processor])
    agree(folder / "a.json", folder / "b.json")
    table.row("long-stem example to PDF and JSON", mine, other, other / mine, least=5)
    table.row("its memory, MB", ours.memory, theirs.memory, ours.memory / 1e6, most=60, unit="MB",
              scale=1e-6)
    driver = Driver(build / "benchmarks" / "bench-reduce-examples")
    jobs = sorted(ROOT.glob("examples/*/job.yaml"))
    times = take_turns([lambda path=path: driver.ask(path) for path in jobs])
    for path, seconds in zip(jobs, times):
        table.row(f"recording and sweeps, {path.parent.name}", seconds, None, seconds * 1e3,
                  most=5 if seconds == max(times) else None)
    driver.close()


def agree(ours, theirs):
    """Both sides have found the same W, to 1e-8."""
    mine = {v["id"]: v["w"]["value"] for v in json.loads(ours.read_text())["visits"] if v.get("w")}
    for visit, w in json.loads(theirs.read_text())["w"].items():
        if abs(mine[visit] / w - 1) > 1e-8:
            raise RuntimeError(f"visit {visit}: W is {mine[visit]} here and {w} in NumPy")


def monte_carlo(table, build):
    """A calibration of seven points, 10^6 trials, 500 temperatures."""
    import numpy_seven_points

    driver = Driver(build / "benchmarks" / "bench-seven-points")
    walls, u = [], []

    def theirs():
        seconds, wall, u_K = numpy_seven_points.run()
        walls.append(wall)
        u.append(u_K)
        return seconds

    one, two, numpy = take_turns([lambda: driver.ask("run", 1, 0), lambda: driver.ask("run", 2, 0),
                                  theirs])
    numpy_wall = statistics.median(walls[1:])
    if abs(driver.ask("u") / u[-1] - 1) > 0.01:
        raise RuntimeError(f"u is {driver.ask('u')} K here and {u[-1]} K in NumPy")
    table.row("seven points, 1e6 trials, 1 thread", one, numpy, numpy / one, least=11)
    table.row("seven points, 1e6 trials, 2 threads", two, numpy_wall, numpy_wall / two, least=20)
    memory = driver.ask("memory")
    table.row("its memory, MB", memory, None, memory / 1e6, most=300, unit="MB", scale=1e-6)
    driver.close()


def read(table, build, folder):
    """10^6 lines of CSV, three numbers each, beside numpy.loadtxt."""
    import numpy

    lines = folder / "numbers.csv"
    rng = random.Random(2)
    with open(lines, "w", encoding="utf-8") as file:
        file.write("time,ratio,current\n")
        for i in range(1_000_000):
            file.write(f"{i / 2:.1f},{rng.uniform(0.2, 0.9):.9f},1.00024\n")
    driver = Driver(build / "benchmarks" / "bench-read-csv")
    read_by_numpy = []

    def theirs():
        start = time.thread_time()
        read_by_numpy[:] = [numpy.loadtxt(lines, delimiter=",", skiprows=1)]
        return time.thread_time() - start

    ours, numpys = take_turns([lambda: driver.ask("numbers", lines), theirs])
    if abs(driver.ask("sum") / read_by_numpy[0].sum() - 1) > 1e-8:
        raise RuntimeError("the numbers read are not those of numpy.loadtxt")
    table.row("a million lines of numbers, loadtxt / ours", ours, numpys, numpys / ours, least=6)
    driver.close()


def convert(table, build, folder):
    """firn convert: 500 MB of raw numbers beside cat, a million lines of CSV beside pandas."""
    launch, firn = build / "benchmarks" / "bench-launch", build / "firn"
    result, raw, lines = folder / "r.json", folder / "raw", folder / "lines.csv"
    Launched(launch, [firn, "reduce", ROOT / "examples" / "long-stem-25-ohm" / "job.yaml",
                      "--result", result]).run()
    rng = random.Random(1)
    part = array.array("d", (rng.uniform(1.0, 3.37) for _ in range(500_000)))
    with open(raw, "wb") as file:
        for _ in range(125):
            part.tofile(file)
    with open(lines, "w", encoding="utf-8") as file:
        file.write("time,W,current_mA\n")
        for i in range(1_000_000):
            file.write(f"{i / 2:.1f},{part[i % len(part)]:.9f},1.00024\n")
    command = [firn, "convert", "--with", result, "--subrange", "H2O_Al"]
    ours, cat = take_turns([Launched(launch, [*command, "--binary"], raw).wall,
                            Launched(launch, ["cat"], raw, folder / "copied").wall])
    table.row("500 MB of raw numbers / cat to a file", ours, cat, ours / cat)
    if importlib.util.find_spec("pandas") is None:
        print("CSV to CSV: not measured, as pandas is missing (package python3-pandas)")
        return
    ours, pandas = take_turns([
        Launched(launch, command, lines, folder / "ours.csv").processor,
        Launched(launch, ["/usr/bin/python3", ROOT / "benchmarks" / "numpy_convert.py", result, lines,
                          folder / "theirs.csv"]).processor])
    table.row("a million lines of CSV, pandas / firn convert", ours, pandas, pandas / ours, least=5)


def main():
    groups = ("arrays", "reduce", "monte-carlo", "read", "convert", "book", "answers",
              "heat")
    parser = argparse.ArgumentParser(description="Ratios to general-purpose tools.")
    parser.add_argument("--build", type=pathlib.Path, default=ROOT / "build")
    parser.add_argument("groups", nargs="*", metavar="GROUP", help=" ".join(groups))
    asked = parser.parse_args()
    chosen = asked.groups or groups
    for name in chosen:
        if name not in groups:
            parser.error(f"there is no group {name}; there are {', '.join(groups)}")
    import numpy

    print(f"{machine()}; load {os.getloadavg()[0]:.1f}; Python {platform.python_version()}, "
          f"NumPy {numpy.__version__}")
    table = Table()
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        for name in chosen:
            if name == "arrays":
                arrays(table, asked.build)
            elif name == "monte-carlo":
                monte_carlo(table, asked.build)
            else:
                {"reduce": reduce, "read": read, "convert": convert,
                 "book": book_rows.rows, "answers": answers.rows,
                 "heat": heat_rows.rows}[name](table, asked.build, folder)
    if table.missed:
        print("missed by more than 15 %: " + "; ".join(table.missed))
    return 1 if table.missed else 0


if __name__ == "__main__":
    sys.exit(main())
