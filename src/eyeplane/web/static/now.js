// What is seen: the newest answer, at most twice a second; the journal, every frame once and in
// order; how long ago the last good frame was; what the hand does at the bottom.

const GAP_MS = 500; // between two changes of what is seen: far below three flashes a second
const LINES = 24;
const CALM_MS = 1500; // the frame itself is opened only when nothing else lands
const REST_MS = 4000;
const FROZEN_MS = 2000; // a finger that lies on a button longer does not hold the page up

const page = document.getElementById("now");
const words = JSON.parse(document.getElementById("words").textContent);
const byId = (id) => document.getElementById(id);
const shown = () => Number(byId("now-answer").dataset.number);

let held = byId("now-answer").dataset.held === "1" ? shown() : null; // the frame that stays
let waiting = []; // frames that are not in the journal yet
let stale = false;
let asking = false;
let painted = 0;
let timer = 0;
let frozen = 0;
let rest = 0; // after a refusal nothing is asked for until then
let lost = null;
let aged = Date.now();
let warned = Number(byId("now-run")?.dataset.at ?? 0); // the warning that was told last
let calm = 0;
let whole = null; // the eye with every pixel of its frame, ready to be put in

function filled(text, parts) {
  return text.replace(/\{(\w+)\}/g, (whole, name) => (name in parts ? parts[name] : whole));
}

function ago(seconds) {
  for (const [step, name] of [[86400, "days"], [3600, "hours"], [60, "minutes"], [1, "seconds"]]) {
    if (seconds >= step) return filled(words[name], { n: Math.floor(seconds / step) });
  }
  return filled(words.seconds, { n: 0 });
}

// Every change of what is seen goes through here, so that two are never closer than GAP_MS.
function want() {
  if (timer) return;
  const wait = Math.max(painted + GAP_MS, frozen) - performance.now();
  timer = setTimeout(paint, Math.max(0, wait));
}

async function paint() {
  timer = 0;
  if (performance.now() < frozen) return want();
  if (asking) return;
  let fresh = null;
  if (stale && lost === null && performance.now() >= rest) {
    stale = false;
    asking = true;
    fresh = await piece();
    asking = false;
  }
  if (performance.now() < frozen) {
    stale = stale || fresh !== null;
    return want();
  }
  painted = performance.now();
  if (fresh) swap(fresh);
  putWhole();
  journal();
  warning();
  connection();
  tick();
  if (stale && lost === null && performance.now() >= rest) want();
}

async function piece() {
  const asked = held;
  try {
    const answer = await fetch(asked === null ? "/now/piece" : `/now/piece?frame=${asked}`);
    if (!answer.ok) throw new Error();
    const fresh = document.createElement("div");
    fresh.innerHTML = await answer.text();
    const eye = fresh.querySelector("#now-eye");
    const old = byId("now-eye");
    if (eye && old && eye.src === (old.dataset.kept || old.src)) {
      for (const name of ["width", "height", "alt"]) old.setAttribute(name, eye.getAttribute(name));
      eye.dataset.same = "1";
    } else if (eye) {
      await Promise.race([eye.decode(), new Promise((done) => setTimeout(done, 800))]).catch(() => {});
    }
    if (asked !== held) {
      stale = true; // held, or let go, meanwhile: this answer would undo it
      return null;
    }
    return fresh;
  } catch {
    stale = true;
    rest = performance.now() + REST_MS;
    setTimeout(want, REST_MS);
    return null;
  }
}

function swap(fresh) {
  const focused = document.activeElement && document.activeElement.id;
  const eye = fresh.querySelector("#now-eye[data-same]");
  if (eye) eye.replaceWith(byId("now-eye"));
  for (const id of ["now-answer", "now-acts", "now-tones", "now-names"]) {
    const [old, found] = [byId(id), fresh.querySelector(`#${id}`)];
    if (id === "now-names" && (old.contains(document.activeElement) || typing(old))) continue;
    for (const part of old.querySelectorAll("details[open][id]")) {
      const same = found.querySelector(`#${part.id}`);
      if (same) same.open = true;
    }
    old.replaceWith(found);
  }
  const again = focused && byId(focused);
  if (again && document.activeElement !== again) again.focus({ preventScroll: true });
  if (byId("now-answer").dataset.held === "0") held = null; // a frame that is not there
  aged = Date.now();
  waitForCalm();
}

// The window kept with a frame may be smaller than the frame's pixels: on a fine screen the eye is
// shown from the frame itself, once there is time.
function waitForCalm() {
  clearTimeout(calm);
  calm = setTimeout(async () => {
    const eye = byId("now-eye");
    if (!eye || !eye.dataset.whole || lost !== null) return;
    if (eye.width * window.devicePixelRatio <= eye.naturalWidth * 1.1) return;
    const better = eye.cloneNode();
    better.dataset.kept = eye.src;
    better.src = eye.dataset.whole;
    delete better.dataset.whole;
    try {
      await better.decode();
    } catch {
      return; // the frame has gone or changed: what was kept of it stays
    }
    whole = better;
    want();
  }, CALM_MS);
}

function putWhole() {
  const eye = byId("now-eye");
  if (whole && eye && eye.src === whole.dataset.kept) eye.replaceWith(whole);
  whole = null;
}

function typing(part) {
  return [...part.querySelectorAll("input")].some((one) => one.value !== one.defaultValue);
}

function journal() {
  if (!waiting.length) return;
  const list = byId("now-journal");
  for (const one of waiting) list.append(line(one));
  const newest = waiting[waiting.length - 1];
  waiting = [];
  while (list.children.length > LINES) list.firstChild.remove();
  list.scrollLeft = list.scrollWidth;
  byId("now-said").textContent = filled(words.said, {
    n: newest.number,
    sentence: newest.sentence || newest.said,
  });
}

function warning() {
  const run = byId("now-run");
  if (!run || Number(run.dataset.at) <= warned) return;
  warned = Number(run.dataset.at);
  byId("now-warned").textContent = run.textContent;
  document.dispatchEvent(new CustomEvent("now:warned", { detail: run.textContent }));
}

function line(one) {
  const item = document.createElement("li");
  item.dataset.n = one.number;
  const link = document.createElement("a");
  link.href = `/now?frame=${one.number}`;
  if (one.holds) link.className = "good";
  const number = document.createElement("span");
  number.className = "n";
  number.textContent = one.number;
  link.append(number, ` ${one.said}`);
  item.append(link);
  return item;
}

function connection() {
  const time = lost && new Date(lost).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });
  const text = lost ? filled(words.lost, { time }) : "";
  if (byId("now-lost").textContent !== text) byId("now-lost").textContent = text;
}

function tick() {
  const good = byId("now-good");
  if (!good || good.dataset.age === undefined) return false;
  const text = filled(words.ago, { ago: ago(Number(good.dataset.age) + (Date.now() - aged) / 1000) });
  if (good.textContent === text) return false;
  good.textContent = text;
  return true;
}

function go(address) {
  const number = new URL(address).searchParams.get("frame");
  held = number === null ? null : Number(number);
  history.replaceState(null, "", number === null ? "/now" : `/now?frame=${held}`);
  stale = true;
  frozen = 0;
  want();
}

document.addEventListener("now:frame", (event) => {
  waiting.push(event.detail);
  if (waiting.length > LINES) waiting.shift(); // told, but never seen: a long sleep's beginning
  stale = true;
  want();
});
document.addEventListener("now:state", () => {
  stale = true;
  want();
});
document.addEventListener("now:anew", () => location.replace("/now"));
document.addEventListener("now:connection", (event) => {
  lost = event.detail.up ? null : event.detail.since;
  if (event.detail.up) stale = true;
  want();
});

// Who reaches for a button means the frame that is seen: nothing changes under the finger.
document.addEventListener("pointerdown", (event) => {
  if (event.target.closest("#now-acts")) frozen = performance.now() + FROZEN_MS;
});
for (const name of ["pointerup", "pointercancel"]) {
  document.addEventListener(name, () => {
    if (frozen > performance.now()) frozen = performance.now() + 60;
  });
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[href]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
  const { origin, pathname } = new URL(link.href);
  if (origin !== location.origin || pathname !== "/now" || link.closest("nav")) return;
  event.preventDefault();
  if (lost === null) go(link.href); // without a line what is seen stays, and is said to be old
});

document.addEventListener("submit", async (event) => {
  const form = event.target;
  const own = ["/now/choose", "/now/names", "/settings"].includes(form.getAttribute("action"));
  if (!own) return;
  event.preventDefault();
  if (lost !== null) return; // the page says so already; a browser's own page would hide the answer
  const body = new URLSearchParams(new FormData(form));
  for (const field of form.querySelectorAll("input")) field.defaultValue = field.value;
  const done = await fetch(form.action, { method: "POST", body, redirect: "manual" }).catch(() => null);
  if (done && done.status >= 400) return form.submit(); // the page that comes says what is wrong
  if (!done) return;
  for (const name of ["sound", "speech"]) {
    if (body.has(name)) document.dispatchEvent(new CustomEvent("now:wanted", { detail: { name, on: body.get(name) === "on" } }));
  }
  stale = true;
  frozen = 0;
  want();
});

document.addEventListener("key:next", (event) => {
  event.preventDefault();
  if (held !== null) go(new URL(`/now?frame=${held + 1}`, location.href).href);
});

setInterval(() => {
  if (!timer && performance.now() - painted >= GAP_MS && tick()) painted = performance.now();
}, 1000);
waitForCalm();
byId("now-journal").scrollLeft = byId("now-journal").scrollWidth;
