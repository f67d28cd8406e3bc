"""From the seed to a book, by the program's own commands."""
import pathlib
import subprocess
import tempfile

from . import people
from .laboratory import SEED, Hollowmere


class Refused(Exception):
    """What the program said when it would not."""


def say(program, *arguments):
    """Runs the program; what it wrote on standard output and on standard error."""
    done = subprocess.run([program, *map(str, arguments)], capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise Refused(f"firn {' '.join(map(str, arguments))}: exit status {done.returncode}\n"
                      + done.stderr.strip())
    return done.stdout, done.stderr


def initial(place):
    """How the book begins: with the laboratory and its first person."""
    return ("book", "init", place, "--laboratory", people.LABORATORY, "--address", people.ADDRESS,
            "--as", people.FIRST, "--name", people.FIRST_NAME, "--simulated",
            "--at", f"{people.BEGIN}T08:00:00Z")


def make(program, place, seed=SEED):
    """A new book at that place, a file or a server's; what was told while it was loaded."""
    with tempfile.TemporaryDirectory() as folder:
        Hollowmere(seed).write(pathlib.Path(folder))
        say(program, *initial(place))
        return say(program, "book", "load", f"{folder}/history.jsonl", "--book", place,
                   "--as", people.FIRST)


def make_file(program, path, seed=SEED):
    """As make(), in the place of a book that an earlier run left there."""
    for old in (path, *(path.with_name(path.name + tail) for tail in ("-wal", "-shm"))):
        old.unlink(missing_ok=True)
    return make(program, path, seed)
