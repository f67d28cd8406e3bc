"""Taking turns, medians, and processes that answer in seconds."""
import pathlib
import statistics
import subprocess

ROUNDS = 7


class Driver:
    """A C program of this folder: a command a line, one number an answer."""

    def __init__(self, path):
        self.process = subprocess.Popen([str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                        text=True)

    def ask(self, *words):
        self.process.stdin.write(" ".join(str(word) for word in words) + "\n")
        self.process.stdin.flush()
        number = float(self.process.stdout.readline())
        if number != number:
            raise RuntimeError(f"{self.process.args[0]}: {words} came to nothing")
        return number

    def close(self):
        self.process.stdin.close()
        self.process.wait()


def take_turns(sides, rounds=ROUNDS):
    """Medians of what each side returns, after one round that doesn't count."""
    for side in sides:
        side()
    figures = [[] for _ in sides]
    for _ in range(rounds):
        for side, kept in zip(sides, figures):
            kept.append(side())
    return [statistics.median(kept) for kept in figures]


class Launched:
    """A command under `launch`: wall and processor seconds, bytes."""

    def __init__(self, launch, command, stdin="/dev/null", stdout="/dev/null"):
        self.command = [str(launch), str(stdin), str(stdout), *map(str, command)]
        self.memory = 0.0

    def run(self):
        answer = subprocess.run(self.command, check=True, capture_output=True, text=True)
        wall, processor, memory, status = answer.stdout.split()
        if status != "0":
            raise RuntimeError(f"{' '.join(self.command[3:])}: exit status {status}\n"
                               f"{answer.stderr}")
        self.memory = max(self.memory, float(memory))
        return float(wall), float(processor)

    def wall(self):
        return self.run()[0]

    def processor(self):
        return self.run()[1]


def machine():
    """The processor's name and how many there are."""
    lines = pathlib.Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    names = [line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")]
    return f"{names[0] if names else 'unknown processor'}, {max(len(names), 1)} processors"
