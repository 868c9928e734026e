"""Slow, huge, truncated and malformed requests, and a thousand idle connections, cost nobody else
an answer: each is refused or let go, and the server goes on.
"""

import asyncio
import json
import socket
import struct
import time

from common import SWAP, Client, Server, arguments, check, end, read_reply, request

asked = arguments(__doc__)
HEAD = "POST /v1/swap HTTP/1.1\r\nhost: boathouse\r\ncontent-type: application/json\r\n"


async def raw(server, data, patience=8.0, rest=b"", pause=0.0):
    """Sends bytes as they are; everything that comes back until the server closes or patience ends."""
    reader, writer = await asyncio.open_connection(server.host, server.port)
    got = b""
    ended = False
    try:
        writer.write(data)
        await writer.drain()
        if rest:
            await asyncio.sleep(pause)
            writer.write(rest)
        async with asyncio.timeout(patience):
            while part := await reader.read(65536):
                got += part
            ended = True
    except TimeoutError:
        pass
    except OSError:
        ended = True
    writer.close()
    return got, ended


def status(got):
    return int(got.split(b" ")[1]) if got.startswith(b"HTTP/1.1 ") else None


async def well(server, what):
    """Somebody else is answered all the same."""
    client = Client(server)
    try:
        async with asyncio.timeout(5):
            code, _, _ = await client.ask(request("POST", "/v1/swap", SWAP))
        check(code == 200, f"{what}: another client gets {code}")
    except (OSError, TimeoutError, asyncio.IncompleteReadError) as e:
        check(False, f"{what}: another client gets {e!r}")
    client.close()


async def slow(server):
    got, ended = await raw(server, b"GET /healthz HTT")
    check(ended and status(got) in (None, 408), f"a head that does not end: {got[:60]!r}, closed {ended}")
    got, ended = await raw(server, f"{HEAD}content-length: 9\r\n\r\n{{".encode())
    check(ended and status(got) == 408, f"a body that does not end: {got[:60]!r}, closed {ended}")
    got, ended = await raw(server, b"")
    check(ended, "a connection that says nothing is kept")


async def huge(server):
    for length in ("1000000000", "18446744073709551615"):
        got, ended = await raw(server, f"{HEAD}content-length: {length}\r\n\r\n{{".encode())
        check(ended and status(got) == 413, f"a body of {length}: {got[:60]!r}, closed {ended}")
    chunk = b"10000\r\n" + b" " * 0x10000 + b"\r\n"
    got, ended = await raw(server, f"{HEAD}transfer-encoding: chunked\r\n\r\n".encode() + chunk * 4)
    check(ended and status(got) in (413, None), f"chunks without an end: {got[:60]!r}, closed {ended}")
    for name, head in (
        ("an address", f"GET /v1/find?text={'a' * 60_000} HTTP/1.1\r\nhost: boathouse\r\n\r\n"),
        ("a header", f"GET /healthz HTTP/1.1\r\nhost: boathouse\r\nx-oars: {'a' * 60_000}\r\n\r\n"),
        ("an address without an end", f"GET /{'a' * 400_000}"),
        ("two hundred headers", "GET /healthz HTTP/1.1\r\nhost: a\r\n" + "x-a: b\r\n" * 200 + "\r\n"),
    ):
        got, ended = await raw(server, head.encode())
        check(ended and status(got) in (None, 400, 431, 413, 414), f"{name}: {got[:60]!r}, closed {ended}")


async def truncated(server):
    body = json.dumps(SWAP).encode()
    whole = request("POST", "/v1/swap", SWAP)
    for at in range(0, len(whole), 7):
        with socket.create_connection((server.host, server.port)) as stream:
            stream.sendall(whole[:at])
            if at % 2:
                # A reset in place of an orderly end.
                stream.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    got, _ = await raw(server, f"{HEAD}content-length: {len(body)}\r\nconnection: close\r\n\r\n".encode() + body[:-5])
    check(status(got) in (None, 400, 408), f"a body cut off: {got[:60]!r}")


async def malformed(server):
    cases = {
        "noise": bytes(range(256)) * 4,
        "a TLS hello": b"\x16\x03\x01\x00\xa5\x01\x00\x00\xa1\x03\x03" + b"\x00" * 160,
        "no version": b"GET /healthz\r\n\r\n",
        "version nine": b"GET /healthz HTTP/9.9\r\nhost: a\r\n\r\n",
        "a space in a name": b"GET /healthz HTTP/1.1\r\nho st: a\r\n\r\n",
        "a zero byte": b"GET /healthz HTTP/1.1\r\nhost: a\r\nx-a: a\x00b\r\n\r\n",
        "a broken line": b"GET /healthz HTTP/1.1\r\nhost: a\r\nx-a\r\n\r\n",
        "no host": b"GET /healthz HTTP/1.1\r\n\r\n",
        "a length below nothing": f"{HEAD}content-length: -5\r\n\r\n{{}}".encode(),
        "a length in words": f"{HEAD}content-length: five\r\n\r\n{{}}".encode(),
        "two lengths": f"{HEAD}content-length: 2\r\ncontent-length: 4\r\n\r\n{{}}".encode(),
        "length and chunks": f"{HEAD}content-length: 4\r\ntransfer-encoding: chunked\r\n\r\n0\r\n\r\n".encode(),
        "chunks of no size": f"{HEAD}transfer-encoding: chunked\r\n\r\noars\r\n".encode(),
        "an unknown coding": f"{HEAD}transfer-encoding: oars\r\n\r\n{{}}".encode(),
        "a path out of the root": b"GET /../../etc/passwd HTTP/1.1\r\nhost: a\r\nconnection: close\r\n\r\n",
        "escapes of no letters": b"GET /%ff%00%c0%af HTTP/1.1\r\nhost: a\r\nconnection: close\r\n\r\n",
    }
    for name, data in cases.items():
        got, ended = await raw(server, data)
        code = status(got)
        good = code is None or 400 <= code < 500 or (name == "no host" and code == 200)
        check(good and ended, f"{name}: {got[:80]!r}, closed {ended}")
    bodies = {
        "nested": b"[" * 60_000,
        "nested members": b'{"gym":' * 8_000,
        "a long number": b'{"top":' + b"9" * 60_000 + b"}",
        "a far exponent": b'{"exercise":"deadlift","top":1e999999999}',
        "many members": b"{" + b",".join(b'"a%d":1' % i for i in range(6_000)) + b"}",
        "the same member": b"{" + b",".join([b'"exercise":"deadlift"'] * 2_500) + b"}",
        "half a letter": b'{"exercise":"\xc3"}',
        "half a pair": b'{"exercise":"\\ud800"}',
        "a mark in front": b'\xef\xbb\xbf{"exercise":"deadlift"}',
    }
    for name, body in bodies.items():
        got, _ = await raw(server, f"{HEAD}content-length: {len(body)}\r\nconnection: close\r\n\r\n".encode() + body)
        code = status(got)
        check(code is not None and 400 <= code < 500, f"a body, {name}: {got[:80]!r}")


async def pipelined(server):
    data = request("GET", "/v1/terms/gyms") * 50
    reader, writer = await asyncio.open_connection(server.host, server.port)
    writer.write(data)
    async with asyncio.timeout(20):
        replies = [await read_reply(reader) for _ in range(50)]
    writer.close()
    check(all(r[0] == 200 and r[2] == replies[0][2] for r in replies), "requests sent ahead are not all answered")


async def idle(server, count):
    before = server.open_files()
    streams = [await asyncio.open_connection(server.host, server.port) for _ in range(count)]
    for _, writer in streams[::2]:
        writer.write(request("GET", "/healthz"))
    began = time.monotonic()
    for _ in range(20):
        await well(server, f"{count} idle connections")
    print(f"  {count} idle connections: 20 others answered in {time.monotonic() - began:.2f} s, {server.memory_kb()} kB")
    until = time.monotonic() + 20
    while server.open_files() > before + 5 and time.monotonic() < until:
        await asyncio.sleep(0.25)
    check(server.open_files() <= before + 5, f"{server.open_files() - before} idle connections are kept")
    for _, writer in streams:
        writer.close()


async def main():
    with Server(asked.program, "--head-wait", "1", "--body-wait", "1", "--idle-wait", "2", "--log", "text") as server:
        await well(server, "at the start")
        for part in (slow, huge, truncated, malformed, pipelined):
            print(f"  {part.__name__}", flush=True)
            await part(server)
            await well(server, part.__name__)
        await idle(server, 5000 if asked.long else 1000)
        await well(server, "at the end")


asyncio.run(main())
end("hostile")
