// The plan follows every field, slider and everything that is dragged; the server does the sums.
const root = document.getElementById("plan");
const form = document.getElementById("plan-form");
const words = JSON.parse(document.getElementById("words").textContent);
const TYPING_MS = 350; // from the last sign typed to the plan
const SETTLE_MS = 400; // from the last key pressed on a handle to the whole page
const PARTS = ["answer", "best", "care", "rest", "kept"];

// ---- asking: while something moves one request is on its way and the newest waits for it

let running = null; // the request that is on its way
let waiting = null; // what is to be asked next
let last = 0; // number of the newest request: what an older one answers comes too late

function entered() {
  const pairs = new URLSearchParams();
  for (const field of form.querySelectorAll("[name]")) {
    const text = field.value.trim();
    if (text) pairs.append(field.name, text);
  }
  return pairs;
}

function ask(quick, held) {
  const pairs = entered();
  if (quick) pairs.append("quick", "yes");
  if (held) pairs.append(`view-${held.name}`, `${held.start},${held.scale}`);
  if (quick && running) {
    waiting = [quick, held];
    return;
  }
  waiting = null;
  if (running) running.abort();
  send(pairs, ++last);
}

async function send(pairs, number) {
  const mine = new AbortController();
  running = mine;
  try {
    const answer = await fetch(`${root.dataset.piece}?${pairs}`, { signal: mine.signal });
    if (!(answer.headers.get("content-type") || "").startsWith("application/json")) {
      throw new Error(answer.statusText);
    }
    const told = await answer.json();
    if (number === last) show(told);
  } catch (error) {
    if (error.name !== "AbortError" && number === last) tell(words.lost);
  }
  if (running !== mine) return;
  running = null;
  if (waiting) ask(...waiting);
}

// ---- showing what came

function show(told) {
  mark(told.wrong);
  tell(told.nowhere);
  root.classList.toggle("stale", !told.parts);
  if (!told.parts) {
    status(told.nowhere || Object.values(told.wrong)[0]);
    return;
  }
  const figures = [...root.querySelectorAll("figure[data-drawing]")];
  const names = Object.keys(told.drawings);
  if (document.getElementById("plan-wrong") || names.join() !== figures.map((f) => f.dataset.drawing).join()) {
    window.location.assign(told.address); // another page altogether: a range, or the first plan
    return;
  }
  for (const name of PARTS) {
    if (name in told.parts) document.getElementById(`plan-${name}`).innerHTML = told.parts[name];
  }
  for (const figure of figures) {
    const drawing = told.drawings[figure.dataset.drawing];
    figure.querySelector(".drawn").innerHTML = drawing.svg;
    place(figure, drawing);
  }
  if (!told.fields) return;
  for (const [name, field] of Object.entries(told.fields)) follow(name, field);
  status(told.said);
  window.history.replaceState(null, "", told.address);
}

function status(text) {
  document.getElementById("plan-status").textContent = text || "";
}

function tell(text) {
  const line = document.getElementById("plan-nowhere");
  line.textContent = text || "";
  line.hidden = !text;
}

function mark(wrong) {
  for (const field of form.querySelectorAll(".field")) {
    const said = wrong[field.dataset.field] || "";
    const line = field.querySelector(".wrong-words");
    const input = field.querySelector("[name]");
    field.classList.toggle("wrong", Boolean(said));
    line.textContent = said;
    line.hidden = !said;
    if (said) {
      input.setAttribute("aria-invalid", "true");
      input.setAttribute("aria-describedby", `${input.id}-wrong ${input.id}-note`);
      const more = field.closest("details");
      if (more) more.open = true;
    } else {
      input.removeAttribute("aria-invalid");
    }
  }
}

function follow(name, told) {
  const field = form.querySelector(`.field[data-field="${name}"]`);
  if (!field) return;
  const input = field.querySelector("[name]");
  if (input.tagName === "INPUT") input.placeholder = told.holds;
  field.querySelector(`#f-${name}-note`).textContent = told.note;
  const slide = field.querySelector(".slide");
  if (slide && told.texts) {
    slide.dataset.texts = JSON.stringify(told.texts);
    slide.max = told.texts.length - 1;
    if (!slide.moving) slide.value = told.at;
    slide.setAttribute("aria-valuetext", input.value || told.holds);
    field.querySelector(".leave").hidden = !input.value;
  }
}

// ---- fields and their sliders

function set(name, text) {
  const input = form.elements[name];
  if (!input) return;
  input.value = text;
  const partner = input.dataset.clears && form.elements[input.dataset.clears];
  if (partner && text) partner.value = "";
  const field = input.closest(".field");
  const slide = field.querySelector(".slide");
  if (slide) slide.setAttribute("aria-valuetext", text);
  const leave = field.querySelector(".leave");
  if (leave) leave.hidden = !text;
}

for (const slide of form.querySelectorAll(".slide")) {
  const name = slide.closest(".field").dataset.field;
  slide.hidden = false;
  slide.addEventListener("input", () => {
    slide.moving = true;
    set(name, JSON.parse(slide.dataset.texts)[slide.value]);
    ask(true);
  });
  slide.addEventListener("change", () => {
    slide.moving = false;
    ask(false);
  });
}

for (const leave of form.querySelectorAll(".leave")) {
  const name = leave.closest(".field").dataset.field;
  leave.hidden = !form.elements[name].value;
  leave.addEventListener("click", () => {
    set(name, "");
    form.elements[name].focus();
    ask(false);
  });
}

let typing = 0;
form.addEventListener("input", (event) => {
  if (!event.target.name) return;
  window.clearTimeout(typing);
  typing = window.setTimeout(() => ask(false), TYPING_MS);
});
form.addEventListener("change", (event) => {
  if (!event.target.name) return;
  window.clearTimeout(typing);
  set(event.target.name, event.target.value);
  ask(false);
});
form.addEventListener("submit", (event) => {
  event.preventDefault();
  window.clearTimeout(typing);
  ask(false);
  document.getElementById("plan-answer").scrollIntoView();
});

// ---- what can be dragged

const FAR = 10; // small steps in a large one

function text(field, value) {
  if (field === "focus-bias") {
    const mm = Math.round(value);
    if (!mm) return form.elements[field].placeholder ? "0mm" : "";
    return (mm < 0 ? words.front : words.behind).replace("{mm}", Math.abs(mm));
  }
  if (field === "row-spacing") return `${Math.round(value / 10)}cm`;
  return `${(value / 1000).toFixed(2)}m`;
}

function place(figure, drawing) {
  figure.drawing = drawing;
  const sheet = figure.querySelector(".sheet");
  for (const told of drawing.handles) {
    let handle = sheet.querySelector(`[data-what="${told.what}"]`);
    if (!handle) handle = sheet.appendChild(made(figure, told.what));
    handle.told = told;
    handle.setAttribute("aria-label", told.label);
    handle.setAttribute("aria-valuemin", Math.round(told.least_mm));
    handle.setAttribute("aria-valuemax", Math.round(told.most_mm));
    if (!handle.stepping) handle.setAttribute("aria-valuenow", Math.round(told.value_mm));
    handle.setAttribute("aria-valuetext", told.spoken);
    if (!handle.start) handle.style.left = `${100 * Math.min(Math.max(told.x, 0), 1)}%`;
    handle.style.top = `${100 * drawing[told.grip]}%`;
  }
  for (const handle of sheet.querySelectorAll(".handle")) {
    if (!drawing.handles.some((told) => told.what === handle.dataset.what)) handle.remove();
  }
}

function made(figure, what) {
  const handle = document.createElement("div");
  handle.className = "handle";
  handle.dataset.what = what;
  handle.tabIndex = 0;
  handle.setAttribute("role", "slider");
  handle.setAttribute("aria-orientation", "horizontal");
  handle.addEventListener("pointerdown", (event) => take(figure, handle, event));
  handle.addEventListener("pointermove", (event) => drag(figure, handle, event));
  for (const end of ["pointerup", "pointercancel"]) {
    handle.addEventListener(end, () => leave(handle));
  }
  handle.addEventListener("keydown", (event) => step(figure, handle, event));
  return handle;
}

function take(figure, handle, event) {
  if (event.button) return;
  event.preventDefault();
  handle.focus({ preventScroll: true });
  handle.setPointerCapture(event.pointerId);
  const { start, scale, width } = figure.drawing;
  const wide = figure.querySelector(".sheet").clientWidth;
  handle.start = { x: event.clientX, told: handle.told, start, scale, wide, world: width / scale / wide };
}

function drag(figure, handle, event) {
  const from = handle.start;
  if (!from) return;
  move(figure, handle, from.told.value_mm + (event.clientX - from.x) * from.world * from.told.per);
}

function move(figure, handle, wanted) {
  const from = handle.start;
  const value = Math.min(Math.max(wanted, from.told.least_mm), from.told.most_mm);
  const world = (value - from.told.value_mm) / from.told.per; // how far it has moved
  const share = from.told.x + world / from.world / from.wide;
  handle.style.left = `${100 * Math.min(Math.max(share, 0), 1)}%`;
  handle.setAttribute("aria-valuenow", Math.round(value));
  set(from.told.field, text(from.told.field, value));
  // Whatever else there is stays where it is: a camera that moves takes its own zero along.
  const start = from.told.what === "camera" ? from.start - world : from.start;
  ask(true, { name: figure.dataset.drawing, start, scale: from.scale });
}

function leave(handle) {
  if (!handle.start) return;
  handle.start = null;
  ask(false);
}

let settling = 0;

function step(figure, handle, event) {
  const told = handle.told;
  const way = Math.sign(told.per); // left and right as it is seen, up and down as it is counted
  const ways = { ArrowRight: way, ArrowLeft: -way, ArrowUp: 1, ArrowDown: -1, PageUp: FAR, PageDown: -FAR };
  const now = Number(handle.getAttribute("aria-valuenow"));
  let value;
  if (event.key in ways) value = now + ways[event.key] * told.step_mm * (event.shiftKey ? FAR : 1);
  else if (event.key === "Home") value = told.least_mm;
  else if (event.key === "End") value = told.most_mm;
  else return;
  event.preventDefault();
  value = Math.min(Math.max(value, told.least_mm), told.most_mm);
  handle.setAttribute("aria-valuenow", Math.round(value));
  set(told.field, text(told.field, value));
  handle.stepping = true; // what answers a key before this one must not take its step back
  ask(true);
  window.clearTimeout(settling);
  settling = window.setTimeout(() => {
    handle.stepping = false;
    ask(false);
  }, SETTLE_MS);
}

for (const figure of root.querySelectorAll("figure[data-drawing]")) {
  place(figure, JSON.parse(figure.dataset.handles));
}
for (const note of root.querySelectorAll(".drag-note")) note.hidden = false;
root.classList.add("live");
