"""Runs the example clients of README.md against a real server, and compares what they print.

    readme_clients.py PROGRAM

The section "For other programs" has one block for curl, one for Python and one for JavaScript. Each
is run as it stands: it must print what the reply to its question holds, as the command line gives
it. Then the same block with a gym misspelt, which must fail and name the right one, and with a
warning sign, after which it must print what to do and no exercise.
"""

import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile

README = pathlib.Path(__file__).parents[2] / "README.md"
SECTION = "## For other programs"
# The first word after the fence, the program that runs the block, and the ending of its file.
LANGUAGES = {"sh": (["sh"], ".sh"), "python": ([sys.executable, "-I"], ".py"), "js": (["node"], ".mjs")}
SWAP = ["swap", "back squat", "--sore", "low-back=4", "--gym", "boathouse", "--top", "3", "--json"]
SIGN = "chest-pain"
WAIT_S = 60


def hold(what, condition, *shown):
    if not condition:
        raise SystemExit(f"does not hold: {what}; {' '.join(str(s)[:1500] for s in shown)}")


def blocks():
    """The blocks of the section by language, of each language one."""
    text = README.read_text(encoding="utf-8")
    hold("README.md has the section once", text.count(f"\n{SECTION}\n") == 1)
    section = text.split(f"\n{SECTION}\n")[1].split("\n## ")[0]
    found = re.findall(r"^```(\w+)\n(.*?)^```$", section, re.MULTILINE | re.DOTALL)
    hold("one block a language", sorted(word for word, _ in found) == sorted(LANGUAGES), [word for word, _ in found])
    return dict(found)


def lines(reply):
    """What the Python and the JavaScript client print of a reply."""
    told = [f"! {sign['action']}" for sign in reply["signs"]]
    for substitute in reply["substitutes"]:
        told.append(f"{substitute['score']:.1f} {substitute['name']}: {', '.join(substitute['reasons'])}")
        told.extend(f"  ! {caution}" for caution in substitute["cautions"])
    return told + [f"! {caution}" for caution in reply["cautions"]]


def printed(program, *more):
    """What the command line prints for the question of the blocks."""
    done = subprocess.run([program, *SWAP, *more], capture_output=True, timeout=WAIT_S)
    hold("the command line answers", done.returncode in (0, 1) and not done.stderr, done.stderr)
    return done.stdout.decode("utf-8")


def run(language, block, address, folder):
    command, ending = LANGUAGES[language]
    path = pathlib.Path(folder) / f"client{ending}"
    path.write_text(block, encoding="utf-8")
    keep = {name: value for name, value in os.environ.items() if not name.lower().endswith("_proxy")}
    try:
        done = subprocess.run(
            [*command, str(path)],
            capture_output=True,
            timeout=WAIT_S,
            env={**keep, "STEAD_URL": address, "PYTHONIOENCODING": "utf-8"},
        )
    except FileNotFoundError:
        raise SystemExit(f"the {language} client needs {command[0]}, which is not installed") from None
    return done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8")


def changed(language, block, old, new):
    hold(f"the {language} client asks with {old} once", block.count(old) == 1, block)
    return block.replace(old, new)


def check(language, block, program, address, folder):
    def says(code, said, *more):
        text = printed(program, *more)
        hold(f"the {language} client ends well", code == 0, code, said)
        if language == "sh":
            hold("the curl client prints the reply", said == text.rstrip("\n"), said, text)
        else:
            hold(f"the {language} client prints the reply", said.splitlines() == lines(json.loads(text)), said)

    code, out, err = run(language, block, address, folder)
    hold(f"the {language} client complains of nothing", not err, err)
    says(code, out)
    hold(f"the {language} client shows substitutes and cautions", "split squat" in out and "not a diagnosis" in out, out)

    code, out, err = run(language, changed(language, block, "boathouse", "boathuose"), address, folder)
    said = out + err
    hold(f"the {language} client fails on a wrong gym", code != 0, out)
    for part in ("boathuose", "/gym", "boathouse"):
        hold(f"the {language} client names {part}", part in said, said)
    hold(f"the {language} client shows no trace of itself", "Traceback" not in said and "    at " not in said, said)

    top, signs = ('"top": 3', '"signs"') if language != "js" else ("top: 3", "signs")
    code, out, err = run(language, changed(language, block, top, f'{top}, {signs}: ["{SIGN}"]'), address, folder)
    says(code, out, "--sign", SIGN)
    hold(f"the {language} client tells of the emergency", "emergency" in out and "squat" not in out, out)


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    clients = blocks()
    server = subprocess.Popen([program, "serve", "--listen", "127.0.0.1:0"], stderr=subprocess.PIPE, text=True)
    try:
        address = None
        for line in server.stderr:
            address = re.search(r"http://127\.0\.0\.1:\d+", line)
            if address:
                break
        hold("the server says where it listens", address)
        with tempfile.TemporaryDirectory() as folder:
            for language, block in clients.items():
                check(language, block, program, address.group(), folder)
                print(f"{language}: as the command line, refused and in an emergency as well")
    finally:
        server.terminate()
        server.wait(timeout=WAIT_S)


if __name__ == "__main__":
    main()
