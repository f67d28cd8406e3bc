#!/usr/bin/python3
"""Checks of the tree itself, as TAP: who may use whom, formatting, what the documentation names."""
import pathlib
import re
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent

# Folder -> folders whose headers it may include, besides its own and the system's. Public headers
# (firn/...) count as the folder that implements them.
MAY_USE = {
    "lib/num": set(),
    "lib/tape": {"lib/num"},
    "lib/scale": {"lib/tape", "lib/num"},
    "lib/series": {"lib/tape", "lib/num"},
    "lib/realise": {"lib/scale", "lib/series", "lib/tape", "lib/num"},
    "lib/heat": {"lib/tape", "lib/num"},
    "lib/control": {"lib/tape", "lib/num"},
    "app/base": {"number"},
    "app/lab": {"app/base"},
    "app/file": {"app/lab", "app/base", "number"},
    # docs/decisions/0004: a certificate reads its own text back with the engine that made it.
    "app/report": {"app/lab", "app/base", "number", "public"},
    "app/calc": {"app/lab", "app/base", "lib"},
    # docs/decisions/0006: a laboratory that knows the truth stands above what it tests.
    "app/simulate": {"app/calc", "app/lab", "app/base", "lib"},
    "app/validate": {"app/simulate", "app/file", "app/calc", "app/lab", "app/base", "lib"},
    "app/store": {"app/lab", "app/base"},
    "app/service": {"app/store", "app/file", "app/report", "app/calc", "app/lab", "app/base",
                    "number"},
    "app/cli": {"app/service", "app/validate", "app/file", "app/report", "app/calc", "app/lab",
                "app/base", "number"},
}
# Text to double and back stands in lib/num and serves everybody.
NUMBER_HEADERS = {"firn/number.h", "firn/status.h"}
INCLUDE = re.compile(r'^\s*#\s*include\s+"([^"]+)"', re.MULTILINE)


def sources():
    listed = subprocess.run(["git", "ls-files", "*.c", "*.h"], cwd=ROOT, capture_output=True,
                            text=True, check=True).stdout.split()
    return [pathlib.PurePosixPath(name) for name in listed if (ROOT / name).exists()]


def allowed(folder, include):
    rights = MAY_USE[folder]
    if include in NUMBER_HEADERS:
        return folder.startswith("lib/") or "number" in rights or "lib" in rights
    if include.startswith("firn/"):
        return folder.startswith("lib/") or "lib" in rights or "public" in rights
    target = "/".join(include.split("/")[:2])
    if "/" not in include:
        return True  # generated into the build folder
    return target == folder or target in rights or (target.startswith("lib/") and "lib" in rights)


def direction_of_use():
    wrong = []
    for name in sources():
        folder = "/".join(name.parts[:2])
        if folder not in MAY_USE or name.stem.endswith("_test"):
            continue
        for include in INCLUDE.findall((ROOT / name).read_text(encoding="utf-8")):
            if not allowed(folder, include):
                wrong.append(f"{name} includes {include}")
    return wrong


def engine_is_pure():
    """libfirn: no files, clock, network, locale, globals. What can be seen is looked for."""
    forbidden = re.compile(r"\b(fopen|setlocale|time|clock_gettime|gettimeofday|socket|getenv|printf)\s*\(")
    wrong = []
    for name in sources():
        if name.parts[0] == "lib" and not name.stem.endswith("_test"):
            for number, line in enumerate((ROOT / name).read_text(encoding="utf-8").splitlines(), 1):
                if forbidden.search(line.split("/*")[0]):
                    wrong.append(f"{name}:{number}: {line.strip()}")
    return wrong


def formatted():
    files = [str(name) for name in sources()]
    result = subprocess.run(["clang-format-14", "--dry-run", "-Werror", *files], cwd=ROOT,
                            capture_output=True, text=True, check=False)
    lines = [line for line in result.stderr.splitlines() if "error:" in line]
    return lines[:20] if result.returncode != 0 else []


def headers_are_guarded():
    wrong = []
    for name in sources():
        if name.suffix == ".h" and "#ifndef " not in (ROOT / name).read_text(encoding="utf-8"):
            wrong.append(str(name))
    return wrong


def documented_names_exist():
    """docs/architecture.md walks a reading; every `name()` and `path` in it must be there."""
    page = ROOT / "docs" / "architecture.md"
    if not page.exists():
        return ["docs/architecture.md is missing"]
    code = "\n".join((ROOT / name).read_text(encoding="utf-8") for name in sources())
    wrong = []
    for word in re.findall(r"`([^`\n]+)`", page.read_text(encoding="utf-8")):
        if word.endswith("()"):
            if not re.search(r"\b" + re.escape(word[:-2]) + r"\s*\(", code):
                wrong.append(f"no function {word}")
        elif re.fullmatch(r"[\w.-]+(/[\w.*-]+)+/?", word) and "*" not in word:
            if not (ROOT / word).exists():
                wrong.append(f"no such file or folder: {word}")
    return wrong


def nothing_foreign():
    """No path of a machine and no registry's host in what is kept."""
    pattern = re.compile(r"/(work|farm)/|\bhttps?://(?!www\.w3\.org|json-schema\.org|firn\.invalid)")
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True,
                            check=True).stdout.split("\n")
    wrong = []
    for name in filter(None, listed):
        path = ROOT / name
        if name == "LICENSE" or not path.is_file():
            continue
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        for number, line in enumerate(text.splitlines(), 1):
            if pattern.search(line) and name != "tools/check_house.py":
                wrong.append(f"{name}:{number}: {line.strip()[:80]}")
    return wrong


CHECKS = [direction_of_use, engine_is_pure, formatted, headers_are_guarded, documented_names_exist,
          nothing_foreign]


def main():
    failed = 0
    print(f"1..{len(CHECKS)}")
    for number, check in enumerate(CHECKS, 1):
        wrong = check()
        failed += bool(wrong)
        print(f"{'not ok' if wrong else 'ok'} {number} - {check.__name__.replace('_', ' ')}")
        for line in wrong:
            print(f"# {line}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
