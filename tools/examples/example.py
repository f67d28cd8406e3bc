"""What one example consists of, and its job as a person would write it."""
import re


class Visit:
    """One stay of the thermometer. said: the keys of the job. The rest is what the simulation needs
    beside it: when, how much the current heats, in which state R(TPW) is, and for a measured
    temperature its true value."""

    def __init__(self, said, start, heating_mK, state_mK=0.0, *, noise, i1_mA=1.0, bath_C=23.0,
                 t_K=None, comment=None, flags=None):
        self.said, self.start, self.heating_mK, self.state_mK = said, start, heating_mK, state_mK
        self.noise, self.i1_mA, self.bath_C, self.t_K = noise, i1_mA, bath_C, t_K
        self.comment, self.flags = comment, flags or {}
        self.id, self.cell = str(said["id"]), said.get("cell")


class Example:
    """folder: its name; head: lines of comment above the job; job: its sections in order, visits
    apart; below, above: the true deviation functions; series: readings at I1, I2 and I1 again."""

    def __init__(self, folder, head, job, visits, r_tpw_ohm, below, above, series=(20, 20, 20)):
        self.folder, self.head, self.job, self.visits = folder, head, job, visits
        self.r_tpw_ohm, self.below, self.above, self.series = r_tpw_ohm, below, above, series


SET_OFF = ("thermometer", "resistors", "cells", "visits", "events", "tpw", "release", "report")


class Said(str):
    """A text of the job that is written as a block, for being long."""


def terms(heat_exchange, dynamic, liquidus, strain, reproducibility, dof, stability, leakage=0):
    """The terms of one visit in the order of the CCT Guide's table; standard uncertainties, mK."""
    return {"heat_exchange": {"u_mK": heat_exchange}, "dynamic": {"u_mK": dynamic},
            "liquidus": {"u_mK": liquidus}, "strain": {"u_mK": strain},
            "reproducibility": {"u_mK": reproducibility, "dof": dof},
            "stability": {"u_mK": stability}, "leakage": {"u_mK": leakage}}


def number(x):
    """As people write numbers: 2e-8, not 2e-08."""
    text = repr(x)
    if "e" in text:
        mantissa, exponent = text.split("e")
        text = f"{mantissa}e{int(exponent)}"
    return text


def scalar(x):
    if isinstance(x, bool):
        return "true" if x else "false"
    if isinstance(x, (int, float)):
        return number(x)
    if any(c in x for c in ",:#[]{}'\"") or x[:1] in "-?&*!|>%@ " or x == "":
        return '"' + x.replace("\\", "\\\\").replace('"', '\\"') + '"'
    return x


def flow(x):
    if isinstance(x, dict):
        return "{" + ", ".join(f"{k}: {flow(v)}" for k, v in x.items()) + "}"
    if isinstance(x, list):
        return "[" + ", ".join(flow(v) for v in x) + "]"
    return scalar(x)


def words_of(text):
    """Words of a text; a number and its unit are one."""
    glued = re.sub(r"(?<=\d) (?=(°C|mA|mK|kPa|min|h|%)\b|%)", "\0", text)
    return [word.replace("\0", " ") for word in glued.split(" ")]


def wrap(words, width, indent):
    """Lines of at most width characters, for words that must not be broken."""
    lines, line = [], indent
    for word in words:
        if len(line) + len(word) > width and line.strip():
            lines.append(line.rstrip())
            line = indent
        line += word + " "
    return lines + [line.rstrip()]


def pieces(x, longest):
    """A mapping in braces, cut after commas: between its keys, and inside a value that is long."""
    parts = []
    for k, v in x.items():
        text = f"{k}: {flow(v)}"
        if len(text) > longest and isinstance(v, dict):
            inner = pieces(v, longest)
            parts += [f"{k}: {inner[0]}"] + inner[1:-1] + [inner[-1] + ","]
        else:
            parts.append(text + ",")
    return ["{" + parts[0]] + parts[1:-1] + [parts[-1][:-1] + "}"] if len(parts) > 1 else [flow(x)]


def flow_lines(x, first, indent, width=100):
    """A mapping in braces over as many lines as it needs; the terms of a budget start a new one."""
    words = pieces(x, width - len(indent))
    cut = next((i for i, word in enumerate(words) if word.startswith("terms: ")), len(words))
    lines = wrap(words[:cut], width, indent)
    if words[cut:]:
        lines += wrap(words[cut:], width, indent)
    return [first + lines[0].strip()] + lines[1:]


def mapping_lines(key, value):
    """A section whose values are plain, one a line; long texts as blocks."""
    lines = [f"{key}:"]
    for k, v in value.items():
        if isinstance(v, Said):
            lines += [f"  {k}: >-"] + wrap(words_of(v), 96, "    ")
        else:
            lines.append(f"  {k}: {flow(v)}")
    return lines


def job_text(example):
    """The job file: sections in the order of the record, visits and events one under the other."""
    out = [f"# {line}" if line else "#" for line in example.head]
    for key, value in example.job.items():
        comment = example.job["#"].get(key)
        if key == "#":
            continue
        if comment or key in SET_OFF:
            out.append("")
        out += [f"# {line}" for line in comment or []]
        if key == "visits":
            out.append("visits:")
            for visit in example.visits:
                if visit.comment:
                    out.append(f"  # {visit.comment}")
                out += flow_lines(visit.said, "  - ", "     ")
        elif key in ("resistors", "bridges", "cells"):
            out.append(f"{key}:")
            for name, said in value.items():
                out += flow_lines(said, f"  {name}: ", "    ")
        elif key == "events":
            out += ["events:"] + ["  - " + flow(event) for event in value]
        elif key in ("thermometer", "report", "release"):
            out += mapping_lines(key, value)
        elif isinstance(value, dict):
            out += flow_lines(value, f"{key}: ", "  ")
        else:
            out.append(f"{key}: {flow(value)}")
    return "\n".join(out) + "\n"


def readings_text(rows):
    lines = ["time,visit,current_mA,ratio,bath_C,flag"]
    lines += [",".join(row) for row in rows]
    return "\n".join(lines) + "\n"
