// The frame: which step one is at, which folder is open, and what happens when it changes elsewhere.
import { fill, make, tell } from "./dom.js";
import { get, post, socket } from "./ask.js";
import * as units from "./units.js";
import { brief } from "./brief.js";
import { wall } from "./wall.js";
import { shape } from "./shape.js";
import { piece } from "./piece.js";
import { hand } from "./hand.js";

const STEPS = [["brief", "Brief", brief], ["wall", "Choose", wall], ["shape", "Shape", shape], ["piece", "Lay on a piece", piece], ["hand", "Hand over", hand]];
export const page = { start: null, folder: null, draft: null, step: "brief", leave: null, work: document.getElementById("work") };
let watch = null;

export function go(step, about = {}) {
  const to = new URLSearchParams({ ...(page.folder !== null ? { folder: page.folder } : {}), ...about });
  const address = `#${step}?${to}`;
  if (location.hash === address) show(); else location.hash = address;
}

export async function attempt(run, working = "") {
  if (working) tell(working);
  document.body.classList.toggle("working", Boolean(working));
  try {
    const made = await run();
    if (working || document.getElementById("told").className === "wrong") tell("");
    return made;
  } catch (error) {
    tell(error.message, true);
    return undefined;
  } finally {
    document.body.classList.remove("working");
  }
}

function steps() {
  fill(document.getElementById("steps"), STEPS.map(([name, says]) => {
    const shut = (name !== "brief" && page.folder === null) || (name === "shape" && !page.draft);
    const about = shut ? { "aria-disabled": "true", href: location.hash || "#brief", onclick: (event) => { event.preventDefault(); tell(page.folder === null ? "draw boards first, or open a folder" : "press Shape at a board first"); } } : { href: `#${name}?${new URLSearchParams({ ...(page.folder !== null ? { folder: page.folder } : {}), ...(name === "shape" ? { draft: page.draft } : {}) })}` };
    return make("li", {}, make("a", { ...about, "aria-current": name === page.step ? "step" : null }, says));
  }));
}

function follow(folder) {
  if (watch && watch.folder === folder) return;
  if (watch) { watch.folder = null; watch.close(); }
  watch = socket(`changes?${new URLSearchParams({ folder })}`);
  watch.folder = folder;
  const own = watch;
  watch.addEventListener("message", () => { if (own === watch && page.changed) page.changed(); });
  watch.addEventListener("close", () => { if (own === watch && own.folder !== null) { watch = null; setTimeout(() => follow(folder), 2000); } });
}

async function show() {
  const [step, about] = location.hash.slice(1).split("?");
  const asked = Object.fromEntries(new URLSearchParams(about || ""));
  const known = STEPS.find(([name]) => name === step);
  if (page.leave) page.leave();
  page.leave = page.changed = null;
  if ("folder" in asked) page.folder = asked.folder;
  if (asked.draft) page.draft = asked.draft;
  page.step = known && (step === "brief" || page.folder !== null) ? step : "brief";
  if (page.folder !== null) follow(page.folder);
  steps();
  tell("");
  const draw = STEPS.find(([name]) => name === page.step)[2];
  await attempt(() => draw(page, asked));
  document.getElementById("title").textContent = page.folder === null ? "Boards at the bench" : page.folder || page.start.place;
}

export function refresh() { steps(); }

async function begin() {
  page.start = await attempt(() => get("start"));
  if (!page.start) return;
  const unit = document.getElementById("unit");
  units.use(page.start.unit);
  unit.value = page.start.unit;
  unit.addEventListener("change", () => { units.use(unit.value); attempt(() => post("remember", { unit: unit.value })); show(); });
  addEventListener("hashchange", show);
  if (!location.hash && page.start.opened !== null) { page.folder = page.start.opened; go("wall"); } else show();
}

begin();
