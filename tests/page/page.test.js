// The page as a person meets it, in Chromium: each view, by keyboard alone, narrow and wide, dark,
// with the server stopped mid-way, and the accessibility rules of axe-core at zero violations. What
// it shows is compared with what the server answers.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { ask, broken, browser, open, server, texts } from "./harness.js";

let home;
let chrome;
before(async () => {
  home = await server();
  chrome = await browser();
});
after(async () => {
  await chrome?.close();
  await home?.stop();
});

const SQUAT = "#instead?exercise=back-squat-high-bar&sore=low-back:compression=moderate&sore=knee=mild&gym=boathouse";
const QUESTION = {
  exercise: "back-squat-high-bar", gym: "boathouse",
  sore: [{ region: "low-back", aggravator: "compression", level: "moderate" }, { region: "knee", level: "mild" }],
};

/** Opens an address in a window of its own. */
async function at(hash = "", options = {}) {
  const context = await chrome.context(options);
  const page = await open(context, `${home.url}/${hash}`);
  page.setDefaultTimeout(10000);
  return page;
}
const done = (page) => page.context().close();
const answered = (page, view = "instead") => page.waitForSelector(`#${view} .answers:not([aria-busy]) h3`);
const example = () => fetch(`${home.url}/page/example-week.csv`).then((r) => r.text());
const weekHash = async () => `#week?${new URLSearchParams({ gym: "boathouse", week: await example() })}`;

describe("warning signs", () => {
  test("stand first, and one of an emergency leaves the action alone", async () => {
    const page = await at(SQUAT);
    await page.waitForSelector(".card");
    const first = await page.$eval("main", (main) => main.firstElementChild.id);
    assert.equal(first, "signs");
    const words = await ask(home.url, "/v1/terms/signs");
    const emergencies = words.groups[0].words.filter((w) => w.parent === "emergency");
    assert.deepEqual(await texts(page, "#emergency-signs li"), emergencies.map((w) => w.means));

    await page.getByLabel("Chest pain").check();
    assert.equal(await page.isVisible("#views"), false);
    assert.equal(await page.isVisible("#places"), false);
    const shown = await page.$eval("body", (b) => b.innerText);
    assert.match(shown, /Stop\. Call your local emergency number/);
    assert.doesNotMatch(shown, /squat|lunge|wall sit/i);
    assert.equal((await texts(page, "#stop .act-words")).join(), emergencies[0].action);
    assert.deepEqual(await broken(page), []);

    await page.getByLabel("Chest pain").uncheck();
    assert.equal(await page.isVisible("#views"), true);
    assert.equal(await page.isVisible("#stop"), false);
    assert.doesNotMatch(page.url(), /chest/);
    page.quiet();
    await done(page);
  });

  test("are answered within sight on a phone, wherever the box stands", async () => {
    const page = await at("", { viewport: { width: 360, height: 740 } });
    const words = await ask(home.url, "/v1/terms/signs");
    for (const sign of words.groups[0].words.filter((w) => w.parent === "emergency")) {
      await page.locator(`[data-sign="${sign.id}"]`).check();
      const [top, bottom, high] = await page.$eval("#stop .act-words", (n) => [n.getBoundingClientRect().top, n.getBoundingClientRect().bottom, innerHeight]);
      assert.ok(top >= 0 && bottom <= high, `${sign.id}: ${top} to ${bottom} of ${high}`);
      assert.equal(await page.getAttribute("#stop", "role"), "alert");
      await page.locator(`[data-sign="${sign.id}"]`).uncheck();
    }
    await done(page);
  });

  test("hold while a question is under way", async () => {
    const page = await at(SQUAT);
    await page.waitForSelector(".card");
    let release;
    const held = new Promise((resolve) => { release = resolve; });
    await page.route("**/v1/swap", async (route) => {
      await held;
      await route.continue();
    });
    await page.click("button[type=submit]:visible");
    await page.getByLabel("Sudden severe headache").check();
    const late = page.waitForResponse("**/v1/swap");
    release();
    await (await late).finished();
    await page.waitForTimeout(400);
    assert.equal(await page.isVisible("#views"), false);
    assert.doesNotMatch(await page.$eval("body", (b) => b.innerText), /squat|wall sit/i);
    await done(page);
  });

  test("that want a clinician are told and leave the exercises", async () => {
    const page = await at(SQUAT);
    await page.click("#later summary");
    await page.getByLabel("A hot, red joint").check();
    await page.waitForSelector("#stop .act.urgent");
    assert.equal(await page.isVisible("#views"), true);
    await page.waitForSelector(".card");
    await done(page);
  });

  test("can be folded away and shown again", async () => {
    const page = await at();
    await page.click("#no-signs");
    assert.equal(await page.isVisible("#signs"), false);
    assert.match(await page.$eval("#signs-folded", (n) => n.innerText), /Not a diagnosis/);
    await page.click("#show-signs");
    assert.equal(await page.isVisible("#signs"), true);
    await done(page);
  });
});

describe("what instead", () => {
  test("by mouse: search, figure, kit, and the answer that the server gives", async () => {
    const page = await at();
    const field = page.getByRole("combobox", { name: "Exercise to replace" });
    await field.click();
    await field.pressSequentially("romanian dead");
    await page.waitForSelector("[role=option]");
    await page.getByRole("option", { name: /^Barbell Romanian deadlift/ }).click();
    assert.equal(await field.inputValue(), "Barbell Romanian deadlift");

    // A press near the low back, in the drawing seen from behind.
    await page.locator("svg.side").nth(1).scrollIntoViewIfNeeded();
    const back = await page.locator("svg.side").nth(1).boundingBox();
    await page.mouse.click(back.x + back.width * 0.53, back.y + back.height * (222 / 494));
    assert.equal(await page.getByRole("checkbox", { name: "Low back" }).isChecked(), true);
    assert.equal(await page.$eval('[role=button][data-region="low-back"]', (n) => n.getAttribute("aria-pressed")), "true");
    await page.getByRole("radio", { name: /severe/i }).check();
    await page.getByLabel("What brings it on").selectOption({ label: "Worse bending forward, sitting or in the morning?" });
    await page.click("details.panel summary:has-text('The kit')");
    await page.getByRole("radio", { name: /The Boathouse/ }).check();
    await page.click("text=Find what to do instead");
    await page.waitForSelector(".card");

    const reply = await ask(home.url, "/v1/swap", { exercise: "romanian-deadlift-barbell", gym: "boathouse", sore: [{ region: "low-back", level: "severe", aggravator: "flexion" }] });
    assert.deepEqual(await texts(page, ".card h4"), reply.substitutes.map((s) => s.name));
    assert.deepEqual(await texts(page, ".card .score strong"), reply.substitutes.map((s) => String(Math.round(s.score))));
    const cards = await texts(page, ".card");
    reply.substitutes.forEach((s, i) => {
      assert.ok(cards[i].includes(`Keeps ${s.keeps_percent} %`), cards[i]);
      const { from, to } = s.eased[0];
      assert.ok(cards[i].includes(from === to ? `${to} of 4, as before` : `${from} to ${to} of 4`), cards[i]);
      for (const text of [...s.cautions, ...s.cues, ...s.reasons]) assert.ok(cards[i].includes(text), text);
    });
    const told = await page.$eval("#answers", (n) => n.textContent);
    for (const text of [...reply.cautions, ...reply.also_helps.map((h) => h.name), ...reply.refused.map((r) => r.asks)]) {
      assert.ok(told.includes(text), text);
    }
    for (const r of reply.refused) assert.ok(told.includes(`${r.count} by `), r.gate);
    page.quiet();
    await done(page);
  });

  test("pictures say what the records say", async () => {
    const page = await at(SQUAT);
    await page.waitForSelector(".card");
    const { substitutes } = await ask(home.url, "/v1/swap", QUESTION);
    const original = await ask(home.url, "/v1/exercises/back-squat-high-bar");
    const sub = await ask(home.url, `/v1/exercises/${substitutes[1].id}`);
    const rows = await page.$$eval(".card:nth-child(2) .muscles tbody tr", (trs) => trs.map((tr) => ({
      cells: [...tr.querySelectorAll(".number")].map((c) => parseInt(c.textContent, 10)),
      was: Number(tr.querySelector(".bar-was")?.getAttribute("width") || 0),
      now: Number((tr.querySelector(".bar-now") || tr.querySelector(".bar-new"))?.getAttribute("width") || 0),
    })));
    const was = Object.values(original.exercise.muscles).sort((a, b) => b - a).map((w) => Math.round(w * 100));
    assert.deepEqual(rows.slice(0, was.length).map((r) => r.cells[0]), was);
    const kept = Object.keys(original.exercise.muscles).map((m) => Math.round((sub.exercise.muscles[m] || 0) * 100));
    assert.deepEqual(rows.slice(0, was.length).map((r) => r.cells[1]).sort(), kept.sort());
    for (const r of rows) {
      assert.ok(Math.abs(r.was - r.cells[0] * 1.18) < 0.7, JSON.stringify(r));
      assert.ok(Math.abs(r.now - r.cells[1] * 1.18) < 0.7, JSON.stringify(r));
    }
    // The ring and the disc of the spine scale stand on the steps of the two classes.
    const classes = (await ask(home.url, "/v1/terms/spine")).groups[0].words.map((w) => w.id);
    const steps = await page.$eval(".card:nth-child(2) .scale", (n) => ["was", "now"].map((c) => Number(n.querySelector(`circle.${c}`).getAttribute("cx"))));
    assert.deepEqual(steps, [original.spine, sub.spine].map((c) => 12 + 34 * classes.indexOf(c)));
    await done(page);
  });

  test("keyboard alone: from the top of the page to an answer", async () => {
    const page = await at();
    const focus = () => page.evaluate(() => {
      const n = document.activeElement;
      return { text: (n.getAttribute("aria-label") || n.textContent || "").trim(), role: n.getAttribute("role"), tag: n.tagName, type: n.type || "", id: n.id, region: n.dataset?.region || "" };
    });
    const tabTo = async (wanted, most = 80) => {
      for (let i = 0; i < most; i += 1) {
        await page.keyboard.press("Tab");
        const now = await focus();
        if (wanted(now)) return now;
      }
      throw new Error(`not reached by Tab: ${wanted}`);
    };
    await page.keyboard.press("Tab");
    assert.equal((await focus()).id, "skip");
    await page.keyboard.press("Enter");
    await tabTo((n) => n.role === "combobox");
    await page.keyboard.type("bck squat");
    await page.waitForSelector("[role=option]");
    assert.equal(await page.getAttribute("[role=combobox]:visible", "aria-expanded"), "true");
    await page.keyboard.press("ArrowUp");
    await page.keyboard.press("ArrowDown");
    const active = await page.getAttribute("[role=combobox]:visible", "aria-activedescendant");
    assert.equal(await page.getAttribute(`#${active}`, "aria-selected"), "true");
    assert.equal((await focus()).role, "combobox");
    await page.keyboard.press("Escape");
    assert.equal(await page.getAttribute("[role=combobox]:visible", "aria-expanded"), "false");
    await page.keyboard.press("Escape");
    assert.equal(await page.inputValue("[role=combobox]:visible"), "");
    await page.keyboard.type("back squat");
    await page.waitForSelector("[role=option]");
    await page.keyboard.press("ArrowDown");
    await page.keyboard.press("Enter");
    const chosen = await page.inputValue("[role=combobox]:visible");
    assert.match(chosen, /squat/i);

    await tabTo((n) => n.region === "knee" && n.role === "button");
    await page.keyboard.press("Space");
    assert.equal(await page.getByRole("checkbox", { name: "Knee" }).isChecked(), true);
    await tabTo((n) => n.type === "radio");
    await page.keyboard.press("ArrowDown");
    assert.match(page.url(), /knee=severe/);
    await tabTo((n) => n.tag === "SUMMARY" && n.text.startsWith("The kit"));
    await page.keyboard.press("Enter");
    await tabTo((n) => n.type === "radio");
    await page.keyboard.press("ArrowDown");
    assert.match(page.url(), /gym=boathouse/);
    await tabTo((n) => n.type === "submit", 120);
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => document.activeElement.tagName === "H3");
    assert.equal((await focus()).text, `Instead of ${chosen}`);
    assert.match(await page.$eval("#said", (n) => n.textContent), /substitutes? for/);
    await tabTo((n) => n.tag === "BUTTON" && n.text.startsWith("1."));
    page.quiet();
    await done(page);
  });

  test("every control that has the focus shows it", async () => {
    const page = await at(SQUAT);
    await page.waitForSelector(".card");
    const bare = [];
    let seen = 0;
    for (let i = 0; i < 70; i += 1) {
      await page.keyboard.press("Tab");
      const [outlined, what] = await page.evaluate(() => {
        const n = document.activeElement;
        const of = (node) => getComputedStyle(node);
        const spot = n.querySelector?.(".spot");
        const ring = spot ? parseFloat(of(spot).strokeWidth) >= 4 : of(n).outlineStyle !== "none" && parseFloat(of(n).outlineWidth) >= 2;
        return [n === document.body || ring, n.outerHTML.slice(0, 80)];
      });
      seen += 1;
      if (!outlined) bare.push(what);
    }
    assert.equal(seen, 70);
    assert.deepEqual(bare, []);
    await done(page);
  });

  test("a set that was done gives the load to begin with", async () => {
    const page = await at("#instead?exercise=back-squat-high-bar&gym=town&did=100kgx5&rir=2");
    await page.waitForSelector(".card");
    const { substitutes } = await ask(home.url, "/v1/swap", { exercise: "back-squat-high-bar", gym: "town", did: { load: 100, unit: "kg", reps: 5, rir: 2 } });
    const said = substitutes.filter((s) => s.start).map((s) => s.start.said.toLowerCase());
    assert.ok(said.length > 0);
    assert.deepEqual((await texts(page, ".begin-load")).map((t) => t.toLowerCase()), said);
    await done(page);
  });

  test("an address shares the question, the kit stays in the browser and nothing else does", async () => {
    const page = await at();
    await page.click("details.panel summary:has-text('The kit')");
    await page.getByRole("checkbox", { name: "Kettlebells", exact: true }).check();
    await page.getByRole("checkbox", { name: "Open floor space and a household towel or mat" }).check();
    await page.getByRole("checkbox", { name: "Shoulder", exact: true }).check();
    await page.locator("[role=combobox]:visible").fill("overhead press");
    await page.getByRole("radio", { name: /strength/i }).check();
    await page.click("text=Find what to do instead");
    await page.waitForSelector(".card");
    const names = await texts(page, ".card h4");
    const url = page.url();
    assert.match(url, /sore=shoulder=moderate/);
    assert.match(url, /have=floor,kettlebells/);
    assert.deepEqual(await page.evaluate(() => [Object.keys(localStorage), Object.keys(sessionStorage), document.cookie]), [["stead.kit"], [], ""]);

    const other = await at(url.slice(url.indexOf("#")));
    await other.waitForSelector(".card");
    assert.deepEqual(await texts(other, ".card h4"), names);
    assert.equal(await other.evaluate(() => localStorage.length), 0, "a shared kit is not kept");
    await done(other);

    await page.goto("about:blank");
    await page.goto(`${home.url}/`);
    await page.waitForSelector(".said");
    assert.equal(await page.getByRole("checkbox", { name: "Kettlebells", exact: true, includeHidden: true }).isChecked(), true);
    assert.equal(await page.getByRole("checkbox", { name: "Shoulder", exact: true }).isChecked(), false);
    await done(page);
  });

  test("a list of one's own says how heavy and how high it goes", async () => {
    const page = await at("#instead?exercise=overhead-press-barbell&have=dumbbells,flat-bench");
    await page.waitForSelector(".card");
    await page.click("details.panel summary:has-text('The kit')");
    const sent = page.waitForRequest((r) => r.url().endsWith("/v1/swap") && r.postData().includes("dumbbell_max_kg") && r.postData().includes("2.1"));
    await page.getByLabel("Heaviest dumbbell, kg").fill("12,5");
    await page.getByLabel("Ceiling, m").fill("2.1");
    const { gym } = JSON.parse((await sent).postData());
    assert.deepEqual([gym.items, gym.stock.dumbbell_max_kg, gym.stock.plates_total_kg, gym.ceiling_m], [["dumbbells", "flat-bench"], 12.5, null, 2.1]);
    assert.match(page.url(), /dumbbell=12.5&ceiling=2.1/);
    await page.waitForTimeout(600);
    await page.waitForSelector("#instead .answers:not([aria-busy]) h3");
    assert.equal(await page.isVisible(".trouble"), false);
    await page.reload();
    await page.waitForSelector(".card, .answers h3");
    assert.equal(await page.getByLabel("Ceiling, m").inputValue(), "2.1");
    page.quiet();
    await done(page);
  });

  test("a list without a thing on it is no kit at all, and the link to it can be copied", async () => {
    const page = await at("#instead?exercise=back-squat-high-bar&have=nothing");
    await page.waitForSelector(".card");
    const { substitutes } = await ask(home.url, "/v1/swap", { exercise: "back-squat-high-bar", have: ["floor"] });
    assert.deepEqual(await texts(page, ".card h4"), substitutes.map((s) => s.name));
    await page.click("text=Copy the link to this question");
    await page.waitForFunction(() => /Link copied/.test(document.querySelector(".share-line").textContent) || document.querySelector(".share-line input").value === location.href);
    await done(page);
  });

  test("a name that nothing bears offers the nearest", async () => {
    const page = await at();
    await page.locator("[role=combobox]:visible").fill("bak sqat xx");
    await page.click("text=Find what to do instead");
    await page.waitForSelector(".trouble");
    await page.click(".trouble .row button >> nth=0");
    await page.waitForSelector(".card");
    page.quiet(/422/);
    await done(page);
  });

  test("a link among the answers leads on, and the focus goes with it", async () => {
    const page = await at(SQUAT);
    await page.waitForSelector(".card");
    const second = (await texts(page, ".card h4"))[1];
    await page.click(".card:nth-child(2) .links a:has-text('Instead of')");
    await page.waitForFunction((name) => document.activeElement.textContent === `Instead of ${name}`, second);
    await page.waitForFunction((name) => document.querySelector("#instead [role=combobox]").value === name, second);
    assert.equal(await page.getByRole("checkbox", { name: "Knee" }).isChecked(), true);
    await page.goBack();
    await page.waitForFunction(() => document.activeElement.textContent === "Instead of High-bar back squat");
    page.quiet();
    await done(page);
  });

  test("an empty question is asked for its exercise", async () => {
    const page = await at();
    await page.click("text=Find what to do instead");
    await page.waitForSelector(".trouble h3:has-text('Which exercise')");
    assert.equal(await page.evaluate(() => document.activeElement.getAttribute("role")), "combobox");
    await done(page);
  });
});

describe("my week", () => {
  test("the example: findings, chart and muscles as the server counts them", async () => {
    const page = await at("#week?gym=boathouse");
    await page.click("text=Take the bowhand's week");
    await page.waitForFunction(() => document.querySelector("textarea").value.includes("good morning"));
    await page.click("text=Look at this week");
    await answered(page, "week");
    const { week, cautions } = await ask(home.url, "/v1/week/audit", { csv: await example(), gym: "boathouse", level: "intermediate" });
    const told = await page.$eval("#week .answers", (n) => n.textContent);
    for (const f of week.findings) assert.ok(told.toLowerCase().includes(f.words.toLowerCase()), f.words);
    for (const c of cautions) assert.ok(told.includes(c), c);
    assert.match(told, new RegExp(`${week.sums.points} points of spine load`));
    const bars = await page.$$eval(".days:first-of-type tbody tr", (trs) => trs.map((tr) => [tr.querySelector("th").textContent, [...tr.querySelectorAll(".part")].reduce((sum, p) => sum + parseFloat(p.style.width), 0)]));
    const sum = (d) => d.rows.reduce((all, r) => all + (r.dose?.mid || 0), 0);
    const most = Math.max(...week.days.map(sum));
    for (const day of week.days) {
      const width = bars.find(([name]) => name === day.name)[1];
      assert.ok(Math.abs(width - (sum(day) / most) * 100) < 0.5, `${day.name}: ${width}`);
    }
    const muscles = await page.$$eval(".days", (tables) => [...tables[1].querySelectorAll("tbody tr")].map((tr) => [tr.querySelector("th").textContent, Number(tr.querySelector(".number").textContent)]));
    assert.deepEqual(new Map(muscles), new Map(week.muscles.map((m) => [m.name, m.sets])));

    await page.click(".findings .line >> nth=0");
    const picked = await page.$eval("textarea", (t) => t.value.slice(t.selectionStart, t.selectionEnd));
    assert.equal(picked, (await example()).split("\n")[week.findings[0].lines[0] - 1]);
    page.quiet();
    await done(page);
  });

  test("a dropped file, and its address", async () => {
    const page = await at("#week");
    await page.evaluate((text) => {
      const data = new DataTransfer();
      data.items.add(new File([text], "week.csv", { type: "text/csv" }));
      document.querySelector(".drop").dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
    }, await example());
    await page.waitForFunction(() => document.querySelector("textarea").value.includes("good morning"));
    await page.click("text=Look at this week");
    await answered(page, "week");
    const other = await at(page.url().slice(page.url().indexOf("#")));
    await answered(other, "week");
    assert.equal(await other.inputValue("textarea"), await example());
    await done(other);
    await page.setInputFiles("input[type=file]", { name: "two.csv", mimeType: "text/csv", buffer: Buffer.from("day,exercise,sets,reps\nMon,deadlift,3,5\n") });
    await page.waitForFunction(() => document.querySelector("textarea").value.includes("Mon,deadlift"));
    await done(page);
  });

  test("wrong cells are told one by one with line and column", async () => {
    const page = await at("#week");
    await page.fill("textarea", "day,exercise,sets,reps\nMon,back sqxat zz,x,5\nTue,deadlift,3,\n");
    await page.click("text=Look at this week");
    await page.waitForSelector(".cells");
    const cells = await texts(page, ".cells li");
    assert.equal(cells.length, 3);
    assert.match(cells[0], /^Line 2, exercise: back sqxat zz/);
    assert.match(cells[1], /^Line 2, sets: x/);
    assert.match(cells[2], /^Line 3, reps/);
    assert.deepEqual(await broken(page), []);
    page.quiet(/422/);
    await done(page);
  });
});

describe("around one lift", () => {
  test("the drawing and the list have what the server knows, and links lead on and back", async () => {
    const page = await at("#around?exercise=goblet-squat");
    await answered(page, "around");
    const whole = await ask(home.url, "/v1/exercises/goblet-squat");
    const sections = await page.$$eval("#around .more", (nodes) => nodes.map((n) => [n.querySelector("h4").textContent, [...n.querySelectorAll("a")].map((a) => a.textContent)]));
    const of = (title) => (sections.find(([t]) => t.startsWith(title)) || [title, []])[1];
    for (const [title, list] of [["Easier", whole.easier], ["Harder", whole.harder], ["Variations of it", whole.variations], ["Other variations", whole.siblings], ["What its load", whole.carries.map((c) => c.exercise)]]) {
      assert.deepEqual(of(title), list.map((e) => e.name), title);
    }
    const drawn = await page.$$eval(".graph a", (links) => links.map((a) => a.dataset.exercise));
    assert.deepEqual(drawn.slice(0, 5), whole.easier.slice(0, 5).map((e) => e.id));
    const c = whole.carries[0];
    assert.match(await page.$eval(".graph", (n) => n.textContent), new RegExp(`${c.ratio}.*\\(${c.low} to ${c.high}\\)`));
    // Easier to the left, harder to the right.
    const x = (id) => page.$eval(`.graph a[data-exercise="${id}"] rect`, (r) => Number(r.getAttribute("x")));
    const self = await page.$eval(".graph .node.self", (r) => Number(r.getAttribute("x")));
    assert.ok((await x(whole.easier[0].id)) < self && (await x(whole.harder[0].id)) > self);

    const next = whole.easier[0];
    await page.focus(`.graph a[data-exercise="${next.id}"]`);
    await page.keyboard.press("Enter");
    await page.waitForSelector(`#around .answers h3:text-is("${next.name}")`);
    assert.match(page.url(), new RegExp(`#around\\?exercise=${next.id}`));
    await page.waitForFunction((name) => document.activeElement.textContent === name, next.name);
    await page.goBack();
    await page.waitForSelector(`#around .answers h3:text-is("${whole.exercise.name}")`);
    page.quiet();
    await done(page);
  });

  test("the same exercise is always drawn the same", async () => {
    const drawing = async () => {
      const page = await at("#around?exercise=back-squat-high-bar");
      await answered(page, "around");
      const svg = await page.$eval(".graph", (n) => n.outerHTML);
      await done(page);
      return svg;
    };
    assert.equal(await drawing(), await drawing());
  });
});

describe("the server is stopped mid-way", () => {
  test("each view says so, keeps what was entered and answers once it is back", async () => {
    let own = await server();
    const context = await chrome.context();
    const page = await open(context, `${own.url}/${SQUAT}`);
    await page.waitForSelector(".card");
    await page.getByRole("checkbox", { name: "Wrist" }).check();
    await page.waitForTimeout(500);
    await own.stop();

    await page.click("text=Find what to do instead");
    await page.waitForSelector(".trouble h3:has-text('The server does not answer')");
    assert.match(await page.$eval("#instead .trouble", (n) => n.textContent), /Everything you entered is still here/);
    assert.equal(await page.inputValue("#instead [role=combobox]"), "High-bar back squat");
    assert.equal(await page.getByRole("checkbox", { name: "Wrist" }).isChecked(), true);
    assert.deepEqual(await broken(page), []);
    await page.locator("#instead [role=combobox]").fill("lunge");
    await page.waitForFunction(() => /lunge|does not answer/i.test(document.querySelector("#instead .combo").parentElement.textContent));
    await page.locator("#instead [role=combobox]").fill("back squat");
    // The signs need no server.
    await page.getByLabel("Chest pain").check();
    assert.match(await page.$eval("#stop", (n) => n.textContent), /emergency number/);
    await page.getByLabel("Chest pain").uncheck();

    await page.click("#places a:has-text('My week')");
    await page.fill("textarea", "day,exercise,sets,reps\nMon,deadlift,3,5\n");
    await page.click("text=Look at this week");
    await page.waitForSelector("#week .trouble h3:has-text('The server does not answer')");
    await page.click("#places a:has-text('Around one lift')");
    await page.waitForSelector("#around .answers h3");

    own = await own.again();
    await page.click("#places a:has-text('My week')");
    await answered(page, "week");
    assert.equal(await page.inputValue("textarea"), "day,exercise,sets,reps\nMon,deadlift,3,5\n");
    await page.waitForSelector("#week h3:has-text('Spine load')");
    await page.click("#places a:has-text('What instead')");
    await page.waitForSelector(".card");
    page.quiet(/ERR_CONNECTION|Failed to load/);
    await context.close();
    await own.stop();
  });

  test("try again asks the same question", async () => {
    let own = await server();
    const context = await chrome.context();
    const page = await open(context, `${own.url}/#instead?exercise=deadlift-conventional&gym=loft`);
    await page.waitForSelector(".card");
    const before = await texts(page, ".card h4");
    await own.stop();
    await page.click("text=Find what to do instead");
    await page.waitForSelector(".trouble button:has-text('Try again')");
    own = await own.again();
    await page.click(".trouble button:has-text('Try again')");
    await page.waitForSelector(".card");
    assert.deepEqual(await texts(page, ".card h4"), before);
    await context.close();
    await own.stop();
  });

  test("at the start the warning signs hold, and the words are asked for again", async () => {
    const context = await chrome.context();
    const page = await context.newPage();
    await page.route("**/v1/terms", (route) => route.abort());
    await page.goto(`${home.url}/`);
    await page.waitForSelector("#start .trouble");
    assert.match(await page.$eval("#signs", (n) => n.innerText), /Chest pain/);
    await page.unroute("**/v1/terms");
    await page.click("text=Try again");
    await page.waitForSelector("#instead [role=combobox]");
    await context.close();
  });
});

describe("every view, narrow and wide, by day and by night", () => {
  const views = async () => ({ empty: "", instead: SQUAT, week: await weekHash(), around: "#around?exercise=back-squat-high-bar" });
  /** Opens each view with everything unfolded. */
  async function each(options, look) {
    const context = await chrome.context(options);
    for (const [name, hash] of Object.entries(await views())) {
      const page = await open(context, `${home.url}/${hash}`);
      if (name !== "empty") await answered(page, name);
      await page.$$eval("details", (all) => all.forEach((d) => { d.open = true; }));
      await look(page, name);
      page.quiet();
      await page.close();
    }
    await context.close();
  }

  for (const [width, colorScheme] of [[360, "light"], [360, "dark"], [768, "light"], [1280, "light"], [1280, "dark"]]) {
    test(`${width} wide, ${colorScheme}: no rule of accessibility is broken`, () =>
      each({ viewport: { width, height: 800 }, colorScheme }, async (page, name) => assert.deepEqual(await broken(page), [], name)));
  }

  test("nothing sticks out sideways, down to 320 pixels", async () => {
    for (const width of [320, 360, 768]) {
      await each({ viewport: { width, height: 800 } }, async (page, name) => {
        const [content, window] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
        assert.ok(content <= window, `${name}: ${content} of ${window} wide`);
      });
    }
  });

  test("by night the ground is dark and the ink light", async () => {
    const ground = async (colorScheme) => {
      const page = await at("", { colorScheme });
      const light = await page.evaluate(() => getComputedStyle(document.body).backgroundColor.match(/\d+/g).map(Number).reduce((a, b) => a + b));
      await done(page);
      return light;
    };
    assert.ok((await ground("dark")) < 150 && (await ground("light")) > 600);
  });

  test("who wants no motion gets none", async () => {
    const page = await at(SQUAT, { reducedMotion: "reduce" });
    await page.waitForSelector(".card");
    const moving = await page.$$eval("*", (all) => all.filter((n) => getComputedStyle(n).transitionDuration !== "0s" || getComputedStyle(n).animationName !== "none").length);
    assert.equal(moving, 0);
    await done(page);
  });

  test("what is pressed is 44 pixels high at least", async () => {
    for (const hash of Object.values(await views()).slice(1)) {
      const page = await at(hash, { viewport: { width: 360, height: 800 } });
      await page.waitForSelector(".view:not([hidden]) .answers h3");
      await page.$$eval("details", (all) => all.forEach((d) => { d.open = true; }));
      const small = await page.$$eval(
        "button, summary, nav a, .chip, .tick, .pick, select, textarea, input[type=text], input[type=file], input[type=range], .links a, .graph-list a, .graph a rect",
        (all) => all.filter((n) => n.getClientRects().length > 0 && n.getBoundingClientRect().height < 43.5).map((n) => `${n.outerHTML.slice(0, 70)} ${n.getBoundingClientRect().height}`));
      assert.deepEqual(small, []);
      await done(page);
    }
  });

  test("headings go down one step at a time and each view has one", async () => {
    for (const [view, hash] of Object.entries(await views()).slice(1)) {
      const page = await at(hash);
      await answered(page, view);
      const levels = await page.$$eval("h1, h2, h3, h4, h5", (all) => all.filter((h) => h.getClientRects().length > 0).map((h) => Number(h.tagName[1])));
      assert.equal(levels[0], 1);
      levels.forEach((level, i) => assert.ok(i === 0 || level <= levels[i - 1] + 1, `${view}: ${levels}`));
      assert.equal(await page.$eval("html", (n) => n.lang), "en-GB");
      await done(page);
    }
  });
});
