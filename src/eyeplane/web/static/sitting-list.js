// The frames of a sitting as columns, narrowed and put in order as the server does it, and in blocks.

export const ORDERS = ["capture", "longest", "shortest", "behind", "front", "cause", "eyes", "chosen"];
const SIDES = ["behind", "on", "front", "cannot-tell"];
const EYES = ["open", "closed", "cannot-tell"];
const LINES = 4; // of a long block that stand together

export function fill(text, parts) {
  return text.replace(/\{(\w+)\}/g, (whole, name) => (name in parts ? String(parts[name]) : whole));
}

export function counted(words, key, parts) {
  const one = words[`${key}.one`];
  return fill(parts.count === 1 && one !== undefined ? one : words[key], parts);
}

// A length as it was typed, in cm; null for nothing, NaN for what is none.
export function lengthCm(text, unitCm) {
  const plain = text.trim().replace(",", ".");
  if (!plain) return null;
  const value = /^\d{1,6}(\.\d*)?$/.test(plain) ? Number(plain) * unitCm : Number.NaN;
  return value <= 10000 ? value : Number.NaN;
}

// Places of the frames that are asked for, in the order asked for.
export function inOrder(data, asked, causes) {
  const cause = causes.indexOf(asked.cause);
  const side = SIDES.indexOf(asked.offset);
  const eyes = EYES.indexOf(asked.eyes);
  const chosen = asked.chosen ? Number(asked.chosen === "yes") : -1;
  const name = asked.name.toLowerCase();
  const answered = [];
  const rest = [];
  for (let k = 0; k < data.n.length; k += 1) {
    const measured = data.status[k] === 0;
    if (!measured && (asked.cause || asked.offset || asked.eyes)) continue;
    if (cause >= 0 && data.cause[k] !== cause) continue;
    if (side >= 0 && data.side[k] !== side) continue;
    if (eyes >= 0 && data.eyes[k] !== eyes) continue;
    if (chosen >= 0 && data.chosen[k] !== chosen) continue;
    const reach = data.reach[k];
    if (asked.from !== null && (reach === null || reach < asked.from)) continue;
    if (asked.to !== null && (reach === null || reach > asked.to)) continue;
    if (name && !data.name[k].toLowerCase().includes(name)) continue;
    (measured ? answered : rest).push(k);
  }
  const place = places(data, asked.order);
  answered.sort((a, b) => place(a) - place(b) || a - b);
  return answered.concat(rest);
}

function places(data, order) {
  const told = (values, sign) => (k) => (values[k] === null ? Number.MAX_VALUE : sign * values[k]);
  switch (order) {
    case "longest":
      return told(data.reach, -1);
    case "shortest":
      return told(data.reach, 1);
    case "behind":
      return told(data.offset, -1);
    case "front":
      return told(data.offset, 1);
    case "cause":
      return (k) => data.cause[k];
    case "eyes":
      return (k) => data.eyes[k];
    case "chosen":
      return (k) => 1 - data.chosen[k];
    default:
      return (k) => data.burst[k];
  }
}

function kindOf(data, k, byCapture) {
  if (data.status[k] !== 0) return ["unanswered", 0];
  if (!byCapture) return ["sorted", 0];
  const burst = data.bursts[data.burst[k]];
  return !burst || burst[2] < 2 ? ["single", 0] : ["burst", data.burst[k]];
}

// Groups of frames under one heading, long ones cut into pieces of some lines.
export function blocksOf(data, order, { byCapture, words, sizes }) {
  const groups = [];
  order.forEach((k, place) => {
    const [kind, number] = kindOf(data, k, byCapture);
    const last = groups.at(-1);
    if (last && last.kind === kind && last.number === number) last.frames.push(k);
    else groups.push({ kind, number, frames: [k], place });
  });
  const blocks = [];
  for (const group of groups) {
    const across = group.kind === "unanswered" ? 1 : sizes.across;
    const piece = across * (group.kind === "unanswered" ? 6 * LINES : LINES);
    for (let start = 0; start < group.frames.length; start += piece) {
      const frames = group.frames.slice(start, start + piece);
      const head = start === 0 ? headOf(data, group, words) : null;
      const block = { kind: group.kind, number: group.number, frames, head, place: group.place + start };
      blocks.push({ ...block, across, height: heightOf(block, across, sizes) });
    }
  }
  return blocks;
}

function heightOf(block, across, sizes) {
  const lines = Math.ceil(block.frames.length / across);
  if (block.kind === "unanswered") return lines * sizes.plain + (block.head ? sizes.headPlain : 0);
  const head = block.head ? (block.kind === "burst" ? sizes.head : sizes.headPlain) : sizes.gap;
  return head + lines * sizes.frame + (lines - 1) * sizes.gap;
}

function headOf(data, group, words) {
  const count = group.frames.length;
  let when = "";
  let why = "";
  let said = counted(words, "frames", { count });
  if (group.kind === "burst") {
    const [time, reason, whole] = data.bursts[group.number];
    when = time;
    why = reason;
    if (count < whole) said = fill(words.frames_of, { shown: count, count: whole });
    else said = counted(words, "frames", { count: whole });
  } else if (group.kind === "single") {
    const times = group.frames.map((k) => data.time[k]).filter(Boolean).sort();
    when = [...new Set(times.length ? [times[0], times.at(-1)] : [])].join("–");
  }
  const heading = fill(words[`block_${group.kind}`], { number: group.number });
  return { heading, aside: [when, said].filter(Boolean).join(" · "), why };
}
