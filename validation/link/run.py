"""A general-purpose Modbus client (pymodbus, from PyPI) against `halfglass simulate --serve-modbus`.

    run.py BINARY LOOP

Reads the mark and the numbers, takes the loop into hand, shuts the valve, and sees the TRUE level fall; asks for what cannot be and
wants Modbus' own exceptions. Ends with status 1 where one of these does not hold.
"""

import math
import re
import struct
import subprocess
import sys
import time

from pymodbus.client import ModbusTcpClient

SPEED = 200
LONGEST_S = 60.0


def number(client, address):
    words = client.read_input_registers(address, count=2).registers
    return struct.unpack(">f", struct.pack(">HH", *words))[0]


def words(value):
    return list(struct.unpack(">HH", struct.pack(">f", value)))


def until(what, holds):
    """Waits for the plant, whose clock is its own."""
    end = time.monotonic() + LONGEST_S
    while not holds():
        if time.monotonic() > end:
            raise AssertionError(f"not within {LONGEST_S} s: {what}")
        time.sleep(0.02)


def check(client):
    mark = client.read_input_registers(0, count=5).registers
    assert struct.pack(">5H", *mark) == b"SIMULATION", mark
    assert client.read_discrete_inputs(0, count=1).bits[0]
    true_m, indicated_m = number(client, 16), number(client, 12)
    assert math.isclose(true_m, indicated_m, abs_tol=0.02), (true_m, indicated_m)
    at_s = number(client, 10)
    until("time goes by", lambda: number(client, 10) > at_s + 5.0)
    output = number(client, 30)
    assert not client.write_coil(0, True).isError()
    until("in hand", lambda: client.read_discrete_inputs(7, count=1).bits[0])
    assert math.isclose(number(client, 30), output, abs_tol=1.0), "hand begins with a bump"
    assert not client.write_registers(0, words(0.0)).isError()
    until("the valve shuts", lambda: number(client, 28) < 1.0)
    until("the TRUE level falls", lambda: number(client, 16) < true_m - 0.02)
    for answer, code in [
        (client.write_register(0, 1), 2),
        (client.write_registers(0, words(101.0)), 3),
        (client.write_registers(0, words(math.nan)), 3),
        (client.write_coil(5, True), 2),
        (client.read_input_registers(34, count=2), 2),
    ]:
        assert answer.isError() and answer.exception_code == code, (answer, code)
    return true_m - number(client, 16)


def main(binary, loop):
    plant = subprocess.Popen(
        [binary, "simulate", loop, "load-step", "--serve-modbus", "127.0.0.1:0", "--speed", str(SPEED)],
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        port = None
        for line in plant.stderr:
            if found := re.search(r"Modbus TCP\s+127\.0\.0\.1:(\d+)", line):
                port = int(found[1])
                break
        assert port, "the virtual plant did not start"
        client = ModbusTcpClient("127.0.0.1", port=port)
        assert client.connect()
        fell_m = check(client)
        client.close()
        print(f"virtual plant: pymodbus reads mark and numbers, takes it into hand, sees the TRUE level fall {1e3 * fell_m:.0f} mm, and is refused as it should be")
    finally:
        plant.terminate()
        plant.wait()


if __name__ == "__main__":
    main(*sys.argv[1:])
