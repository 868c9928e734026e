// What was asked, and its place in the address: all of it stands after the `#`, which browsers keep
// to themselves, so that a link shares the question and no server's log holds it. Only the kit is
// kept between visits. Warning signs are neither kept nor shared.

export const VIEWS = ["instead", "week", "around", "buy"];

const KIT = "stead.kit";

const fresh = () => ({
  view: "instead",
  /** Id, or words not yet found. */
  exercise: "",
  /** `{ region, aggravator, level }`. */
  sore: [],
  /** A gym of the base by id, or null. */
  gym: null,
  /** Ids of kit, or null where nothing was said. */
  have: null,
  /** How heavy and how high one's own list goes, as typed. */
  limits: { plates: "", dumbbell: "", kettlebell: "", ceiling: "" },
  improvise: false,
  aim: "size",
  spine: "",
  /** `{ load, unit, reps, rir }` as typed. */
  did: { load: "", unit: "kg", reps: "", rir: "" },
  /** The week as the text of a table. */
  week: "",
  level: "intermediate",
  mass: "",
  /** Money for kit, and free floor in square metres or "" where it does not matter. */
  budget: "400",
  floor: "",
  /** Whether purchases are weighed by the week, where there is one. */
  forWeek: false,
});

export const state = fresh();
/** Ids of the warning signs ticked. */
export const signs = new Set();

const watchers = [];
/** Calls `f(what)` after each change; `what` is a set of names. */
export const watch = (f) => watchers.push(f);

/** Changes what is asked, keeps the address in step and tells everyone. */
export function change(patch, { quiet = false } = {}) {
  Object.assign(state, patch);
  const what = new Set(Object.keys(patch));
  if (["gym", "have", "limits"].some((name) => what.has(name))) keepKit();
  if (!quiet) history.replaceState(null, "", address());
  for (const f of watchers) f(what);
}

/** Tells everyone that the warning signs changed. */
export function signsChanged() {
  for (const f of watchers) f(new Set(["signs"]));
}

function keepKit() {
  try {
    if (state.gym === null && state.have === null) localStorage.removeItem(KIT);
    else localStorage.setItem(KIT, JSON.stringify({ gym: state.gym, have: state.have, limits: state.limits }));
  } catch {
    // A browser that keeps nothing is no reason to stop.
  }
}

function keptKit() {
  try {
    const kept = JSON.parse(localStorage.getItem(KIT) || "null");
    if (!kept) return {};
    const gym = typeof kept.gym === "string" ? kept.gym : null;
    const have = Array.isArray(kept.have) ? kept.have.filter((id) => typeof id === "string") : null;
    const limits = fresh().limits;
    for (const name of Object.keys(limits)) {
      if (typeof kept.limits?.[name] === "string") limits[name] = kept.limits[name];
    }
    return { gym, have, limits };
  } catch {
    return {};
  }
}

/** Stands in an address for a list of kit without a thing on it. */
const NOTHING = "nothing";

/** One sore region as it stands in an address: `low-back:compression=moderate`. */
const soreWord = (s) => s.region + (s.aggravator ? `:${s.aggravator}` : "") + (s.level ? `=${s.level}` : "");

function soreRead(word) {
  const found = /^([a-z-]+)(?::([a-z0-9_]+))?(?:=([a-z]+))?$/.exec(word);
  return found ? { region: found[1], aggravator: found[2] || "", level: found[3] || "moderate" } : null;
}

/** Longest week that goes into an address, characters. */
export const LINK_LIMIT = 6000;

/** The address of what is asked, with some of it changed. */
export function address(patch = {}) {
  const s = { ...state, ...patch };
  const words = new URLSearchParams();
  if (s.exercise) words.set("exercise", s.exercise);
  for (const sore of s.sore) words.append("sore", soreWord(sore));
  if (s.gym) words.set("gym", s.gym);
  else if (s.have) {
    words.set("have", s.have.length > 0 ? s.have.join(",") : NOTHING);
    for (const [name, value] of Object.entries(s.limits)) if (value !== "") words.set(name, value);
  }
  if (s.improvise) words.set("makeshift", "yes");
  if (s.aim !== "size") words.set("aim", s.aim);
  if (s.spine) words.set("spine", s.spine);
  if (s.did.load !== "" && s.did.reps !== "") {
    words.set("did", `${s.did.load}${s.did.unit}x${s.did.reps}`);
    if (s.did.rir !== "") words.set("rir", s.did.rir);
  }
  if (s.view === "week") {
    if (s.week && s.week.length <= LINK_LIMIT) words.set("week", s.week);
    if (s.level !== "intermediate") words.set("level", s.level);
    if (s.mass !== "") words.set("mass", s.mass);
  }
  if (s.view === "buy") {
    words.set("budget", s.budget);
    if (s.floor !== "") words.set("floor", s.floor);
    if (s.forWeek && s.week && s.week.length <= LINK_LIMIT) words.set("week", s.week);
  }
  const text = words.toString().replaceAll("%3A", ":").replaceAll("%3D", "=").replaceAll("%2C", ",");
  return `#${s.view}${text ? `?${text}` : ""}`;
}

/** What an address says; null where it is none of ours. */
export function parse(hash) {
  const [view, text = ""] = hash.replace(/^#/, "").split(/\?(.*)/s);
  if (view !== "" && !VIEWS.includes(view)) return null;
  const words = new URLSearchParams(text);
  const s = fresh();
  s.view = view || "instead";
  s.exercise = words.get("exercise") || "";
  s.sore = words.getAll("sore").map(soreRead).filter(Boolean);
  s.improvise = words.get("makeshift") === "yes";
  s.aim = words.get("aim") || s.aim;
  s.spine = words.get("spine") || "";
  const did = /^([0-9.]+)(kg|lb)x([0-9]+)$/.exec(words.get("did") || "");
  if (did) s.did = { load: did[1], unit: did[2], reps: did[3], rir: words.get("rir") || "" };
  s.level = words.get("level") || s.level;
  s.mass = words.get("mass") || "";
  const number = (name, otherwise) => (/^[0-9]+(\.[0-9]+)?$/.test(words.get(name) || "") ? words.get(name) : otherwise);
  s.budget = number("budget", s.budget);
  s.floor = number("floor", s.floor);
  s.forWeek = s.view === "buy" && words.has("week");
  // What an address leaves out stays as it is.
  if (words.has("gym")) s.gym = words.get("gym");
  else if (words.has("have")) {
    s.have = words.get("have").split(",").filter((id) => id !== "" && id !== NOTHING);
    for (const name of Object.keys(s.limits)) s.limits[name] = words.get(name) || "";
  } else for (const name of ["gym", "have", "limits"]) delete s[name];
  if (words.has("week")) s.week = words.get("week");
  else delete s.week;
  return s;
}

/** Takes the address and the kept kit at the start. */
export function begin() {
  Object.assign(state, keptKit(), parse(location.hash) || {});
}

/** Takes an address that was followed. False where it is none of ours. */
export function follow() {
  const said = parse(location.hash);
  if (said === null) {
    history.replaceState(null, "", address());
    return false;
  }
  Object.assign(state, said);
  for (const f of watchers) f(new Set(Object.keys(said)));
  return true;
}

/** Longest list of kit that a question takes beside a gym. */
const LONGEST_LIST = 50;

/** The kit as questions have it. */
export function kitAsked() {
  if (state.gym) return { gym: state.gym };
  if (!state.have) return {};
  // A list without a thing on it would be taken for none; the floor is there in any case.
  const items = state.have.length > 0 ? state.have : ["floor"];
  const number = (text) => (text !== "" && Number.isFinite(Number(text)) ? Number(text) : null);
  const { plates, dumbbell, kettlebell, ceiling } = state.limits;
  const stock = { plates_total_kg: number(plates), dumbbell_max_kg: number(dumbbell), kettlebell_max_kg: number(kettlebell) };
  const plain = Object.values(stock).every((n) => n === null) && number(ceiling) === null;
  if (plain && items.length <= LONGEST_LIST) return { have: items };
  return { gym: { id: "own", name: "My own list", items, stock, ceiling_m: number(ceiling) } };
}

/** The sore regions as questions have them. */
export const soreAsked = () =>
  state.sore.map((s) => ({ region: s.region, level: s.level, ...(s.aggravator ? { aggravator: s.aggravator } : {}) }));

/** The signs as questions have them. */
export const signsAsked = () => [...signs];
