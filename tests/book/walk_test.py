#!/usr/bin/python3
"""A new laboratory from an empty folder to an issued certificate, by what docs/book.md says and
nothing else: its blocks are run as they stand. On SQLite; on PostgreSQL too where FIRN_BOOK_SERVER
names a server (tests/support/book_server.py).
"""
import json
import os
import pathlib
import re
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import new_place  # noqa: E402
from firn_run import Tap, firn, folder, program  # noqa: E402

TITLE = "## From an empty folder to a certificate"
EXAMPLE = ROOT / "examples" / "hundred-ohm"


def blocks():
    text = (ROOT / "docs" / "book.md").read_text(encoding="utf-8")
    section = text.split(TITLE + "\n", 1)[1].split("\n## ", 1)[0]
    return re.findall(r"^```sh\n(.*?)^```$", section, re.MULTILINE | re.DOTALL)


def measured(where):
    """The example's job and readings, made in October 2026; what it says on paper the book knows."""
    job = (EXAMPLE / "job.yaml").read_text(encoding="utf-8")
    job = re.sub(r"^(release|report|events):\n(^[ ].*\n|\n)*", "", job, flags=re.MULTILINE)
    job = re.sub(r",\s+certificate: [^}]*", "", job)
    job = re.sub(r"^  condition: .*\n", "", job, flags=re.MULTILINE)
    (where / "job.yaml").write_text(job, encoding="utf-8")
    readings = (EXAMPLE / "readings.csv").read_text(encoding="utf-8")
    readings = re.sub(r"^2031-09", "2026-10", readings, flags=re.MULTILINE)
    (where / "readings.csv").write_text(readings, encoding="utf-8")
    head, *rows = [line.split(",") for line in readings.splitlines()]
    for visit in "12345":
        own = [head, *(row for row in rows if row[1] == visit)]
        (where / f"visit-{visit}.csv").write_text("".join(
            ",".join(row[:1] + row[2:]) + "\n" for row in own), encoding="utf-8")


def walk(tap, where, environment):
    done = True
    for i, block in enumerate(blocks()):
        with tap.case(f"block {i + 1} of the walk"):
            run = subprocess.run(["sh", "-euc", block.replace(
                "export FIRN_PERSON=bo\n", "")], cwd=where, env=dict(
                    environment, FIRN_PERSON="ada" if i == 0 else "bo"), capture_output=True,
                text=True, check=False)
            tap.equal("status", (run.returncode, run.stderr), (0, ""))
            done = done and run.returncode == 0
            yield run.stdout


def text_of(path):
    return " ".join(subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True,
                                   check=True).stdout.split())


def draft(tap, where, place):
    with tap.case("the draft says so, and its job gives the same result outside of the book"):
        tap.true("marked", "Draft certificate of calibration" in text_of(where / "draft.pdf"))
        paths = [where / name for name in ("out.json", "job.yaml", "readings.csv")]
        run = firn("book", "draft", "26-014", "--result", paths[0], "--job", paths[1], "--readings",
                   paths[2], "--book", place)
        tap.equal("written", (run.status, run.err), (0, ""))
        mine, other = json.loads(paths[0].read_text()), firn("reduce", paths[1], "--json").json()
        tap.equal("the same visits", mine["visits"], other["visits"])
        run = firn("book", "draft", "26-014", "--book", place)
        tap.equal("nothing to write", (run.status, "say what to write" in run.err), (2, True))


def certificate(tap, where, place):
    with tap.case("the certificate says what the book knows"):
        text = text_of(where / "C-26-014.pdf")
        for words in ("Upper Tarn School", "in good order, box sealed", "received 28 September 2026",
                      "4 h at 450 °C, R(0.01 °C) fell by 0.10 mK", "19.7 °C to 20.4 °C", "38 % to 47 % relative humidity",
                      "resistor R-100-3, certificate 26-2277", "cell Ga1, certificate C-26-Ga1",
                      "rule agreed with the customer: simple acceptance", "Bo Tern", "Dee Marl",
                      "Cy Holm"):
            tap.true(words, words in text, text[:3000])
        tap.equal("it is no specimen", "SPECIMEN" in text, False)
    with tap.case("replaced, the new one says which and why"):
        body = firn("book", "show", "calibration", "26-014", "--body", "--book", place).json()
        for name in ("state", "reduced_by", "checked_by", "certificate_number", "job_file",
                     "readings_file", "result_file"):
            del body[name]
        path = where / "again.json"
        path.write_text(json.dumps({**body, "state": "measuring"}), encoding="utf-8")
        for action, who in ((("put", "calibration", "26-014R", path), "bo"),
                            (("reduce", "26-014R"), "bo"), (("agree", "26-014R"), "dee")):
            run = firn("book", *action, "--book", place, "--as", who)
            tap.equal(action[0], (run.status, run.err), (0, ""))
        arguments = ("issue", "26-014R", "C-26-014R", "--replaces", "C-26-014", "--book", place,
                     "--as", "cy")
        run = firn("book", *arguments)
        tap.equal("no reason", (run.status, "needs a reason" in run.err), (2, True))
        run = firn("book", *arguments, "--why", "the address was wrong")
        tap.equal("issued", (run.status, run.err), (0, ""))
        firn("book", "certificate", "C-26-014R", "--pdf", where / "new.pdf", "--book", place)
        text = text_of(where / "new.pdf")
        tap.true("told", "certificate C-26-014, because: the address was wrong" in text, text[:800])
        tap.equal("the old one stays", firn("book", "recompute", "C-26-014", "--book", place).status, 0)


def main():
    tap = Tap()
    with folder() as name:
        where = pathlib.Path(name)
        place = str(new_place(where))
        bin_folder = where / "bin"
        bin_folder.mkdir()
        (bin_folder / "firn").symlink_to(program())
        measured(where)
        said = list(walk(tap, where, dict(os.environ, FIRN_BOOK=place,
                                          PATH=f"{bin_folder}:{os.environ['PATH']}")))
        with tap.case("what it printed on the way"):
            for i, words in ((2, "order O-26-014 of upper-tarn"), (3, "26-014"), (3, "Gates of"),
                             (4, "certificate C-26-014 is issued"), (4, "the same bytes"),
                             (4, "the book is sound")):
                tap.true(words, words in said[i], said[i][-2000:])
            missing = re.findall(r"release: closed\. lacks (.*?) for its certificate \(.*?\); (.*)",
                                 " ".join(said[5].split()).replace(" release:", "\nrelease:"))
            tap.equal("what the second one lacks", missing, [
                ("the name of the customer", "name a customer in the calibration, or the order that "
                                             "it is for"),
                ("where the customer is reached", "name a customer in the calibration"),
                ("the conditions of the measurements", "name ambient records in the calibration")])
            tap.equal("every gate lets it through", re.findall(r"(?:closed|not judged)\. .*", said[3]),
                      [])
        certificate(tap, where, place)
        draft(tap, where, place)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
