"""Writes what the fuzz targets start from, out of the tests: `python3 fuzz/seed.py`.

Then, of one target (the sanitizer needs what is not stable yet, hence the variable):

    RUSTC_BOOTSTRAP=1 cargo fuzz run request -- -max_total_time=600
"""

import json
import os
import re

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..")


def read(path):
    with open(os.path.join(ROOT, path), encoding="utf-8") as file:
        return file.read()


def below(folder, end):
    for top, _, names in sorted(os.walk(os.path.join(ROOT, folder))):
        for name in sorted(names):
            if name.endswith(end):
                yield os.path.relpath(os.path.join(top, name), ROOT)


def seed(target, texts):
    folder = os.path.join(ROOT, "fuzz", "corpus", target)
    os.makedirs(folder, exist_ok=True)
    texts = list(texts)
    for at, text in enumerate(texts):
        with open(os.path.join(folder, f"seed-{at:04}"), "wb") as file:
            file.write(text if isinstance(text, bytes) else text.encode())
    print(f"{target}: {len(texts)}")


def requests():
    questions = re.findall(r'"([^"]+)"', read("fuzz/fuzz_targets/request.rs").split("QUESTIONS: &[&str] = &[")[1].split("]")[0])
    examples = read("src/http/openapi/examples.rs") + read("tests/all/service.rs") + read("tests/all/http.rs")
    bodies = re.findall(r'r#"(\{.*?\})"#', examples)
    for at in range(len(questions)):
        for body in bodies:
            yield bytes([at]) + body.encode()


def bases():
    files = sorted(os.path.relpath(p, "tests/mini") for p in below("tests/mini", ".json"))
    for at, path in enumerate(files):
        yield bytes([at]) + read(os.path.join("tests/mini", path)).encode()
    for path in below("tests/broken", ".json"):
        inside = path.split(os.sep, 3)[3]
        if inside in files:
            yield bytes([files.index(inside)]) + read(path).encode()


def weeks():
    for folder in ("examples/weeks", "tests/fixtures/weeks"):
        for path in below(folder, ".csv"):
            yield read(path)
    yield "Tag;exercise;sets;reps;load\nMo;back squat;5;8 to 10;82,5\n"
    yield "\ufeffday,exercise,sets,reps,load,unit,rir,weeks-on\n1,\"row, bent over\",3,30s,2x20,lb,1.5,4\n"


def names():
    yield from read("tests/fixtures/names.txt").splitlines()
    for path in below("kb/exercises", ".json"):
        for record in json.loads(read(path))["exercises"][:20]:
            yield from record.get("aliases", [])[:3]


seed("request", requests())
seed("base", bases())
seed("week", weeks())
seed("names", names())
