"""docs/guide/hollowmere.md against the program: each answer of the page is what the book says."""
import math
import pathlib
import re
import shlex

PAGE = pathlib.Path(__file__).resolve().parents[2] / "docs" / "guide" / "hollowmere.md"
NUMBER = re.compile(r"([-+]?\d+\.?\d*(?:e[-+]?\d+)?)")
HASH = re.compile(r"\b[0-9a-f]{12,64}\b")
LEFT_OUT = "..."


def blocks():
    """(command, lines) of each answer on the page."""
    for block in re.findall(r"```\n\$ firn book (.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL):
        command, *lines = block.splitlines()
        yield command, lines


def same(shown, said):
    """Bytes of files, and so all hashes, hang on versions; numbers on the last bits of libraries."""
    pairs = list(zip(*(NUMBER.split(HASH.sub("hash", line)) for line in (shown, said)), strict=False))
    return len(NUMBER.findall(HASH.sub("hash", shown))) == len(
        NUMBER.findall(HASH.sub("hash", said))) and all(
        a == b or n % 2 == 1 and math.isclose(float(a), float(b), rel_tol=1e-12)
        for n, (a, b) in enumerate(pairs))


def differs(shown, said):
    """The first line of the page that the answer lacks, in their order; None where all is there."""
    at, gap = 0, False
    for line in shown:
        if line == LEFT_OUT:
            gap = True
            continue
        places = range(at, len(said)) if gap else range(at, min(at + 1, len(said)))
        found = next((n for n in places if same(line, said[n])), None)
        if found is None:
            return line
        at, gap = found + 1, False
    return None if gap or at == len(said) else f"(nothing more), but {said[at]}"


def hold(tap, book):
    with tap.case("the guide shows what the book answers"):
        all_blocks = list(blocks())
        tap.true("many", len(all_blocks) >= 15, len(all_blocks))
        for command, shown in all_blocks:
            action, *rest = shlex.split(command)
            run = book.say(action, *rest)
            tap.equal(command, differs(shown, (run.out + run.err).splitlines()), None)
    with tap.case("which is found out where it isn't"):
        said = ["a 1.5", "b", "c deadbeefdeadbeef"]
        tap.equal("as it is", differs(["a 1.5", LEFT_OUT, "c 0123456789abcdef"], said), None)
        for wrong in (["a 1.6", LEFT_OUT], ["a 1.5", "b"], ["b", LEFT_OUT], [LEFT_OUT, "d"],
                      ["a 1.5", "c deadbeefdeadbeef"]):
            tap.true(wrong, differs(wrong, said) is not None)
