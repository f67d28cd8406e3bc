#!/usr/bin/python3
"""A calibration in the book from a job file to a certificate that is computed again: who may do what,
what blocks a release, and what a changed byte does. On SQLite; on PostgreSQL too where
FIRN_BOOK_SERVER names a server (tests/support/book_server.py).
"""
import pathlib
import re
import shutil
import sqlite3
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, certify, person  # noqa: E402
from firn_run import Tap, firn, folder  # noqa: E402

EXAMPLES = HERE.parent.parent / "examples"


def begin(tap, book):
    with tap.case("a book begins with its laboratory and one person"):
        tap.equal("init", book.begin().status, 0)
        again = firn("book", "init", book.place, "--laboratory", "X", "--address", "Y", "--as", "a",
                     "--name", "A")
        tap.equal("no second book in its place", again.status, 2)
        for name, acts in (("bo", ["operate", "check"]), ("cy", ["issue"])):
            tap.equal(name, book.put("person", name, person(name.title(), *acts)).status, 0)
        tap.equal("bo may not register people",
                  book.put("person", "dee", person("Dee", "manage"), who="bo").status, 2)
        tap.equal("nobody", book.put("customer", "C1", {"name": "N", "address": "A"},
                                     who="zed").status, 2)


def bad_records(tap, book):
    wrong = (
        ("cell", "X1", {"state": "in service"}, "job is missing"),
        ("cell", "X1", {"state": "in service", "job": {}, "colour": "red"}, "colour is not known"),
        ("cell", "X1", {"state": "new", "job": {}}, "state must be one of"),
        ("receipt", "R1", {"thermometer": "T-9", "time": "2031-01-01T00:00:00Z", "condition": "ok"},
         "thermometer names T-9, and there is no such thermometer"),
        ("receipt", "R1", {"thermometer": "T-9", "time": "yesterday", "condition": "ok"},
         "time must be a time such as"),
        ("equipment certificate", "E1", {"U": 1}, "needs k or p"),
        ("thing", "E1", {}, "has no kind of record"),
        ("cell", "a b", {"state": "in service", "job": {}}, "is no id"),
    )
    with tap.case("records that say too little, too much or something wrong are refused"):
        for kind, name, body, words in wrong:
            run = book.put(kind, name, body)
            tap.equal(f"{kind}: {words}", (run.status, words in run.err), (2, True))


def plan(tap, book):
    with tap.case("a plan has the points from the highest down, R(TPW) after each"):
        job = {"sensor": "long stem", "nominal_ohm": 25.5}
        tap.equal("T-5", book.put("thermometer", "T-5", {"job": job, "state": "in service"}).status, 0)
        run = book.say("plan", "31-009", "T-5", "H2O_Zn", "Ar_H2O", "--check")
        tap.equal("status", (run.status, run.err), (0, ""))
        steps = [step["point"] for step in book.show("calibration", "31-009")["plan"]]
        tap.equal("points", steps, "H2O Zn H2O Sn H2O In H2O Hg H2O Ar H2O".split())
        tap.equal("told", re.findall(r"^ *\d+  (\S+)$", run.out, re.MULTILINE), steps)
        run = book.say("plan", "31-010", "T-5", "H2O_Pb")
        tap.equal("no such subrange", (run.status, "no subrange H2O_Pb" in run.err), (2, True))
        run = book.say("job", EXAMPLES / "long-stem-25-ohm" / "job.yaml", "31-009")
        tap.equal("another thermometer", (run.status, "planned for thermometer T-5" in run.err),
                  (2, True))


def work(tap, book):
    with tap.case("readings come in once and are reduced to what the job file gives"):
        job = EXAMPLES / "long-stem-25-ohm" / "job.yaml"
        run = book.say("job", job, "31-001")
        tap.equal("imported", (run.status, run.err), (0, ""))
        tap.equal("not twice", book.say("job", job, "31-001").status, 2)
        run = book.say("job", job, "31-002")
        tap.equal("its equipment is what the book knows", (run.status, run.err), (0, ""))
        run = book.say("reduce", "31-001", who="bo")
        tap.equal("reduced", run.status, 0)
        direct = firn("reduce", job).out
        table = re.compile(r"^ *[-−0-9.]+ .*$", re.MULTILINE)
        tap.equal("the same table", table.findall(run.out), table.findall(direct))
    with tap.case("nobody checks their own work, and issuing waits for a check"):
        tap.equal("who reduced", book.say("agree", "31-001", who="bo").status, 2)
        tap.equal("too early", book.say("issue", "31-001", "C-1", who="cy").status, 2)
        tap.equal("dee registered", book.put("person", "dee", person("Dee", "check")).status, 0)
        tap.equal("another checks", book.say("agree", "31-001", who="dee").status, 0)


def release(tap, book):
    scope = [{"low_C": -190, "high_C": 661, "U_mK": 0.01}]
    with tap.case("no certificate without scope, with an open nonconformity, or by anybody"):
        run = book.say("issue", "31-001", "C-1", who="cy")
        tap.equal("no scope", (run.status, "no scope" in run.err), (2, True))
        tap.equal("scope", book.change("laboratory", "laboratory", scope=[
            dict(scope[0], U_mK=50)]).status, 0)
        run = book.say("issue", "31-001", "C-1", who="cy")
        tap.equal("below capability", (run.status, "stated capability" in run.err), (2, True))
        tap.equal("water", book.change("laboratory", "laboratory", scope=[
            dict(scope[0], high_C=0), {"low_C": 0.005, "high_C": 0.015, "U_mK": 5},
            dict(scope[0], low_C=0.02)]).status, 0)
        run = book.say("issue", "31-001", "C-1", who="cy")
        tap.equal("R(TPW) below it", (run.status, "mK in R(TPW), visit" in run.err), (2, True))
        tap.equal("scope", book.change("laboratory", "laboratory", scope=scope).status, 0)
        trouble = {"about": ["R-100-3"], "opened": "2031-04-01T00:00:00Z", "person": "ada",
                   "what": "found knocked over", "state": "open"}
        tap.equal("opened", book.put("nonconformity", "N1", trouble).status, 0)
        run = book.say("issue", "31-001", "C-1", who="cy")
        tap.equal("blocked", (run.status, "nonconformity N1" in run.err), (2, True))
        tap.equal("closed", book.change("nonconformity", "N1", state="closed",
                                        decision="no change of its value").status, 0)
        old = {"equipment": "R-100-3", "number": "27-1", "issuer": "Institute", "date": "2027-01-02",
               "route": "national institute", "due": "2029-01-02", "quantity": "resistance",
               "value": 100.0005, "U": 2e-5, "k": 2, "unit": "ohm"}
        tap.equal("old certificate", book.put("equipment certificate", "E1", old).status, 0)
        run = book.say("issue", "31-001", "C-1", who="cy")
        tap.equal("overdue", (run.status, "R-100-3 was due on 2029-01-02" in run.err), (2, True))
        tap.equal("new certificate", book.put("equipment certificate", "E2", dict(
            old, number="30-1", date="2030-11-03", due="2032-11-03")).status, 0)
        run = book.say("issue", "31-001", "C-1", who="cy")
        tap.equal("a cell without a certificate", (run.status, "cell Zn1: certificates of it in the "
                                                   "book" in run.err), (2, True))
        tap.equal("all have one", certify(book, "B2", "W3", "Al2", "Zn1", "Sn2", "In2", "Hg1", "Ar1"),
                  [])
        tap.equal("who may not", book.say("issue", "31-001", "C-1", who="bo").status, 2)
        tap.equal("nothing is there yet", book.say("show", "certificate", "C-1").status, 2)
    with tap.case("a signatory issues it, once"):
        run = book.say("issue", "31-001", "C-1", who="cy")
        tap.equal("issued", (run.status, run.err), (0, ""))
        tap.equal("state", book.show("calibration", "31-001")["state"], "issued")
        tap.equal("not again", book.say("issue", "31-001", "C-2", who="cy").status, 2)
        pdf = book.folder / "c.pdf"
        tap.equal("written", book.say("certificate", "C-1", "--pdf", pdf, who=None).status, 0)
        text = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True,
                              check=True).stdout
        tap.equal("what was simulated says so", "SPECIMEN" in text, True)
        tap.equal("its number", "C-1" in text, True)
    with tap.case("it is computed again to the same bytes"):
        run = book.say("recompute", "C-1", who=None)
        tap.equal("status", (run.status, run.err), (0, ""))
        tap.equal("bytes", "the same bytes" in run.out and "those of the book" in run.out, True)


def answers(tap, book):
    with tap.case("a certificate is traced to blocks of readings, and a number to the readings"):
        run = book.say("trace", "C-1", "visit.2.W", who=None)
        tap.equal("status", (run.status, run.err), (0, ""))
        for words in ("reduce by bo", "check by dee", "issue by cy"):
            tap.true(words, words in run.out, run.out[:600])
        tap.true("blocks", "visit 31-001/2" in run.out and "sealed as block 1" in run.out)
        tap.true("down to the readings", "[visit.2.ratio at 1.00024 mA]" in run.out, run.out[:900])
    with tap.case("a cell found warmer by 1 mK changes its point by 1 mK, a resistor only R(TPW)"):
        run = book.say("impact", "cell", "Zn1", "--mK", "1", who=None)
        tap.equal("status", (run.status, run.err), (0, ""))
        change, place = re.search(r"H2O_Zn +temperatures change by up to ([-+.0-9]+) mK, at "
                                  r"([-.0-9]+)", run.out).groups()
        tap.near("at the zinc point", float(change), 1.0, 0.002)
        tap.near("which is", float(place), 419.527, 0.5)
        run = book.say("impact", "resistor", "R-100-3", "--ppm", "2", who=None)
        changes = re.findall(r"change by up to ([-+.0-9]+) mK", run.out)
        tap.true("W stays", changes and all(abs(float(x)) < 0.01 for x in changes), run.out)
        # 2e-6 of R is 2e-6/3.9888e-3 K
        tap.near("R(TPW)", float(re.search(r"R\(TPW\) +changes by ([-+.0-9]+)", run.out)[1]),
                 2e-3 / 3.9888e-3, 2e-4)
        run = book.say("impact", "cell", "Zn1", "--mK", "1", "--from", "2032-01-01", who=None)
        tap.equal("later", run.out, "0 certificates are touched\n")
        tap.equal("no size", book.say("impact", "cell", "Zn1", "--ppm", "1", who=None).status, 2)
    with tap.case("a timeline tells all that happened to a thing"):
        run = book.say("timeline", "R-100-3", who=None)
        tap.true("import and nonconformity", "import resistor R-100-3" in run.out and
                 "found knocked over" in run.out, run.out)
        tap.equal("nothing", book.say("timeline", "R-1", who=None).status, 2)


def out_and_in(tap, book):
    folder, again = book.folder / "out", book.folder / "again.firn"
    with tap.case("exported, the book is plain files; imported, it is the same book"):
        tap.equal("export", book.say("export", folder, who=None).status, 0)
        tap.equal("not over another", book.say("export", folder, who=None).status, 2)
        tap.equal("sha256sum agrees", subprocess.run(["sha256sum", "--quiet", "-c", "SHA256SUMS"],
                                                     cwd=folder, check=False).returncode, 0)
        run = firn("book", "import", folder, again)
        tap.equal("import", (run.status, run.err), (0, ""))
        tap.equal("sound", firn("book", "check", "--book", again).out, "the book is sound\n")
        run = firn("book", "recompute", "C-1", "--book", again)
        tap.true("the same bytes", "the same bytes" in run.out and run.status == 0, run.out)
        second = book.folder / "out2"
        firn("book", "export", second, "--book", again)
        tap.equal("exported again it is the same to the byte",
                  (second / "SHA256SUMS").read_bytes(), (folder / "SHA256SUMS").read_bytes())
    with tap.case("an export that was changed makes no book"):
        for name, old, new in (("log.jsonl", '"Bo"', '"Bu"'),
                               ("readings/31-001+2.csv", "0.8", "0.9")):
            broken = book.folder / ("broken" + name[:3])
            shutil.copytree(folder, broken)
            path = broken / name
            path.write_text(path.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
            run = firn("book", "import", broken, book.folder / "no.firn")
            tap.equal(name, (run.status, "log.jsonl" in run.err), (2, True))
        tap.equal("nothing left", [p.name for p in book.folder.glob("no.firn*")], [])


def change_behind_its_back(tap, book):
    """Whoever holds the file can change it; that must show."""
    backup = book.folder / "copy.firn"
    with tap.case("a copy is sound, and one changed byte in it is found with its place"):
        tap.equal("check", book.say("check", who=None).out, "the book is sound\n")
        tap.equal("backup", book.say("backup", backup, who=None).status, 0)
        for table, change, words in (
                ("entry", "body = replace(body, 'Bo', 'Bu') WHERE id = 'bo'", "(person bo, version 1)"),
                ("block_bytes", "readings = zeroblob(length(readings)) WHERE visit = '31-001/2'",
                 "visit 31-001/2"),
                ("file", "bytes = zeroblob(length(bytes)) WHERE sha256 ="
                 " (SELECT min(sha256) FROM file)", "file ")):
            copy = book.folder / f"{table}.firn"
            copy.write_bytes(backup.read_bytes())
            with sqlite3.connect(copy) as database:
                database.execute(f"DROP TRIGGER {table}_unchanged")
                database.execute(f"UPDATE {table} SET {change}")
            database.close()
            run = firn("book", "check", "--book", copy)
            tap.equal(table, (run.status, words in run.out), (1, True))


def what_belongs_together(tap, book):
    """Not only bytes: what records say must hold together."""
    def entry(kind, name, old, new):
        return (f"UPDATE entry SET body = replace(body, '{old}', '{new}') WHERE kind = '{kind}'"
                f" AND id = '{name}'")
    with tap.case("records, files and readings that should be there and aren't are found"):
        for i, (change, words) in enumerate((
                (entry("equipment certificate", "E1", '"equipment":"R-100-3"', '"equipment":"R-9"'),
                 "equipment certificate E1: equipment names R-9, and there is no such"),
                (entry("equipment certificate", "E1", '"k":2,', ""),
                 "equipment certificate E1: U needs k or p"),
                (entry("equipment certificate", "E1", '"due":"2029-01-02",', ""),
                 "equipment certificate E1: due is missing"),
                (entry("visit", "31-001/3", '"state":"closed"', '"exclusions":[{"first":58,"n":9,'
                       '"person":"ada","reason":"lamp"}],"state":"closed"'),
                 "visit 31-001/3: sets aside readings that it doesn"),
                (entry("certificate", "C-1", '"pdf":"', '"pdf":"' + "0" * 64 + '","was":"'),
                 "certificate C-1: pdf names a file that the book doesn"),
                ("UPDATE entry SET id = '31-001/x' WHERE kind = 'visit' AND id = '31-001/2'",
                 "visit 31-001/2: there are readings of it, and no such visit"))):
            copy = book.folder / f"loose-{i}.firn"
            copy.write_bytes((book.folder / "copy.firn").read_bytes())
            with sqlite3.connect(copy) as database:
                database.execute("DROP TRIGGER entry_unchanged")
                tap.equal("one is changed", database.execute(change).rowcount, 1)
            database.close()
            run = firn("book", "check", "--book", copy)
            tap.equal("status", run.status, 1)
            tap.true(words, words in run.out, run.out)


def main():
    tap = Tap()
    with folder() as where:
        book = Book(pathlib.Path(where))
        begin(tap, book)
        bad_records(tap, book)
        plan(tap, book)
        work(tap, book)
        release(tap, book)
        answers(tap, book)
        out_and_in(tap, book)
        change_behind_its_back(tap, book)
        what_belongs_together(tap, book)
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
