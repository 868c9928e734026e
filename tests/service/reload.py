"""A reload under load fails no request: each reply is whole and of one base, and a broken base
leaves the one before in its place.
"""

import asyncio
import json
import os
import signal
import tempfile
import time

from common import SWAP, Client, Server, arguments, check, end, request

asked = arguments(__doc__)
NAMES = ["Row under the loom", "Row below the loom"]


def write(folder, name, like="inverted-row-bar"):
    record = {"id": "oar-loom-row", "like": like, "name": name, "aliases": [], "equipment": [["rack"]]}
    path = os.path.join(folder, "exercises", "boathouse.json")
    with open(f"{path}.new", "w", encoding="utf-8") as file:
        json.dump({"family": "boathouse", "exercises": [record]}, file)
    os.replace(f"{path}.new", path)


async def main(folder):
    with Server(asked.program, "--overlay", folder, "--log", "text") as server:
        seen, tags, statuses, over = {}, {}, {}, asyncio.Event()

        async def ask():
            client = Client(server)
            while not over.is_set():
                status, headers, body = await client.ask(request("GET", "/v1/exercises/oar-loom-row"))
                statuses[status] = statuses.get(status, 0) + 1
                reply = json.loads(body)
                stamp, name = reply["base"]["stamp"], reply["exercise"]["name"]
                check(seen.setdefault(stamp, name) == name, f"base {stamp} has two names of one exercise")
                check(tags.setdefault(headers["etag"], body) == body, f"two replies of one tag {headers['etag']}")
                status, _, body = await client.ask(request("POST", "/v1/swap", SWAP))
                statuses[status] = statuses.get(status, 0) + 1
                json.loads(body)
            client.close()

        async def exchange():
            client = Client(server)
            reload = request("POST", "/v1/admin/reload")
            began = time.monotonic()
            rounds = 0
            while rounds < 4 or (asked.long and time.monotonic() - began < 60):
                rounds += 1
                write(folder, NAMES[rounds % 2])
                if rounds % 4 == 3:
                    server.signal(signal.SIGHUP)
                    count = lambda: sum("reloaded" in line for line in list(server.log))
                    before, until = count(), time.monotonic() + 60
                    while count() == before and time.monotonic() < until:
                        await asyncio.sleep(0.05)
                    check(count() > before, "a hangup does not reload")
                else:
                    status, _, body = await client.ask(reload)
                    check(status == 200 and json.loads(body)["changed"], f"a reload: {status} {body[:200]!r}")
                write(folder, NAMES[rounds % 2], like="inverted-row-oar")
                status, _, body = await client.ask(reload)
                problems = json.loads(body).get("problems", [])
                check(status == 409 and problems, f"a broken base: {status} {body[:200]!r}")
            client.close()
            over.set()
            return rounds

        *_, rounds = await asyncio.gather(*(ask() for _ in range(8)), exchange())
        print(f"  {rounds} reloads and as many refused, {statuses} replies, bases {sorted(seen.values())}")
        check(set(statuses) == {200}, f"statuses {statuses}")
        check(sorted(set(seen.values())) == sorted(NAMES), f"names seen {seen}")


with tempfile.TemporaryDirectory() as kept:
    os.mkdir(os.path.join(kept, "exercises"))
    write(kept, NAMES[0])
    asyncio.run(main(kept))
end("reload")
