"""A server to be asked, and a client that asks quickly. Shared by the scripts beside it.

Each script is run as `python3 tests/service/NAME.py PROGRAM [--long]`, with the built program; it
says what it has found and ends with 1 where something does not hold.
"""

import argparse
import asyncio
import json
import os
import re
import signal
import subprocess
import sys
import threading
import time

SWAP = {"exercise": "back squat", "sore": [{"region": "low-back", "pain": 4}], "gym": "boathouse", "top": 3}

failures = []


def check(holds, what):
    """Notes what does not hold, and goes on."""
    if not holds:
        failures.append(what)
        print(f"  does not hold: {what}", flush=True)
    return holds


def end(name):
    print(f"{name}: {'all holds' if not failures else f'{len(failures)} do not hold'}", flush=True)
    sys.exit(1 if failures else 0)


def arguments(text):
    parser = argparse.ArgumentParser(description=text)
    parser.add_argument("program", help="the built program")
    parser.add_argument("--long", action="store_true", help="as long as it is worth by hand")
    return parser.parse_args()


class Server:
    """A server process on a free port, its log gathered."""

    def __init__(self, program, *options, listen="127.0.0.1:0"):
        environment = {k: v for k, v in os.environ.items() if not k.startswith("STEAD_")}
        self.process = subprocess.Popen(
            [program, "serve", "--listen", listen, *options], stderr=subprocess.PIPE, text=True, env=environment
        )
        self.log = []
        first = self.process.stderr.readline()
        found = re.search(r"http://([0-9.]+):(\d+)", first)
        if not found:
            sys.exit(f"the server does not start: {first}{self.process.stderr.read()}")
        self.host, self.port = found.group(1), int(found.group(2))
        self.url = f"http://{self.host}:{self.port}"
        threading.Thread(target=lambda: self.log.extend(self.process.stderr), daemon=True).start()

    def memory_kb(self):
        with open(f"/proc/{self.process.pid}/status", encoding="utf-8") as status:
            return int(re.search(r"VmRSS:\s+(\d+)", status.read()).group(1))

    def open_files(self):
        return len(os.listdir(f"/proc/{self.process.pid}/fd"))

    def signal(self, number):
        self.process.send_signal(number)

    def stop(self, within=30):
        """Ends the process; its exit code."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
        try:
            return self.process.wait(within)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
            return None

    def faults(self):
        """Lines of the log that tell of a fault of the server."""
        return [line for line in self.log if "panic" in line or "internal fault" in line or "broke down" in line]

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.stop()
        check(not self.faults(), f"the log tells of faults: {self.faults()[:3]}")


def request(method, path, body=None, headers=()):
    """The bytes of a request."""
    payload = b"" if body is None else json.dumps(body).encode()
    lines = [f"{method} {path} HTTP/1.1", "host: boathouse", *headers]
    if body is not None:
        lines += ["content-type: application/json", f"content-length: {len(payload)}"]
    return "\r\n".join(lines).encode() + b"\r\n\r\n" + payload


async def read_reply(reader):
    """Status, headers and body of one reply with a length."""
    head = await reader.readuntil(b"\r\n\r\n")
    first, *lines = head.decode().split("\r\n")
    headers = {name.lower(): value.strip() for name, _, value in (line.partition(":") for line in lines if line)}
    status = int(first.split(" ")[1])
    length = 0 if status in (204, 304) else int(headers.get("content-length", 0))
    return status, headers, await reader.readexactly(length)


class Client:
    """One connection, opened when there is need, that notes what is lost."""

    def __init__(self, server):
        self.server = server
        self.stream = None
        self.closed_by_server = False

    async def ask(self, data):
        if self.stream is None:
            self.stream = await asyncio.open_connection(self.server.host, self.server.port)
        reader, writer = self.stream
        writer.write(data)
        reply = await read_reply(reader)
        if reply[1].get("connection", "").lower() == "close":
            self.closed_by_server = True
            self.close()
        return reply

    def close(self):
        if self.stream is not None:
            self.stream[1].close()
            self.stream = None


async def saturate(server, data, seconds, connections=16):
    """Asks as fast as it goes; counts of statuses, and what was lost."""
    statuses, lost = {}, []
    until = time.monotonic() + seconds

    async def one():
        client = Client(server)
        while time.monotonic() < until:
            try:
                status, _, _ = await client.ask(data)
                statuses[status] = statuses.get(status, 0) + 1
            except (OSError, asyncio.IncompleteReadError) as e:
                lost.append(repr(e))
                client.stream = None
        client.close()

    await asyncio.gather(*(one() for _ in range(connections)))
    return statuses, lost
