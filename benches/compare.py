#!/usr/bin/env python3
"""The same work in SQLite and in numpy: gates, whole-number score and the first ten.

`examples/order.rs` writes the columns of a base, the judged questions as resolved figures, and its
own answers. Here every question is asked again twice, of an indexed database in memory in one SQL
statement and of arrays with numpy, and the three answers must be equal, points and order. Then all
three work in turn, a round each, and the ratios of the times within a round are told (medians).

What a question needs of figures (what is wanted of each muscle, caps, what coaches name) is worked
out beforehand for these two and left out of their times; the library works it out within its own, the kit of the gym with it. Two terms of single precision, which SQL has not,
are given to SQLite as figures. Questions name one sore region at most, and gyms list no stock: only
a plate in the hands limits a load.

    cargo build --release --example order
    python3 benches/compare.py                 # needs numpy
    python3 benches/compare.py --check 500     # answers only
    python3 benches/compare.py --grow          # 500, 10 000 and 100 000 rows, library alone
"""

import argparse
import json
import math
import os
import sqlite3
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
STRONG, HELPER, LEAST_REACH, AS_HARD, LEAST_DEMAND = 70, 50, 0.25, np.float32(0.8), 0.3
WINDOWS = {"size": (6.0, 20.0), "strength": (3.0, 11.0), "power": (4.0, 15.0), "general": (10.0, 30.0)}
COMPOUND = {"main", "accessory", "power"}
TERMS = ["muscles", "instead", "pattern", "relief", "spine", "loadable", "aim", "length", "familiar", "usual", "freshness"]


def rounded(value):
    return math.floor(value + 0.5)


def fit_to_aim(aim, original, role):
    """The aim term for a role in another's place."""
    by_aim = {
        ("power", "power"): 1000,
        ("power", "main"): 450,
        ("strength", "main"): 1000,
        ("strength", "accessory"): 700,
        ("general", "power"): 600,
    }.get((aim, role))
    if by_aim is None:
        training = role in ("main", "accessory", "isolation")
        by_aim = {"power": 250, "strength": 300, "size": 1000 if training else 350, "general": 1000}[aim]
    if original == role:
        by_role = 1000
    else:
        by_role = {
            ("main", "accessory"): 900,
            ("accessory", "main"): 900,
            ("main", "isolation"): 650,
            ("accessory", "isolation"): 650,
            ("isolation", "accessory"): 650,
            ("isolation", "main"): 500,
            ("power", "main"): 500,
            ("power", "accessory"): 500,
        }.get((original, role), 350)
    return (by_aim + by_role) // 2


class Base:
    def __init__(self, told):
        self.told, self.columns, self.rules = told, told["columns"], told["ranking"]
        self.rows = len(self.columns["pattern"])
        c = self.columns
        self.a = {
            name: np.array(c[name], dtype)
            for name, dtype in {
                "pattern": np.int32, "spine": np.int32, "spine_position": np.float32, "role": np.int32,
                "skill": np.int32, "usual": np.int32, "hard_at": np.int32, "load_position": np.int32,
                "laterality": np.int32, "own_product": np.int32, "keeps": np.int64, "reps_low": np.int32,
                "holds": np.int32, "demand": np.float32, "root": np.int32, "work": np.int32,
                "training": np.int32, "order": np.int64,
            }.items()
        }  # fmt: skip
        self.muscles = np.asfortranarray(np.array(c["muscles"], np.int32))
        self.grades = np.asfortranarray(np.array(c["grades"], np.int32))
        self.provoked = np.asfortranarray(np.array(c["provoked"], np.int32))
        alternatives = [(row, *kit) for row, kits in enumerate(c["kit"]) for kit in kits]
        self.kit_low = np.array([k[1] for k in alternatives], np.int64)
        self.kit_high = np.array([k[2] for k in alternatives], np.int64)
        self.kit_share = np.array([k[3] for k in alternatives])
        self.kit_start = np.cumsum([0] + [len(kits) for kits in c["kit"]])[:-1]
        self.alternatives = alternatives
        paths = told["paths"]
        shared = lambda a, b: sum(1 for _ in iter_shared(paths[a], paths[b]))
        near = lambda a, b: 1000 if a == b else (0, 250, 600)[min(shared(a, b), 2)]
        self.near = np.array([[near(a, b) for b in range(len(paths))] for a in range(len(paths))], np.int32)
        self.children = {}
        for row, parent in enumerate(c["parent"]):
            if parent != row:
                self.children.setdefault(parent, []).append(row)

    def does(self, row, kit):
        return any(not (k[0] & ~kit[0] or k[1] & ~kit[1]) and k[2] >= LEAST_REACH for k in self.columns["kit"][row])


def iter_shared(a, b):
    for x, y in zip(a, b):
        if x != y:
            return
        yield x


class Question:
    """What a question needs of figures, worked out once."""

    def __init__(self, base, told):
        c, rules = base.columns, base.rules
        self.original = o = told["original"]
        self.kit, self.aim = told["kit"], told["aim"]
        self.sore = told["sore"][0] if told["sore"] else None
        self.trained = np.array(c["muscles"][o], np.int32)
        own = 0
        if self.sore:
            own = base.told["own_muscles"][self.sore[0]]
        wanted = []
        for muscle, weight in enumerate(c["muscles"][o]):
            share = 1.0
            if weight < 100 and muscle < len(base.told["holds"]) and base.told["holds"][muscle]:
                share = rules["holding_share"]
            if own >> muscle & 1:
                share = min(share, rules["own_muscle_share"].get(self.sore[1], 1.0))
            wanted.append(rounded(weight * share))
        self.wanted = np.array(wanted, np.int32)
        self.wanted_product = max(1, int((self.wanted * self.wanted).sum()))
        self.wanted_total = max(1, sum(w for w in wanted if w >= HELPER))
        self.stronger = bits(m for m, w in enumerate(self.trained) if w >= STRONG)
        self.primes = self.movers(100)
        self.primes_here = self.primes | self.movers(STRONG)
        self.skill = max(3, c["skill"][o] + rules["skill_above_original"])
        self.least = int(rules["least_coverage"] * 1000)
        self.cap = self.spine_cap = 99
        if self.sore:
            region, level = self.sore
            below = lambda cap, grade: 0 if grade == 0 else min(cap["at_most"], max(0, grade - cap["below_original"]))
            self.grade = c["grades"][o][region]
            self.cap = below(rules["caps"][level], self.grade)
            if region == base.told["low_back"]:
                self.spine_cap = below(rules["spine_caps"][level], c["spine"][o])
        weights = rules["weights"][self.aim]
        self.weights = [rounded(weights.get(t, 0) * 100) if t != "relief" or self.sore else 0 for t in TERMS]
        roles = base.told["roles"]
        self.fit = np.array([fit_to_aim(self.aim, roles[c["role"][o]], role) for role in roles], np.int32)
        self.compound = np.array([role in COMPOUND for role in roles])
        self.choices(base)

    def movers(self, weight):
        every = bits(m for m, w in enumerate(self.trained) if w >= weight)
        kept = bits(m for m, w in enumerate(self.trained) if self.wanted[m] == w)
        return every & kept or every

    def choices(self, base):
        """What coaches name in its place: value and whether it is early, of every row."""
        c, rules, o = base.columns, base.rules["instead"], self.original
        value, place, early = [0] * base.rows, [0] * base.rows, [0] * base.rows
        lists = {region: rows for region, rows in c["instead"][o]}
        region = self.sore[0] if self.sore else None
        mine, factor = lists.get(region, []), 1.0
        if not mine and region is not None:
            mine, factor = lists.get(None, []), rules["not_for_region"]
        ancestor = [c["instead_of"][o]] if mine and c["instead_of"][o] != o else []
        before = 0
        for at, row in enumerate(ancestor + mine):
            if row == o or not base.does(row, self.kit):
                continue
            if at < rules["purpose_places"]:
                early[row] = 1
            share = max(1.0 - rules["per_place"] * before, rules["least"])
            before += 1
            value[row] += int(1000.0 * share * factor + 0.5)
            place[row] = min(place[row] or before, before)
        near = {}
        for parent in (row for row in range(base.rows) if value[row] and row != o):
            hard = AS_HARD * np.float32(c["demand"][parent])
            for child in base.children.get(parent, []):
                if not place[child] and np.float32(c["demand"][child]) >= hard:
                    near[child] = int(value[parent] * rules["variation"] + 0.5)
        for row, worth in near.items():
            value[row] = max(value[row], worth)
        self.value, self.early = np.array(value, np.int32), np.array(early, np.int32)


def bits(places):
    return sum(1 << place for place in places)


def lower(start, end):
    if start <= 0:
        return (end <= 0).astype(np.float64)
    return np.clip((start - end) / start, 0.0, 1.0)


def spine_term(a, original, rows):
    spared = a["spine_position"][original] - a["spine_position"][rows]
    half, step = np.float32(500.0), np.float32(125.0)
    spine = np.clip(half + step * spared, np.float32(0.0), np.float32(1000.0)) + np.float32(0.5)
    return spine.astype(np.int64)


def limbs(a, original, rows):
    return np.clip((a["demand"][rows] / a["demand"][original]).astype(np.float64), LEAST_DEMAND, 1.0)


def with_numpy(base, q, top):
    a, o = base.a, q.original
    # Kit: of each alternative, then the best of each row.
    there = (base.kit_low & ~q.kit[0] == 0) & (base.kit_high & ~q.kit[1] == 0)
    reach = np.maximum.reduceat(np.where(there, base.kit_share, -1.0), base.kit_start)
    passes = reach >= LEAST_REACH
    passes[o] = False
    if q.sore:
        passes &= (base.grades[:, q.sore[0]] <= q.cap) & (a["spine"] <= q.spine_cap)
    passes &= (a["skill"] <= q.skill) & (a["training"] == a["training"][o])
    same = a["pattern"] == a["pattern"][o]
    moves = a["keeps"] & np.where(same, q.primes_here, q.primes) != 0
    passes &= moves | (q.early == 1)
    # The muscles only of what is left, and only those that are wanted.
    rows = np.flatnonzero(passes)
    asked = np.flatnonzero(q.trained)
    mine = base.muscles[np.ix_(rows, asked)]
    wanted = q.wanted[asked]
    kept = np.minimum(mine, wanted)
    coverage = np.minimum(kept @ wanted * 1000 // q.wanted_product, 65535)
    coverage = np.where(a["keeps"][rows] & q.stronger != 0, coverage, 0)
    plain = kept[:, wanted >= HELPER].sum(1) * 1000 // q.wanted_total
    serves = (np.maximum(coverage, plain) >= q.least) | (q.early[rows] == 1)
    rows, coverage, mine = rows[serves], coverage[serves], mine[serves]
    own = np.maximum(a["own_product"][rows], 1)
    focus = (mine * np.minimum(mine, q.trained[asked])).sum(1) * 1000 // own
    points = q.weights[0] * (0.8 * coverage + (1.0 - 0.8) * focus + 0.5).astype(np.int64)
    points += q.weights[1] * q.value[rows]
    points += q.weights[2] * base.near[a["pattern"][o]][a["pattern"][rows]]
    if q.sore:
        region = q.sore[0]
        greatest = lower(q.grade, base.grades[rows, region])
        whole = lower(base.provoked[o, region], base.provoked[rows, region])
        points += q.weights[3] * (1000.0 * (0.6 * greatest + (1.0 - 0.6) * whole) + 0.5).astype(np.int64)
    points += q.weights[4] * spine_term(a, o, rows)
    full, nothing = WINDOWS[q.aim]
    moving = np.clip((nothing - a["reps_low"][rows]) / (nothing - full), 0.0, 1.0)
    window = np.where(a["holds"][rows] == 1, 1.0 if a["holds"][o] else 0.35, moving)
    demand = np.ones(len(rows))
    if q.compound[a["role"][o]] and a["demand"][o] > 0:
        demand = np.where(q.compound[a["role"][rows]], limbs(a, o, rows), 1.0)
    points += q.weights[5] * (1000.0 * reach[rows] * (window * demand) + 0.5).astype(np.int64)
    points += q.weights[6] * q.fit[a["role"][rows]]
    length = np.abs(a["hard_at"][rows] - a["hard_at"][o])
    points += q.weights[7] * np.where(length == 0, 1000, np.where(length == 1, 500, 0))
    skill = 1000 - 250 * np.clip(a["skill"][rows] - a["skill"][o], 0, 4)
    kin = 1000 * (a["root"][rows] == a["root"][o])
    feel = 500 * (a["load_position"][rows] == a["load_position"][o])
    feel = feel + 500 * (a["laterality"][rows] == a["laterality"][o])
    points += q.weights[8] * ((2 * skill + kin + feel) // 4)
    points += q.weights[9] * 250 * np.clip(a["usual"][rows] - 1, 0, 4)
    body = np.minimum(a["work"][rows] * 500 // 600, 500)
    points += q.weights[10] * (1000 - body - 125 * np.minimum(a["spine"][rows], 4))
    key = (-points << 32) + a["order"][rows]
    if len(rows) > top:
        best = np.argpartition(key, top - 1)[:top]
        best = best[np.argsort(key[best])]
    else:
        best = np.argsort(key)
    return [[int(rows[i]), int(points[i])] for i in best]


STATEMENT = """
WITH passing AS (
  SELECT e.*, MAX(k.share) AS reach
  FROM exercise e JOIN kit k ON k.row = e.row
  LEFT JOIN grade g ON g.row = e.row AND g.region = :region
  LEFT JOIN named n ON n.question = :question AND n.row = e.row
  WHERE k.low & ~:kit_low = 0 AND k.high & ~:kit_high = 0
    AND e.row <> :original AND e.training = :training AND e.skill <= :skill
    AND COALESCE(g.grade, 0) <= :cap AND e.spine <= :spine_cap
    AND (e.keeps & (CASE WHEN e.pattern = :pattern THEN :primes_here ELSE :primes END) <> 0 OR n.early = 1)
  GROUP BY e.row HAVING reach >= :least_reach
), work AS (
  SELECT p.row AS at,
    SUM(w.weight * MIN(w.weight, COALESCE(m.weight, 0))) AS kept,
    SUM(CASE WHEN w.weight >= 50 THEN MIN(w.weight, COALESCE(m.weight, 0)) ELSE 0 END) AS plain,
    SUM(COALESCE(m.weight, 0) * MIN(COALESCE(m.weight, 0), w.trained)) AS own
  FROM passing p JOIN wanted w ON w.question = :question
  LEFT JOIN muscle m ON m.row = p.row AND m.muscle = w.muscle
  GROUP BY p.row
), told AS (
  SELECT p.*, COALESCE(n.value, 0) AS named, COALESCE(n.early, 0) AS early, near.value AS near, fit.value AS fit,
    CASE WHEN p.keeps & :stronger <> 0 THEN work.kept * 1000 / :wanted_product ELSE 0 END AS coverage,
    work.plain * 1000 / :wanted_total AS plain,
    work.own * 1000 / MAX(p.own_product, 1) AS focus,
    COALESCE(g.grade, 0) AS grade, COALESCE(g.provoked, 0) AS provoked, single.spared, single.by_limbs
  FROM passing p JOIN work ON work.at = p.row
  JOIN single ON single.question = :question AND single.row = p.row
  JOIN near ON near.a = :pattern AND near.b = p.pattern
  JOIN fit ON fit.question = :question AND fit.role = p.role
  LEFT JOIN grade g ON g.row = p.row AND g.region = :region
  LEFT JOIN named n ON n.question = :question AND n.row = p.row
)
SELECT row,
    :w0 * CAST(0.8 * coverage + (1.0 - 0.8) * focus + 0.5 AS INTEGER)
  + :w1 * named + :w2 * near
  + :w3 * CAST(1000.0 * (
      0.6 * CASE WHEN :grade <= 0 THEN grade <= 0
            ELSE MAX(0.0, MIN(1.0, (:grade - grade) / CAST(:grade AS REAL))) END
      + (1.0 - 0.6) * CASE WHEN :provoked <= 0 THEN provoked <= 0
            ELSE MAX(0.0, MIN(1.0, (:provoked - provoked) / CAST(:provoked AS REAL))) END) + 0.5 AS INTEGER)
  + :w4 * spared
  + :w5 * CAST(1000.0 * reach
      * (CASE WHEN holds = 1 THEN :hold ELSE MAX(0.0, MIN(1.0, (:nothing - reps_low) / (:nothing - :full))) END
      * CASE WHEN :compares = 0 OR compound = 0 THEN 1.0 ELSE by_limbs END) + 0.5 AS INTEGER)
  + :w6 * fit
  + :w7 * CASE ABS(hard_at - :hard_at) WHEN 0 THEN 1000 WHEN 1 THEN 500 ELSE 0 END
  + :w8 * ((2 * (1000 - 250 * MAX(0, MIN(4, skill - :own_skill))) + 1000 * (root = :root)
      + 500 * (load_position = :load_position) + 500 * (laterality = :laterality)) / 4)
  + :w9 * 250 * MAX(0, MIN(4, usual - 1))
  + :w10 * (1000 - MIN(work * 500 / 600, 500) - 125 * MIN(spine, 4)) AS points
FROM told
WHERE MAX(coverage, plain) >= :least OR early = 1
ORDER BY points DESC, place LIMIT :top
"""


class Database:
    def __init__(self, base, questions):
        c = base.columns
        self.db = db = sqlite3.connect(":memory:")
        db.executescript(
            """
            CREATE TABLE exercise (row INTEGER PRIMARY KEY, pattern INT, spine INT, spine_position REAL, role INT,
              skill INT, usual INT, hard_at INT, load_position INT, laterality INT, own_product INT, keeps INT,
              reps_low INT, holds INT, demand REAL, root INT, work INT, training INT, place INT, compound INT);
            CREATE TABLE muscle (row INT, muscle INT, weight INT, PRIMARY KEY (row, muscle)) WITHOUT ROWID;
            CREATE TABLE grade (row INT, region INT, grade INT, provoked INT, PRIMARY KEY (region, row)) WITHOUT ROWID;
            CREATE TABLE kit (row INT, low INT, high INT, share REAL);
            CREATE INDEX kit_of ON kit (row, low, high, share);
            CREATE INDEX by_training ON exercise (training, skill);
            CREATE TABLE near (a INT, b INT, value INT, PRIMARY KEY (a, b)) WITHOUT ROWID;
            CREATE TABLE wanted (question INT, muscle INT, weight INT, trained INT,
              PRIMARY KEY (question, muscle)) WITHOUT ROWID;
            CREATE TABLE named (question INT, row INT, value INT, early INT, PRIMARY KEY (question, row)) WITHOUT ROWID;
            CREATE TABLE single (question INT, row INT, spared INT, by_limbs REAL,
              PRIMARY KEY (question, row)) WITHOUT ROWID;
            CREATE TABLE fit (question INT, role INT, value INT, PRIMARY KEY (question, role)) WITHOUT ROWID;
            """
        )
        names = (
            "pattern spine spine_position role skill usual hard_at load_position laterality own_product keeps "
            "reps_low holds demand root work training order"
        ).split()
        compound = [role in COMPOUND for role in base.told["roles"]]
        rows = ((row, *values, compound[values[3]]) for row, values in enumerate(zip(*(c[n] for n in names))))
        db.executemany(f"INSERT INTO exercise VALUES ({','.join('?' * (len(names) + 2))})", rows)
        weights = ((row, m, w) for row, all in enumerate(c["muscles"]) for m, w in enumerate(all) if w)
        db.executemany("INSERT INTO muscle VALUES (?, ?, ?)", weights)
        grades = (
            (row, region, grade, c["provoked"][row][region])
            for row, all in enumerate(c["grades"])
            for region, grade in enumerate(all)
            if grade or c["provoked"][row][region]
        )
        db.executemany("INSERT INTO grade VALUES (?, ?, ?, ?)", grades)
        db.executemany("INSERT INTO kit VALUES (?, ?, ?, ?)", base.alternatives)
        near = ((a, b, int(v)) for a, all in enumerate(base.near) for b, v in enumerate(all))
        db.executemany("INSERT INTO near VALUES (?, ?, ?)", near)
        self.given = []
        for at, q in enumerate(questions):
            o = q.original
            asked = ((at, m, int(q.wanted[m]), int(t)) for m, t in enumerate(q.trained) if t)
            db.executemany("INSERT INTO wanted VALUES (?, ?, ?, ?)", asked)
            named = ((at, row, int(q.value[row]), int(q.early[row])) for row in np.flatnonzero(q.value + q.early).tolist())
            db.executemany("INSERT INTO named VALUES (?, ?, ?, ?)", named)
            db.executemany("INSERT INTO fit VALUES (?, ?, ?)", ((at, r, int(v)) for r, v in enumerate(q.fit)))
            every = np.arange(base.rows)
            demand = limbs(base.a, o, every) if c["demand"][o] > 0 else np.ones(base.rows)
            single = zip(every.tolist(), spine_term(base.a, o, every).tolist(), demand.tolist())
            db.executemany("INSERT INTO single VALUES (?, ?, ?, ?)", ((at, *figures) for figures in single))
            full, nothing = WINDOWS[q.aim]
            region = q.sore[0] if q.sore else -1
            own = {n: c[n][o] for n in ("pattern", "training", "hard_at", "root")}
            own |= {n: c[n][o] for n in ("load_position", "laterality")}
            self.given.append(
                {f"w{i}": w for i, w in enumerate(q.weights)}
                | own
                | {
                    "question": at, "original": o, "region": region, "kit_low": q.kit[0], "kit_high": q.kit[1],
                    "skill": q.skill, "own_skill": c["skill"][o], "cap": q.cap, "spine_cap": q.spine_cap,
                    "primes": q.primes, "primes_here": q.primes_here, "stronger": q.stronger, "least": q.least,
                    "least_reach": LEAST_REACH, "wanted_product": q.wanted_product, "wanted_total": q.wanted_total,
                    "grade": q.grade if q.sore else 0, "provoked": c["provoked"][o][region] if q.sore else 0,
                    "full": full, "nothing": nothing, "hold": 1.0 if c["holds"][o] else 0.35,
                    "compares": int(compound[c["role"][o]] and c["demand"][o] > 0), "top": base.told["top"],
                }
            )  # fmt: skip
        db.execute("ANALYZE")

    def ask(self, at):
        return [list(found) for found in self.db.execute(STATEMENT, self.given[at])]


def compared(program, rows, rounds):
    with tempfile.NamedTemporaryFile(suffix=".json") as file:
        ours = subprocess.Popen([program, str(rows), file.name], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        about = ours.stdout.readline().strip()
        told = json.loads(Path(file.name).read_text())
    base = Base(told)
    questions = [Question(base, q) for q in told["questions"]]
    database = Database(base, questions)
    for at, (q, asked) in enumerate(zip(questions, told["questions"])):
        for name, answer in (("numpy", with_numpy(base, q, told["top"])), ("SQLite", database.ask(at))):
            if answer != asked["answer"]:
                raise SystemExit(f"{about}: question {at}: {name} answers\n{answer}\nand the library\n{asked['answer']}")
    print(f"{about}: SQLite {sqlite3.sqlite_version}, numpy {np.__version__} and the library answer the same")
    ratios = {"SQLite": [], "numpy": []}
    for _ in range(rounds):
        ours.stdin.write("\n")
        ours.stdin.flush()
        own = int(ours.stdout.readline())
        for name, ask in (
            ("numpy", lambda: [with_numpy(base, q, told["top"]) for q in questions]),
            ("SQLite", lambda: [database.ask(at) for at in range(len(questions))]),
        ):
            start = time.perf_counter_ns()
            ask()
            ratios[name].append((time.perf_counter_ns() - start) / own)
    ours.stdin.close()
    ours.wait()
    for name, all in ratios.items():
        if all:
            print(f"  {name} / library: {statistics.median(all):.0f} times ({min(all):.0f} to {max(all):.0f})")


def grown(program, rounds):
    """Processor time of a question by size: of the program alone, so that other work disturbs it little."""
    asked = {500: 100, 10_000: 10, 100_000: 1}
    running, times = {}, {rows: [] for rows in asked}
    with tempfile.TemporaryDirectory() as folder:
        for rows in asked:
            command = [program, str(rows), f"{folder}/{rows}.json"]
            running[rows] = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
            print(running[rows].stdout.readline().strip())
        # Nanoseconds on a processor, the first figure.
        spent = lambda rows: int(Path(f"/proc/{running[rows].pid}/schedstat").read_text().split()[0])
        for _ in range(rounds):
            for rows, times_asked in asked.items():
                before = spent(rows)
                running[rows].stdin.write("\n" * times_asked)
                running[rows].stdin.flush()
                for _ in range(times_asked):
                    running[rows].stdout.readline()
                times[rows].append((spent(rows) - before) / times_asked)
        for program in running.values():
            program.stdin.close()
            program.wait()
    for few, many in ((500, 10_000), (10_000, 100_000)):
        ratio = statistics.median(b / a for a, b in zip(times[few], times[many]))
        print(f"  {few} to {many} rows: {ratio:.1f} times the processor time")


def main():
    parse = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    target = os.environ.get("CARGO_TARGET_DIR", str(ROOT / "target"))
    parse.add_argument("--program", help="the example `order`; the release build when left out")
    parse.add_argument("--check", type=int, metavar="ROWS", help="compare answers over so many rows, and time nothing")
    parse.add_argument("--rows", type=int, nargs="*", default=[0, 10_000], help="sizes; 0 is the shipped base")
    parse.add_argument("--rounds", type=int, default=9)
    parse.add_argument("--grow", action="store_true", help="how the library's own time grows with the rows")
    given = parse.parse_args()
    program = given.program or f"{target}/release/examples/order"
    if given.grow:
        grown(program, given.rounds)
    elif given.check is not None:
        compared(program, given.check, 0)
    else:
        for rows in given.rows:
            compared(program, rows, given.rounds)


if __name__ == "__main__":
    main()
