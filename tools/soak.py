#!/usr/bin/python3
"""Long runs of the fuzz targets, and their record.

    tools/soak.py                      600 s for each target, recorded in docs/soak.md
    tools/soak.py --seconds 5 --no-record      a short look, as for `make check`
    tools/soak.py --targets job,model --seed 7

Builds the targets (clang-14) into build-fuzz, starts them from the seeds of fuzz/make_seeds.py and
from what earlier runs kept in fuzz/corpus, one after the other. A finding is left in build-fuzz and
ends the run with exit status 1. Otherwise the counts are added to docs/soak.md, and fuzz/corpus is
replaced by the smallest inputs that reach everything, as far as they fit.
"""
import argparse
import datetime
import glob
import os
import re
import shutil
import subprocess
import sys
import tempfile

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
CORPUS = os.path.join(ROOT, "fuzz", "corpus")
RECORD = os.path.join(ROOT, "docs", "soak.md")
TARGETS = ["number", "formula", "readings", "job", "reduce", "model", "cell", "cell_records",
           "comparison", "procedure", "result", "old_readings", "block"]
CORPUS_BYTES = 140_000  # of a target: all together stay below 1 MB
HEAD = """# Long runs of the fuzz targets

Written by `tools/soak.py`: one row a run of a target of libFuzzer with the address and the
undefined-behaviour sanitizer. A run that finds something is not recorded but repaired.

| date | commit | target | seed | seconds | executions |
| --- | --- | --- | --- | --- | --- |
"""
ROW = re.compile(r"^\| (\d{4}-\d\d-\d\d) \| (\S+) \| (\w+) \| (\d+) \| (\d+) \| ([\d ]+) \|$", re.M)


def run(*args, **how):
    return subprocess.run([str(a) for a in args], check=True, **how)


def build(where, targets):
    """The targets of this tree that are asked for; `result` joins when its parser is there."""
    if not os.path.exists(os.path.join(where, "build.ninja")):
        run("meson", "setup", where, ROOT, "-Dfuzz=true", "-Db_sanitize=address,undefined",
            "-Db_lundef=false",
            env={**os.environ, "CC": "clang-14"}, stdout=subprocess.DEVNULL)
    there = [t for t in targets if os.path.exists(os.path.join(ROOT, "fuzz", t + ".c"))]
    run("ninja", "-C", where, "-j1", "--quiet", *[f"fuzz/fuzz_{t}" for t in there])
    return there


def clean_environment():
    """The sanitizers' own defaults: an option that hides a leak would hide a finding."""
    return {**{k: v for k, v in os.environ.items() if not k.endswith("SAN_OPTIONS")},
            "UBSAN_OPTIONS": "print_stacktrace=1:halt_on_error=1"}


def fuzz(where, target, seconds, seed, seeds):
    """Runs one target; returns the number of executions, or None after a finding."""
    grown = os.path.join(where, "corpus", target)
    os.makedirs(grown, exist_ok=True)
    folders = [grown] + [f for f in (os.path.join(CORPUS, target), os.path.join(seeds, target))
                         if os.path.isdir(f)]
    log = os.path.join(where, f"fuzz-{target}.log")
    with open(log, "w", encoding="utf-8", errors="replace") as file:
        done = subprocess.run(
            ["nice", "-n", "19", os.path.join(where, "fuzz", "fuzz_" + target), *folders,
             f"-max_total_time={seconds}", f"-seed={seed}", "-timeout=20", "-rss_limit_mb=2500",
             "-print_final_stats=1", "-reload=0",
             "-artifact_prefix=" + os.path.join(where, f"finding-{target}-")],
            stdout=file, stderr=subprocess.STDOUT, env=clean_environment(), check=False)
    with open(log, encoding="utf-8", errors="replace") as file:
        text = file.read()
    found = re.search(r"stat::number_of_executed_units: (\d+)", text)
    if done.returncode != 0 or found is None:
        print(f"{target}: a finding; see {log}\n" + "\n".join(text.splitlines()[-25:]))
        return None
    return int(found[1])


def make_seeds(folder):
    """Seeds of `result` need the program, which `make soak` has built."""
    firn = os.path.join(ROOT, "build", "firn")
    run("/usr/bin/python3", os.path.join(ROOT, "fuzz", "make_seeds.py"), folder,
        *([firn] if os.path.exists(firn) else []), stdout=subprocess.DEVNULL)


def keep_corpus(where, target, seeds):
    """Minimises what was found, and keeps the smallest files of it in fuzz/corpus."""
    with tempfile.TemporaryDirectory() as least:
        kept = os.path.join(CORPUS, target)
        run(os.path.join(where, "fuzz", "fuzz_" + target), "-merge=1", least,
            *[f for f in (os.path.join(where, "corpus", target), kept,
                          os.path.join(seeds, target)) if os.path.isdir(f)],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=clean_environment())
        shutil.rmtree(kept, ignore_errors=True)
        os.makedirs(kept)
        total = 0
        for path in sorted(glob.glob(os.path.join(least, "*")),
                           key=lambda p: (os.path.getsize(p), p)):
            total += os.path.getsize(path)
            if total > CORPUS_BYTES:
                break
            shutil.copy(path, kept)


def commit():
    """What was built: the commit, and whether anything but the record of such runs differs."""
    name = run("git", "-C", ROOT, "rev-parse", "--short", "HEAD", stdout=subprocess.PIPE)
    changed = run("git", "-C", ROOT, "status", "--porcelain", "--", ".", ":!docs/soak.md",
                  ":!fuzz/corpus", stdout=subprocess.PIPE)
    return name.stdout.decode().strip() + ("-dirty" if changed.stdout else "")


def put_section(text):
    """In docs/soak.md, in the place of the section with the same heading, or as its last: each script
    writes its own."""
    heading = text.split("\n")[0] + "\n"
    before = ""
    if os.path.exists(RECORD):
        with open(RECORD, encoding="utf-8") as file:
            before = file.read()
    sections = [part.strip("\n") + "\n" for part in re.split(r"^(?=# )", before, flags=re.M) if part.strip()]
    places = [i for i, part in enumerate(sections) if part.startswith(heading)] or [len(sections)]
    sections[places[0]:places[0] + 1] = [text.strip("\n") + "\n"]
    with open(RECORD, "w", encoding="utf-8") as file:
        file.write("\n".join(sections))


def record(rows):
    """Adds rows to docs/soak.md and sums all of them up."""
    before = ""
    if os.path.exists(RECORD):
        with open(RECORD, encoding="utf-8") as file:
            before = file.read()
    rows = [m.groups() for m in ROW.finditer(before)] + rows
    total = sum(int(r[5].replace(" ", "")) for r in rows)
    by_target = {}
    for r in rows:
        by_target[r[2]] = by_target.get(r[2], 0) + int(r[5].replace(" ", ""))
    text = HEAD + "".join("| " + " | ".join(r) + " |\n" for r in rows)
    text += f"\n{grouped(total)} executions in all without a finding: " + ", ".join(
        f"{t} {grouped(n)}" for t, n in by_target.items()) + ".\n"
    put_section(text)


def grouped(n):
    return f"{n:,}".replace(",", " ")


def options():
    parser = argparse.ArgumentParser(description="Long runs of the fuzz targets.")
    parser.add_argument("--seconds", type=int, default=600, help="for each target")
    parser.add_argument("--seed", type=int, default=1, help="of libFuzzer's choices")
    parser.add_argument("--targets", default=",".join(TARGETS))
    parser.add_argument("--build", default=os.path.join(ROOT, "build-fuzz"))
    parser.add_argument("--no-record", action="store_true",
                        help="leave docs/soak.md and fuzz/corpus as they are")
    return parser.parse_args()


def main():
    o = options()
    unknown = set(o.targets.split(",")) - set(TARGETS)
    if unknown:
        sys.exit(f"there is no target {', '.join(sorted(unknown))}; {', '.join(TARGETS)} are there")
    targets = build(o.build, o.targets.split(","))
    with tempfile.TemporaryDirectory() as seeds:
        make_seeds(seeds)
        counts = {}
        for target in targets:
            counts[target] = fuzz(o.build, target, o.seconds, o.seed, seeds)
            if counts[target] is not None:
                print(f"{target}: {grouped(counts[target])} executions", flush=True)
        if None in counts.values():
            return 1
        if not o.no_record:
            today = datetime.date.today().isoformat()
            record([(today, commit(), t, str(o.seed), str(o.seconds), grouped(n))
                    for t, n in counts.items()])
            for target in targets:
                keep_corpus(o.build, target, seeds)
    return 0


if __name__ == "__main__":
    sys.exit(main())
