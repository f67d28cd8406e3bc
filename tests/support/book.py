"""A book for a test: its commands, its people, and a place for it on either database."""
import json
import os
import subprocess

from firn_run import firn

NOON = "2031-06-01T12:00:00Z"  # when things happen in a simulated book


def new_place(where, name="book"):
    """The name of a book that isn't there yet: a file, or a database of the server that
    FIRN_BOOK_SERVER names (tests/support/book_server.py starts one)."""
    server = os.environ.get("FIRN_BOOK_SERVER")
    if server is None:
        return where / f"{name}.firn"
    database = f"{name}_{os.getpid()}"
    subprocess.run(["psql", "-q", server, "-c", f"CREATE DATABASE {database}"], check=True)
    return server.replace("/postgres?", f"/{database}?")


class Book:
    def __init__(self, where, name="book"):
        self.folder = where
        self.place = new_place(where, name)

    def options(self, who="ada", why=None, at=NOON):
        return ["--book", self.place, *(["--as", who, "--at", at] if who else []),
                *(["--why", why] if why else [])]

    def say(self, action, *arguments, **how):
        return firn("book", action, *arguments, *self.options(**how))

    def put(self, kind, name, body, why="as the test wants it", **how):
        path = self.folder / "record.json"
        path.write_text(json.dumps(body), encoding="utf-8")
        return self.say("put", kind, name, path, why=why, **how)

    def show(self, kind, name):
        return self.say("show", kind, name, "--body", who=None).json()

    def change(self, kind, name, who="ada", **members):
        return self.put(kind, name, {**self.show(kind, name), **members}, who=who)

    def begin(self, *options):
        """Of simulated work, so that a test can choose its times."""
        return firn("book", "init", self.place, "--laboratory", "Hollowmere Thermometry",
                    "--address", "1 Mere Lane", "--as", "ada", "--name", "Ada Quill", "--simulated",
                    *options)


def staff(book):
    """Bo reduces, Dee checks, Cy issues, within a scope that holds every example, and without asking
    for certificates of equipment."""
    runs = [book.put("person", name, person(name.title(), *acts))
            for name, acts in (("bo", ["operate"]), ("dee", ["check"]), ("cy", ["issue"]))]
    runs.append(book.change("laboratory", "laboratory", scope=[
        {"low_C": -260, "high_C": 1000, "U_mK": 0.01}]))
    runs.append(book.put("limits", "staff", NO_CERTIFICATES))
    return [run.describe() for run in runs if run.status != 0]


NO_CERTIFICATES = {"from": "2020-01-01", "limits": [
    {"name": "equipment_certificates", "value": 0, "unit": "1", "source": "of tests"}]}


def certify(book, *equipment, **how):
    """A certificate of each, which says nothing of its value."""
    return [run.describe() for run in (book.put("equipment certificate", f"E-{name}", {
        "equipment": name, "number": f"E-{name}", "issuer": "Institute", "date": "2030-11-03",
        "route": "national institute", "due": "2039-11-03", "quantity": "as its record says",
        "value": 0, "U": 1, "k": 2, "unit": "of the record"}, **how) for name in equipment)
        if run.status != 0]


def person(name, *acts):
    return {"name": name, "function": "thermometrist", "state": "active",
            "authorisations": [{"act": act, "from": "2020-01-01"} for act in acts]}


def open_visit(book, name, thermometer="T-recorded"):
    """A visit for readings, of a thermometer that is registered with the first; what was refused."""
    kinds = [] if book.say("show", "thermometer", thermometer, who=None).status == 0 else [
        book.put("thermometer", thermometer, {"job": {"nominal_ohm": 25.5}, "state": "in service"})]
    kinds.append(book.put("visit", name, {"thermometer": thermometer, "job": {}, "state": "open",
                                          "provenance": "simulated"}))
    return [run.describe() for run in kinds if run.status != 0]
