"""Serves registers with a Modbus library that KitMesh has no part in (Debian's python3-pymodbus).

Reads one JSON object from stdin: {"mode": "tcp" | "rtu-tcp" | "serial", "unit": 1,
"holding": {"40000": [..]}, "input": {"0": [..]}}. Prints one line "READY <port or device>" and serves until stdin ends.
"""
import asyncio
import json
import logging
import os
import pty
import sys
import threading
import tty

from pymodbus.datastore import ModbusServerContext, ModbusSlaveContext, ModbusSparseDataBlock
from pymodbus.server.async_io import ModbusSerialServer, ModbusTcpServer
from pymodbus.transaction import ModbusRtuFramer, ModbusSocketFramer


logging.disable(logging.CRITICAL)


def block(parts):
    values = {}
    for start, registers in parts.items():
        for i, register in enumerate(registers):
            values[int(start) + i] = register
    return ModbusSparseDataBlock(values or {0: 0})


def bridge(source, target):
    while True:
        try:
            data = os.read(source, 4096)
        except OSError:
            return
        if not data:
            return
        os.write(target, data)


def line_pair():
    """Two serial devices joined by a wire: what one writes the other reads."""
    master_a, slave_a = pty.openpty()
    master_b, slave_b = pty.openpty()
    for fd in (slave_a, slave_b):
        tty.setraw(fd)
    for a, b in ((master_a, master_b), (master_b, master_a)):
        threading.Thread(target=bridge, args=(a, b), daemon=True).start()
    return os.ttyname(slave_a), os.ttyname(slave_b)


async def main():
    wanted = json.loads(sys.stdin.readline())
    slave = ModbusSlaveContext(hr=block(wanted.get("holding", {})), ir=block(wanted.get("input", {})), zero_mode=True)
    context = ModbusServerContext(slaves={wanted.get("unit", 1): slave}, single=False)
    if wanted["mode"] == "serial":
        mine, theirs = line_pair()
        server = ModbusSerialServer(context, framer=ModbusRtuFramer, port=theirs, baudrate=19200, parity="N", stopbits=1)
        await server.start()
        where = mine
    else:
        framer = ModbusSocketFramer if wanted["mode"] == "tcp" else ModbusRtuFramer
        server = ModbusTcpServer(context, framer=framer, address=("127.0.0.1", 0))
        where = None
    task = asyncio.ensure_future(server.serve_forever())
    if where is None:
        await server.serving
        where = server.server.sockets[0].getsockname()[1]
    print(f"READY {where}", flush=True)
    await asyncio.get_event_loop().run_in_executor(None, sys.stdin.read)
    task.cancel()


try:
    asyncio.run(main())
except asyncio.CancelledError:
    pass
os._exit(0)
