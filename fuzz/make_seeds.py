#!/usr/bin/python3
"""Makes the first inputs of the fuzz targets from tests/oracle and examples.

    fuzz/make_seeds.py FOLDER [FIRN]    writes FOLDER/job, FOLDER/model and so on, one file a seed

Seeds of `result` need the program, FIRN, to make them; without it fuzz/corpus has to do.
A seed of `job` is a job, a byte 0xFF and its readings, cut to a few readings of each visit: short
inputs run faster and lose nothing that a parser could see. Same sources, same seeds.
"""
import hashlib
import json
import os
import re
import subprocess
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.join(HERE, "..")
SMALL_JOB = 1500  # bytes of a job that is reduced each time: the others take too long
PER_VISIT = 1  # readings that are kept, of each visit and current
NUMBERS = ["0", "-0.0", "1", "+1.5", "1e-5", "3.1e-06", "1E308", "1e-320", "1e999", ".5", "5.",
           "0,265", "1,234.5", "1.234,5", "1 000", "12%", "25.5 ohm", "100.0(10)", "1±0.1",
           "−0.0583", "1D-6", "0x1F", "inf", "-.inf", "nan", "n/a", "-", "", "9.9E37",
           "0.1000000000000000055511151231257827", "179769313486231580793" + "0" * 20,
           "2026-11-24T09:30:00+01:00", "2026-11-24 08:30:00.123456Z", "2026-06-30T23:59:60Z",
           "0000-01-01T00:00:00+23:59", "2024-02-29", "2026-02-30", "24.11.2026"]


def sources():
    """Every job and model of tests and examples, by path from the root."""
    for top in ("examples", "tests/oracle", "tests/command/bad/good"):
        for folder, folders, names in os.walk(os.path.join(ROOT, top)):
            folders.sort()
            for name in sorted(names):
                if name.endswith(".yaml"):
                    yield os.path.join(folder, name)


def short_readings(text):
    """The header and the first readings of each visit and current."""
    kept, seen, columns = [], {}, None
    for line in text.splitlines(keepends=True):
        fields = line.rstrip("\n").split(",")
        if columns is None or line.startswith("#"):
            kept.append(line)
            if not line.startswith("#"):
                columns = [fields.index("visit"), fields.index("current_mA")]
            continue
        key = fields[columns[0]], fields[columns[1]][:3]
        seen[key] = seen.get(key, 0) + 1
        if seen[key] <= PER_VISIT:
            kept.append(line)
    return "".join(kept)


NEEDED = {"kind", "schema", "thermometer", "id", "accepted", "last_reading", "r_tpw", "sequence",
          "mean", "ohm", "value", "joint", "covariance", "order", "subranges", "name", "certificate",
          "coefficients", "w_al", "visits", "point", "r_ohm", "r0_ohm", "rs_ohm", "currents",
          "current_A", "a", "b"}


def needed(value):
    """A JSON value with the members that file_read_result asks for."""
    if isinstance(value, dict):
        return {k: needed(v) for k, v in value.items() if k in NEEDED}
    return [needed(v) for v in value] if isinstance(value, list) else value


def results(firn):
    """What a reader needs of the result of the small job."""
    job = os.path.join(ROOT, "tests", "command", "bad", "good", "job.yaml")
    whole = json.loads(subprocess.run([firn, "reduce", "--json", job], check=True,
                                      stdout=subprocess.PIPE).stdout)
    yield json.dumps(needed(whole)).encode()


OLD_MAP = """kind: map of old readings
separator: {}
decimal: {}
date_order: {}
zone: "+01:00"
columns: {{date: D, time: T, current: I, ratio: X, bath: B, flag: F}}
units: {{current: {}}}
"""
OLD_READINGS = (
    (("semicolon", "comma", "day month year", "A"),
     "D;T;I;X;B;F\n24.3.2019;9:30:00;0,001;0,255010123;23,01;\n24.3.2019;9:30;0,001;0,25;;set aside: x\n"),
    (("comma", "point", "year month day", "mA"),
     "D,T,I,X,B,F\r\n2019-03-24,09:30:00.25,1,0.255010123,23.01,\r\n"),
    (("tab", "point", "month day year", "uA"),
     "D\tT\tI\tX\tB\tF\n3/24/2019\t09:30:00\t1000\t1e-1\t23\tknock\n"),
)
# As app/store/block.c tells: one reading without time; two with times, decimals, doubles, a flag.
BLOCKS = (
    bytes([1, 1, 0, 1, 0, 2, 0, 0, 0, 0]),
    bytes([1, 2, 1, 0x80, 0x01, 4, 1, 3, 2, 1, 2]) + bytes(16) + bytes([0, 2, 0, 1, 1, 1, 1, 0x78]),
)


def book_seeds():
    for words, readings in OLD_READINGS:
        yield "old_readings", (OLD_MAP.format(*words)).encode() + b"\xff" + readings.encode()
    for block in BLOCKS:
        yield "block", block


def seeds(firn):
    """Pairs of target and bytes."""
    yield from book_seeds()
    for result in results(firn) if firn else []:
        yield "result", result
    for path in sources():
        with open(path, encoding="utf-8") as file:
            text = file.read()
        found = re.search(r"^readings: (\S+)", text, re.M)
        if found:
            with open(os.path.join(os.path.dirname(path), found[1]), encoding="utf-8") as file:
                readings = short_readings(file.read())
            both = text.encode() + b"\xff" + readings.encode()
            yield "job", both
            if len(text) < SMALL_JOB:
                yield "reduce", both
            yield "readings", "".join(readings.splitlines(keepends=True)[:12]).encode()
        elif text.count("kind: cell\n"):
            yield "cell", text.encode()
            if re.search("^(check|profile):", text, re.M):
                yield "cell_records", text.encode()
        elif text.count("kind: cell comparison\n"):
            yield "comparison", text.encode()
        elif text.count("kind: procedure change\n"):
            yield "procedure", text.encode()
        elif text.count("measurement model"):
            yield "model", text.encode()
            for kind in ("formula", "equation"):
                for quoted in re.findall(kind + r': "([^"]+)"', text):
                    yield "formula", quoted.encode()
    for number in NUMBERS:
        yield "number", number.encode()


def main():
    if len(sys.argv) not in (2, 3):
        sys.exit(__doc__)
    count = {}
    for target, data in seeds(sys.argv[2] if len(sys.argv) == 3 else None):
        folder = os.path.join(sys.argv[1], target)
        os.makedirs(folder, exist_ok=True)
        with open(os.path.join(folder, hashlib.sha1(data).hexdigest()), "wb") as file:
            file.write(data)
        count[target] = count.get(target, 0) + 1
    for target, n in count.items():
        if n < (1 if target in ("result", "procedure") else 2):
            sys.exit(f"no seeds were found for {target}; did its sources move?")
        print(f"{target}: {n}")


if __name__ == "__main__":
    main()
