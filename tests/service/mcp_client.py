"""Asks `stead mcp` with the official client library of the Model Context Protocol, and compares.

    mcp_client.py PROGRAM

Every tool is listed with schemas that are ones, and asked the questions of `questions.json`; each
reply must be the one that the command line prints with `--json`. Wrong questions, an emergency, a
tool that does not exist and an input that ends are tried as well. All of it once with the older
handshake and once with the newer opening of the protocol.

In a command of `questions.json`, `{csv}` and `{gym}` stand for a file that holds that argument.
"""

import asyncio
import json
import pathlib
import subprocess
import sys
import tempfile

import jsonschema
from mcp import Client, MCPError, StdioServerParameters
from mcp.client.stdio import stdio_client

FOLDER = pathlib.Path(__file__).parent
QUESTIONS = json.loads((FOLDER / "questions.json").read_text(encoding="utf-8"))
# JSON-RPC 2.0: "Invalid method parameter(s)", which the specification asks for where a tool is unknown.
INVALID_PARAMS = -32602
WAIT_S = 60


def hold(what, condition, *shown):
    if not condition:
        raise AssertionError(f"does not hold: {what}; {' '.join(str(s)[:600] for s in shown)}")


def printed(program, question, folder):
    """What the command line prints for a question, without the line break at its end."""
    command = []
    for word in question["command"]:
        if word == "{csv}":
            path = folder / "week.csv"
            path.write_text(question["arguments"]["csv"], encoding="utf-8")
            word = str(path)
        elif word == "{gym}":
            path = folder / "gym.json"
            path.write_text(json.dumps(question["arguments"]["gym"]), encoding="utf-8")
            word = str(path)
        command.append(word)
    done = subprocess.run([program, *command, "--json"], capture_output=True, timeout=WAIT_S)
    hold(f"{command} prints an answer", done.returncode in (0, 1) and not done.stderr, done.stderr)
    return done.stdout.decode("utf-8").rstrip("\n")


def texts(value):
    """Every text of a JSON value."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for member in value.values():
            yield from texts(member)
    elif isinstance(value, list):
        for entry in value:
            yield from texts(entry)


def check_listing(tools):
    hold("tools", len({tool.name for tool in tools}) == len(tools), [tool.name for tool in tools])
    asked = {question["tool"] for question in QUESTIONS}
    hold("every tool has a question in questions.json", {t.name for t in tools} == asked, {t.name for t in tools} ^ asked)
    for tool in tools:
        hold(tool.name, tool.title and tool.description, "has no title or description")
        hold(tool.name, tool.annotations.read_only_hint is True, tool.annotations)
        for schema in (tool.input_schema, tool.output_schema):
            hold(tool.name, schema["type"] == "object", "a schema is not that of an object")
            hold(tool.name, schema["$schema"] == "https://json-schema.org/draft/2020-12/schema", schema["$schema"])
            jsonschema.Draft202012Validator.check_schema(schema)


async def check_answers(client, program, tools, folder):
    """Every reply is the one of the command line, keeps its schema and carries the cautions."""
    words = json.loads(subprocess.run([program, "kb", "export"], check=True, capture_output=True).stdout)
    always = [caution["text"] for caution in words["cautions"]["always"]]
    hold("the base has cautions", always)
    hold("the instructions carry the cautions", all(text in client.instructions for text in always), client.instructions)
    for sign in words["cautions"]["signs"]:
        if sign["urgency"] == "emergency":
            hold("the instructions name every emergency", sign["text"] in client.instructions, sign)
    for question in QUESTIONS:
        name, arguments = question["tool"], question["arguments"]
        wrong = [e.message for e in jsonschema.Draft202012Validator(tools[name].input_schema).iter_errors(arguments)]
        hold(f"{name}: {arguments} keeps the schema", not wrong, wrong)
        # The library holds the structured content to the tool's schema by itself.
        result = await client.call_tool(name, arguments)
        hold(f"{name} answers", not result.is_error, result.content)
        expected = printed(program, question, folder)
        hold(f"{name}: structured content", result.structured_content == json.loads(expected), expected)
        hold(f"{name}: text", result.content[0].text == expected, result.content[0].text)
        shown = list(texts(result.structured_content)) + [block.text for block in result.content[1:]]
        for caution in always:
            hold(f"{name} carries its cautions", any(caution in text for text in shown), caution)
    ids = {exercise["id"] for exercise in words["exercises"]}
    with_signs = [tool for tool in tools.values() if "signs" in tool.input_schema["properties"]]
    hold("tools that take signs", len(with_signs) >= 6, [tool.name for tool in with_signs])
    for tool in with_signs:
        question = next(q for q in QUESTIONS if q["tool"] == tool.name)
        result = await client.call_tool(tool.name, {**question["arguments"], "signs": ["chest-pain"]})
        signs = result.structured_content["signs"]
        hold(f"{tool.name} in an emergency", signs[0]["urgency"] == "emergency" and "emergency" in signs[0]["action"], signs)
        hold(f"{tool.name} in an emergency: one text", len(result.content) == 1, result.content)
        named = ids.intersection(texts(result.structured_content))
        hold(f"{tool.name} in an emergency names no exercise", not named, named)


async def check_refusals(client, tools):
    """A wrong question is an error of the tool, with the place and the way out."""

    async def refused(name, arguments):
        result = await client.call_tool(name, arguments)
        hold(f"{name} refuses {arguments}", result.is_error and result.structured_content is None, result)
        problem = json.loads(result.content[0].text)
        hold(f"{name}: the problem has its members", {"code", "detail", "pointer", "nearest"} <= problem.keys(), problem)
        return problem

    for name in tools:
        problem = await refused(name, {"boat": 1})
        hold(f"{name}: a member that it has not", problem["pointer"] == "/boat" and problem["nearest"], problem)
    problem = await refused("swap", {"exercise": "back squat", "gym": "slipwya"})
    hold("gym", (problem["pointer"], problem["nearest"]) == ("/gym", ["slipway"]) and "slipwya" in problem["detail"], problem)
    problem = await refused("swap", {"exercise": "back squat", "sore": [{"region": "kne"}]})
    hold("region", problem["pointer"] == "/sore/0/region" and "knee" in problem["nearest"], problem)
    problem = await refused("swap", {"exercise": "bakc sqat xyz"})
    hold("exercise", problem["pointer"] == "/exercise" and problem["code"] == "unknown-exercise", problem)
    problem = await refused("forces", {"exercise": "deadlift", "load_kg": "heavy"})
    hold("type", problem["pointer"] == "/load_kg" and problem["code"] == "malformed-request", problem)
    problem = await refused("week_audit", {"csv": "day,exercise,sets,reps\nMon,back squat,many,5\n"})
    hold("cells", problem["code"] == "wrong-cells" and problem["cells"], problem)
    problem = await refused("show", {})
    hold("nothing named", problem["pointer"] == "/exercise", problem)
    try:
        result = await client.call_tool("swop", {})
        hold("an unknown tool is an error of the protocol", False, result)
    except MCPError as error:
        hold("unknown tool", error.code == INVALID_PARAMS and "swap" in error.message, error)


async def talk(program, mode, folder):
    """One conversation, from the opening to a clean end."""
    ended, said = folder / f"ended-{mode}", folder / f"said-{mode}"
    keep_code = ["-c", '"$0" mcp; echo $? > "$1"', program, str(ended)]
    with open(said, "w", encoding="utf-8") as log:
        transport = stdio_client(StdioServerParameters(command="sh", args=keep_code), errlog=log)
        async with Client(transport, mode=mode, read_timeout_seconds=WAIT_S) as client:
            hold("name", client.server_info.name == "stead", client.server_info)
            listed = (await client.list_tools()).tools
            check_listing(listed)
            tools = {tool.name: tool for tool in listed}
            await check_answers(client, program, tools, folder)
            await check_refusals(client, tools)
            version = client.protocol_version
    hold("a closed input ends it well", ended.read_text().strip() == "0", ended.read_text())
    hold("nothing is said beside the protocol", said.read_text(encoding="utf-8") == "", said.read_text(encoding="utf-8"))
    print(f"protocol {version}: {len(tools)} tools, {len(QUESTIONS)} questions, as on the command line")
    return version


def innermost(error):
    if isinstance(error, BaseExceptionGroup):
        return [text for inner in error.exceptions for text in innermost(inner)]
    return [f"{type(error).__name__}: {error}"]


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    with tempfile.TemporaryDirectory() as folder:
        try:
            versions = [asyncio.run(talk(program, mode, pathlib.Path(folder))) for mode in ("legacy", "auto")]
        except BaseExceptionGroup as group:
            # The library wraps whatever happens within a conversation, several times over.
            raise SystemExit("\n".join(innermost(group))) from None
    hold("two openings of the protocol", versions[0] < versions[1], versions)


if __name__ == "__main__":
    main()
