"""SIGTERM under load loses no accepted request: while the server drains it answers everybody and
closes each connection behind a reply; a body half sent may be finished; then the process ends with 0.
"""

import asyncio
import json
import signal
import time

from common import SWAP, Client, Server, arguments, check, end, request

asked = arguments(__doc__)


async def once(program, drain, clients):
    server = Server(program, "--drain", str(drain), "--log", "text")
    answered, lost, stopping = 0, [], asyncio.Event()

    async def busy(client):
        nonlocal answered
        # As whatever spreads the load does it: it keeps a connection until it is closed, and opens
        # no other one to a server that is stopping.
        while not (client.closed_by_server and stopping.is_set()):
            client.closed_by_server = False
            try:
                status, _, body = await client.ask(request("POST", "/v1/swap", SWAP))
                if status != 200 or not json.loads(body)["substitutes"]:
                    lost.append(f"{status} {body[:80]!r}")
                answered += 1
            except (OSError, asyncio.IncompleteReadError, json.JSONDecodeError) as e:
                lost.append(repr(e))
                return

    async def half():
        """A body of which half arrives before the signal."""
        reader, writer = await asyncio.open_connection(server.host, server.port)
        data = request("POST", "/v1/swap", SWAP)
        writer.write(data[:-10])
        await stopping.wait()
        await asyncio.sleep(drain + 0.5)
        writer.write(data[-10:])
        got = await reader.read()
        if not got.startswith(b"HTTP/1.1 200 "):
            lost.append(f"half a body: {got[:80]!r}")

    async def stop():
        await asyncio.sleep(1)
        stopping.set()
        server.signal(signal.SIGTERM)
        if drain:
            await asyncio.sleep(0.3)
            status, _, _ = await Client(server).ask(request("GET", "/readyz"))
            check(status == 503, f"a stopping server is ready: {status}")

    began = time.monotonic()
    await asyncio.gather(*(busy(Client(server)) for _ in range(clients)), *(half() for _ in range(4)), stop())
    code = await asyncio.to_thread(server.process.wait, 40)
    print(f"  drain {drain} s: {answered} answered, {len(lost)} lost, ended with {code} after {time.monotonic() - began:.1f} s")
    check(code == 0, f"it ended with {code}")
    check(not lost, f"lost: {lost[:3]}")
    check(answered > 0, "nobody was answered")
    check(not server.faults(), f"the log tells of faults: {server.faults()[:3]}")


for run in range(10 if asked.long else 1):
    asyncio.run(once(asked.program, 1, 16))
    asyncio.run(once(asked.program, 0, 16))
end("stop")
