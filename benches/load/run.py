#!/usr/bin/env python3
"""How much of a bare server's throughput is left when it has to think?

Starts `stead serve` and a bare handler that serialises plain structs of the same size and shape
(`examples/bare.rs`), both with the same number of workers, and asks both the same questions in turn:
every judged question and every question of our own, each in its own gym (described in full where the
base does not have it) and in each gym of the base. Rounds are interleaved; figures are medians, and
ratios are medians of the ratios within a round, so that whatever else the machine does falls on both.

Throughput is wrk's. Percentiles are those of a closed loop (`examples/closed.rs`), for wrk corrects
its own. Memory is the resident set as the system tells it, a start is a process of its own each time.

    cargo build --release --bin stead --example bare --example closed
    python3 benches/load/run.py
"""

import argparse
import json
import os
import random
import re
import socket
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CONNECTIONS = 16
SEED = 11


def read(path):
    return json.loads((ROOT / path).read_text())


def mix():
    """Bodies of all questions, in an order drawn once."""
    described = {gym["id"]: gym for gym in read("queries/gyms.json")["gyms"]}
    of_the_base = [gym["id"] for gym in read("kb/gyms.json")["gyms"]]
    bodies = []
    for file in ("queries/judged.json", "queries/own.json"):
        for question in read(file)["questions"]:
            own = described.get(question["gym"], question["gym"])
            for gym in [own, *of_the_base]:
                asked = {"exercise": question["lift"], "sore": question["sore"], "gym": gym, "aim": question["aim"]}
                bodies.append(json.dumps(asked, separators=(",", ":")))
    random.Random(SEED).shuffle(bodies)
    return bodies


class Server:
    def __init__(self, name, command, port):
        self.name, self.port = name, port
        self.process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        while not listens(port):
            time.sleep(0.01)

    def resident_kb(self):
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        return int(re.search(r"VmRSS:\s+(\d+)", status).group(1))

    def processor_us(self):
        fields = Path(f"/proc/{self.process.pid}/stat").read_text().rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) * 1e6 / os.sysconf("SC_CLK_TCK")

    def stop(self):
        self.process.terminate()
        self.process.wait()


def listens(port):
    try:
        socket.create_connection(("127.0.0.1", port), 0.2).close()
        return True
    except OSError:
        return False


def free_port():
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return s.getsockname()[1]


def throughput(server, seconds, env):
    script = ROOT / "benches/load/mix.lua"
    address = f"http://127.0.0.1:{server.port}"
    command = ["wrk", "-t1", f"-c{CONNECTIONS}", f"-d{seconds}s", "-s", str(script), address]
    told = subprocess.run(command, capture_output=True, text=True, env=env, check=True).stdout
    if "Non-2xx" in told or "Socket errors" in told:
        raise SystemExit(f"{server.name}: {told}")
    rate = float(re.search(r"Requests/sec:\s+([\d.]+)", told).group(1))
    return rate, int(re.search(r"(\d+) requests in", told).group(1))


def closed_loop(binary, server, file, seconds):
    command = [binary, file, f"127.0.0.1:{server.port}", str(CONNECTIONS), str(seconds)]
    return json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout)


def cold_start(stead, body):
    """Milliseconds from starting the server to the end of its first answer."""
    port = free_port()
    request = (
        f"POST /v1/swap HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\nconnection: close\r\n"
        f"content-length: {len(body)}\r\n\r\n{body}"
    ).encode()
    start = time.perf_counter()
    process = subprocess.Popen(
        [stead, "serve", "--log", "off", "--listen", f"127.0.0.1:{port}"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    while True:
        try:
            s = socket.create_connection(("127.0.0.1", port), 1)
            break
        except OSError:
            time.sleep(0.0001)
    s.sendall(request)
    answer = b""
    while part := s.recv(65536):
        answer += part
    taken = (time.perf_counter() - start) * 1000
    s.close()
    process.kill()
    process.wait()
    assert answer.startswith(b"HTTP/1.1 200"), answer[:200]
    return taken


def process_time(command):
    start = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
    return (time.perf_counter() - start) * 1000


def main():
    target = os.environ.get("CARGO_TARGET_DIR", str(ROOT / "target"))
    parse = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parse.add_argument("--stead", default=f"{target}/release/stead")
    parse.add_argument("--bare", default=f"{target}/release/examples/bare")
    parse.add_argument("--closed", default=f"{target}/release/examples/closed")
    parse.add_argument("--rounds", type=int, default=7)
    parse.add_argument("--seconds", type=int, default=3)
    given = parse.parse_args()

    bodies = mix()
    with tempfile.NamedTemporaryFile("w", suffix=".txt", delete=False) as file:
        file.write("\n".join(bodies) + "\n")
    env = {**os.environ, "STEAD_MIX": file.name}
    described = sum('"items"' in body for body in bodies)
    print(f"{len(bodies)} questions, {described} with the gym described in full; {os.cpu_count()} cores")

    ports = [free_port() for _ in range(2)]
    stead = Server("stead", [given.stead, "serve", "--log", "off", "--listen", f"127.0.0.1:{ports[0]}"], ports[0])
    bare = Server("bare", [given.bare, file.name, f"127.0.0.1:{ports[1]}"], ports[1])
    servers = [stead, bare]
    try:
        idle = stead.resident_kb()
        for server in servers:
            throughput(server, 1, env)
        rates = {server.name: [] for server in servers}
        costs = {server.name: [] for server in servers}
        for _ in range(given.rounds):
            for server in servers:
                before = server.processor_us()
                rate, requests = throughput(server, given.seconds, env)
                rates[server.name].append(rate)
                costs[server.name].append((server.processor_us() - before) / requests)
        print(f"\nthroughput, {CONNECTIONS} connections, medians of {given.rounds} rounds of {given.seconds} s")
        for server in servers:
            rate, cost = statistics.median(rates[server.name]), statistics.median(costs[server.name])
            print(f"  {server.name}: {rate:.0f} requests/s, {cost:.1f} us of processor time in the server for each")
        ratios = [a / b for a, b in zip(rates["stead"], rates["bare"])]
        print(f"  stead / bare: {statistics.median(ratios):.2f} ({min(ratios):.2f} to {max(ratios):.2f})")

        loops = {server.name: [] for server in servers}
        for _ in range(max(3, given.rounds // 2)):
            for server in servers:
                loops[server.name].append(closed_loop(given.closed, server, file.name, given.seconds))
        print(f"\nclosed loop, {CONNECTIONS} connections, medians of {len(loops['stead'])} rounds")
        for server in servers:
            middle = lambda key: statistics.median(loop[key] for loop in loops[server.name])
            print(
                f"  {server.name}: p50 {middle('p50_us'):.0f} us, p90 {middle('p90_us'):.0f} us, "
                f"p99 {middle('p99_us'):.0f} us, p99.9 {middle('p999_us'):.0f} us, reply {middle('reply_bytes'):.0f} bytes"
            )
        for key in ("p50_us", "p99_us"):
            ratios = [a[key] / b[key] for a, b in zip(loops["stead"], loops["bare"])]
            print(f"  {key.removesuffix('_us')} of stead / bare: {statistics.median(ratios):.2f}")
        print(f"\nresident memory of stead: {idle / 1024:.1f} MB idle, {stead.resident_kb() / 1024:.1f} MB after the load")
    finally:
        for server in servers:
            server.stop()

    line = [given.stead, "swap", "back squat", "--sore", "low-back", "--gym", "loft", "--json"]
    starts = {"server to first answer": [], "one answer on the command line": [], "a process that does nothing": []}
    for _ in range(21):
        starts["server to first answer"].append(cold_start(given.stead, bodies[0]))
        starts["one answer on the command line"].append(process_time(line))
        starts["a process that does nothing"].append(process_time(["true"]))
    print("\ncold start, medians of 21")
    nothing = statistics.median(starts["a process that does nothing"])
    for name, times in starts.items():
        print(f"  {name}: {statistics.median(times):.2f} ms, {statistics.median(times) / nothing:.1f} times nothing")
    os.unlink(file.name)


if __name__ == "__main__":
    main()
