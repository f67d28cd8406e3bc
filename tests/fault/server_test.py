#!/usr/bin/python3
"""A PostgreSQL that could lose or tear what it has acknowledged is refused before anything is written
to it; reading from it does no harm."""
import os
import pathlib
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "support"))
from book import Book, person, staff  # noqa: E402
from book_server import Server  # noqa: E402
from firn_run import Tap, firn, folder  # noqa: E402


def restart(server, *settings):
    server.stop()
    server.start(*settings)


def is_refused(tap, run, setting):
    tap.status(run, 2)
    tap.true("names the setting", f"the server has {setting} = off" in run.err, run.err)
    tap.true("says what to do", "set it to on in its configuration" in run.err, run.err)


def unsafe(tap, server, book, setting):
    restart(server, f"{setting}=off")
    before = book.say("list", "person", who=None).out
    is_refused(tap, book.put("person", "eve", person("Eve", "operate")), setting)
    database = f"empty_{setting}"
    subprocess.run(["psql", "-q", server.address, "-c", f"CREATE DATABASE {database}"], check=True)
    place = server.address.replace("/postgres?", f"/{database}?")
    is_refused(tap, firn("book", "init", place, "--laboratory", "Hollowmere Thermometry", "--address",
                         "1 Mere Lane", "--as", "ada", "--name", "Ada Quill", "--simulated"), setting)
    tables = subprocess.run(["psql", "-qAt", place, "-c", "SELECT count(*) FROM pg_tables"
                             " WHERE schemaname = 'public'"], check=True, capture_output=True, text=True)
    tap.equal("tables made all the same", tables.stdout.strip(), "0")
    tap.equal("the people", book.say("list", "person", who=None).out, before)
    tap.true("it can be read", "bo" in before, before)


def main():
    tap = Tap()
    server = Server()
    try:
        with folder() as where:
            server.start()
            os.environ["FIRN_BOOK_SERVER"] = server.address
            book = Book(pathlib.Path(where), "safe")
            with tap.case("a server that keeps its word"):
                tap.status(book.begin(), 0)
                tap.equal("staff", staff(book), [])
            for setting in ("fsync", "full_page_writes"):
                with tap.case(f"{setting} off"):
                    unsafe(tap, server, book, setting)
            with tap.case("both on again"):
                restart(server)
                tap.status(book.put("person", "eve", person("Eve", "operate")), 0)
                tap.equal("check", book.say("check", who=None).out, "the book is sound\n")
    finally:
        server.remove()
    return tap.done()


if __name__ == "__main__":
    sys.exit(main())
