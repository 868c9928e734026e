// A server and a browser for the tests, and the rules that every page of every test keeps: nothing
// asked outside its own origin, no error in the console.

import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

const FLAGS = [
  "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
  "--disable-background-networking", "--disable-component-update", "--disable-sync",
];

/** Starts the program; `stop` ends it and frees the port, `again` starts it there once more. */
export async function server(port = 0) {
  const child = spawn(process.env.STEAD, ["serve", "--listen", `127.0.0.1:${port}`], { stdio: ["ignore", "ignore", "pipe"] });
  const at = await new Promise((resolve, reject) => {
    let said = "";
    child.stderr.on("data", (bytes) => {
      said += bytes;
      const found = /listening on (http:\/\/127\.0\.0\.1:(\d+))/.exec(said);
      if (found) resolve({ url: found[1], port: Number(found[2]) });
    });
    child.on("exit", () => reject(new Error(`the server did not start: ${said}`)));
  });
  return {
    ...at,
    stop: () => new Promise((done) => {
      child.on("exit", done);
      child.kill("SIGKILL");
    }),
    again: () => server(at.port),
  };
}

/** A browser with a profile of its own. */
export async function browser() {
  const profile = mkdtempSync(join(tmpdir(), "stead-page-"));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: process.env.CHROMIUM || "/usr/bin/chromium", args: FLAGS, headless: true, chromiumSandbox: false,
  });
  const shared = context.browser() || context;
  return {
    /** A fresh context: nothing kept, a window of this size. */
    context: (options = {}) => shared.newContext({ viewport: { width: 1280, height: 900 }, ...options }),
    close: async () => {
      await context.close();
      rmSync(profile, { recursive: true, force: true });
    },
  };
}

/** Opens an address and watches the page. `quiet()` fails on an error or a request to elsewhere. */
export async function open(context, url) {
  const page = await context.newPage();
  const origin = new URL(url).origin;
  const faults = [];
  page.on("pageerror", (error) => faults.push(`error: ${error.message}`));
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) faults.push(`console: ${message.text()}`);
  });
  page.on("request", (request) => {
    if (new URL(request.url()).origin !== origin) faults.push(`asked elsewhere: ${request.url()}`);
  });
  page.quiet = (allowed = /^$/) => assert.deepEqual(faults.filter((f) => !allowed.test(f)), []);
  await page.goto(url);
  await page.waitForSelector("#emergency-signs input");
  return page;
}

/** Accessibility rules that the page breaks, each with where. */
export async function broken(page) {
  await page.evaluate(AXE);
  const found = await page.evaluate(() =>
    axe.run(document, { resultTypes: ["violations"], runOnly: { type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"] } }));
  assert.ok(found.passes.length > 20, "the rules were run");
  return found.violations.flatMap((v) => v.nodes.map((n) => `${v.id}: ${n.target.join(" ")}: ${n.failureSummary.split("\n")[1] || ""}`));
}

/** Asks the server itself. */
export async function ask(url, path, question) {
  const reply = await fetch(url + path, question
    ? { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(question) }
    : {});
  return reply.json();
}

/** Text of every element that a selector finds. */
export const texts = (page, selector) => page.$$eval(selector, (nodes) => nodes.map((n) => n.textContent.trim()));
