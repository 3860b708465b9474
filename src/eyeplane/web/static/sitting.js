// The list of a sitting's frames: all of it at once, narrowed and put in order at once, and choosing.

import { Choosing } from "./sitting-choose.js";
import { Drawing } from "./sitting-draw.js";
import { News } from "./sitting-news.js";
import { blocksOf, counted, fill, inOrder, lengthCm } from "./sitting-list.js";
import { Moving } from "./sitting-move.js";
import { VirtualBlocks } from "./virtual.js";

const words = JSON.parse(document.getElementById("words").textContent);
const host = document.getElementById("list");
const form = document.getElementById("ask");
const key = host.dataset.key;
const unitCm = Number(host.dataset.unitCm);
const causes = [...form.elements.cause.options].map((option) => option.value).filter(Boolean);
const state = { current: 0, number: 0, row: new Set(), query: "" };
const show = { order: [], blocks: [], placeOf: new Map() };

function say(text) {
  document.getElementById("news").textContent = text;
}

function asked() {
  const of = (name) => form.elements[name].value;
  const told = { order: of("order"), cause: of("cause"), offset: of("offset"), eyes: of("eyes") };
  for (const end of ["from", "to"]) {
    const field = form.elements[end];
    const length = lengthCm(field.value, unitCm);
    field.setCustomValidity(Number.isNaN(length) ? words.no_reach : "");
    told[end] = Number.isNaN(length) ? null : length;
  }
  return { ...told, chosen: of("chosen"), name: of("name").trim() };
}

function queryOf(wanted) {
  const told = Object.entries(wanted).filter(
    ([name, value]) => value !== "" && value !== null && !(name === "order" && value === "capture"),
  );
  const text = new URLSearchParams(told.map(([name, value]) => [name, shortened(value)])).toString();
  return text ? `?${text}` : "";
}

function shortened(value) {
  return typeof value === "number" ? String(Number(value.toPrecision(10))) : value;
}

// How large things are on this screen, taken from two frames drawn for that alone.
function measured(drawing) {
  const blocks = [0, 1].map((burst) => ({
    kind: burst ? "burst" : "single",
    frames: [0],
    head: { heading: "0", aside: "", why: "0" },
    place: 0,
  }));
  const [single, burst] = blocks.map((block) => drawing.block(block, 1));
  const plain = drawing.block({ kind: "unanswered", frames: [0], head: null, place: 0 }, 1);
  host.replaceChildren(single, burst, plain);
  const list = burst.querySelector(".frames");
  const style = getComputedStyle(list);
  const frame = list.firstElementChild.offsetHeight;
  const sizes = {
    across: style.gridTemplateColumns.split(" ").length,
    gap: Number.parseFloat(style.rowGap),
    frame,
    plain: plain.querySelector(".plain").offsetHeight,
    head: burst.offsetHeight - frame,
    headPlain: single.offsetHeight - frame,
  };
  host.replaceChildren();
  return sizes;
}

function start(data) {
  let sizes = null;
  let wanted = asked();
  const drawing = new Drawing({ key, data, words, state });
  const list = new VirtualBlocks(host, {
    draw: (block) => drawing.block(block, show.order.length),
    settled: (elements) => {
      Drawing.pictures(elements);
      moving.keepReachable();
    },
  });

  function marks() {
    for (const item of host.querySelectorAll("li[data-place]")) {
      const place = Number(item.dataset.place);
      drawing.mark(item, show.order[place], place);
    }
    document.getElementById("chosen-count").textContent = fill(words.chosen, { count: choosing.count });
  }

  // Draw the list; the frame that keys move from stays it where it is still among them.
  function lay() {
    const before = state.number;
    show.order = inOrder(data, wanted, causes);
    show.placeOf = new Map(show.order.map((k, place) => [data.n[k], place]));
    state.row.clear();
    state.current = show.placeOf.get(before) ?? 0;
    state.number = data.n[show.order[state.current]] ?? before;
    sizes ??= measured(drawing);
    show.blocks = blocksOf(data, show.order, { byCapture: wanted.order === "capture", words, sizes });
    list.show(show.blocks);
    const count = data.n.length;
    const shown = show.order.length;
    const key = shown === count ? "count_all" : shown ? "count_some" : "count_none";
    document.getElementById("counted").textContent = counted(words, key, { count, shown });
  }

  function narrowed() {
    wanted = asked();
    state.query = queryOf(wanted);
    history.replaceState(null, "", location.pathname + state.query);
    const other = document.getElementById("other-way");
    if (other) other.href = `${location.pathname}${state.query}${state.query ? "&" : "?"}paged=yes`;
    lay();
  }

  const choosing = new Choosing(key, data, {
    changed: marks,
    failed: async () => {
      await news.renew();
      say(words.not_kept);
    },
  });
  const moving = new Moving({ host, list, show, state, data, choosing, words, marks, say });
  const news = new News({ key, data, words, say, renewed: marks, grown: () => anchored(lay), choosing });

  // Lay the list out anew with the frame at the top of the window where it was.
  function anchored(work) {
    const top = [...host.querySelectorAll("li[data-place]")].find(
      (item) => item.getBoundingClientRect().bottom > 0,
    );
    const at = top?.getBoundingClientRect().top ?? 0;
    const focused = host.contains(document.activeElement);
    work();
    const place = top && show.placeOf.get(Number(top.id.slice(1)));
    if (place === undefined) return;
    const item = moving.itemAt(place);
    if (at < window.innerHeight) window.scrollBy({ top: item.getBoundingClientRect().top - at, behavior: "instant" });
    if (focused) moving.hold();
  }

  form.addEventListener("input", narrowed);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    narrowed();
  });
  let width = window.innerWidth;
  window.addEventListener("resize", () => {
    if (window.innerWidth === width) return;
    width = window.innerWidth;
    sizes = null;
    anchored(lay);
  });

  const held = document.activeElement?.closest?.("#list li")?.id ?? location.hash.slice(1);
  const focused = host.contains(document.activeElement);
  document.documentElement.classList.add("script");
  state.query = queryOf(wanted);
  lay();
  const place = /^f\d+$/.test(held) ? show.placeOf.get(Number(held.slice(1))) : undefined;
  if (place !== undefined) {
    moving.at(place);
    moving.itemAt(place).scrollIntoView({ block: "center" });
    if (focused) moving.focus(place);
  }
  marks();
  news.watch();
  say("");
  performance.mark("sitting-ready");
}

fetch(`/sitting/${encodeURIComponent(key)}/rows`)
  .then((answer) => (answer.ok ? answer.json() : Promise.reject(new Error(String(answer.status)))))
  .then(start)
  .catch(() => say(words.failed));
