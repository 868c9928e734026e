"""Two servers of one base behind nginx: the same bytes, the same tags, and one of them stopped
without a failed request. Uses deploy/nginx.conf with other ports; needs nginx on the path.
"""

import asyncio
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time

from common import SWAP, Client, Server, arguments, check, end, request

asked = arguments(__doc__)
HERE = os.path.dirname(os.path.abspath(__file__))
NGINX = shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin:/usr/local/sbin")


class Proxy:
    host = "127.0.0.1"

    def __init__(self, folder, servers):
        with socket.socket() as free:
            free.bind((self.host, 0))
            self.port = free.getsockname()[1]
        with open(os.path.join(HERE, "../../deploy/nginx.conf"), encoding="utf-8") as file:
            text = file.read()
        text = text.replace("listen 8080", f"listen {self.host}:{self.port}")
        for given, server in zip((8081, 8082), servers, strict=True):
            text = text.replace(f"127.0.0.1:{given}", f"127.0.0.1:{server.port}")
        # What the distribution's own configuration would say of where files go.
        temporary = "".join(
            f"    {name}_temp_path {folder}/{name};\n" for name in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
        )
        text = text.replace("http {\n", f"http {{\n    access_log off;\n{temporary}", 1)
        path = os.path.join(folder, "nginx.conf")
        with open(path, "w", encoding="utf-8") as file:
            file.write(f"pid {folder}/pid;\nerror_log {folder}/error.log;\ndaemon off;\n{text}")
        self.process = subprocess.Popen([NGINX, "-p", folder, "-c", path], stderr=subprocess.DEVNULL)
        until = time.monotonic() + 10
        while time.monotonic() < until:
            try:
                socket.create_connection((self.host, self.port), 1).close()
                return
            except OSError:
                time.sleep(0.1)
        with open(f"{folder}/error.log", encoding="utf-8") as log:
            sys.exit(f"nginx does not start: {log.read()}")


async def main(folder):
    options = ("--proxies", "127.0.0.1", "--drain", "2", "--log", "text")
    with Server(asked.program, *options) as first, Server(asked.program, *options) as second:
        proxy = Proxy(folder, (first, second))
        questions = [
            request("GET", "/v1/exercises/back-squat"),
            request("GET", "/v1/terms", headers=["accept-encoding: gzip"]),
            request("GET", "/v1/base/export?as=csv"),
            request("GET", "/openapi.json"),
            request("POST", "/v1/swap", SWAP),
        ]
        for question in questions:
            replies = [await Client(at).ask(question) for at in (first, second, proxy, proxy)]
            check(all(r[0] == 200 for r in replies), f"statuses {[r[0] for r in replies]}")
            check(len({r[2] for r in replies}) == 1, f"bytes differ: {question[:40]!r}")
            tags = {r[1].get("etag") for r in replies}
            check(len(tags) == 1, f"tags differ: {tags}")
            tag = tags.pop()
            if tag:
                held = question.replace(b"host: boathouse", f"host: boathouse\r\nif-none-match: {tag}".encode())
                for at in (first, second, proxy, proxy):
                    status, headers, _ = await Client(at).ask(held)
                    check((status, headers.get("etag")) == (304, tag), f"{status} {headers.get('etag')} for {tag}")
        for path in ("/metrics", "/v1/admin/reload"):
            status, _, _ = await Client(proxy).ask(request("POST" if "admin" in path else "GET", path))
            check(status in (404, 405), f"{path} is open through nginx: {status}")
        statuses, lost, over = {}, [], asyncio.Event()

        async def ask(question):
            client = Client(proxy)
            while not over.is_set():
                try:
                    status, _, _ = await client.ask(question)
                    statuses[status] = statuses.get(status, 0) + 1
                except (OSError, asyncio.IncompleteReadError) as e:
                    lost.append(repr(e))
                    client.close()
            client.close()

        async def stop():
            await asyncio.sleep(2)
            second.signal(signal.SIGTERM)
            code = await asyncio.to_thread(second.process.wait, 40)
            check(code == 0, f"the second ended with {code}")
            await asyncio.sleep(3)
            over.set()

        await asyncio.gather(*(ask(q) for q in questions[:2] + questions[4:] for _ in range(4)), stop())
        counted = [re.search(r"route=\"/v1/swap\",method=\"POST\",status=\"200\"} (\d+)", page) for page in
                   [(await Client(first).ask(request("GET", "/metrics")))[2].decode()]]
        print(f"  {statuses} through nginx while one of two stopped, {len(lost)} lost; the first answered "
              f"{counted[0].group(1) if counted[0] else 0} swaps")
        check(set(statuses) == {200}, f"statuses {statuses}")
        check(not lost, f"lost: {lost[:3]}")
        proxy.process.send_signal(signal.SIGQUIT)
        proxy.process.wait(20)


if NGINX is None:
    sys.exit("no nginx here; apt-get install -y nginx brings it")
with tempfile.TemporaryDirectory() as kept:
    os.chmod(kept, 0o755)
    asyncio.run(main(kept))
end("replicas")
