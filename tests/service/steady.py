"""As fast as a client can ask, every question is answered, and memory stays flat."""

import asyncio

from common import SWAP, Client, Server, arguments, check, end, request, saturate

asked = arguments(__doc__)
SECONDS = 60 if asked.long else 6


async def main():
    with Server(asked.program, "--log", "off") as server:
        # What is made once, on first use, is made before it is measured.
        await saturate(server, request("POST", "/v1/swap", SWAP), 2)
        client = Client(server)
        for path in ("/v1/find?text=row", "/v1/base/export", "/openapi.json"):
            await client.ask(request("GET", path))
        client.close()
        start = server.memory_kb()
        third = SECONDS / 3
        total, lost_all = {}, []
        for data in (
            request("POST", "/v1/swap", SWAP),
            request("GET", "/v1/exercises/back-squat", headers=["accept-encoding: gzip"]),
            request("POST", "/v1/batch", {"questions": [{"question": "swap", "body": SWAP}] * 10}),
        ):
            statuses, lost = await saturate(server, data, third)
            lost_all += lost
            for status, count in statuses.items():
                total[status] = total.get(status, 0) + count
        grown = server.memory_kb() - start
        print(f"  {total} in {SECONDS} s, lost {len(lost_all)}, memory {start} kB and {grown:+} kB")
        check(not lost_all, f"lost: {lost_all[:3]}")
        check(set(total) == {200}, f"statuses {total}")
        check(grown < 16_384, f"memory grew by {grown} kB")


asyncio.run(main())
end("steady")
