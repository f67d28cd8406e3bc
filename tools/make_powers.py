#!/usr/bin/python3
"""Writes the powers of ten that decimal and binary numbers are multiplied by: make_powers.py OUTPUT.h

10^q = (high 2^64 + low + rest) 2^(floor(log2 10^q) - 127), with 0 <= rest < 1: the first 128 bits of
each, cut off and not rounded, in integers. From q = 0 to 55 nothing is cut off.
"""
import sys

LEAST, MOST = -342, 341


def leading_bits(q):
    """The first 128 bits of 10^q, and floor(log2 10^q)."""
    if q >= 0:
        power = 10 ** q
        log2 = power.bit_length() - 1
        return (power << 127 >> log2), log2
    power = 10 ** -q
    log2 = -power.bit_length()  # of a power of ten, which is no power of two
    return (1 << (127 - log2)) // power, log2


def main():
    rows = []
    for q in range(LEAST, MOST + 1):
        bits, log2 = leading_bits(q)
        assert bits.bit_length() == 128 and log2 == q * 217706 >> 16
        rows.append(f"\t{{ UINT64_C(0x{bits >> 64:016x}), UINT64_C(0x{bits & (1 << 64) - 1:016x}) }},\n")
    with open(sys.argv[1], "w", encoding="ascii") as file:
        file.write("/* Made by tools/make_powers.py. */\n#include <stdint.h>\n\n"
                   f"enum {{ POWERS_LEAST = {LEAST}, POWERS_MOST = {MOST} }};\n\n"
                   f"static const struct {{\n\tuint64_t high, low;\n}} powers_of_ten[] = {{\n"
                   f"{''.join(rows)}}};\n")


if __name__ == "__main__":
    main()
